"""`compliance yields`: what a kilowatt gives in each month, from the firm's irradiance data."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import click

from compliance.errors import CallError, Place

if TYPE_CHECKING:
    from compliance.irradiance.monthly import Interval

COLUMNS = ("start", "ghi_w_m2", "dni_w_m2", "dhi_w_m2", "air_c", "wind_m_s")
RANGES = {"ghi_w_m2": (0, 1500), "dni_w_m2": (0, 1400), "dhi_w_m2": (0, 1000),
          "air_c": (-50, 60), "wind_m_s": (0, 60)}  # fmt: skip
LENGTHS = (10, 15, 30, 60)
"""Intervals that data come in. [min]"""


@click.command(name="yields")
@click.argument("light", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--latitude", type=click.FloatRange(-66, 66), required=True, help="In °, north +.")
@click.option("--longitude", type=click.FloatRange(-180, 180), required=True, help="In °, east +.")
@click.option("--tilt", type=click.FloatRange(0, 90), required=True, help="From level, in °.")
@click.option("--azimuth", type=click.FloatRange(0, 360), required=True,
              help="The way the face looks, from north by east, in °.")  # fmt: skip
@click.option("--power-coefficient", type=click.FloatRange(-1, -0.05), required=True,
              help="Coefficient of the modules' greatest power, in %/K.")  # fmt: skip
@click.option("--losses", type=click.FloatRange(0, 60), required=True,
              help="Shade, glass, dirt, cables and inverter together, in %.")  # fmt: skip
@click.option("--out", type=click.Path(path_type=Path), help="Write there instead of printing.")
def command(
    light: Path, latitude: float, longitude: float, tilt: float, azimuth: float,
    power_coefficient: float, losses: float, out: Path | None,
) -> None:  # fmt: skip
    """Work out the kWh that one kW of modules gives in each month, from the data in LIGHT.

    LIGHT is CSV in UTF-8 or a workbook with the columns start (with its offset, such as
    2025-06-01T12:00Z), ghi_w_m2, dni_w_m2, dhi_w_m2, air_c and wind_m_s: means over equal
    intervals of whole years. Needs the extra: pip install 'installation-evidence[irradiance]'.

    An estimate from past weather, no promise. Nothing is assumed for you: what is not in the
    data has to be said.
    """
    from compliance.irradiance.monthly import Face, monthly_kwh_per_kw

    intervals = _read(light)
    length = _length(light, intervals)
    face = Face(latitude, longitude, tilt, azimuth)
    months = monthly_kwh_per_kw(intervals, face, power_coefficient, losses, length)
    rows = [f"{month},{kwh:.1f}" for month, kwh in enumerate(months, 1)]
    text = "\n".join(["month,kwh_per_kwp", *rows, ""])
    if out is None:
        click.echo(text, nl=False)
        return
    if out.exists():
        raise CallError(f"{out} is there already, and nothing is written over; give another name")
    out.write_text(text, encoding="utf-8")
    click.echo(f"{out}: {sum(months):.0f} kWh/kWp in a year of past weather; an estimate.")


def _read(path: Path) -> list[Interval]:
    from compliance.irradiance.monthly import Interval
    from compliance.portfolio.lists import rows

    found: list[Interval] = []
    for row, place in rows(path, *COLUMNS):
        figures = [_figure(row[column], column, place) for column in COLUMNS[1:]]
        found.append(Interval(_start(row["start"], place), *figures))
    if len({interval.start.utcoffset() for interval in found}) > 1:
        raise CallError("changes its offset, as clocks do in summer; give one throughout",
                        Place(str(path)))  # fmt: skip
    return sorted(found)


def _start(text: str, place: Place) -> datetime:
    at = Place(place.file, place.line, field="start")
    try:
        start = datetime.fromisoformat(text)
    except ValueError:
        raise CallError(f'"{text}" is no moment; write it as 2025-06-01T12:00Z', at) from None
    if start.tzinfo is None:
        raise CallError(f'"{text}" says no offset; write it as {text}Z if it is UTC', at)
    return start


def _figure(text: str, column: str, place: Place) -> float:
    at = Place(place.file, place.line, field=column)
    least, most = RANGES[column]
    try:
        figure = float(text)
    except ValueError:
        raise CallError(f'"{text}" is no number', at) from None
    if not least <= figure <= most:
        raise CallError(f"{text} cannot be; from {least} to {most}", at)
    return figure


def _length(path: Path, intervals: list[Interval]) -> timedelta:
    """How long an interval is: the least step between two, if it is one that data come in."""
    steps = {b.start - a.start for a, b in pairwise(intervals)}
    least = min(steps, default=timedelta())
    if least == timedelta():
        raise CallError("holds no two intervals, or one twice; each once", Place(str(path)))
    if least / timedelta(minutes=1) not in LENGTHS:
        lengths = ", ".join(map(str, LENGTHS))
        raise CallError(f"its intervals are {least}; right is one of {lengths} minutes, all "
                        "alike", Place(str(path)))  # fmt: skip
    return least
