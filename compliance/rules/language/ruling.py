"""From truth to outcome: one rule for one subject, by the reference evaluation.

What passes a point of no return, judgements and departures come after, in `rules.check`,
since they need the record's own dates and statements.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

from compliance.rules.language.nodes import Node, Path
from compliance.rules.language.scene import TRUE, Entry, Needs, Scene, Verdict, both, joined
from compliance.rules.language.truth import truth
from compliance.rules.language.walks import walk
from compliance.rules.outcome import Outcome
from compliance.values import Partly


@dataclass(frozen=True, slots=True)
class Clause:
    """The part of a requirement that decides; `loops` outer first, `must` None for a judgement.

    `by` names the part's date that picks the edition, `before` the point of no return.
    """

    loops: tuple[tuple[str, Path], ...] = ()
    condition: Node | None = None
    must: Node | None = None
    ways: tuple[Node, ...] = ()
    evidence: tuple[str, ...] = ()
    by: str = "designed"
    before: str = "use"


class Ruling(NamedTuple):
    """One rule for one subject: the outcome, what it lacks, and by which other way it is met."""

    outcome: Outcome
    needs: Needs = ()
    way: int | None = None
    would_fail: bool = False
    offers: tuple[Needs, ...] = ()
    """What each other permitted way lacks, in the order written, where one of them would do."""


class Subject(NamedTuple):
    """One subject of a rule: its entries outer first, its scene; or what is lacking to have one."""

    entries: tuple[Entry, ...]
    scene: Scene
    needs: Needs = ()
    is_none: bool = False


def subjects(clause: Clause, scene: Scene) -> Iterator[Subject]:
    """Every subject of a rule; at least one, which may stand for a missing or empty collection."""
    yield from _subjects(clause.loops, scene, ())


def _subjects(
    loops: tuple[tuple[str, Path], ...], scene: Scene, entries: tuple[Entry, ...]
) -> Iterator[Subject]:
    if not loops:
        yield Subject(entries, scene)
        return
    (name, source), inner = loops[0], loops[1:]
    items, needs = walk(source, scene)
    if items is None:
        yield Subject(entries, scene, needs)
    elif not items and isinstance(items, Partly):
        yield Subject(entries, scene, tuple((path, "missing") for _, path in items.perhaps))
    elif not items:
        yield Subject(entries, scene, is_none=True)
    else:
        for entry in items:
            yield from _subjects(inner, scene.with_name(name, entry, name), (*entries, entry))


def subject_of(clause: Clause, entries: tuple[Entry, ...], scene: Scene) -> Subject:
    """The subject that a decision is about, found again by its entries."""
    for name, entry in zip((name for name, _ in clause.loops), entries, strict=False):
        scene = scene.with_name(name, entry, name)
    if len(entries) == len(clause.loops):
        return Subject(entries, scene)
    rest = replace(clause, loops=clause.loops[len(entries) :])
    return next(iter(subjects(rest, scene)))._replace(entries=entries)


def ruling(clause: Clause, subject: Subject) -> Ruling:
    """The outcome of a rule for a subject, before points of no return and judgement."""
    if subject.is_none:
        return Ruling(Outcome.NOT_APPLICABLE)
    if subject.needs:
        return Ruling(Outcome.NOT_SHOWN, subject.needs)
    scene = subject.scene
    if scene.before != clause.before:
        scene = replace(scene, before=clause.before)
    condition = truth(clause.condition, scene) if clause.condition else TRUE
    if condition.value is False:
        return Ruling(Outcome.NOT_APPLICABLE)
    if clause.must is None:
        if condition.value is None:
            return Ruling(Outcome.NOT_SHOWN, condition.needs)
        return Ruling(Outcome.FOR_JUDGEMENT)
    must, way, offers = _must(clause, clause.must, scene)
    whole = must
    if clause.evidence:
        whole = both((must, *(_evidence(kind, subject, scene) for kind in clause.evidence)))
    if condition.value is None and whole.value is not True:
        needs = joined((condition.needs, whole.needs))
        return Ruling(Outcome.NOT_SHOWN, needs, would_fail=whole.value is False, offers=offers)
    if whole.value is None:
        return Ruling(Outcome.NOT_SHOWN, whole.needs, offers=offers)
    return Ruling(Outcome.MET if whole.value else Outcome.NOT_MET, way=way)


def _must(
    clause: Clause, must: Node, scene: Scene
) -> tuple[Verdict, int | None, tuple[Needs, ...]]:
    """What `must` comes to, by which other way, and what each of those lacks if none decides."""
    verdict = truth(must, scene)
    if verdict.value is not None or not clause.ways:
        return verdict, None, ()
    ways = [truth(way, scene) for way in clause.ways]
    for number, way in enumerate(ways):
        if way.value is True:
            return way, number, ()
    if any(way.value is False for way in ways):
        return Verdict(False), None, ()
    offers = tuple(way.needs for way in ways)
    return Verdict(None, joined((verdict.needs, *offers))), None, offers


def _evidence(kind: str, subject: Subject, scene: Scene) -> Verdict:
    about = subject.entries[-1] if subject.entries else scene.world.job
    needs = scene.world.evidence(kind, about, scene.before)
    return Verdict(None, needs) if needs else Verdict(True)
