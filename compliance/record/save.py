"""The one way in which a record is changed: edited, read back, checked, saved."""

from __future__ import annotations

import socket
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from compliance.files.write import Saved, save
from compliance.files.yaml import LIMIT_BYTES, Tree, parse_yaml
from compliance.record.edit import Change, NotWrittenAsMeantError, edited
from compliance.record.load import Loaded, firm_of, record_from
from compliance.record.migrations import INSTALLATION, in_todays_format
from compliance.record.migrations.steps import Edit
from compliance.record.opened import FILE


def change_record(
    folder: Path, change_of: Callable[[Loaded], Change], firm: Path | None = None
) -> Saved:
    """Changes one thing in the record of a job folder.

    Args:
        folder: The job folder.
        change_of: Gives the change for the record as it is; nothing is saved if it raises.
        firm: The folder that holds `firm.yaml`; the one above the job if left out.

    Raises:
        ComplianceError: If the record cannot be read, before or after the change; nothing is
            saved then.
        SavingError: If it changed meanwhile or the disk refuses; nothing is lost.
    """
    path, lender = folder / FILE, firm_of(folder, firm)
    before, tree = _read(path)
    change = change_of(record_from(tree, folder, lender))
    after = edited(before, change, str(path))
    record_from(parse_yaml(after, name=f"{path} with your change"), folder, lender)
    return _saved(path, after, tree)


@dataclass(frozen=True, slots=True)
class Renewed:
    """A record rewritten in today's format: what changed in it, and how it was saved."""

    was: str
    edits: Sequence[Edit]
    saved: Saved


def renew_record(folder: Path, firm: Path | None = None) -> Renewed | None:
    """Rewrites a record of an older format in today's; None if it is of today's already.

    Args:
        folder: The job folder.
        firm: The folder that holds `firm.yaml`; the one above the job if left out.

    Raises:
        ComplianceError: If the record cannot be read, before or after; nothing is saved then.
        SavingError: If it changed meanwhile or the disk refuses; nothing is lost.
    """
    path, lender = folder / FILE, firm_of(folder, firm)
    before, tree = _read(path)
    record_from(tree, folder, lender)
    migrated = in_todays_format(tree)
    if not migrated.edits:
        return None
    after = before
    for edit in migrated.edits:
        after = edited(after, edit, str(path))
    made = parse_yaml(after, name=f"{path} in {INSTALLATION}")
    if made.data != migrated.tree.data:
        raise NotWrittenAsMeantError(str(path))
    record_from(made, folder, lender)
    was = str(tree.data[INSTALLATION.key])
    return Renewed(was, migrated.edits, _saved(path, after, tree))


def _read(path: Path) -> tuple[bytes, Tree]:
    with path.open("rb") as file:
        data = file.read(LIMIT_BYTES + 1)
    return data, parse_yaml(data, name=str(path))


def _saved(path: Path, after: bytes, was: Tree) -> Saved:
    return save(path, after, was=was.sha256, when=datetime.now(), device=socket.gethostname())
