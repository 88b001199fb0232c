"""What one kilowatt of modules on a roof face gives in each month, from irradiance data."""

from __future__ import annotations

from calendar import monthrange
from collections import Counter, defaultdict
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any, NamedTuple

from compliance.errors import ComplianceError

HOUR = timedelta(hours=1)


class IrradianceError(ComplianceError):
    """Irradiance data cannot give the energy of a year."""


class NoPvlibError(IrradianceError):
    """The library that knows the sky is not installed."""

    id = "irradiance.no-pvlib"

    def __init__(self) -> None:
        super().__init__(
            "needs pvlib, which is not installed. Install the extra: "
            "pip install 'installation-evidence[irradiance]'"
        )


class MonthNotWholeError(IrradianceError):
    """No year of the data holds every interval of a month."""

    id = "irradiance.month-not-whole"

    def __init__(self, month: int, most: int, needed: int) -> None:
        super().__init__(
            f"month {month} is whole in no year of the data: {most} of {needed} intervals at "
            "most. Give every interval from the start of January to the end of December"
        )


class Interval(NamedTuple):
    """Means over one interval of time, from `start` on.

    The light is on level ground (`ghi_w_m2`), straight from the sun (`dni_w_m2`) and from the
    sky (`dhi_w_m2`).
    """

    start: datetime
    ghi_w_m2: float
    dni_w_m2: float
    dhi_w_m2: float
    air_c: float
    wind_m_s: float


class Face(NamedTuple):
    """Where a roof face is and how it lies; `azimuth_deg` from north by east."""

    latitude_deg: float
    longitude_deg: float
    tilt_deg: float
    azimuth_deg: float


def monthly_kwh_per_kw(
    intervals: Sequence[Interval],
    face: Face,
    power_coefficient_percent_per_k: float,
    losses_percent: float,
    length: timedelta = HOUR,
) -> tuple[float, ...]:
    """What one kilowatt of modules gives in each month, as alternating current.

    Light on the face by Hay and Davies, 0.2 of what falls on the ground thrown back; cell
    temperature by Faiman with pvlib's coefficients; power in proportion to the light, less the
    temperature's share. Shade, reflection at the glass, dirt, cables and the inverter are
    `losses_percent`, which nobody knows but the firm. Months that several years hold are
    averaged; a month counts only where it is whole.

    Args:
        intervals: Means over intervals of equal length, in any order, each once. Their starts
            have one offset from UTC throughout, by which months are counted.
        face: The roof face.
        power_coefficient_percent_per_k: Coefficient γ of the greatest power, negative. [%/K]
        losses_percent: All further losses together, from 0 to 60. [%]
        length: How long each interval is.

    Returns:
        Twelve figures, January first. [kWh/kW]

    Raises:
        NoPvlibError: If pvlib is not installed.
        MonthNotWholeError: If a month is whole in no year.

    Source: pvlib 0.16, get_total_irradiance, faiman and pvwatts_dc; the formulas' own papers
        are named in its documentation.
    """
    whole = _whole_months(intervals, length)
    powers_kw = _powers_kw(intervals, face, power_coefficient_percent_per_k, length)
    hours = length / HOUR
    sums: defaultdict[tuple[int, int], float] = defaultdict(float)
    for interval, power_kw in zip(intervals, powers_kw, strict=True):
        sums[_month(interval)] += power_kw * hours * (1 - losses_percent / 100)
    years = {month: [of for of in whole if of[1] == month] for month in range(1, 13)}
    return tuple(sum(sums[of] for of in some) / len(some) for some in years.values())


def _month(interval: Interval) -> tuple[int, int]:
    return interval.start.year, interval.start.month


def _whole_months(intervals: Sequence[Interval], length: timedelta) -> list[tuple[int, int]]:
    """The months, by year, of which every interval is there.

    Typical years leave the 29th of February out.
    """
    counts = Counter(map(_month, intervals))
    whole = []
    for month in range(1, 13):
        there = {of: count for of, count in counts.items() if of[1] == month}
        needed = [
            round(timedelta(days=monthrange(year, month)[1]) / length) for year in (2001, 2000)
        ]
        found = [of for of, count in there.items() if count in needed]
        if not found:
            raise MonthNotWholeError(month, max(there.values(), default=0), needed[0])
        whole += found
    return whole


def _powers_kw(
    intervals: Sequence[Interval], face: Face, coefficient: float, length: timedelta
) -> list[float]:
    """Power of one kilowatt of modules in each interval, with the sun where it is halfway."""
    try:
        import pandas
        from pvlib import irradiance, pvsystem, solarposition, temperature
    except ImportError:
        raise NoPvlibError from None
    halfway = pandas.DatetimeIndex(
        [(each.start + length / 2).astimezone(UTC) for each in intervals]
    )
    table: Any = pandas.DataFrame(intervals, index=halfway)
    sun = solarposition.get_solarposition(halfway, face.latitude_deg, face.longitude_deg)
    on_face = irradiance.get_total_irradiance(
        face.tilt_deg, face.azimuth_deg, sun["apparent_zenith"], sun["azimuth"],
        dni=table.dni_w_m2, ghi=table.ghi_w_m2, dhi=table.dhi_w_m2,
        dni_extra=irradiance.get_extra_radiation(halfway), albedo=0.2, model="haydavies",
    )["poa_global"].fillna(0)  # fmt: skip
    cells_c = temperature.faiman(on_face, table.air_c, table.wind_m_s)
    return list(pvsystem.pvwatts_dc(on_face, cells_c, pdc0=1.0, gamma_pdc=coefficient / 100))
