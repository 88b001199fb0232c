"""The table of monthly yields that a firm supplies: CSV, a row for each month, read strictly.

    month,kwh_per_kwp
    1,24.1

A column `string` in front tells strings apart; without it the table is for all of them.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from pathlib import Path

from compliance.errors import DocumentError, Place
from compliance.files.paths import open_regular

MONTH, YIELD, STRING = "month", "kwh_per_kwp", "string"
MONTHS = range(1, 13)
GREATEST_KWH_PER_KW = 300.0
"""More than a kilowatt gives in any month on any roof (common practice, no source)."""
_MOST_BYTES = 262_144

Months = tuple[float, ...]
"""Twelve yields, January first. [kWh/kW]"""


class MonthlyYieldsError(DocumentError):
    """A table of monthly yields is not one."""

    id = "document.monthly-yields"


def read_monthly_yields(folder: Path, file: str, strings: Iterable[str]) -> Mapping[str, Months]:
    """The twelve yields of each string.

    Args:
        folder: The job folder.
        file: The table's path in it.
        strings: The short names of the record's strings.

    Raises:
        PathError: If there is no such file in the folder.
        MonthlyYieldsError: If it is no such table; says the line and what would be right.
    """
    name, known = str(folder / file), list(strings)
    with open_regular(folder, file) as opened:
        data = opened.read(_MOST_BYTES + 1)
    if len(data) > _MOST_BYTES:
        raise MonthlyYieldsError(f"is larger than {_MOST_BYTES:,} bytes", Place(name))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise MonthlyYieldsError("is not text in UTF-8", Place(name)) from None
    rows = csv.reader(text.splitlines())
    head = [cell.strip() for cell in next(rows, [])]
    if sorted(head) not in (sorted((MONTH, YIELD)), sorted((STRING, MONTH, YIELD))):
        raise MonthlyYieldsError(
            f'its first line is "{",".join(head)[:80]}"; right is {MONTH},{YIELD}, or '
            f"{STRING},{MONTH},{YIELD} where strings differ",
            Place(name, 1),
        )
    found: dict[str, dict[int, float]] = {}
    for cells in rows:
        if any(map(str.strip, cells)):
            _put(found, head, cells, known, Place(name, rows.line_num))
    told = found if STRING in head else dict.fromkeys(known, found.get("", {}))
    for string in known:
        lacking = [str(month) for month in MONTHS if month not in told.get(string, {})]
        if lacking:
            of = f"of string {string} " if STRING in head else ""
            raise MonthlyYieldsError(
                f"month {', '.join(lacking)} {of}is missing; every month once, 1 to 12", Place(name)
            )
        if not any(told[string].values()):
            raise MonthlyYieldsError(f"says that {string} gives nothing all year", Place(name))
    return {string: tuple(told[string][month] for month in MONTHS) for string in known}


def _put(
    found: dict[str, dict[int, float]], head: list[str], cells: list[str], known: list[str],
    place: Place,
) -> None:  # fmt: skip
    if len(cells) != len(head):
        raise MonthlyYieldsError(f"has {len(cells)} cells; right are {len(head)}", place)
    row = {name: cell.strip() for name, cell in zip(head, cells, strict=True)}
    string = row.get(STRING, "")
    if STRING in row and string not in known:
        raise MonthlyYieldsError(
            f'"{string}" is no string of the record; it has {", ".join(known)}',
            Place(place.file, place.line, field=STRING),
        )
    month = _number(row[MONTH], MONTH, 1, 12, place)
    if month != int(month):
        raise MonthlyYieldsError(
            f"{row[MONTH]} is no month; 1 to 12", Place(place.file, place.line, field=MONTH)
        )
    if int(month) in found.setdefault(string, {}):
        raise MonthlyYieldsError(
            f"month {int(month)} stands twice; each once", Place(place.file, place.line)
        )
    found[string][int(month)] = _number(row[YIELD], YIELD, 0, GREATEST_KWH_PER_KW, place)


def _number(text: str, field: str, least: float, most: float, place: Place) -> float:
    at = Place(place.file, place.line, field=field)
    try:
        value = float(text)
    except ValueError:
        raise MonthlyYieldsError(f'"{text}" is no number; from {least:g} to {most:g}', at) from None
    if not least <= value <= most:
        raise MonthlyYieldsError(f"{text} cannot be; from {least:g} to {most:g}", at)
    return value
