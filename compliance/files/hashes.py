"""SHA-256 of bytes and of files."""

from __future__ import annotations

import hashlib
from pathlib import Path

from compliance.files.paths import open_file


def sha256_of(path: Path) -> str:
    """SHA-256 of a file's bytes in hexadecimal; the file is streamed, never held whole.

    Raises:
        PathError: If there is no ordinary file to read.
    """
    with open_file(path) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def sha256_bytes(data: bytes) -> str:
    """SHA-256 of bytes in hexadecimal."""
    return hashlib.sha256(data).hexdigest()
