"""How it is known what a finding rests on: its subject, and the tests its condition reads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from compliance.rules.language.nodes import Each, Node, Path, parts_of
from compliance.rules.language.ruling import Clause
from compliance.rules.rule import KNOWN
from compliance.rules.tests_read import TESTS, read_by, tests_read
from compliance.rules.world import About

Entry = Mapping[str, Any]

RANKS = {known: rank for rank, known in enumerate(KNOWN)}
_IN_WORDS = (*KNOWN, "document")
_NOT_SAID = -1
"""The rank of what does not say how it is known; it picks the last of the words."""


Reading = tuple[int, tuple[str, ...]]
"""Which of the subject's entries (-1 for the job), and the steps to a test from there."""


@dataclass(frozen=True, slots=True)
class Rests:
    """Where tests can stand that a condition rests on.

    `always` is read whatever the record holds, `perhaps` only if some collection has
    entries; `inside` says that its entries may themselves lead to tests. `number` is the same
    for all that rest on the same, -1 where that is not only what is `always` read.
    """

    must: Node
    clause: Clause
    always: tuple[Reading, ...]
    perhaps: tuple[Reading, ...]
    inside: bool
    number: int


class KnownBy:
    """How findings are known, where every condition is looked through once."""

    def __init__(self) -> None:
        self._alike: dict[tuple[Reading, ...], int] = {}

    def rests(self, must: Node, clause: Clause) -> Rests:
        """What a condition rests on under a clause."""
        places = {name: place for place, (name, _) in enumerate(clause.loops)}
        always: dict[Reading, None] = {}
        perhaps: dict[Reading, None] = {}
        inside = False
        for path, is_inside in _paths(must, is_inside=False):
            for steps in _to_tests(path):
                if path.root and path.root not in places:
                    inside = True
                else:
                    reading = places.get(path.root, -1), steps
                    (perhaps if is_inside else always)[reading] = None
        number = -1
        if not inside and not perhaps:
            number = self._alike.setdefault(tuple(always), len(self._alike))
        return Rests(must, clause, tuple(always), tuple(perhaps), inside, number)


def known(rests: Rests, about: About, day: date | None) -> str:
    """The weakest way in which anything that a condition rests on is known.

    Args:
        rests: What the condition rests on.
        about: The subject, with an entry for each loop.
        day: The day that picks its edition, if it is known.
    """
    found: str | None = about.found.get(rests.number)
    if found is not None:
        return found
    weakest = about.known_rank
    if weakest is None:
        weakest = _NOT_SAID
        for entry in about.entries:
            weakest = max(weakest, _rank_of(entry))
        about.known_rank = weakest
    for reading in rests.always:
        test = _test_at(reading, about)
        if test is not None:
            weakest = max(weakest, _rank_of(test))
    if rests.number < 0 and _rests_on_more(rests, about):
        for test in tests_read(rests.must, about.scene(rests.clause, day)):
            weakest = max(weakest, _rank_of(test))
    found = _IN_WORDS[weakest]
    if rests.number >= 0:
        about.found[rests.number] = found
    return found


def _paths(node: Node, *, is_inside: bool) -> Iterator[tuple[Path, bool]]:
    """Every path that `tests_read` would follow, and whether only for entries of a collection."""
    if isinstance(node, Path):
        yield node, is_inside
    elif isinstance(node, Each):
        for part in (node.where, node.body):
            if part is not None:
                yield from _paths(part, is_inside=True)
    else:
        for part in parts_of(node):
            yield from _paths(part, is_inside=is_inside)


def _to_tests(path: Path) -> Iterator[tuple[str, ...]]:
    """The steps to wherever a test may stand that a path reads or leads through."""
    *before, last = path.steps or ("",)
    for count, step in enumerate(before, 1):
        if step in TESTS:
            yield path.steps[:count]
    for step in read_by(path.owner, last) if path.is_quantity else (last,):
        if step in TESTS:
            yield (*before, step)


def _rests_on_more(rests: Rests, about: About) -> bool:
    """Whether entries of a collection may lead to further tests."""
    return rests.inside or any(_test_at(one, about) is not None for one in rests.perhaps)


def _test_at(reading: Reading, about: About) -> Entry | None:
    """The test that a reading leads to, if one stands there."""
    place, steps = reading
    value: Any = about.world.job if place < 0 else about.entries[place]
    for step in steps:
        value = value.get(step)
        if value.__class__ is not dict:
            return None
    return value if "~subject" in value else None


def _rank_of(entry: Entry) -> int:
    return RANKS[entry["known"]] if "known" in entry else _NOT_SAID
