"""A draw that anybody can repeat: jobs in the order of SHA-256 of `seed|reference`.

The order depends on nothing but seed and names, so it is the same in any language, a longer
draw begins with a shorter one, and whoever knows the seed can check that nobody chose.
"""

from __future__ import annotations

import hashlib
import heapq
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

from compliance.portfolio.frame import Frame
from compliance.portfolio.problems import NotInTheDrawError, TooManyAskedError


@dataclass(frozen=True, slots=True)
class Drawn:
    """One drawn job; `instead` says why it is not looked at, where another stands in for it."""

    reference: str
    stratum: str
    place: int
    """Its place in the order of its stratum, from 1."""
    instead: str = ""
    stands_in_for: str = ""


@dataclass(frozen=True, slots=True)
class Draw:
    """A draw with all that it takes to repeat it."""

    seed: str
    frame_sha256: str
    population: Mapping[str, int]
    sizes: Mapping[str, int]
    jobs: tuple[Drawn, ...]

    def weights(self) -> dict[str, float]:
        """How many jobs each drawn one stands for, by stratum; what an estimate must use."""
        return {name: self.population[name] / n for name, n in self.sizes.items() if n}


def key(seed: str, reference: str) -> str:
    """What a job is ordered by: SHA-256 of seed, a bar and reference, in hexadecimal."""
    return hashlib.sha256(f"{seed}|{reference}".encode()).hexdigest()


def ordered(seed: str, references: Iterable[str], first: int) -> list[str]:
    """The first so many jobs in the order of a seed."""
    return heapq.nsmallest(first, references, key=lambda reference: key(seed, reference))


def draw(
    frame: Frame, seed: str, sizes: Mapping[str, int], replaced: Mapping[str, str] | None = None
) -> Draw:
    """Draws so many jobs from each stratum.

    Args:
        frame: The list.
        seed: Any text, fixed and published before the draw.
        sizes: How many jobs of each stratum are to be looked at.
        replaced: Drawn jobs that cannot be looked at, each with the reason; the next in
            order stands in. They stay in the draw, for what was not seen must be counted.

    Raises:
        TooManyAskedError: If a stratum holds fewer jobs than are asked for.
        NotInTheDrawError: If a replaced job was not drawn.
    """
    left = dict(replaced or {})
    jobs: list[Drawn] = []
    for stratum, listed in groupby(frame.jobs(), itemgetter(0)):
        if size := sizes.get(stratum, 0):
            references = map(itemgetter(1), listed)
            jobs += _of_stratum(stratum, ordered(seed, references, size + len(left)), size, left)
    for reference in left:
        raise NotInTheDrawError(reference)
    return Draw(seed, frame.sha256, frame.population, dict(sizes), tuple(jobs))


def _of_stratum(stratum: str, first: list[str], size: int, left: dict[str, str]) -> Iterator[Drawn]:
    """The drawn jobs of a stratum, out of its first ones in order: enough if all are replaced."""
    waiting: deque[str] = deque()
    sound = 0
    for place, reference in enumerate(first, 1):
        if place > size and not waiting:
            return
        reason = left.pop(reference, "")
        instead_of = waiting.popleft() if place > size else ""
        yield Drawn(reference, stratum, place, reason, instead_of)
        if reason:
            waiting.append(reference)
        else:
            sound += 1
    if sound < size:
        raise TooManyAskedError(size, sound, f'"{stratum}"')
