"""The page inside a pack tells people what works without us."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
from collections.abc import Callable

import pytest

from compliance.pack import Issued
from compliance.pack.how_to import HOW_TO, how_to_check
from compliance.pack.manifest import MANIFEST_FILE, TAG_MANIFEST_FILE


def commands(program: str) -> list[list[str]]:
    """The lines of the page that a person would type, as words."""
    lines = [line for line in HOW_TO.splitlines() if line.startswith(f"    {program} ")]
    return [line.split() for line in lines]


@pytest.mark.source("GNU coreutils", "sha256sum -c", "opened")
@pytest.mark.skipif(not shutil.which("sha256sum"), reason="sha256sum is not on this system")
def test_the_commands_on_the_page_check_the_pack_it_lies_in(make: Callable[..., Issued]) -> None:
    issued = make()
    typed = commands("sha256sum")
    answers = [
        subprocess.run(words, cwd=issued.folder, capture_output=True, text=True)  # noqa: S603 - ours
        for words in typed
    ]
    assert len(typed) == 3
    assert [answer.returncode for answer in answers] == [0, 0, 0]
    checked = (answers[0].stdout + answers[1].stdout).splitlines()
    assert all(line.endswith(": OK") for line in checked)
    assert len(checked) == 4 + 3
    assert answers[2].stdout.split()[0] == issued.root


def test_the_page_lies_inside_the_pack(make: Callable[..., Issued]) -> None:
    page = make().folder / "data/how-to-check.txt"
    assert page.read_bytes() == how_to_check()
    line = f"{hashlib.sha256(how_to_check()).hexdigest()}  data/how-to-check.txt\n"
    assert line in (page.parent.parent / MANIFEST_FILE).read_text()


def test_the_page_is_one_page_that_opens_everywhere() -> None:
    lines = how_to_check().decode("ascii").splitlines()
    assert len(lines) <= 66
    assert max(map(len, lines)) <= 90


def test_the_page_says_what_a_check_does_not_show() -> None:
    words = " ".join(HOW_TO.split())
    for caution in (
        "no certificate and no permission to switch anything on",
        "Local regulations and the competent, licensed person who signs come before",
        "A file that was added is not noticed",
        "Whoever can change a file can also write a new list",
    ):
        assert caution in words
    for file in (MANIFEST_FILE, TAG_MANIFEST_FILE, "Get-FileHash", "cover sheet"):
        assert file in words
