"""The README tells the truth: its commands give what it prints, and CI runs its test command."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")
TOUR = re.findall(r"```text\n\$ (compliance [^\n]+)\n(.*?)\n```", README, re.DOTALL)


def test_the_tour_has_blocks() -> None:
    assert len(TOUR) >= 4


def test_every_block_of_the_tour_is_real_output(tmp_path: Path) -> None:
    environment = {**os.environ, "COLUMNS": "80", "PYTHONPATH": str(ROOT)}
    (tmp_path / "sample_installs").symlink_to(ROOT / "sample_installs")
    for command, printed in TOUR:
        words = [sys.executable, "-m", "compliance", *shlex.split(command)[1:]]
        done = subprocess.run(  # noqa: S603
            words, capture_output=True, text=True, check=False, cwd=tmp_path, env=environment
        )
        assert done.returncode in (0, 1), done.stderr
        assert _same_bytes_apart(done.stdout) == _same_bytes_apart(printed), command


def _same_bytes_apart(text: str) -> str:
    """Output without the numbers that depend on the installed libraries' versions."""
    return re.sub(r"\b[0-9a-f]{64}\b|\b[0-9a-f]{12}\b", "NUMBER", text).strip()


@pytest.mark.parametrize("ending", ["--out handover", "pytest -q -n auto"])
def test_the_two_commands_stand_on_a_line_of_their_own(ending: str) -> None:
    lines = [line for line in README.splitlines() if line.startswith("python3 -m venv .venv")]
    assert len([line for line in lines if line.endswith(ending)]) == 1


def test_ci_runs_the_test_command_of_the_readme() -> None:
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    pattern = re.search(r"sed -n '(s/.*?/p)' README.md", script)
    assert pattern
    found = subprocess.run(  # noqa: S603
        ["sed", "-n", pattern[1], str(ROOT / "README.md")],  # noqa: S607
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert found.stdout.strip().endswith("-m pytest -q -n auto")


def test_the_top_level_holds_what_the_layout_names() -> None:
    listed = subprocess.run(  # noqa: S603
        ["git", "-C", str(ROOT), "ls-files"],  # noqa: S607
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    named = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml",
             "compliance", "rulesets", "templates", "tests", "sample_installs"}  # fmt: skip
    assert {t for t in top if not t.startswith(".")} <= named | {"benchmarks", "docs"}
