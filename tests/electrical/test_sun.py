"""The sun and a clear sky: the range of validity, its ends, beyond them, and what must hold."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isfinite, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compliance.electrical.sun import (
    clear_sky_facing_w_m2,
    clear_sky_on_face_w_m2,
    clear_sky_w_m2,
    driven_current_a,
    incidence_deg,
    sun_azimuth_deg,
    sun_elevation_deg,
)
from compliance.errors import OutOfRangeError

steady = settings(derandomize=True, max_examples=60, deadline=None)

latitudes = st.floats(-90.0, 90.0)
longitudes = st.floats(-180.0, 180.0)
days = st.floats(1.0, 36_524.0)
tilts = st.floats(0.0, 90.0)
azimuths = st.floats(0.0, 360.0)
elevations = st.floats(-90.0, 90.0)

PLACE = {"latitude_deg": 52.5, "longitude_deg": -1.5, "since_2000_days": 9851.0}
SOUND: dict[Callable[..., float], dict[str, float]] = {
    sun_elevation_deg: PLACE,
    sun_azimuth_deg: PLACE,
    incidence_deg: {
        "elevation_deg": 30.0, "sun_azimuth_deg": 170.0, "tilt_deg": 35.0, "azimuth_deg": 180.0,
    },
    clear_sky_w_m2: {"elevation_deg": 30.0, "incidence_deg": 20.0},
    clear_sky_on_face_w_m2: {**PLACE, "tilt_deg": 35.0, "azimuth_deg": 180.0},
    clear_sky_facing_w_m2: PLACE,
    driven_current_a: {"parallel": 2, "module_isc_stc_a": 13.9, "irradiance_w_m2": 640.0},
}  # fmt: skip
QUARTER = 1 / 96
RANGES = {
    "latitude_deg": (-90.0, 90.0),
    "longitude_deg": (-180.0, 180.0),
    "since_2000_days": (QUARTER, 36_525.0 - QUARTER),
    "elevation_deg": (-90.0, 90.0),
    "sun_azimuth_deg": (0.0, 360.0),
    "incidence_deg": (0.0, 180.0),
    "tilt_deg": (0.0, 90.0),
    "azimuth_deg": (0.0, 360.0),
    "irradiance_w_m2": (0.0, 1500.0),
}
GIVEN = [(f, inputs, name) for f, inputs in SOUND.items() for name in inputs]


@pytest.mark.parametrize(
    ("function", "inputs", "name"), GIVEN, ids=lambda v: getattr(v, "__name__", str(v)[:40])
)
def test_both_ends_are_inside_and_what_lies_beyond_or_is_no_number_is_refused(
    function: Callable[..., float], inputs: dict[str, float], name: str
) -> None:
    beyond: list[object] = [nan, inf, -inf, True]
    if name in RANGES:
        least, greatest = RANGES[name]
        for end in (least, greatest):
            assert isfinite(function(**{**inputs, name: end}))
        beyond += [least - 0.02, greatest + 0.02]
    else:
        beyond += [0, -1.0]
    for value in beyond:
        with pytest.raises(OutOfRangeError) as refused:
            function(**{**inputs, name: value})
        assert refused.value.name == name
        assert refused.value.right


@steady
@given(latitude_deg=latitudes, longitude_deg=longitudes, since=days)
def test_the_sun_stands_somewhere_on_the_sphere(
    latitude_deg: float, longitude_deg: float, since: float
) -> None:
    assert -90 <= sun_elevation_deg(latitude_deg, longitude_deg, since) <= 90
    assert 0 <= sun_azimuth_deg(latitude_deg, longitude_deg, since) <= 360


@steady
@given(longitude_deg=longitudes, since=days)
def test_seen_from_the_pole_and_from_the_other_pole_the_sun_is_as_high_as_it_is_low(
    longitude_deg: float, since: float
) -> None:
    north = sun_elevation_deg(90.0, longitude_deg, since)
    assert sun_elevation_deg(-90.0, longitude_deg, since) == pytest.approx(-north, abs=1e-9)
    assert abs(north) <= 23.5


@steady
@given(latitude_deg=latitudes, longitude_deg=st.floats(-165.0, 150.0), since=days)
def test_fifteen_degrees_east_the_sun_is_an_hour_ahead(
    latitude_deg: float, longitude_deg: float, since: float
) -> None:
    """Within the tenth of a degree that it moves against the stars meanwhile."""
    here = sun_elevation_deg(latitude_deg, longitude_deg + 15, since)
    assert here == pytest.approx(
        sun_elevation_deg(latitude_deg, longitude_deg, since + 1 / 24), abs=0.1
    )


@steady
@given(elevations, azimuths, tilts, azimuths)
def test_a_level_face_sees_the_sun_as_far_off_as_it_is_from_overhead(
    elevation: float, towards: float, tilt: float, azimuth: float
) -> None:
    level = incidence_deg(elevation, towards, 0.0, azimuth)
    assert level == pytest.approx(90 - elevation, abs=1e-5)
    assert abs(incidence_deg(elevation, towards, tilt, azimuth) - level) <= tilt + 1e-5


@steady
@given(st.floats(0.01, 90.0), st.floats(0.01, 90.0), st.floats(0.0, 180.0), st.floats(0.0, 180.0))
def test_a_higher_sun_and_a_face_turned_to_it_give_more(
    low: float, high: float, near: float, far: float
) -> None:
    low, high = sorted((low, high))
    near, far = sorted((near, far))
    assert clear_sky_w_m2(low, near) <= clear_sky_w_m2(high, near) + 1e-9
    assert clear_sky_w_m2(high, far) <= clear_sky_w_m2(high, near) + 1e-9
    assert 0 < clear_sky_w_m2(high, far) <= 1050


@steady
@given(st.floats(-90.0, 0.0), st.floats(0.0, 180.0))
def test_nothing_shines_while_the_sun_is_down(elevation: float, incidence: float) -> None:
    assert clear_sky_w_m2(elevation, incidence) == 0.0


@steady
@given(latitudes, longitudes, days, tilts, azimuths)
def test_no_face_has_more_than_one_that_looks_to_the_sun(
    latitude_deg: float, longitude_deg: float, since: float, tilt: float, azimuth: float
) -> None:
    place = (latitude_deg, longitude_deg, since)
    on_face = clear_sky_on_face_w_m2(*place, tilt, azimuth)
    assert 0 <= on_face <= clear_sky_facing_w_m2(*place) + 1e-9
    assert on_face >= clear_sky_on_face_w_m2(*place, 0.0, azimuth) - 1e-9


@steady
@given(st.integers(1, 20), st.floats(0.1, 30.0), st.floats(0.0, 1500.0))
def test_current_grows_with_rows_modules_and_light(rows: int, isc_a: float, light: float) -> None:
    assert driven_current_a(rows, isc_a, light) == pytest.approx(
        rows * driven_current_a(1, isc_a, light)
    )
    assert driven_current_a(rows, 1000 * isc_a, light) == pytest.approx(
        1000 * driven_current_a(rows, isc_a, light)
    )
    assert driven_current_a(rows, isc_a, light / 2) == pytest.approx(
        driven_current_a(rows, isc_a, light) / 2
    )
