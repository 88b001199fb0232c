"""What a requirement rests on: the worked-out values and the limits that its conditions use."""

from __future__ import annotations

from collections.abc import Iterator

from compliance.rules.language.nodes import Limit, Node, Path, parts_of
from compliance.rules.language.ruling import Clause
from compliance.rules.quantities import QUANTITIES, Quantity

_BY_NAME = {name: quantity for (_, name), quantity in QUANTITIES.items()}


def quantities_of(clause: Clause) -> tuple[Quantity, ...]:
    """Every worked-out value that a clause reads, and those that these are worked out from."""
    found: dict[str, Quantity] = {}
    waiting = [
        QUANTITIES[node.owner, node.steps[-1]]
        for node in _nodes_of(clause)
        if isinstance(node, Path) and node.is_quantity
    ]
    while waiting:
        quantity = waiting.pop(0)
        if quantity.name not in found:
            found[quantity.name] = quantity
            lasts = (given.path.rpartition(".")[2] for given in quantity.inputs.values())
            waiting += [_BY_NAME[last] for last in lasts if last in _BY_NAME]
    return tuple(found.values())


def limits_of(clause: Clause) -> tuple[str, ...]:
    """Every limit table that a clause asks, itself or through a worked-out value."""
    asked = [node.name for node in _nodes_of(clause) if isinstance(node, Limit)]
    for quantity in quantities_of(clause):
        asked += [table for given in quantity.inputs.values() for table in given.tables]
    return tuple(dict.fromkeys(asked))


def _nodes_of(clause: Clause) -> Iterator[Node]:
    for node in (clause.condition, clause.must, *clause.ways):
        if node is not None:
            yield from _below(node)


def _below(node: Node) -> Iterator[Node]:
    yield node
    for part in parts_of(node):
        yield from _below(part)
