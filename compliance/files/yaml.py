"""The one loader of every YAML file of the project: strict, and never more than text.

YAML 1.2 without anchors, aliases, tags, directives or second documents; every scalar
stays text with its place, so that whoever knows the field decides what it means. All
problems of a file are told at once, in the order of the file.

The C parser reads what is fine. Where anything is the matter, the pure parser of the
same library reads again and decides: it knows more of YAML 1.2 (a colon is fine in
`{on: 2026-10-09T13:40}`), and messages are the same whichever of them is installed.
"""

from __future__ import annotations

import os
from pathlib import Path

from compliance.errors import Place, Problems
from compliance.files.hashes import sha256_bytes
from compliance.files.paths import open_file
from compliance.files.reading import read
from compliance.files.refusals import TooLargeError
from compliance.files.text import decode
from compliance.files.written import Node, Style, Tree, Written

__all__ = ["LIMIT_BYTES", "Node", "Place", "Style", "Tree", "Written", "parse_yaml", "read_yaml"]

LIMIT_BYTES = 262_144


def read_yaml(path: Path, *, name: str | None = None, limit_bytes: int = LIMIT_BYTES) -> Tree:
    """Read one YAML file; `name` is what messages call it (the path as given, if left out).

    Raises:
        PathError: If there is no ordinary file to read.
        WrittenError: If it cannot be read as strict YAML; `Problems` if for several reasons.
    """
    name = str(path) if name is None else name
    with open_file(path, name=name) as file:
        size = os.fstat(file.fileno()).st_size
        data = file.read(limit_bytes + 1)
    if size > limit_bytes:
        raise TooLargeError(Place(name), size, limit_bytes)
    return parse_yaml(data, name=name, limit_bytes=limit_bytes)


def parse_yaml(data: bytes, *, name: str, limit_bytes: int = LIMIT_BYTES) -> Tree:
    """Read YAML from bytes, as `read_yaml` does from a file.

    Raises:
        WrittenError: If it cannot be read as strict YAML; `Problems` if for several reasons.
    """
    if len(data) > limit_bytes:
        raise TooLargeError(Place(name), len(data), limit_bytes)
    source, problems = decode(data, name)
    reading = read(source, problems)
    if len(reading.problems) == 1:
        raise reading.problems[0]
    if reading.problems:
        raise Problems(reading.problems)
    return Tree(reading.root, name, sha256_bytes(data), reading.entries)
