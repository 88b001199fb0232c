"""Makes a pack: all of it or nothing, never over another one.

It is built in a hidden folder beside its place, files first, lists last, and then renamed
once. Whatever goes wrong before leaves nothing; a loss of power leaves at most the hidden
folder, or a whole pack whose cover sheet is written when the same pack is made again.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from io import BytesIO
from pathlib import Path, PurePosixPath
from typing import BinaryIO, TypeAlias

from compliance.files.disk import Disk
from compliance.files.hashes import sha256_bytes, sha256_of
from compliance.files.paths import open_regular
from compliance.pack.how_to import HOW_TO_FILE, how_to_check
from compliance.pack.manifest import (
    DATA_FOLDER,
    DECLARATION,
    DECLARATION_FILE,
    INFORMATION_FILE,
    MANIFEST_FILE,
    TAG_MANIFEST_FILE,
    check_file_name,
    check_file_names,
    information,
    listing,
    pack_id,
)
from compliance.pack.refusals import (
    ChangedSinceCheckError,
    InTheWayError,
    NothingInsideError,
    NotWrittenError,
)
from compliance.pack.verify import verify

Payload: TypeAlias = "Mapping[str, bytes | Path]"
Move: TypeAlias = "tuple[Path, Path]"


@dataclass(frozen=True, slots=True)
class Issued:
    """A pack that was made: where it is, the root that anchors it, what lies beside it."""

    folder: Path
    root: str
    pack_id: str
    covers: tuple[Path, ...] = ()
    is_new: bool = True
    """False if the very same pack was already there."""


def assemble(
    out: Path,
    *,
    name: str,
    on: date,
    payload: Payload,
    info: Mapping[str, str],
    expected: Mapping[str, str] | None = None,
    cover: Callable[[Issued], Mapping[str, bytes]] | None = None,
    disk: Disk | None = None,
) -> Issued:
    """Make the pack `name` in the folder `out`.

    Args:
        out: The folder that gets the pack; it is there already.
        name: Name of the pack's folder.
        on: The day of the check, the only date that the pack is given.
        payload: What goes into `data/`: name inside -> bytes, or a file to copy.
        info: Further lines of `bag-info.txt`, such as `External-Identifier`.
        expected: SHA-256 that files of the payload had when they were checked, by name.
        cover: Called once the root is known; gives the files to lay beside the pack.
        disk: Where to write.

    Raises:
        PackError: If a name or line is unsuitable, a file changed since it was checked,
            something different is already there, or the disk refuses.
        PathError: If a file to copy is not there or is no ordinary file.
    """
    disk = disk or Disk()
    check_file_name(name)
    if not payload:
        raise NothingInsideError(name)
    check_file_names([*payload, HOW_TO_FILE])
    files = {**payload, HOW_TO_FILE: how_to_check()}
    part = out / f".pack-{secrets.token_hex(6)}.part"
    moves: list[Move] = []
    with _all_or_nothing(out / name, part, moves, disk):
        disk.make_folder(part)
        bag = part / name
        root = _write_bag(bag, files, on, info, expected or {}, disk)
        issued = Issued(out / name, root, pack_id(root))
        covers = _write_covers(part, cover(issued) if cover else {}, disk)
        _place(issued, bag, covers, moves, disk)
        disk.remove(part)
    return replace(
        issued,
        covers=tuple(out / path.name for path in covers),
        is_new=(bag, issued.folder) in moves,
    )


@contextmanager
def _all_or_nothing(target: Path, part: Path, moves: list[Move], disk: Disk) -> Iterator[None]:
    """Take away what was made if anything goes wrong, an interruption included."""
    try:
        yield
    except BaseException as error:
        # A move was made only if its source is gone: else what stands there is not ours.
        made = [new for old, new in moves if not os.path.lexists(old)]
        left = [path for path in (*made, part) if not _is_removed(path, disk)]
        if isinstance(error, OSError):
            raise NotWrittenError(target, error.strerror or str(error), left) from None
        raise


def _is_removed(path: Path, disk: Disk) -> bool:
    try:
        disk.remove(path)
    except OSError:
        return False
    return True


def _write_bag(
    bag: Path,
    files: Payload,
    on: date,
    info: Mapping[str, str],
    expected: Mapping[str, str],
    disk: Disk,
) -> str:
    """Write the whole bag, the lists last; its root."""
    disk.make_folder(bag)
    hashes, octets = _write_payload(bag / DATA_FOLDER, files, expected, disk)
    tags = {
        DECLARATION_FILE: DECLARATION,
        INFORMATION_FILE: information(on, octets, len(files), info),
        MANIFEST_FILE: listing(hashes),
    }
    for tag, data in tags.items():
        disk.write(bag / tag, data)
    tag_manifest = listing({tag: sha256_bytes(data) for tag, data in tags.items()})
    disk.write(bag / TAG_MANIFEST_FILE, tag_manifest)
    disk.settle(bag)
    return sha256_bytes(tag_manifest)


def _write_payload(
    data_folder: Path, files: Payload, expected: Mapping[str, str], disk: Disk
) -> tuple[dict[str, str], int]:
    """Write what goes into `data/`; the hash of each by its path in the bag, and their size."""
    folders = _folders_of(data_folder, files)
    for folder in folders:
        disk.make_folder(folder)
    hashes: dict[str, str] = {}
    octets = 0
    for name, content in files.items():
        with _source(content) as source:
            sha256, size = disk.copy(source, data_folder / name)
        hashes[f"{DATA_FOLDER}/{name}"] = sha256
        octets += size
    for name, sha256 in expected.items():
        if hashes.get(f"{DATA_FOLDER}/{name}") != sha256:
            raise ChangedSinceCheckError(name)
    for folder in reversed(folders):
        disk.settle(folder)
    return hashes, octets


def _folders_of(data_folder: Path, files: Payload) -> list[Path]:
    """Every folder that the files need, outer ones first."""
    folders = {data_folder}
    for name in files:
        folders.update(data_folder / up for up in PurePosixPath(name).parents)
    return sorted(folders)


def _source(content: bytes | Path) -> BinaryIO:
    if isinstance(content, Path):
        return open_regular(content.parent, content.name)
    return BytesIO(content)


def _write_covers(part: Path, covers: Mapping[str, bytes], disk: Disk) -> list[Path]:
    written = []
    for name, data in covers.items():
        check_file_name(name)
        path = part / name
        disk.write(path, data)
        written.append(path)
    return written


def _place(issued: Issued, bag: Path, covers: list[Path], moves: list[Move], disk: Disk) -> None:
    """Move the bag and then its covers to their places, once nothing else stands there."""
    out = issued.folder.parent
    wanted = [(path, out / path.name) for path in covers if not _stands(path, out / path.name)]
    if not _is_issued_already(issued):
        wanted.insert(0, (bag, issued.folder))
    for old, new in wanted:
        moves.append((old, new))
        disk.rename(old, new)
    disk.settle(out)


def _is_issued_already(issued: Issued) -> bool:
    """Whether the same pack is there, whole.

    Raises:
        InTheWayError: If something else is there.
    """
    if not os.path.lexists(issued.folder):
        return False
    if not verify(issued.folder, expected_root=issued.root).ok:
        raise InTheWayError(issued.folder)
    return True


def _stands(made: Path, place: Path) -> bool:
    """Whether the same file is in its place already.

    Raises:
        InTheWayError: If something else is there.
    """
    if not os.path.lexists(place):
        return False
    if place.is_symlink() or not place.is_file() or sha256_of(place) != sha256_of(made):
        raise InTheWayError(place)
    return True
