"""In what order things were first done: tests before switching on, dead tests before live ones.

Only where the order is a matter of safety. What counts is the first time a test was made:
a test repeated later, with the system in use, does not undo that it was tested in time. How
old the tests were when the switch was closed is another question: there the last ones count.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from compliance.rules.quantities.binding import Asked, Entry, Gathered, Needs, Quantity, walk
from compliance.values import NotYet, Over

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


def _is_ahead(entry: Entry, asked: Asked) -> Numbers:
    """A number where switching on lies ahead, so that what counts in days goes on growing."""
    used, lacking = walk(".part.in_use", entry, asked)
    is_ahead = isinstance(used, NotYet) or (used is not None and _day(used) > asked.today)
    return ((1.0,) if is_ahead else ()), lacking


def _ages(entry: Entry, asked: Asked) -> Numbers:
    """How old the last test of each kind was on switching on, or is today if that lies ahead."""
    used, lacking = walk(".part.in_use", entry, asked)
    if lacking:
        return (), lacking
    is_ahead = isinstance(used, NotYet) or _day(used) > asked.today
    until = asked.today if is_ahead else used
    ages: list[float] = []
    needs: list[tuple[str, str]] = []
    for name in STRING_TESTS:
        on, missing = _last_until(until, name, entry, asked)
        needs += missing
        ages += [_days_between(on, until)] if not missing else []
    return tuple(ages), tuple(needs)


def _last_until(until: date, name: str, entry: Entry, asked: Asked) -> tuple[Any, Needs]:
    """When the last test of a kind up to a moment was made."""
    test, lacking = walk(f".{name}", entry, asked)
    if lacking:
        return None, lacking
    for made in reversed((*test.get("~earlier", ()), test)):
        if "not_taken" in made:
            continue
        if "on" not in made:
            return None, ((f"{name}.on", "missing"),)
        if _days_between(made["on"], until) >= 0:
            return made["on"], ()
    return None, ((name, "no test made before switching on"),)


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
    Quantity(
        owner="string",
        name="tests_old_at_use_days",
        title="Days from the last tests of a string to switching on",
        formula="most of the days from each last test to switching on",
        inputs={
            "days": Gathered("last tests", _ages, ".part.in_use"),
            "ahead": Gathered("switching on lies ahead", _is_ahead, ".part.in_use"),
        },
        calculate=lambda days, ahead: Over(max(days)) if ahead else max(days),
        source="common-practice",
        clause="",
        confidence="common practice",
        is_printed=False,
    ),
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
