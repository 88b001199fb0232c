"""A calculation by hand: a quantity whose inputs a person gives, with what else it tells."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from compliance.rules.quantities.binding import Gathered, Input, Quantity

Told = tuple[tuple[str, str], ...]
"""Lines of words and a figure."""

OWNER = "by_hand"


@dataclass(frozen=True, kw_only=True)
class ByHand(Quantity):
    """One value that is worked out by hand only; `also` tells more, from the same inputs."""

    owner: str = OWNER
    also: Callable[..., Told] | None = None

    def told(self, arguments: Mapping[str, Any]) -> Told:
        """What it tells beside its value."""
        return () if self.also is None else self.also(**arguments)


def given(words: str, table: str = "") -> Input:
    """An input that a person gives; `table` is the limit where it may be looked up."""
    return Input(words, f"limits.{table}" if table else "")


def several(words: str) -> Gathered:
    """An input of one or more numbers that a person gives."""
    return Gathered(words, lambda entry, asked: ((), ((words, "missing"),)), "")
