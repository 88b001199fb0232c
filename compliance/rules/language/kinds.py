"""What kind of thing a name stands for, and the table of names a rule may use.

The table is handed in: this package knows no installation. A `Thing` is a group of
fields (one entry, a section, a followed reference), a `Many` a collection of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from compliance.units import COUNT, Unit


@dataclass(frozen=True, slots=True)
class Number:
    """A number with its unit; `unit` None for a bare constant, which takes the other side's."""

    unit: Unit | None = COUNT
    is_reading: bool = False
    is_worked: bool = False


@dataclass(frozen=True, slots=True)
class Word:
    """One of a closed list of words."""

    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Text:
    """Any text."""


@dataclass(frozen=True, slots=True)
class YesNo:
    """Yes or no; may stand alone as a condition."""


@dataclass(frozen=True, slots=True)
class Moment:
    """A date, or a date with time, by the site's local clock."""


@dataclass(frozen=True, slots=True)
class Truth:
    """A condition."""


@dataclass(frozen=True, slots=True)
class Thing:
    """A group of fields: an entry, a section or a followed reference.

    One that `is_shared` is there or not, and several entries may refer to the same; any other
    may be silent, as a test that was not taken.
    """

    type: str
    is_shared: bool = field(default=False, compare=False)


@dataclass(frozen=True, slots=True)
class Many:
    """A collection; `is_complete` if it describes all there is, else what is so far."""

    type: str
    is_complete: bool = True


TRUTH = Truth()

Kind = Number | Word | Text | YesNo | Moment | Truth | Thing | Many


@dataclass(frozen=True, slots=True)
class LimitSign:
    """How a limit table is asked: the kinds of its arguments and the unit of its answer."""

    arguments: tuple[Kind, ...]
    unit: Unit


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Every name a rule may use: fields by type, worked-out values, limits, evidence kinds."""

    types: Mapping[str, Mapping[str, Kind]]
    quantities: frozenset[tuple[str, str]] = frozenset()
    limits: Mapping[str, LimitSign] = field(default_factory=dict)
    evidence: frozenset[str] = frozenset()
    root: str = "job"

    def fields(self, type_name: str) -> Mapping[str, Kind]:
        """The names that an entry of this type answers to."""
        return self.types[type_name]


def described(kind: Kind) -> str:
    """A kind as a person would call it, for messages."""
    match kind:
        case Number(unit=None):
            return "a bare number"
        case Number(unit=Unit() as unit):
            return f"a number in {unit.symbol}" if unit.symbol else "a count"
        case Word(words):
            return "one of the words " + ", ".join(words)
        case Text():
            return "text"
        case YesNo():
            return "yes or no"
        case Moment():
            return "a date"
        case Truth():
            return "a condition"
        case Thing(type_name):
            return f"a {type_name.replace('_', ' ')}"
        case Many(type_name):
            return f"a collection of {type_name.replace('_', ' ')}"
    raise TypeError(f"not a kind: {kind!r}")
