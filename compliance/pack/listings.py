"""Reads the lists of a pack that somebody checks; every line is either understood or named."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from compliance.pack.manifest import (
    DATA_FOLDER,
    INFORMATION_FILE,
    MANIFEST_FILE,
    TAG_MANIFEST_FILE,
    listed,
)
from compliance.pack.problems import Problem, problem

_INFORMATION_LINE = re.compile(r"([^\s:][^:]*):[ \t]+(\S.*)")
_SIZE = re.compile(r"([0-9]{1,18})\.([0-9]{1,9})")


def listing_of(file: str, data: bytes, problems: list[Problem]) -> dict[str, str]:
    """The hash of each file that the manifest `file` names; what is wrong joins `problems`."""
    hashes: dict[str, str] = {}
    for number, line in _lines(file, data, problems):
        entry = listed(line)
        if entry is None:
            problems.append(problem("pack.list-line", file, number))
            continue
        sha256, name = entry
        if not _is_plain(name):
            problems.append(problem("pack.listed-name", file, name))
        elif not _belongs(name, file):
            problems.append(problem("pack.listed-elsewhere", file, name))
        elif name in hashes:
            problems.append(problem("pack.listed-twice", file, name))
        else:
            hashes[name] = sha256
    if file == MANIFEST_FILE and not hashes:
        problems.append(problem("pack.nothing-inside", file))
    return hashes


def clashes(names: Iterable[str]) -> list[Problem]:
    """Names that are one name where capitals or ways of writing accents do not count."""
    seen: dict[str, str] = {}
    found = []
    for name in names:
        folded = unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
        if folded in seen:
            found.append(problem("pack.names-clash", seen[folded], name))
        seen.setdefault(folded, name)
    return found


def size_of(data: bytes, problems: list[Problem]) -> tuple[int, int] | None:
    """Bytes and number of files that `bag-info.txt` says are inside; None if it does not."""
    sizes = []
    for number, line in _lines(INFORMATION_FILE, data, problems):
        found = _INFORMATION_LINE.fullmatch(line)
        if found is None:
            problems.append(problem("pack.information-line", INFORMATION_FILE, number))
        elif found[1].lower() == "payload-oxum":
            sizes.append(_SIZE.fullmatch(found[2]))
    if len(sizes) != 1 or sizes[0] is None:
        problems.append(problem("pack.no-size", INFORMATION_FILE))
        return None
    return int(sizes[0][1]), int(sizes[0][2])


def _lines(file: str, data: bytes, problems: list[Problem]) -> list[tuple[int, str]]:
    """The lines of a tag file with their numbers."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        problems.append(problem("pack.list-not-text", file, error.start + 1))
        return []
    return list(enumerate(text.removesuffix("\n").split("\n"), start=1)) if text else []


def _is_plain(name: str) -> bool:
    """Whether a name is one way to one file in the pack, written in the one usual form."""
    return (
        name.isprintable()
        and not re.search(r"[\\%:]", name)
        and not name.startswith("~")
        and not any(part in ("", ".", "..") for part in name.split("/"))
        and name == unicodedata.normalize("NFC", name)
    )


def _belongs(name: str, file: str) -> bool:
    is_data = name.startswith(f"{DATA_FOLDER}/")
    return is_data if file == MANIFEST_FILE else not is_data and name != TAG_MANIFEST_FILE
