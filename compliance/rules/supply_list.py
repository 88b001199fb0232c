"""What to supply first: the fewest things that can close the most gaps.

A gap closes once everything it lacks is there, by the first way or by another permitted
one. Each step takes the gap that costs the fewest further things for what then closes; a
fault is not closed by supplying anything, so only gaps that lack something are counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from compliance.rules.outcome import Finding, Need, Outcome

Things = frozenset[str]


@dataclass(frozen=True, slots=True)
class Supply:
    """Things that together can close some more gaps, after those before them in the list."""

    things: tuple[str, ...]
    closes: int
    held_by: tuple[str, ...]
    bring: tuple[str, ...]


def supply_list(findings: Iterable[Finding]) -> tuple[Supply, ...]:
    """The list for the gaps among some findings, those that hold something up.

    In the order in which the things help most; every gap that can be closed by supplying
    things is closed at its end.
    """
    gaps = [gap for gap in findings if _lacks(gap)]
    return tuple(_Chooser(gaps).steps())


class _Chooser:
    """What is still open, and by which things each gap can be closed."""

    def __init__(self, gaps: list[Finding]) -> None:
        self.gaps = gaps
        self.open = {number: list(_ways(gap)) for number, gap in enumerate(gaps)}
        self.order: dict[str, int] = {}
        self.touches: dict[str, set[int]] = {}
        for number, ways in self.open.items():
            for thing in (thing for way in ways for thing in sorted(way)):
                self.order.setdefault(thing, len(self.order))
                self.touches.setdefault(thing, set()).add(number)

    def steps(self) -> Iterator[Supply]:
        while self.open:
            yield self.supplied(
                min({w for ways in self.open.values() for w in ways}, key=self.cost)
            )

    def cost(self, things: Things) -> tuple[float, int, list[int]]:
        """Things for each gap that closes; among equals the fewest, then those asked for first."""
        asked_for = sorted(self.order[thing] for thing in things)
        return len(things) / len(self.closed_by(things)), len(things), asked_for

    def closed_by(self, things: Things) -> list[int]:
        near = {n for thing in things for n in self.touches[thing] if n in self.open}
        near |= set() if things else set(self.open)
        return sorted(n for n in near if any(way <= things for way in self.open[n]))

    def supplied(self, things: Things) -> Supply:
        """The step of supplying some things, which from then on nobody lacks."""
        closed = [self.gaps[number] for number in self.closed_by(things)]
        for number in self.closed_by(things):
            del self.open[number]
        for number in {n for thing in things for n in self.touches[thing] if n in self.open}:
            self.open[number] = [way - things for way in self.open[number]]
        return Supply(
            tuple(sorted(things, key=lambda thing: self.order[thing])),
            len(closed),
            tuple(dict.fromkeys(gap.requirement.held_by for gap in closed)),
            tuple(dict.fromkeys(g.requirement.bring for g in closed if g.requirement.bring)),
        )


def _lacks(gap: Finding) -> bool:
    is_open = gap.outcome in (Outcome.NOT_SHOWN, Outcome.FOR_JUDGEMENT)
    return is_open and gap.holds_something_up


def _ways(gap: Finding) -> Iterator[Things]:
    """What the gap lacks, once for each way in which it can be closed."""
    if gap.outcome is Outcome.FOR_JUDGEMENT:
        yield frozenset(
            {f"a competent person's decision on {gap.subject}: {gap.requirement.title}"}
        )
        return
    yield frozenset(_things(gap.needs))
    evidence = [need for need in gap.needs if need.path.startswith("evidence: ")]
    for offer in gap.offers:
        yield frozenset(_things((*offer.needs, *evidence)))


def _things(needs: Iterable[Need]) -> Iterator[str]:
    return (need.supply for need in needs)
