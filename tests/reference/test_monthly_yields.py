"""Energy of each month from irradiance data, over a typical year that pvlib ships, offline.

The year is Greensboro's of the typical meteorological years TMY3, 8,760 hours. It is worked out a
second time in plain arithmetic with our own place of the sun, by the formula of Hay and Davies
(1980; from memory, as textbooks print it).
"""

from __future__ import annotations

import csv
from datetime import UTC, datetime, timedelta, timezone
from math import cos, pi, radians, sin
from pathlib import Path

import pvlib
import pytest

from compliance.electrical.sun import incidence_deg, sun_azimuth_deg, sun_elevation_deg
from compliance.irradiance.monthly import Face, Interval, monthly_kwh_per_kw

TYPICAL = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
FACE = Face(36.1, -79.95, 36.1, 180.0)
HERE = timezone(timedelta(hours=-5))
NOON_OF_2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)

tmy = pytest.mark.source(
    document="pvlib 0.16: its typical year of station 723170 (NREL, TMY3)",
    table="8,760 hours, our own place of the sun and plain arithmetic",
    confidence="opened",
)


def year() -> list[Interval]:
    """The hours by their starts; the file stamps their ends."""
    lines = TYPICAL.read_text().splitlines()[1:]
    return [_interval(row) for row in csv.DictReader(lines)]


def _interval(row: dict[str, str]) -> Interval:
    day = datetime.strptime(row["Date (MM/DD/YYYY)"], "%m/%d/%Y").replace(tzinfo=HERE)
    start = day + timedelta(hours=int(row["Time (HH:MM)"][:2]) - 1)
    light = (float(row[f"{name} (W/m^2)"]) for name in ("GHI", "DNI", "DHI"))
    return Interval(start, *light, float(row["Dry-bulb (C)"]), float(row["Wspd (m/s)"]))


def _by_hand_kwh(intervals: list[Interval], coefficient: float) -> list[float]:
    """With the sun of 2001, since ours begins in 2000; a year moves it by 0.2 degrees."""
    months = [0.0] * 12
    tilt = radians(FACE.tilt_deg)
    for each in intervals:
        halfway = each.start.replace(year=2001) + timedelta(minutes=30)
        days = (halfway - NOON_OF_2000) / timedelta(days=1)
        elevation = sun_elevation_deg(FACE.latitude_deg, FACE.longitude_deg, days)
        azimuth = sun_azimuth_deg(FACE.latitude_deg, FACE.longitude_deg, days)
        towards = max(0.0, cos(radians(incidence_deg(elevation, azimuth, FACE.tilt_deg, 180.0))))
        beside = towards / max(0.01745, sin(radians(elevation)))
        outside = 1366.1 * (1 + 0.033 * cos(2 * pi * halfway.timetuple().tm_yday / 365))
        bright = each.dni_w_m2 / outside
        light = each.dni_w_m2 * towards
        light += each.dhi_w_m2 * (bright * beside + (1 - bright) * (1 + cos(tilt)) / 2)
        light += 0.2 * each.ghi_w_m2 * (1 - cos(tilt)) / 2
        cell_c = each.air_c + light / (25 + 6.84 * each.wind_m_s)
        months[each.start.month - 1] += light / 1e3 * (1 + coefficient / 100 * (cell_c - 25))
    return months


@tmy
def test_each_month_is_that_of_plain_arithmetic() -> None:
    """Within 1 %: the sun of another year, and air that bends its light at the horizon."""
    intervals = year()
    ours = monthly_kwh_per_kw(intervals, FACE, -0.4, 0)
    assert ours == pytest.approx(_by_hand_kwh(intervals, -0.4), rel=0.01)


@pytest.mark.source(
    document="NREL, solar radiation data manual for flat-plate collectors",
    table="Greensboro, facing south at the latitude's tilt: 5.0 kWh/m² a day",
    confidence="from memory",
)
def test_light_of_a_year_is_that_of_the_manual() -> None:
    """Within 6 %: a typical year is made of other years than the manual's thirty."""
    light = sum(monthly_kwh_per_kw(year(), FACE, -1e-12, 0)) / 365
    assert light == pytest.approx(5.0, rel=0.06)


@tmy
def test_losses_and_heat_only_take_away() -> None:
    intervals = year()
    whole = monthly_kwh_per_kw(intervals, FACE, -0.3, 0)
    less = monthly_kwh_per_kw(intervals, FACE, -0.3, 14)
    assert less == pytest.approx([0.86 * kwh for kwh in whole])
    hotter = [each._replace(air_c=each.air_c + 5) for each in intervals]
    assert all(a < b for a, b in zip(monthly_kwh_per_kw(hotter, FACE, -0.3, 0), whole, strict=True))


@tmy
def test_half_hours_give_what_hours_give() -> None:
    """Within 3 % a month: the sun is taken where it stands halfway, at other moments here."""
    halves = [
        each._replace(start=each.start + later)
        for each in year() for later in (timedelta(), timedelta(minutes=30))
    ]  # fmt: skip
    fine = monthly_kwh_per_kw(halves, FACE, -0.4, 0, timedelta(minutes=30))
    assert fine == pytest.approx(monthly_kwh_per_kw(year(), FACE, -0.4, 0), rel=0.03)
