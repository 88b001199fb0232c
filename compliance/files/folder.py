"""A new folder with everything in it: it is there whole, or it is not there."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from compliance.errors import Place
from compliance.files.disk import Disk
from compliance.files.write import NotSavedError, SavingError


class FolderTakenError(SavingError):
    """Something is in the folder that was to be made."""

    id = "saving.folder-taken"

    def __init__(self, folder: Path, found: str) -> None:
        super().__init__(
            f"is there and not empty ({found}). Nothing was changed; name a folder that does "
            "not exist yet",
            Place(str(folder)),
        )


class NoParentFolderError(SavingError):
    """The folder that should hold the new one is not there."""

    id = "saving.no-parent-folder"

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f'cannot be made: there is no folder "{folder.parent}"; make that one first',
            Place(str(folder)),
        )


@contextmanager
def new_folder(folder: Path, *, disk: Disk | None = None) -> Iterator[Path]:
    """Gives a folder to fill, which takes its name once the block ends without a fault.

    Args:
        folder: The folder to be; it may be there if it is empty.
        disk: The disk to write on.

    Raises:
        FolderTakenError: If something is in it.
        NoParentFolderError: If there is no folder to make it in.
        NotSavedError: If the disk refuses; nothing is left behind.
    """
    disk = disk or Disk()
    target = folder.absolute()
    _must_be_free(folder)
    made = target.with_name(f".{target.name}.{secrets.token_hex(6)}.new")
    try:
        disk.make_folder(made)
        yield made
        disk.settle(made)
        if target.is_dir():
            target.rmdir()
        disk.rename(made, target)
    except OSError as error:
        disk.remove(made)
        raise NotSavedError(error.strerror or str(error), Place(str(folder))) from None
    except BaseException:
        disk.remove(made)
        raise
    disk.settle(target.parent)


def _must_be_free(folder: Path) -> None:
    if folder.is_dir():
        found = sorted(p.name for p in folder.iterdir())
        if found:
            raise FolderTakenError(folder, ", ".join(found[:3]))
    elif folder.exists() or folder.is_symlink():
        raise FolderTakenError(folder, "a file")
    elif not folder.absolute().parent.is_dir():
        raise NoParentFolderError(folder)
