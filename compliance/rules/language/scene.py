"""What a checked expression is evaluated in, and what an evaluation gives.

A condition is true, false or None (unknown); a number is an interval. Every unknown
carries its needs: which path lacks what.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NamedTuple, Protocol

from compliance.rules.language.interval import Interval
from compliance.values import Over, Unknown

Entry = Mapping[str, Any]
Needs = tuple[tuple[str, str], ...]
Argument = Interval | str | None


class World(Protocol):
    """What rules are evaluated in; made by whoever knows records, limits and calculations."""

    job: Entry
    today: date

    def limit(self, name: str, arguments: tuple[Argument, ...], day: date) -> Interval | None:
        """The limit at these arguments on this day; None where no edition covers the day."""

    def quantity(self, owner: str, name: str, entry: Entry) -> float | Over | Unknown:
        """A worked-out value of an entry."""

    def evidence(self, kind: str, entry: Entry, before: str) -> Needs:
        """What is lacking for evidence of a kind to count for an entry; nothing if shown."""


@dataclass(slots=True)
class Scene:
    """One place in one record: the world, the local names, and which edition's day counts."""

    world: World
    names: Mapping[str, Entry] = field(default_factory=dict)
    labels: Mapping[str, str] = field(default_factory=dict)
    day: date | None = None
    before: str = "use"

    def with_name(self, name: str, entry: Entry, label: str) -> Scene:
        """The scene inside a loop."""
        names, labels = {**self.names, name: entry}, {**self.labels, name: label}
        return Scene(self.world, names, labels, self.day, self.before)

    @property
    def edition_day(self) -> date:
        """The day that picks limit rows: the part's, or the day of the check."""
        return self.day or self.world.today


class Verdict(NamedTuple):
    """A condition's worth; `needs` is empty unless it is unknown."""

    value: bool | None
    needs: Needs = ()


class Amount(NamedTuple):
    """A number's worth; `needs` is empty if it is one known number."""

    interval: Interval
    needs: Needs = ()


TRUE, FALSE = Verdict(True), Verdict(False)


def sure(value: bool) -> Verdict:
    """The verdict where nothing is lacking."""
    return TRUE if value else FALSE


def unknown(needs: Needs) -> Verdict:
    """The verdict where something is lacking."""
    return tuple.__new__(Verdict, (None, needs))  # half the cost of calling it


def both(parts: Iterable[Verdict]) -> Verdict:
    """`and`: false if any is false, else unknown if any is unknown, else true."""
    return _joined(parts, False)


def either(parts: Iterable[Verdict]) -> Verdict:
    """`or`: true if any is true, else unknown if any is unknown, else false."""
    return _joined(parts, True)


def _joined(parts: Iterable[Verdict], settles: bool) -> Verdict:
    lacking: list[Needs] = []
    for verdict in parts:
        if verdict.value is settles:
            return verdict
        if verdict.value is None:
            lacking.append(verdict.needs)
    return unknown(joined(lacking)) if lacking else sure(not settles)


def opposite(verdict: Verdict) -> Verdict:
    """`not`: swaps true and false, keeps unknown."""
    return verdict if verdict.value is None else sure(not verdict.value)


def joined(needs: Iterable[Needs]) -> Needs:
    """Needs in the order met, each once; in what is joined, each is there but once already."""
    said = [some for some in needs if some]
    if not said:
        return ()
    if len(said) == 1:
        return said[0]
    return tuple(dict.fromkeys([need for some in said for need in some]))
