"""Values that are not a plain number, date or word, as the view and the rules carry them.

A line left out is None (or the key is absent). The other ways of saying nothing, and a
reading beyond the meter's range, are the objects below. Each answers an order
comparison when every reading it could stand for gives the same answer, and raises
`Undecided` when not; so fast code can treat it as a number and hand the rest over.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

Needs = tuple[tuple[str, str], ...]


class Undecided(Exception):  # noqa: N818 - not a fault: a signal that the reference must decide
    """A value cannot answer alone; the reference evaluation decides."""


class _Signals:
    """Every operation on the value is undecided unless a subclass answers it."""

    __slots__ = ()

    def _undecided(self, *_: Any) -> Any:
        raise Undecided

    def __lt__(self, other: Any) -> bool:
        raise Undecided

    def __le__(self, other: Any) -> bool:
        raise Undecided

    def __gt__(self, other: Any) -> bool:
        raise Undecided

    def __ge__(self, other: Any) -> bool:
        raise Undecided

    __add__ = __radd__ = __sub__ = __rsub__ = __mul__ = __rmul__ = _undecided
    __truediv__ = __rtruediv__ = __neg__ = __abs__ = __bool__ = __float__ = _undecided

    def __eq__(self, other: object) -> bool:
        if type(other) is type(self):
            return repr(self) == repr(other)
        raise Undecided

    def __hash__(self) -> int:
        return hash(repr(self))


@dataclass(frozen=True, slots=True, eq=False)
class NotTaken(_Signals):
    """`not taken: reason`: nobody made the reading, and says why."""

    reason: str


@dataclass(frozen=True, slots=True, eq=False)
class NotYet(_Signals):
    """`not yet`: the day lies after the day of the check."""


@dataclass(frozen=True, slots=True, eq=False)
class Over(_Signals):
    """`over 200`: the meter stopped at 200; the reading lies somewhere above."""

    limit: float

    def __gt__(self, other: Any) -> bool:
        if other <= self.limit:
            return True
        raise Undecided

    def __ge__(self, other: Any) -> bool:
        return self.__gt__(other)

    def __le__(self, other: Any) -> bool:
        if other <= self.limit:
            return False
        raise Undecided

    def __lt__(self, other: Any) -> bool:
        return self.__le__(other)


@dataclass(frozen=True, slots=True, eq=False)
class Under(_Signals):
    """`under 0.05`: the reading lies somewhere below."""

    limit: float

    def __lt__(self, other: Any) -> bool:
        if other >= self.limit:
            return True
        raise Undecided

    def __le__(self, other: Any) -> bool:
        return self.__lt__(other)

    def __ge__(self, other: Any) -> bool:
        if other >= self.limit:
            return False
        raise Undecided

    def __gt__(self, other: Any) -> bool:
        return self.__ge__(other)


class Unknown(_Signals):
    """A worked-out value that cannot be worked out: what it lacks, as (path, reason) pairs.

    The pairs may be handed in as a function: they are found only if somebody asks.
    """

    __slots__ = ("_needs",)
    __match_args__ = ("needs",)

    def __init__(self, needs: Needs | Callable[[], Needs]) -> None:
        self._needs = needs

    @property
    def needs(self) -> Needs:
        """What it lacks."""
        if callable(self._needs):
            self._needs = self._needs()
        return self._needs

    def __repr__(self) -> str:
        return f"Unknown({self.needs!r})"


class Partly(list[Any]):
    """A collection found backwards, to which entries may belong that do not say so.

    `perhaps` are those entries, each with the path of the reference that it leaves out.
    """

    def __init__(self, sure: Iterable[Any], perhaps: Iterable[tuple[Any, str]]) -> None:
        super().__init__(sure)
        self.perhaps = tuple(perhaps)


NOT_YET = NotYet()


def plain(text: str) -> str:
    """Text as it is compared: NFC, single spaces, none at the ends."""
    return " ".join(unicodedata.normalize("NFC", text).split())
