"""Dates of a record that cannot all be right, found in the text as it was written.

Only what no job could be like is refused: a date that is left out or still ahead
contradicts nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from compliance.errors import RecordError
from compliance.files.yaml import Tree
from compliance.record import problems as wrong
from compliance.record.array import String
from compliance.record.kinds import DATE
from compliance.record.parts import fitting_parts

Entries = Mapping[str, Mapping[str, Any]]
Loc = tuple[str | int, ...]

# First what comes first. A design may be drawn before the customer agrees, a thing be made safe
# before work on it starts: those orders are nobody's mistake.
OF_A_PART = (
    ("agreed", "handed_over", "nothing is handed over before it was agreed"),
    ("started", "covered", "work on a part starts before anything of it is covered"),
    ("started", "in_use", "work on a part starts before it is put into use"),
    ("started", "handed_over", "work on a part starts before it is handed over"),
    ("in_use", "handed_over", "a part is put into use before it is handed over"),
)
STRING_TESTS = ("insulation", "polarity", "open-circuit voltage", "short-circuit current",
                "operating current")  # fmt: skip


def contradictions(tree: Tree) -> Iterator[RecordError]:
    """Every pair of dates that cannot both be right."""
    parts = _named(tree, "parts")
    for name, part in parts.items():
        yield from _disordered(tree, ("parts", name), part)
    yield from _visits_before_the_start(tree, parts)
    yield from _strings_tested_before_the_start(tree, parts)


def text_of_day(entry: Any) -> str:
    """The day of an entry as it was written; empty if there is none that could be read."""
    return _day(entry, "on")


def _day(entry: Any, field: str) -> str:
    text = entry.get(field) if isinstance(entry, Mapping) else None
    if not isinstance(text, str) or not DATE.fullmatch(text.strip()):
        return ""
    try:
        date.fromisoformat(text.strip()[:10])
    except ValueError:
        return ""  # no day of the calendar: told where it is read
    return str(text.strip())


def _is_before(one: str, other: str) -> bool:
    """Whether a moment comes before another; where one has no time of day, days compare."""
    length = min(len(one), len(other))
    return one[:length] < other[:length]


def _disordered(tree: Tree, at: Loc, entry: Mapping[str, Any]) -> Iterator[RecordError]:
    for first, then, why in OF_A_PART:
        early, late = _day(entry, first), _day(entry, then)
        if early and late and _is_before(late, early):
            other = tree.place((*at, first))
            place = tree.place((*at, then))
            yield wrong.DatesContradictError(then, late, f"{first} is {early}", why, other, place)


def _visits_before_the_start(tree: Tree, parts: Entries) -> Iterator[RecordError]:
    """A visit before work on anything started; only where every part says when it did."""
    started = {name: _day(part, "started") for name, part in parts.items()}
    if not started or not all(started.values()):
        return
    first = min(started, key=lambda name: started[name])
    for index, visit in enumerate(_listed(tree.data.get("visits"))):
        on = _day(visit, "on")
        if on and _is_before(on, started[first]):
            other = tree.place(("parts", first, "started"))
            place = tree.place(("visits", index, "on"))
            yield wrong.VisitBeforeStartError(on, started[first], other, place)


def _strings_tested_before_the_start(tree: Tree, parts: Entries) -> Iterator[RecordError]:
    kinds = {name: part.get("kind") for name, part in parts.items()}
    strings = _named(tree, "strings")
    why = "a string can be tested once the work that makes it has started"
    for index, test in enumerate(_listed(tree.data.get("tests"))):
        of = test.get("of") if isinstance(test, Mapping) else None
        if not isinstance(of, str) or of not in strings or test.get("test") not in STRING_TESTS:
            continue
        own = strings[of].get("part")
        named = own if isinstance(own, str) else next(iter(fitting_parts(String, kinds)), "")
        started, on = _day(parts.get(str(named)), "started"), _day(test, "on")
        if started and on and _is_before(on, started):
            said, other = f"{named} was started {started}", tree.place(("parts", named, "started"))
            place = tree.place(("tests", index, "on"))
            yield wrong.DatesContradictError("on", on, said, why, other, place)


def _named(tree: Tree, collection: str) -> Entries:
    """The entries of a named collection that are groups of fields."""
    found = tree.data.get(collection)
    pairs = found.items() if isinstance(found, Mapping) else ()
    return {str(name): entry for name, entry in pairs if isinstance(entry, Mapping)}


def _listed(found: Any) -> list[Any]:
    return found if isinstance(found, list) else []
