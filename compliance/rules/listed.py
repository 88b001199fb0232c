"""What the head of a ruleset file lists, against what its conditions use and cite."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from compliance.errors import Place, RulesetError
from compliance.files.yaml import Tree
from compliance.rules.language.nodes import Limit, Node, Path, parts_of
from compliance.rules.language.problems import nearest
from compliance.rules.language.ruling import Clause
from compliance.rules.limits import LimitTables
from compliance.rules.quantities import QUANTITIES, Quantity
from compliance.rules.refusals import HeadDiffersError

Clauses = Sequence[tuple[Clause, Place]]


def limits_differ(
    listed: Sequence[str], clauses: Clauses, tables: LimitTables, tree: Tree
) -> Iterator[RulesetError]:
    """Limit files that conditions ask and the head does not list, and the other way round.

    A file whose tables feed a worked-out value counts as used, so that it may be listed; only
    what a condition asks itself has to be.
    """
    used = {tables.files[name] for clause, _ in clauses for name in _tables_behind(clause)}
    for clause, place in clauses:
        for name in dict.fromkeys(_asked(clause)):
            if tables.files[name] not in listed:
                what = f'its limits.{name} stands in "{tables.files[name]}", which is not under '
                yield HeadDiffersError(f"{what}`limits` of the file", place)
    known = set(tables.files.values())
    for number, name in enumerate(listed):
        if name not in used:
            what = f'"{name}" is listed under `limits`, but no condition of the file asks it'
            hint = "" if name in known else nearest(name, known)
            yield HeadDiffersError(what + hint, tree.place(("limits", number)))


def sources_unused(
    listed: Sequence[str], cited: Iterable[str], clauses: Clauses, tables: LimitTables, tree: Tree
) -> Iterator[RulesetError]:
    """Sources that the head lists, and neither requirements nor what they ask cite."""
    used = set(cited)
    for clause, _ in clauses:
        used |= {q.source for q in _quantities(clause)}
        used |= {document for n in _tables_behind(clause) for document in tables.documents(n)}
    for number, name in enumerate(listed):
        if name not in used:
            what = f'"{name}" is listed under `sources`, but nothing in the file rests on it'
            yield HeadDiffersError(what, tree.place(("sources", number)))


def _tables_behind(clause: Clause) -> Iterator[str]:
    """The tables that a clause asks, itself or through a worked-out value."""
    yield from _asked(clause)
    for quantity in _quantities(clause):
        for given in quantity.inputs.values():
            yield from given.tables


def _asked(clause: Clause) -> Iterator[str]:
    yield from (node.name for node in _nodes(clause) if isinstance(node, Limit))


def _quantities(clause: Clause) -> Iterable[Quantity]:
    """The worked-out values that a clause reads, and those they are worked out from."""
    found: dict[tuple[str, str], Quantity] = {}
    waiting = [
        (node.owner, node.steps[-1])
        for node in _nodes(clause)
        if isinstance(node, Path) and node.is_quantity
    ]
    while waiting:
        owner, name = waiting.pop()
        quantity = QUANTITIES.get((owner, name))
        if quantity is not None and (owner, name) not in found:
            found[owner, name] = quantity
            waiting += [(owner, given.path[1:]) for given in quantity.inputs.values()]
    return found.values()


def _nodes(clause: Clause) -> Iterator[Node]:
    waiting = [n for n in (clause.condition, clause.must, *clause.ways) if n is not None]
    while waiting:
        node = waiting.pop()
        yield node
        waiting += parts_of(node)
