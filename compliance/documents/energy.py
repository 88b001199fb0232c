"""What the energy estimate receives: the year by the standard method, and its months.

The year is a worked-out value of the check. The months share it out by the table that the firm
supplies, so that they add up to the year; that table's own sum stands beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from compliance.documents.commissioning import NOT_SAID, Entry, firm, said
from compliance.documents.data import day
from compliance.documents.monthly_yields import Months, read_monthly_yields
from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.rules.job import Job
from compliance.rules.outcome import NO_PERMISSION
from compliance.units import find, shown

KIND = "monthly yields"
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September",
          "October", "November", "December")  # fmt: skip


def has_panels(view: Entry) -> bool:
    """Whether there is a string to estimate the energy of."""
    return bool(view.get("strings"))


def energy_values(job: Job) -> dict[str, Any]:
    """The values of `energy-estimate.md.j2`."""
    paper = _paper(job)
    return {
        "reference": job.checked.reference,
        "title": job.checked.title,
        "address": said(job.view["site"], "address", ""),
        "firm": firm(job.view),
        "on": day(job.checked.on),
        "no_permission": NO_PERMISSION,
        "year": _kwh(job.worked("annual_yield_kwh", job.view)),
        "has_months": paper is not None,
        "months_source": said(paper or {}, "source", "not stated"),
        "months_licence": said(paper or {}, "licence", "not stated"),
    }


def energy_tables(job: Job) -> dict[str, Table]:
    """The tables of `energy-estimate.md.j2`.

    Raises:
        MonthlyYieldsError: If the table of monthly yields cannot be read.
    """
    rows: Mapping[str, Iterator[Sequence[str]]] = {
        "energy-strings": _strings(job),
        "energy-months": _months(job),
    }
    return {name: shaped(name, table) for name, table in rows.items()}


def year_of_string(string: Entry, shade_factor: float | None) -> float | None:
    """Energy of a year of one string; None if something it rests on is not known. [kWh]"""
    power_kw, specific = _power_kw(string), string.get("yield_kwh_per_kw")
    if power_kw is None or shade_factor is None or not isinstance(specific, float):
        return None
    return power_kw * specific * shade_factor


def shared_out(year_kwh: float, months: Months) -> Months:
    """A year's energy in the months' shares; they add up to it. [kWh]"""
    total = sum(months)
    return tuple(year_kwh * month / total for month in months)


def _power_kw(string: Entry) -> float | None:
    modules = string.get("modules", {})
    factors = (string.get("in_series"), string.get("parallel", 1.0), modules.get("vmp_v"),
               modules.get("imp_a"))  # fmt: skip
    product = 1e-3
    for factor in factors:
        if not isinstance(factor, float):
            return None
        product *= factor
    return product


def _strings(job: Job) -> Iterator[Sequence[str]]:
    for string in job.view.get("strings", ()):
        shade, power_kw = job.worked("shade_factor", string), _power_kw(string)
        yield (
            string["~name"],
            NOT_SAID if power_kw is None else shown(round(power_kw, 2), find("kw")),
            said(string, "yield_kwh_per_kw"),
            NOT_SAID if shade is None else f"{shade:.2f}",
            _kwh(year_of_string(string, shade)),
        )


def _months(job: Job) -> Iterator[Sequence[str]]:
    paper = _paper(job)
    if paper is None:
        return
    strings = job.view.get("strings", ())
    names = [string["~name"] for string in strings]
    table = read_monthly_yields(job.folder, paper["file"], names)
    years = [year_of_string(one, job.worked("shade_factor", one)) for one in strings]
    if any(year is None for year in years):
        return
    shares = [
        shared_out(year, table[name]) for name, year in zip(names, years, strict=True) if year
    ]
    said_kwh = [_kwh(sum(share[month] for share in shares)) for month in range(12)]
    half = len(MONTHS) // 2
    for at in range(half):
        yield MONTHS[at], said_kwh[at], MONTHS[at + half], said_kwh[at + half]
    yield "", "", "Year", _kwh(sum(sum(share) for share in shares))


def _paper(job: Job) -> Entry | None:
    """The table that was put into the record last, of those whose file is there."""
    papers = [
        paper
        for paper in job.view.get("evidence", ())
        if paper["kind"] == KIND and job.seen[paper["~name"]].sha256
    ]
    return papers[-1] if papers else None


def _kwh(value: float | None) -> str:
    """Whole kilowatt-hours, which is finer than any estimate of weather."""
    return NOT_SAID if value is None else f"{value:,.0f} kWh"
