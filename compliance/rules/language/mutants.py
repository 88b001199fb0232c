"""Clauses that differ from a requirement's by one small mistake, to be caught by its examples.

Made from checked nodes, never from text: a comparison takes or leaves its limit, or is turned
round; what must be is denied; a figure of the rule or a limit moves by a hundredth (whole
numbers and days by one); a part, a word, an entry's filter, an `if`, another way or a kind of
evidence is left out; `all` and `any` change places. A mistake that would decide like another
one is made once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal, cast

from compliance.rules.language.kinds import Number
from compliance.rules.language.nodes import (
    Among,
    Arithmetic,
    Both,
    Const,
    Each,
    Either,
    Limit,
    Node,
    Not,
    Order,
    Same,
    Scaled,
    Shown,
    Stated,
    parts_of,
    with_parts,
)
from compliance.rules.language.ruling import Clause
from compliance.rules.language.spelled import spelled
from compliance.units import COUNT, DAYS, UNITS

STEP = 0.01
"""How far a figure is moved: by a hundredth of it, which an example just beside it notices."""

_BY_ONE = (COUNT, DAYS, UNITS["months"])
_Op = Literal["<", "<=", ">", ">="]
_EDGE: dict[_Op, _Op] = {"<": "<=", "<=": "<", ">": ">=", ">=": ">"}
_TURNED: dict[_Op, _Op] = {"<": ">=", "<=": ">", ">": "<=", ">=": "<"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """A clause with one mistake: what was changed, and the example that would notice."""

    clause: Clause
    change: str
    missing: str


@dataclass(frozen=True, slots=True)
class _Change:
    node: Node
    text: str
    missing: str


def mutants(clause: Clause) -> Iterator[Mutant]:
    """Every clause that is one small mistake away, each with a text of its own."""
    known, times = {clause}, Counter[str]()
    for mutant in _mutants(clause):
        if mutant.clause in known:
            continue
        known.add(mutant.clause)
        times[mutant.change] += 1
        again = times[mutant.change]
        yield replace(mutant, change=f"{mutant.change} ({again})") if again > 1 else mutant


def _mutants(clause: Clause) -> Iterator[Mutant]:
    if clause.condition is not None:
        missing = "one to which it does not apply"
        yield Mutant(replace(clause, condition=None), "if: left out", missing)
        for change in _changes(clause.condition):
            changed = replace(clause, condition=change.node)
            yield Mutant(changed, f"if: {change.text}", change.missing)
    if clause.must is not None:
        for change in _changes(clause.must):
            yield Mutant(replace(clause, must=change.node), f"must: {change.text}", change.missing)
    for index, way in enumerate(clause.ways):
        before, after = clause.ways[:index], clause.ways[index + 1 :]
        missing = "one that only this other way meets"
        yield Mutant(replace(clause, ways=before + after), f"or_by {index + 1}: left out", missing)
        for change in _changes(way):
            changed = replace(clause, ways=(*before, change.node, *after))
            yield Mutant(changed, f"or_by {index + 1}: {change.text}", change.missing)
    for index, kind in enumerate(clause.evidence):
        rest = clause.evidence[:index] + clause.evidence[index + 1 :]
        missing = f"one with `evidence: none` that needs only the {kind}"
        if rest:
            missing = "one with `evidence: none` that names every kind under `needs`"
        yield Mutant(replace(clause, evidence=rest), f'evidence: "{kind}" left out', missing)


def _changes(node: Node, inside: str = "") -> Iterator[_Change]:
    """Every change of a node or of one below it; `inside` is the comparison it belongs to."""
    yield from _here(node, inside)
    if isinstance(node, Order | Same | Among):
        inside = spelled(node)
    parts = parts_of(node)
    for index, part in enumerate(parts):
        for change in _changes(part, inside):
            if isinstance(node, Not) and change.node == Not(part):
                continue  # denied twice: as if the denial were taken away, which is made above
            changed = (*parts[:index], change.node, *parts[index + 1 :])
            yield replace(change, node=with_parts(node, changed))


def _here(node: Node, inside: str) -> Iterator[_Change]:
    match node:
        case Order():
            yield from _compared(node)
        case Same() | Stated() | Shown():
            yield _denied(node)
        case Among():
            yield _denied(node)
            yield from _fewer_words(node)
        case Not(body=body):
            if not isinstance(body, Order):  # a comparison is turned round below
                yield _made(node, body, f"one that only {_quoted(node)} decides")
            if isinstance(body, Among):
                yield from _fewer_words(node)
        case Both() | Either():
            yield from _fewer_parts(node)
        case Each():
            yield from _collected(node)
        case Const(kind=Number()) | Limit():
            yield from _moved(node, inside)


def _compared(node: Order) -> Iterator[_Change]:
    text = _quoted(node)
    if not any(_is_whole(side) for side in (node.left, node.right)):
        edge = "on the very day" if node.is_moment else "exactly at the limit"
        yield _made(node, replace(node, op=_EDGE[node.op]), f"one {edge} of {text}")
    yield _made(node, replace(node, op=_TURNED[node.op]), f"one that only {text} decides")


def _fewer_words(node: Among | Not) -> Iterator[_Change]:
    among = cast("Among", node.body if isinstance(node, Not) else node)
    for index, value in enumerate(among.values if len(among.values) > 1 else ()):
        kept = replace(among, values=among.values[:index] + among.values[index + 1 :])
        left = spelled(Const(value, among.left.kind))
        yield _Change(
            Not(kept) if isinstance(node, Not) else kept,
            f"{left} left out of {_quoted(node)}",
            f"one with {left}",
        )


def _fewer_parts(node: Both | Either) -> Iterator[_Change]:
    for index, part in enumerate(node.parts):
        rest = node.parts[:index] + node.parts[index + 1 :]
        only = "fails" if isinstance(node, Both) else "holds"
        yield _Change(
            rest[0] if len(rest) == 1 else replace(node, parts=rest),
            f"{_quoted(part)} left out",
            f"one in which only {_quoted(part)} {only}",
        )


def _collected(node: Each) -> Iterator[_Change]:
    if node.form == "unique":
        yield _denied(node)
    if node.where is not None:
        text = f"the filter of {_quoted(node)} left out"
        missing = f"one with an entry that {_quoted(node.where)} keeps out"
        yield _Change(replace(node, where=None), text, missing)
    two = "one with two entries, of which one alone passes"
    if node.form == "all":
        yield _Change(replace(node, form="any"), f'"all" made "any" in {_quoted(node)}', two)
    if node.form == "any" and node.is_complete:
        yield _Change(replace(node, form="all"), f'"any" made "all" in {_quoted(node)}', two)


def _moved(node: Const | Limit, inside: str) -> Iterator[_Change]:
    """A figure or limit slightly lower and slightly higher."""
    if isinstance(node, Const) and not node.value and not _moves_by_one(node):
        return  # nothing has no hundredth; the comparison itself is turned round
    for sign, word, side in ((-1, "lower", "below"), (1, "higher", "above")):
        moved = _moved_by(node, sign)
        if isinstance(node, Const):
            text = f"{spelled(node)} made {spelled(moved)}"
        else:
            text = f"limits.{node.name} {_step(node)} {word}"
        missing = f'one at the limit of "{inside}" or within {_step(node)} {side} it'
        yield _Change(moved, f'{text} in "{inside}"', missing)


def _moved_by(node: Const | Limit, sign: int) -> Node:
    kind = cast("Number", node.kind)
    if isinstance(node, Const):
        value = cast("float", node.value)
        moved = value + sign if _moves_by_one(node) else value * (1 + sign * STEP)
        return replace(node, value=float(f"{moved:.12g}"))
    if _moves_by_one(node):
        return Arithmetic("+", node, Const(float(sign), kind), kind)
    return Scaled(node, 1 + sign * STEP, kind)


def _moves_by_one(node: Node) -> bool:
    """Whether a figure is moved by one of its unit and not by a hundredth."""
    is_point = isinstance(node.kind, Number) and node.kind.unit and node.kind.unit.is_point
    return _is_whole(node) or (isinstance(node, Const) and bool(is_point))


def _is_whole(node: Node) -> bool:
    """Whether nothing lies between a figure and the next: a count, days or months."""
    if not isinstance(node.kind, Number) or node.kind.unit not in _BY_ONE:
        return False
    if isinstance(node, Limit):  # a limit without unit may be a factor
        return node.kind.unit != COUNT
    return isinstance(node, Const) and float(node.value).is_integer()


def _step(node: Const | Limit) -> str:
    if not _moves_by_one(node):
        return f"{STEP * 100:g} %"
    unit = cast("Number", node.kind).unit
    return f"1 {unit.symbol}".rstrip() if unit else "1"


def _denied(node: Node) -> _Change:
    return _made(node, Not(node), f"one that only {_quoted(node)} decides")


def _made(node: Node, changed: Node, missing: str) -> _Change:
    return _Change(changed, f"{_quoted(node)} made {_quoted(changed)}", missing)


def _quoted(node: Node) -> str:
    return f'"{spelled(node)}"'
