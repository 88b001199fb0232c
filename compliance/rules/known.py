"""How it is known what a finding rests on: its subject, and the tests its condition reads."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from compliance.rules.language.kinds import Thing
from compliance.rules.language.nodes import Each, Node, Path, parts_of
from compliance.rules.language.ruling import Clause, Ruling, Subject
from compliance.rules.language.scene import Scene, Verdict, joined
from compliance.rules.language.truth import truth
from compliance.rules.rule import KNOWN, Rule
from compliance.rules.tests_read import read_by, tests_read
from compliance.rules.world import About, RecordWorld

Entry = Mapping[str, Any]
Needs = tuple[tuple[str, str], ...]

RANKS = {known: rank for rank, known in enumerate(KNOWN)}
_NOT_SAID = -1


@dataclass(slots=True)
class Case:
    """A ruling on its way to a finding."""

    rule: Rule
    about: About
    subject: Subject
    ruling: Ruling
    remark: str
    known: str


def deciding(case: Case) -> Node | None:
    """What carries the ruling: the condition, or the other way by which it is met."""
    way = case.ruling.way
    return case.rule.clause.must if way is None else case.rule.clause.ways[way]


def _weakest(entries: Sequence[Entry]) -> str:
    found = [RANKS[entry["known"]] for entry in entries if "known" in entry]
    return KNOWN[max(found)] if found else "document"


# -- the same for many subjects ---------------------------------------------------------

Reading = tuple[int, tuple[str, ...], tuple[str, ...]]
"""Which of the subject's entries (-1 for the job), the steps to walk, the steps to look at."""


@dataclass(frozen=True, slots=True)
class _Rests:
    """Where tests can stand that a condition rests on.

    `always` is read whatever the record holds, `perhaps` only if some collection has
    entries; `inside` says that its entries may themselves lead to tests. `number` is the same
    for all that rest on the same, if that is only what is `always` read.
    """

    always: tuple[int, ...]
    perhaps: tuple[int, ...]
    inside: bool
    number: int | None


class KnownBy:
    """How findings of the same rules are known, where every condition is looked through once."""

    def __init__(self) -> None:
        self._numbers: dict[Reading, int] = {}
        self._readings: list[Reading] = []
        self._rests: dict[object, _Rests] = {}
        self._alike: dict[tuple[int, ...], int] = {}

    def known(self, key: object, must: Node, clause: Clause, about: About, day: Any) -> str:
        """The weakest way in which anything that a condition rests on is known.

        Args:
            key: Always the same for the same condition under the same clause.
            must: The condition.
            clause: The clause of its rule.
            about: The subject, with an entry for each loop.
            day: The day that picks its edition, if it is known.
        """
        rests = self._rests.get(key)
        if rests is None:
            rests = self._rests[key] = self._looked_through(must, clause)
        number = rests.number
        if number is None:
            return self._found(rests, must, clause, about, day)
        found = about.known.get(number)
        if found is None:
            found = about.known[number] = self._found(rests, must, clause, about, day)
        return found

    def _found(self, rests: _Rests, must: Node, clause: Clause, about: About, day: Any) -> str:
        ranks = about.ranks
        if rests.inside or (rests.perhaps and self._reads_some(rests.perhaps, about)):
            scene = about.scene(clause, day)
            return _weakest((*about.entries, *tests_read(must, scene)))
        weakest = ranks.get(_NOT_SAID)
        if weakest is None:
            weakest = ranks[_NOT_SAID] = max(map(_rank_of, about.entries), default=_NOT_SAID)
        for reading in rests.always:
            rank = ranks.get(reading)
            if rank is None:
                rank = self._rank(reading, about)
            if rank > weakest:
                weakest = rank
        return "document" if weakest == _NOT_SAID else KNOWN[weakest]

    def _reads_some(self, readings: Sequence[int], about: About) -> bool:
        return any(self._rank(reading, about) != _NOT_SAID for reading in readings)

    def _rank(self, reading: int, about: About) -> int:
        rank = about.ranks.get(reading)
        if rank is None:
            rank = about.ranks[reading] = _rank_read(self._readings[reading], about)
        return rank

    def _looked_through(self, must: Node, clause: Clause) -> _Rests:
        places = {name: place for place, (name, _) in enumerate(clause.loops)}
        always: dict[int, None] = {}
        perhaps: dict[int, None] = {}
        inside = False
        for path, is_inside in _paths(must, is_inside=False):
            reading = _reading(path, places)
            if reading is None:
                continue
            if path.root and path.root not in places:
                inside = True
                continue
            number = self._numbers.setdefault(reading, len(self._readings))
            if number == len(self._readings):
                self._readings.append(reading)
            (perhaps if is_inside else always)[number] = None
        if inside or perhaps:
            return _Rests(tuple(always), tuple(perhaps), inside, None)
        alike = self._alike.setdefault(tuple(always), len(self._alike))
        return _Rests(tuple(always), (), inside, alike)


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


def _reading(path: Path, places: Mapping[str, int]) -> Reading | None:
    """A path as a reading; None if no test can stand on it."""
    if not path.steps:
        return None
    *before, last = path.steps
    if path.is_quantity:
        lasts = read_by(path.owner, last)
    else:
        lasts = (last,) if isinstance(path.kind, Thing) else ()
    if not before and not lasts:
        return None
    return places.get(path.root, -1), tuple(before), lasts


def _rank_read(reading: Reading, about: About) -> int:
    """The weakest rank of the tests that a reading meets."""
    place, before, lasts = reading
    value: Any = about.world.job if place < 0 else about.entries[place]
    weakest = _NOT_SAID
    for step in before:
        value = value.get(step)
        if value.__class__ is not dict:
            return weakest
        if "~subject" in value:
            weakest = max(weakest, _rank_of(value))
    for step in lasts:
        found = value.get(step)
        if found.__class__ is dict and "~subject" in found:
            weakest = max(weakest, _rank_of(found))
    return weakest


def _rank_of(entry: Entry) -> int:
    return RANKS[entry["known"]] if "known" in entry else _NOT_SAID


# -- repeated tests ---------------------------------------------------------------------


def failed_before(case: Case) -> tuple[str, Needs]:
    """Says so if an earlier entry of a test would have failed, with no reason in between.

    Also what is lacking to tell, unless it is the earlier test that does not say it: a gap
    elsewhere in the record must not hide a failure.
    """
    must = deciding(case)
    if must is None or not case.about.world.has_repeats:
        return "", ()
    lacks: list[Needs] = []
    for test in list(tests_read(must, case.subject.scene)):
        following = [*test.get("~earlier", ()), test]
        for before, after in itertools.pairwise(following):
            if "after" in after:
                continue
            found = _truth_with(must, before, test, case.subject.scene)
            if found.value is False:
                return (
                    f"An earlier {test['test']} test failed and nothing says what was done before "
                    "it was repeated; a competent person decides whether the later one stands."
                ), ()
            own = _stands_as(test)
            lacks.append(tuple(need for need in found.needs if own not in need[0].split(".")))
    return "", joined(lacks)


def _stands_as(test: Entry) -> str:
    """The name by which the latest test of a kind stands on its subject."""
    (name,) = [name for name, value in test["~subject"].items() if value is test]
    return str(name)


def _truth_with(must: Node, earlier: Entry, latest: Entry, scene: Scene) -> Verdict:
    """The condition on an earlier test, with nothing worked out from the latest."""
    old, subject = cast("RecordWorld", scene.world), latest["~subject"]
    name = _stands_as(latest)
    subject[name] = earlier
    try:
        world = RecordWorld(old.job, old.today, old.tables, old.seen)
        return truth(must, replace(scene, world=world))
    finally:
        subject[name] = latest
