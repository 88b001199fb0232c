"""Why a pack is not made: one class a cause."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from compliance.errors import PackError, Place
from compliance.files.written import shown


class FileNameError(PackError):
    """A file's name inside a pack would not read the same on every system."""

    id = "pack.file-name"

    def __init__(self, name: str, reason: str) -> None:
        super().__init__(
            f'"{shown(name, 120)}" {reason}. Inside a pack, names have a to z, 0 to 9, '
            "dots, dashes and underscores, and at most 100 characters with their folders"
        )


class InformationError(PackError):
    """A line about the pack cannot be written."""

    id = "pack.information"

    def __init__(self, label: str, reason: str) -> None:
        super().__init__(
            f'The line "{shown(label)}" about the pack {reason}. Write it on one line, '
            "as a label of letters, digits and dashes and a text"
        )


class NothingInsideError(PackError):
    """A pack without a single file was asked for."""

    id = "pack.nothing-inside"

    def __init__(self, name: str) -> None:
        super().__init__(f'There is nothing to put into the pack "{shown(name)}"')


class InTheWayError(PackError):
    """Something else stands where the pack or its cover sheet would go."""

    id = "pack.in-the-way"

    def __init__(self, path: Path) -> None:
        super().__init__(
            "Something different is already there, and what was once issued is never written "
            "over. Issue this pack under a new name that says which one it replaces, or move "
            "the old one away first",
            Place(str(path)),
        )


class ChangedSinceCheckError(PackError):
    """A file is no longer the one that was checked."""

    id = "pack.changed-since-check"

    def __init__(self, name: str) -> None:
        super().__init__(
            f'"{shown(name, 120)}" changed between the check and the making of the pack. '
            "Run the check again, then make the pack"
        )


class NotWrittenError(PackError):
    """The system could not write the pack."""

    id = "pack.not-written"

    def __init__(self, path: Path, reason: str, left: Sequence[Path] = ()) -> None:
        remains = "Nothing of it was left behind"
        if left:
            names = ", ".join(f'"{shown(part.name)}"' for part in left)
            remains = f"What was begun could not be taken away again: remove {names}"
        super().__init__(
            f"The pack could not be written: {reason}. {remains}. Then make room or choose "
            "another folder, and try again",
            Place(str(path)),
        )
