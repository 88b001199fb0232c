"""A record that cannot be used: one message with file, line and field; exit 2; nothing written."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
HEAD = """\
record: installation/1
reference: J-1
jurisdiction: GB-ENG
title: An invented job
"""
CASES = [
    ("closed: 2026-02-30\n", "installation.yaml:5:9  closed", "no day or time that exists"),
    ("site: {lowest_cell_c: 010}\n", "installation.yaml:5:23  site.lowest_cell_c", "such as 10"),
    ("site: {address: roof #2 face}\n", "installation.yaml:5:", "quotes"),
    ("site: &a {address: x}\n", "installation.yaml:5:", "&a"),
    ("closed: 2026-01-01\nclosed: 2026-01-02\n", "installation.yaml:6:1", "line 5"),
    ("site:\n\taddress: x\n", "installation.yaml:6:1", "tab"),
]


@pytest.mark.parametrize(
    "command", [["check"], ["pack", "--out", "handover"]], ids=["check", "pack"]
)
@pytest.mark.parametrize(("mistake", "place", "words"), CASES, ids=lambda v: str(v)[:20].strip())
def test_a_command_refuses_with_exit_code_2_and_writes_nothing(
    tmp_path: Path, command: list[str], mistake: str, place: str, words: str
) -> None:
    job = tmp_path / "job"
    job.mkdir()
    (job / "installation.yaml").write_text(HEAD + mistake, "utf-8")
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-m", "compliance", command[0], "job", *command[1:]],
        capture_output=True, text=True, check=False, cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert place in done.stderr
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job"]
    assert sorted(p.name for p in job.iterdir()) == ["installation.yaml"]
