"""One step from each older format to the next, made on the tree as it was written.

A step changes names and texts, never places: a problem that is found after it still names
the line of the file. What a step does to the tree `edit.py` can do to the file's text, so
one description of what changed serves reading a record and rewriting it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from compliance.files.written import Path, Tree, Written
from compliance.record.edit import Change, Renaming
from compliance.record.migrations import after_1
from compliance.record.migrations.formats import INSTALLATION, Format, NewerFormatError
from compliance.record.renaming import at, copied, renamed

Edit = Change | Renaming
STEPS: Mapping[int, Callable[[Mapping[str, Any]], Iterator[Edit]]] = {1: after_1.edits}
"""What changed after each older format of a record, by that format's number."""


@dataclass(frozen=True, slots=True)
class Migrated:
    """A record in today's format, and what made it so."""

    tree: Tree
    written: Mapping[Path, Path] = field(default_factory=dict)
    """Where a field stands in the file that had another name there."""
    edits: tuple[Edit, ...] = ()
    """The same changes for the file's text, in order; none where it is of today's format."""


def in_todays_format(tree: Tree, kind: Format = INSTALLATION) -> Migrated:
    """A record, or a firm's file, in today's format.

    What names no format at all is left as it is, to be refused with its line.

    Raises:
        NewerFormatError: If it is of a format that only a newer version reads.
    """
    text = tree.data.get(kind.key)
    number = kind.number_in(text) if isinstance(text, Written) else None
    if number is None or number == kind.latest:
        return Migrated(tree)
    if number > kind.latest:
        raise NewerFormatError(str(text), kind, tree.place((kind.key,)))
    edits, written = list[Edit](), dict[Path, Path]()
    for older in range(number, kind.latest):
        for edit in STEPS[older](tree.data):
            edits.append(edit)
            tree = _made(edit, tree, written)
    latest = Change((kind.key,), str(kind))
    return Migrated(_made(latest, tree, written), written, (*edits, latest))


def _made(edit: Edit, tree: Tree, written: dict[Path, Path]) -> Tree:
    """A tree after one edit, which keeps in `written` where a renamed field was."""
    if isinstance(edit, Renaming):
        own = (*edit.loc[:-1], edit.name)
        written[own] = written.pop(edit.loc, edit.loc)
        return renamed(tree, {own: edit.loc})
    data: Any = copied(tree.data)
    was = at(data, edit.loc)
    at(data, edit.loc[:-1])[edit.loc[-1]] = Written(
        str(edit.value), was.line, was.column, was.style
    )
    return replace(tree, data=data)
