"""References that lead back to where they started; in a record only evidence can.

Every other reference leads from one kind of entry to another and never back, which
`tests/record/test_loops.py` proves of the models.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from compliance.errors import RecordError
from compliance.files.yaml import Tree
from compliance.record.problems import LoopOfReferencesError

Ways = Mapping[str, tuple[str, ...]]


def loops(tree: Tree) -> Iterator[RecordError]:
    """Each circle of evidence files that are about one another, told where it starts."""
    told: set[str] = set()
    for circle in _circles(_ways(tree.data.get("evidence"))):
        if told.isdisjoint(circle):
            told |= {*circle}
            yield LoopOfReferencesError(circle, tree.place(("evidence", circle[0], "about")))


def _ways(evidence: Any) -> Ways:
    """The evidence files that each evidence file is said to be about."""
    entries = evidence if isinstance(evidence, Mapping) else {}
    names = {str(name) for name in entries}
    return {
        str(name): tuple(other for other in _about(entry) if other in names)
        for name, entry in entries.items()
    }


def _about(entry: Any) -> Iterator[str]:
    about = entry.get("about") if isinstance(entry, Mapping) else None
    for item in about if isinstance(about, list) else [about]:
        if isinstance(item, str):
            yield str(item).strip()


def _circles(ways: Ways) -> Iterator[tuple[str, ...]]:
    """Ways from a file back to itself, both ends named; each file is gone through once."""
    done: set[str] = set()
    for start in ways:
        way = {start: iter(ways[start])} if start not in done else {}
        while way:
            last = next(reversed(way))
            other = next(way[last], None)
            if other is None:
                done.add(last)
                del way[last]
            elif other in way:
                names = [*way]
                yield (*names[names.index(other) :], other)
            elif other not in done:
                way[other] = iter(ways[other])
