"""The light that a clear sky could have given a string when it was read, and what that drives."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from compliance.electrical import sun
from compliance.rules.quantities.binding import (
    Asked,
    Entry,
    Gathered,
    Input,
    Needs,
    Quantity,
    walk,
)
from compliance.rules.quantities.clock import since_2000_days

Numbers = tuple[tuple[float, ...], Needs]

SITE = {
    "latitude_deg": Input("latitude of the site", "site.latitude_deg"),
    "longitude_deg": Input("longitude of the site", "site.longitude_deg"),
}


def _moment(test: str) -> Callable[[Entry, Asked], Numbers]:
    def gathered(entry: Entry, asked: Asked) -> Numbers:
        on, lacking = walk(f".{test}.on", entry, asked)
        if lacking:
            return (), lacking
        if not isinstance(on, datetime):
            return (), ((f"{test}.on", "the time of day is missing"),)
        return (since_2000_days(on),), ()

    return gathered


def _face(name: str) -> Callable[[Entry, Asked], Numbers]:
    """Tilt or azimuth where both are said; else the face is taken to look to the sun."""

    def gathered(entry: Entry, asked: Asked) -> Numbers:
        is_said = None not in (entry.get("tilt_deg"), entry.get("azimuth_deg"))
        return ((entry[name],) if is_said else ()), ()

    return gathered


def _clear_sky_w_m2(
    latitude_deg: float,
    longitude_deg: float,
    since_2000_days: tuple[float, ...],
    tilt_deg: tuple[float, ...],
    azimuth_deg: tuple[float, ...],
) -> float:
    place = (latitude_deg, longitude_deg, *since_2000_days)
    if not (tilt_deg and azimuth_deg):
        return sun.clear_sky_facing_w_m2(*place)
    return sun.clear_sky_on_face_w_m2(*place, *tilt_deg, *azimuth_deg)


def _light(name: str, test: str, what: str) -> Quantity:
    return Quantity(
        owner="string",
        name=name,
        title=f"Light of a clear sky when the {what} was read",
        formula="by the sun's place: 1353 × 0.7^(air mass^0.678) × (cos of incidence + 0.1)",
        inputs={
            **SITE,
            "since_2000_days": Gathered("time of the reading", _moment(test), f".{test}.on"),
            "tilt_deg": Gathered("tilt of the face", _face("tilt_deg"), ".tilt_deg"),
            "azimuth_deg": Gathered("azimuth of the face", _face("azimuth_deg"), ".azimuth_deg"),
        },
        calculate=_clear_sky_w_m2,
        source="meinel-1976",
        clause="",
        confidence="secondary",
        note="The greater of the face's and level ground's, a quarter of an hour either side.",
        is_printed=False,
    )


def _current(name: str, light: str, what: str) -> Quantity:
    return Quantity(
        owner="string",
        name=name,
        title=f"What a clear sky could drive when the {what} was read",
        formula="rows in parallel × Isc × light of a clear sky / 1000",
        inputs={
            "parallel": Input("rows in parallel", ".parallel"),
            "module_isc_stc_a": Input(
                "short-circuit current of one module at STC", ".modules.isc_a"
            ),
            "irradiance_w_m2": Input("light of a clear sky", f".{light}"),
        },
        calculate=sun.driven_current_a,
        source="iec-60891",
        clause="",
        confidence="memory",
        is_printed=False,
    )


QUANTITIES = (
    _light("clear_sky_at_voc_w_m2", "open_circuit_voltage", "open-circuit voltage"),
    _light("clear_sky_at_isc_w_m2", "short_circuit_current", "short-circuit current"),
    _light("clear_sky_at_operating_w_m2", "operating_current", "operating current"),
    _current("clear_sky_isc_a", "clear_sky_at_isc_w_m2", "short-circuit current"),
    _current("clear_sky_operating_a", "clear_sky_at_operating_w_m2", "operating current"),
)
