"""Limit tables as they are asked: the value at an argument on a day, or what it could be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from compliance.rules.language.interval import Interval, less, point, span
from compliance.rules.language.kinds import Kind, LimitSign, Number, Word
from compliance.rules.outcome import Source
from compliance.units import find

MOST_KEPT = 4096
"""How many answers of tables without a number to ask by are kept."""


_NOTHING = point(0.0)
"""What a table without argument is asked at."""


@dataclass(frozen=True, slots=True)
class Rows:
    """One edition of a table: `spans` of a number's argument, or `words`, with their values."""

    start: date
    end: date | None
    source: Source
    spans: tuple[tuple[Interval, float], ...]
    words: Mapping[str, float]
    note: str = ""

    def covers(self, day: date) -> bool:
        """Whether the edition is in force on a day."""
        return self.start <= day and (self.end is None or day < self.end)

    def at(self, arguments: tuple[Any, ...]) -> Interval:
        """The value at these arguments; the span of all that an unknown one could lead to."""
        if self.words:
            (word,) = arguments
            values = self.words.values() if word is None else [self.words[word]]
            return span(point(v) for v in values)
        (argument,) = arguments or (_NOTHING,)
        if argument.is_point:  # falls into one row
            for cover, value in self.spans:
                if _holds(cover, argument.low):
                    return point(value)
        return span(point(v) for cover, v in self.spans if _meets(argument, cover))


def _holds(cover: Interval, number: float) -> bool:
    low, high, has_low, has_high = cover
    return (low < number or (low == number and has_low)) and (
        number < high or (number == high and has_high)
    )


def _meets(a: Interval, b: Interval) -> bool:
    return less(a, b) is not True and less(b, a) is not True


class LimitTables:
    """Every limit table of a jurisdiction, by name."""

    def __init__(self) -> None:
        self._editions: dict[str, tuple[Rows, ...]] = {}
        self._signs: dict[str, LimitSign] = {}
        self.titles: dict[str, str] = {}
        self.files: dict[str, str] = {}
        """The limit file that each table stands in, by the name that its head gives it."""
        self.arguments: dict[str, tuple[str, str]] = {}
        """What each table is asked by, and that in words; nothing where it has one value."""
        self._kept: dict[tuple[Any, ...], Interval | None] = {}

    @property
    def signs(self) -> Mapping[str, LimitSign]:
        """How each table is asked, for the checks of the rule language."""
        return self._signs

    def value(self, name: str, arguments: tuple[Any, ...], day: date) -> Interval | None:
        """The limit on a day; the span of every row that an unknown argument could fall in.

        Args:
            name: The table's name, which ends in its unit.
            arguments: One interval, or one word or None, as the table's sign says.
            day: The day that picks the edition.

        Returns:
            A point, a span, or None where no edition covers the day.
        """
        if arguments and isinstance(arguments[0], Interval):
            return self._looked_up(name, arguments, day)
        key = (name, arguments, day)
        if key not in self._kept:
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
            self._kept[key] = self._looked_up(name, arguments, day)
        return self._kept[key]

    def _looked_up(self, name: str, arguments: tuple[Any, ...], day: date) -> Interval | None:
        found = self._edition(name, day)
        return None if found is None else found.at(arguments)

    def source(self, name: str, day: date) -> Source | None:
        """Where the limit in force on a day comes from."""
        found = self._edition(name, day)
        return None if found is None else found.source

    def editions(self, name: str) -> tuple[Rows, ...]:
        """Every edition of a table, the earliest first."""
        return self._editions[name]

    def note(self, name: str, day: date) -> str:
        """What is noted beside the limit in force on a day."""
        found = self._edition(name, day)
        return "" if found is None else found.note

    def first_day(self, name: str) -> date:
        """The first day on which the table gives a limit."""
        return self._editions[name][0].start

    def documents(self, name: str) -> frozenset[str]:
        """Every document that an edition of the table cites."""
        return frozenset(edition.source.document for edition in self._editions[name])

    def _edition(self, name: str, day: date) -> Rows | None:
        for edition in self._editions[name]:
            if edition.covers(day):
                return edition
        return None

    def add(
        self, name: str, title: str, by: Mapping[str, str], editions: tuple[Rows, ...], file: str
    ) -> None:
        """Takes in one checked table of a limit file; `by` is its argument, if it has one."""
        kind: tuple[Kind, ...] = ()
        if by:
            words = tuple(dict.fromkeys(w for e in editions for w in e.words))
            ((argument, meaning),) = by.items()
            kind = (Word(words) if words else Number(find(argument)),)
            self.arguments[name] = (argument, meaning)
        self._editions[name] = editions
        self._signs[name] = LimitSign(kind, find(name))
        self.titles[name] = title
        self.files[name] = file
