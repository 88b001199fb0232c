"""What the requirements ask of each test, before any was made: the reading, and what would be
right of it, as far as the record and the limit tables know."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import groupby
from typing import cast

from compliance.rules.language.explain import AT, TURNED, plain_name, told, written
from compliance.rules.language.interval import INF, Interval
from compliance.rules.language.kinds import Number
from compliance.rules.language.nodes import (
    Among,
    Apply,
    Arithmetic,
    Both,
    Const,
    Either,
    Limit,
    Node,
    Order,
    Path,
    Same,
    Scaled,
    Stated,
    parts_of,
    paths_in,
)
from compliance.rules.language.ruling import subjects
from compliance.rules.language.scene import Scene
from compliance.rules.language.truth import number, truth
from compliance.rules.limits import Rows
from compliance.rules.outcome import Finding, Outcome
from compliance.rules.rule import Rule, Rules
from compliance.rules.world import RecordWorld
from compliance.units import COUNT, Unit, find, rounded, shown


@dataclass(frozen=True, slots=True)
class Asked:
    """One value that a test of a subject has to give."""

    subject: str
    kind: str
    """The kind of test, by the name of its model: `open_circuit_voltage`."""
    field: str
    right: str
    only_if: str
    """The condition under which it is asked for, where the record does not say."""
    depends: tuple[str, ...]
    """What the record would have to say for the limit to be one figure."""


def asked(
    rules: Rules, world: RecordWorld, findings: Collection[Finding], kinds: Collection[str]
) -> list[Asked]:
    """The values of tests that open requirements compare, in the order of the rulesets.

    Args:
        rules: The rules.
        world: The record.
        findings: The findings of the check; what is met or not applicable asks for nothing.
        kinds: The kinds of test, by the names of their models.
    """
    is_open = {
        (f.requirement.id, f.subject)
        for f in findings
        if f.outcome not in (Outcome.MET, Outcome.NOT_APPLICABLE)
    }
    found = [
        value
        for rule in rules.rules
        if rule.clause.must is not None
        for value in _of_rule(rule, world, is_open, kinds)
    ]
    return list(dict.fromkeys(found))


def _of_rule(
    rule: Rule,
    world: RecordWorld,
    is_open: Collection[tuple[str, str]],
    kinds: Collection[str],
) -> Iterator[Asked]:
    for subject in subjects(rule.clause, Scene(world)):
        name = " / ".join(e["~name"] for e in subject.entries) or "job"
        missing = rule.clause.loops[len(subject.entries) :]
        if (missing and not subject.entries) or (rule.requirement.id, name) not in is_open:
            continue
        day = world.day(subject.entries[-1] if subject.entries else None, rule.head.by)
        scene = replace(subject.scene, day=day)
        only_if = "" if missing else _only_if(rule.clause.condition, scene)
        for loop, source in missing:  # a condition may read what nobody has said is there
            scene = scene.with_name(loop, {"~name": loop}, loop)
            only_if = f"{plain_name(source.steps[-1])} fitted"
        for node in _comparisons(cast("Node", rule.clause.must)):
            for path in paths_in(node):
                if path.owner in kinds and not path.is_quantity:
                    right, limit = _right(node, path, scene)
                    depends = _lacking(limit, path, scene) if limit else ()
                    whose = _tested(path, scene) or name
                    yield Asked(whose, path.owner, path.steps[-1], right, only_if, depends)


def _comparisons(node: Node) -> Iterator[Node]:
    """The comparisons of a condition; of ways that are written as `or`, the first."""
    if isinstance(node, Order | Same | Among | Stated):
        if not (isinstance(node, Order) and node.is_moment):
            yield node
        return
    for part in parts_of(node)[:1] if isinstance(node, Either) else parts_of(node):
        yield from _comparisons(part)


def _only_if(condition: Node | None, scene: Scene) -> str:
    """The condition under which the value is asked for, where it is not known to hold."""
    if condition is None:
        return ""
    parts = condition.parts if isinstance(condition, Both) else (condition,)
    return ", ".join(told(part) for part in parts if truth(part, scene).value is not True)


def _tested(path: Path, scene: Scene) -> str:
    """The short name of what the test is of."""
    *before, _, _ = path.steps
    held = scene.names.get(path.root)
    for step in before:
        held = held.get(step) if isinstance(held, Mapping) else None
    return str(held["~name"]) if isinstance(held, Mapping) and "~name" in held else ""


def _right(node: Node, path: Path, scene: Scene) -> tuple[str, Node | None]:
    """What would be right of a value, and the limit that this rests on, if there is one."""
    match node:
        case Stated():
            return "to be recorded", None
        case Among(values=values):
            return " or ".join(map(str, values)), None
        case Same(right=Const(value=value)):
            return written(value, COUNT), None
        case Order(left=left, right=right, op=op):
            if left is path or right is path:
                other, sign = (right, op) if left is path else (left, TURNED[op])
                return f"{AT[sign]} {_figure(other, scene, find(path.steps[-1]))}", other
            return _near(node, path, scene), right
    return told(node), None


def _near(node: Order, path: Path, scene: Scene) -> str:
    """What a difference may come to: `343.4 V, within 17.17 V`, or in words until it is known."""
    unit = find(path.steps[-1])
    within = _figure(node.right, scene, unit)
    if not isinstance(node.left, Apply):
        return f"above expected by {AT[node.op]} {within}"
    expected = paths_in(node.left)[-1]
    return f"{_figure(expected, scene, unit)}, within {within}"


def _figure(node: Node, scene: Scene, unit: Unit | None = None) -> str:
    """A number with its unit; until it is known, what it could be or how it comes about.

    A side of a comparison is already converted to the `unit` of the other.
    """
    if isinstance(node, Scaled) and not (unit and number(node, scene).interval.is_point):
        return _figure(node.body, scene)
    interval = number(node, scene).interval
    if interval.is_point:
        own = (node.kind.unit if isinstance(node.kind, Number) else None) or COUNT
        return rounded(interval.low, unit or own)
    match node:
        case Limit():
            return _rows(node, scene)
        case Arithmetic(op=op, left=left, right=right):
            first = _figure(left, scene)
            sign = ("of" if first.endswith("%") else "×") if op == "*" else op
            return f"{first} {sign} {_figure(right, scene)}"
    return told(node)


def _rows(node: Limit, scene: Scene) -> str:
    """Every value that a limit table could give: `0.5 MΩ (below 120 V), else 1 MΩ`."""
    world = cast("RecordWorld", scene.world)
    unit = find(node.name)
    rows = next((e for e in world.tables.editions(node.name) if e.covers(scene.edition_day)), None)
    if rows is None:
        return told(node)
    argument = world.tables.arguments[node.name][0]
    return ", ".join(
        f"{shown(value, unit)} ({when})" for when, value in _cases(rows, find(argument))
    )


def _cases(rows: Rows, unit: Unit) -> Iterator[tuple[str, float]]:
    """Each value with when it counts; neighbouring rows of one value told as one."""
    yield from rows.words.items()
    for value, group in groupby(rows.spans, key=lambda row: row[1]):
        covers = [cover for cover, _ in group]
        first, last = covers[0], covers[-1]
        yield _span(Interval(first.low, last.high, first.has_low, last.has_high), unit), value


def _span(cover: Interval, unit: Unit) -> str:
    if cover.low in (0, -INF):
        return f"{'up to' if cover.has_high else 'below'} {shown(cover.high, unit)}"
    if cover.high == INF:
        return f"{'from' if cover.has_low else 'above'} {shown(cover.low, unit)}"
    return f"{shown(cover.low, unit)} to {shown(cover.high, unit)}"


def _lacking(limit: Node, path: Path, scene: Scene) -> tuple[str, ...]:
    """The fields that would have to be said, beside what the test itself will say."""
    own = ".".join((path.root, *path.steps[:-1]))
    lacked = (
        plain_name(lacked.rpartition(".")[2])
        for lacked, _ in number(limit, scene).needs
        if lacked != own and not lacked.startswith(f"{own}.")
    )
    return tuple(dict.fromkeys(lacked))
