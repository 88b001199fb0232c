"""Checks an issued pack, and says it is sound only if nothing is missing, extra or different.

Stricter than RFC 8493 asks: one algorithm, the list of lists obligatory, no file that is
not listed, no link, no second spelling of a name, nothing to be fetched from elsewhere.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from compliance.files.hashes import sha256_bytes
from compliance.files.paths import PathError, open_regular
from compliance.pack.contents import contents
from compliance.pack.listings import clashes, listing_of, size_of
from compliance.pack.manifest import (
    DATA_FOLDER,
    DECLARATION,
    DECLARATION_FILE,
    INFORMATION_FILE,
    MANIFEST_FILE,
    PACK_ID_DIGITS,
    TAG_MANIFEST_FILE,
    pack_id,
)
from compliance.pack.problems import Problem, problem

LARGEST_LIST_MB = 32
_REQUIRED = {
    DECLARATION_FILE: "pack.no-declaration",
    INFORMATION_FILE: "pack.no-information",
    MANIFEST_FILE: "pack.no-manifest",
    TAG_MANIFEST_FILE: "pack.no-tag-manifest",
}
_FETCH_FILE = "fetch.txt"
_ANY_LIST = re.compile(r"(tag)?manifest-[^/]*\.txt")
_EXPECTED = re.compile(rf"[0-9a-f]{{{PACK_ID_DIGITS},64}}")


@dataclass(frozen=True, slots=True)
class Verified:
    """What was found in a pack; `files` were listed in `data/` and are the same as issued."""

    root: str
    problems: tuple[Problem, ...]
    files: int

    @property
    def ok(self) -> bool:
        """Whether the pack is whole and unchanged, and has the root that was asked for."""
        return not self.problems

    @property
    def pack_id(self) -> str:
        """The start of the root, which people read out."""
        return pack_id(self.root)


def verify(path: Path, *, expected_root: str = "") -> Verified:
    """What the pack in the folder `path` is, with every problem found.

    Args:
        path: The folder that holds `bagit.txt`.
        expected_root: The root as printed on the cover sheet or in the letter, or at least
            its first 12 characters. Without it a pack that was rewritten as a whole, lists
            and all, can't be told from the one that was issued.
    """
    if not path.is_dir():
        return Verified("", (problem("pack.not-a-folder", str(path)),), 0)
    found = contents(path)
    problems = list(found.problems)
    problems += [problem(cause, n) for n, cause in _REQUIRED.items() if n not in found.files_bytes]
    texts = {
        name: text
        for name in _REQUIRED
        if name in found.files_bytes and (text := _read(path, name, problems)) is not None
    }
    if texts.get(DECLARATION_FILE, DECLARATION) != DECLARATION:
        problems.append(problem("pack.declaration", DECLARATION_FILE))
    hashes: dict[str, str] = {}
    for file in (MANIFEST_FILE, TAG_MANIFEST_FILE):
        if file in texts:
            hashes |= listing_of(file, texts[file], problems)
    problems += clashes(hashes)
    if INFORMATION_FILE in texts:
        problems += _size_problems(texts[INFORMATION_FILE], found.files_bytes)
    problems += _unlisted(found.files_bytes, hashes)
    sound = _same_files(path, found.files_bytes, hashes, problems)
    root = sha256_bytes(texts[TAG_MANIFEST_FILE]) if TAG_MANIFEST_FILE in texts else ""
    if expected_root:
        problems += _root_problems(root, expected_root)
    return Verified(root, tuple(problems), sound)


def _read(folder: Path, name: str, problems: list[Problem]) -> bytes | None:
    """A tag file, whole; None if it can't be had, which joins `problems`."""
    largest = LARGEST_LIST_MB * 1_000_000
    try:
        with open_regular(folder, name) as file:
            data = file.read(largest + 1)
    except (PathError, OSError) as error:
        problems.append(problem("pack.cannot-be-read", name, _reason(error)))
        return None
    if len(data) > largest:
        problems.append(problem("pack.list-too-long", name, LARGEST_LIST_MB))
        return None
    return data


def _size_problems(information: bytes, files_bytes: Mapping[str, int]) -> list[Problem]:
    problems: list[Problem] = []
    said = size_of(information, problems)
    sizes = [size for name, size in files_bytes.items() if name.startswith(f"{DATA_FOLDER}/")]
    if said is not None and said != (sum(sizes), len(sizes)):
        more = f"{said[0]}.{said[1]}, and there are {sum(sizes)}.{len(sizes)}"
        problems.append(problem("pack.size", INFORMATION_FILE, more))
    return problems


def _unlisted(files_bytes: Mapping[str, int], hashes: Mapping[str, str]) -> list[Problem]:
    """Files that no list names, and lists that a pack does not have."""
    problems = []
    for name in files_bytes:
        if name == _FETCH_FILE:
            problems.append(problem("pack.fetch", name))
        elif _ANY_LIST.fullmatch(name) and name not in _REQUIRED:
            problems.append(problem("pack.other-algorithm", name))
        elif name not in hashes and name != TAG_MANIFEST_FILE:
            problems.append(problem("pack.unlisted-file", name))
    return problems


def _same_files(
    folder: Path, files_bytes: Mapping[str, int], hashes: Mapping[str, str], problems: list[Problem]
) -> int:
    """How many listed files in `data/` have the listed hash; the others join `problems`."""
    sound = 0
    for name in sorted(hashes):
        if name not in files_bytes:
            if name not in _REQUIRED:
                problems.append(problem("pack.missing-file", name))
            continue
        try:
            with open_regular(folder, name) as file:
                sha256 = hashlib.file_digest(file, "sha256").hexdigest()
        except (PathError, OSError) as error:
            problems.append(problem("pack.cannot-be-read", name, _reason(error)))
            continue
        if sha256 != hashes[name]:
            problems.append(problem("pack.changed-file", name))
        elif name.startswith(f"{DATA_FOLDER}/"):
            sound += 1
    return sound


def _root_problems(root: str, expected: str) -> list[Problem]:
    wanted = "".join(expected.split()).lower()
    if not _EXPECTED.fullmatch(wanted):
        return [problem("pack.expected-root", expected)]
    if not root or not root.startswith(wanted):
        return [problem("pack.other-root", root or "not known", wanted)]
    return []


def _reason(error: PathError | OSError) -> str:
    return error.what if isinstance(error, PathError) else error.strerror or "unknown reason"
