"""In what order things were first done: tests before switching on, dead tests before live ones.

Only where the order is a matter of safety. What counts is the first time a test was made:
a test repeated later, with the system in use, does not undo that it was tested in time.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from compliance.rules.quantities.binding import Asked, Entry, Gathered, Needs, Quantity, walk

Numbers = tuple[tuple[float, ...], Needs]
SECONDS_A_DAY = 86_400

STRING_TESTS = ("polarity", "open_circuit_voltage", "insulation")
DEAD_TESTS = ("continuity", "insulation", "polarity")
LIVE_TESTS = ("loop_impedance", "rcd_time", "rcd_button")


def _first_days(entry: Entry, asked: Asked, tests: tuple[str, ...]) -> tuple[list[Any], Needs]:
    """When each test was first made, or which of them lack a day."""
    days: list[Any] = []
    needs: list[tuple[str, str]] = []
    for name in tests:
        test, lacking = walk(f".{name}", entry, asked)
        if lacking:
            needs += lacking
            continue
        made = (t for t in (*test.get("~earlier", ()), test) if "not_taken" not in t)
        first = next(made)
        if "on" in first:
            days.append(first["on"])
        else:
            needs.append((f"{name}.on", "missing"))
    return days, tuple(needs)


def _days_between(earlier: Any, later: Any) -> float:
    """Days from one moment to another; where either has no time of day, whole days."""
    if isinstance(earlier, datetime) and isinstance(later, datetime):
        return (later - earlier).total_seconds() / SECONDS_A_DAY
    return float((_day(later) - _day(earlier)).days)


def _day(moment: date) -> date:
    return date(moment.year, moment.month, moment.day)


def _before_use(tests: tuple[str, ...]) -> Callable[[Entry, Asked], Numbers]:
    def gathered(entry: Entry, asked: Asked) -> Numbers:
        used, lacking = walk(".part.in_use", entry, asked)
        if not lacking and not isinstance(used, date):
            lacking = (("part.in_use", "not yet"),)
        days, needs = _first_days(entry, asked, tests)
        if lacking or needs:
            return (), (*lacking, *needs)
        return tuple(_days_between(day, used) for day in days), ()

    return gathered


def _before_live(entry: Entry, asked: Asked) -> Numbers:
    dead, needs = _first_days(entry, asked, DEAD_TESTS)
    made = tuple(name for name in LIVE_TESTS if isinstance(entry.get(name), dict))
    live, more = _first_days(entry, asked, made)
    if needs or more:
        return (), (*needs, *more)
    if not live:
        return (), (("loop_impedance", "missing"),)
    return tuple(_days_between(before, after) for before in dead for after in live), ()


def _order(owner: str, name: str, title: str, gathered: Gathered) -> Quantity:
    return Quantity(
        owner=owner,
        name=name,
        title=title,
        formula="least of the days from each first test to what must come after it",
        inputs={"days": gathered},
        calculate=lambda days: min(days),
        source="common-practice",
        clause="",
        confidence="common practice",
        is_printed=False,
    )


QUANTITIES = (
    _order(
        "string",
        "tests_ahead_of_use_days",
        "Days from the first tests of a string to switching on",
        Gathered("first tests", _before_use(STRING_TESTS), ".part.in_use"),
    ),
    _order(
        "circuit",
        "dead_tests_ahead_of_use_days",
        "Days from the first dead tests of a circuit to switching on",
        Gathered("first dead tests", _before_use(DEAD_TESTS), ".part.in_use"),
    ),
    _order(
        "circuit",
        "dead_tests_ahead_of_live_days",
        "Days from the first dead tests of a circuit to its first live test",
        Gathered("first dead and live tests", _before_live, ".continuity"),
    ),
)
