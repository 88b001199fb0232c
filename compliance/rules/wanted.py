"""What would be right of each reading, told beside it: read off the requirements that judge it."""

from __future__ import annotations

from collections.abc import Iterator

from compliance.rules.editions import STATEMENT, in_force
from compliance.rules.language.explain import right_of
from compliance.rules.language.nodes import (
    Apply,
    Arithmetic,
    Both,
    Either,
    Node,
    Order,
    Path,
    Same,
    paths_in,
)
from compliance.rules.language.ruling import subjects
from compliance.rules.language.scene import Scene
from compliance.rules.language.truth import truth
from compliance.rules.language.walks import walk
from compliance.rules.rule import Rules
from compliance.rules.world import RecordWorld

Wanted = dict[tuple[int, str], str]


def wanted(rules: Rules, world: RecordWorld) -> Wanted:
    """The wanted value of readings, by the test entry's identity and the field's name.

    Only what a requirement, or another way that it permits, compares directly or as a
    difference from what is expected; where a limit cannot be worked out, or the edition is
    not settled, the reading has none here.
    """
    found: dict[tuple[int, str], list[str]] = {}
    for rule in rules.rules:
        if rule.clause.must is None:
            continue
        for subject in subjects(rule.clause, Scene(world)):
            if subject.needs or subject.is_none:
                continue
            last = subject.entries[-1] if subject.entries else None
            day = world.day(last, rule.head.by)
            if not in_force(rule.head, day or world.today, world.job.get(STATEMENT, ())):
                continue
            scene = Scene(world, subject.scene.names, subject.scene.labels, day)
            for condition in (rule.clause.must, *rule.clause.ways):
                for path, text in _compared(condition, scene):
                    for test in _tests(path, scene):
                        found.setdefault((test, path.steps[-1]), []).append(text)
    return {key: " and ".join(dict.fromkeys(texts)) for key, texts in found.items()}


def _compared(node: Node, scene: Scene) -> Iterator[tuple[Path, str]]:
    match node:
        case Both(parts=parts):
            for part in parts:
                yield from _compared(part, scene)
        case Either(parts=parts):  # the way that holds; if none does, the one written first
            holds = (part for part in parts if truth(part, scene).value is True)
            yield from _compared(next(holds, parts[0]), scene)
        case Order(left=Apply(name="abs", arguments=(Arithmetic(op="-", left=Path() as path),))):
            text = right_of(node, scene)
            if text and _is_reading(path):
                yield path, text
        case Order() | Same():
            for side in (node.left, node.right):
                if isinstance(side, Path) and _is_reading(side):
                    text = right_of(node, scene, side)
                    if text:
                        yield side, text


def _is_reading(path: Path) -> bool:
    return bool(path.root) and len(path.steps) == 2 and not path.is_quantity


def _tests(path: Path, scene: Scene) -> Iterator[int]:
    """The tests that a path reads: the latest and those it was repeated for."""
    for owner in paths_in(path):
        held, _ = walk(Path(owner.root, owner.steps[:1], owner.kind, owner.owner), scene)
        if isinstance(held, dict) and "~subject" in held:
            yield id(held)
            yield from (id(earlier) for earlier in held.get("~earlier", ()))
