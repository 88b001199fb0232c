"""The lists and declarations of a BagIt 1.0 bag (RFC 8493) as text; touches no file.

The root of a pack is the SHA-256 of its `tagmanifest-sha256.txt`: that file lists the hash
of every other file beside `data/`, one of which lists the hash of every file in `data/`.
So whoever knows the root, knows the whole pack.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from datetime import date

from compliance.pack.refusals import FileNameError, InformationError

DECLARATION_FILE = "bagit.txt"
INFORMATION_FILE = "bag-info.txt"
MANIFEST_FILE = "manifest-sha256.txt"
TAG_MANIFEST_FILE = "tagmanifest-sha256.txt"
DATA_FOLDER = "data"

DECLARATION = b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
LONGEST_NAME = 100
PACK_ID_DIGITS = 12

_PART = re.compile(r"[a-z0-9_][a-z0-9._-]*")
_RESERVED_STEMS = {"con", "prn", "aux", "nul"} | {
    f"{d}{n}" for d in ("com", "lpt") for n in range(10)
}
_LABEL = re.compile(r"[A-Za-z][A-Za-z0-9-]*")
_LINE = re.compile(r"([0-9a-f]{64})  ([^\s].*)")
_OURS = {"bagging-date", "payload-oxum"}


def check_file_name(name: str, *, may_have_folders: bool = False) -> None:
    """Refuse a name that some system would change, lose or mistake for another.

    Raises:
        FileNameError: If it is not made of a-z, 0-9, `.`, `_` and `-`, with `/` after folders.
    """
    if len(name) > LONGEST_NAME:
        raise FileNameError(name, f"has {len(name)} characters")
    for part in name.split("/") if may_have_folders else [name]:
        if not _PART.fullmatch(part):
            raise FileNameError(name, "has a character that is not kept alike everywhere")
        if part.endswith("."):
            raise FileNameError(name, "ends with a dot, which some systems drop")
        if part.split(".")[0] in _RESERVED_STEMS:
            raise FileNameError(name, "is the name of a device on some systems")


def check_file_names(names: list[str]) -> None:
    """Refuse names that cannot stand together, and what `check_file_name` refuses.

    Raises:
        FileNameError: If one is unsuitable, or is a folder of another.
    """
    for name in names:
        check_file_name(name, may_have_folders=True)
    for name, times in Counter(names).items():
        if times > 1:
            raise FileNameError(name, "would be two files, one written by the pack itself")
    folders = {name[:at] for name in names for at in range(len(name)) if name[at] == "/"}
    for name in names:
        if name in folders:
            raise FileNameError(name, "would be a file and a folder at once")


def information(on: date, octets: int, streams: int, info: Mapping[str, str]) -> bytes:
    """`bag-info.txt`: the day of the check, the size of what is inside, then `info` in order.

    Raises:
        InformationError: If a line of `info` cannot be written, or is one of the first two.
    """
    lines = {"Bagging-Date": on.isoformat(), "Payload-Oxum": f"{octets}.{streams}"}
    for label, text in info.items():
        if not _LABEL.fullmatch(label):
            raise InformationError(label, "has an unsuitable label")
        if label.lower() in _OURS:
            raise InformationError(label, "is written by the pack itself")
        if not text.isprintable() or text != text.strip() or not text:
            raise InformationError(label, "is empty, starts or ends blank, or holds a line break")
        lines[label] = text
    return "".join(f"{label}: {text}\n" for label, text in lines.items()).encode()


def listing(hashes: Mapping[str, str]) -> bytes:
    """A manifest: one line a file, hash first, in the order of the names."""
    return "".join(f"{hashes[name]}  {name}\n" for name in sorted(hashes)).encode()


def listed(line: str) -> tuple[str, str] | None:
    """The hash and the name in one line of a manifest; None if it is not such a line."""
    found = _LINE.fullmatch(line)
    return (found[1], found[2]) if found else None


def pack_id(root: str) -> str:
    """The short name of a pack that people read out: the start of its root."""
    return root[:PACK_ID_DIGITS]
