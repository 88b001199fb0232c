"""SHA-256 against published values and another program."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from compliance.files.hashes import sha256_bytes, sha256_of
from compliance.files.paths import NotAFileError, NotThereError

PUBLISHED = [
    (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
    (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
    (
        b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
    ),
    (b"a" * 1_000_000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
]


@pytest.mark.source("FIPS 180-2", "appendix B, and the empty message", "from memory")
@pytest.mark.parametrize(("data", "digest"), PUBLISHED)
def test_the_published_examples_come_out(data: bytes, digest: str, tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(data)
    assert sha256_bytes(data) == digest
    assert sha256_of(path) == digest


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="needs sha256sum of GNU coreutils")
def test_a_file_hashes_as_the_program_people_check_a_pack_with_says(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(bytes(range(256)) * 5_000)
    program = shutil.which("sha256sum") or ""
    said = subprocess.run([program, str(path)], capture_output=True, text=True, check=True)  # noqa: S603 - a fixed program
    assert said.stdout.split()[0] == sha256_of(path)


def test_what_is_no_ordinary_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NotThereError):
        sha256_of(tmp_path / "none")
    with pytest.raises(NotAFileError):
        sha256_of(tmp_path)
