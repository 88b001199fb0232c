"""What the generated code may find out itself instead of asking the world.

Handed in by whoever knows quantities and dates. Only values that rest on nothing but fields
and limits are worked out in line; whatever else is asked of the world.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from compliance.rules.language.kinds import Kind


@dataclass(frozen=True, slots=True)
class Given:
    """One input: the steps to a number; or to the word at which a limit `table` is asked."""

    steps: tuple[str, ...]
    is_of_job: bool
    table: str = ""


@dataclass(frozen=True, slots=True)
class Calculation:
    """A function of numbers, with its inputs in the order in which it takes them.

    An input that is missing leaves the value unknown; `work_out` raises OutOfRangeError for
    numbers that cannot be.
    """

    given: tuple[Given, ...]
    work_out: Callable[..., Any]
    gives_float: bool = False
    """Whether it gives one plain number, or raises; never one that lies beyond something."""


Calculations = Mapping[tuple[str, str], Calculation]
"""By the type that a value belongs to, and its name."""


@dataclass(frozen=True, slots=True)
class Shortcuts:
    """Values to work out in line, where an entry says its days, and what entries hold."""

    calculations: Calculations = field(default_factory=dict)
    are_stated: bool = True
    """Whether an entry may state what is else worked out, as the examples of rules do."""
    tables_by: str = ""
    """The job's own date that picks the limits that calculations rest on."""
    part: str = ""
    """The field that leads from an entry to the part whose days are its own; empty if none does."""
    points: Mapping[str, str] = field(default_factory=dict)
    """The field with the day on which a point of no return is passed, of an entry or its part."""
    fields: Mapping[str, Mapping[str, Kind]] = field(default_factory=dict)
    """The fields of every type; what is not told of may hold anything."""


def called(owner: str, name: str) -> str:
    """The name of a calculation's function in the generated code."""
    return f"work_out_{owner}_{name}"
