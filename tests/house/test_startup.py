"""What starting up may cost: a command imports what it needs, when it is called."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
RECORD = ROOT / "tests" / "cli" / "small" / "installation.yaml"
DOCUMENTS = ("reportlab", "docx", "jinja2", "markdown_it")
HEAVY = (*DOCUMENTS, "pydantic", "ruamel", "PIL", "pikepdf", "jsonschema", "holidays", "openpyxl")
HOW_TO = "import it inside the function that needs it (see `Commands.get_command`)"


def imported(code: str, *arguments: str) -> set[str]:
    """The top-level modules that are loaded after running some code in a fresh interpreter."""
    report = "import atexit, sys; atexit.register(lambda: print(*sys.modules, file=sys.stderr))"
    done = subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-X", "utf8", "-c", f"{report}\n{code}", *arguments],
        capture_output=True, text=True, check=False, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    return {name.partition(".")[0] for name in done.stderr.splitlines()[-1].split()}


RUN = "import sys; from compliance.cli import main; sys.argv[0] = 'compliance'; main()"


def test_the_command_line_itself_is_light() -> None:
    heavy = imported("import compliance.cli") & set(HEAVY)
    assert not heavy, f"importing compliance.cli loads {heavy}: {HOW_TO}"


@pytest.mark.parametrize("arguments", [["--help"], []])
def test_help_is_light(arguments: list[str]) -> None:
    heavy = imported(RUN, *arguments) & set(HEAVY)
    assert not heavy, f"compliance {' '.join(arguments)} loads {heavy}: {HOW_TO}"


def test_a_check_loads_no_document_library() -> None:
    loaded = imported(RUN, "check", str(RECORD.parent), "--format", "json", "--no-cache")
    assert "pydantic" in loaded, "then this test no longer sees what a check imports"
    heavy = loaded & set(DOCUMENTS)
    assert not heavy, f"compliance check loads {heavy}: {HOW_TO}"


@pytest.mark.parametrize("sample", ["terrace-eight-faults", "bungalow-two-faces"])
@pytest.mark.parametrize("more", [[], ["--all"], ["--format", "json"]])
def test_a_second_check_loads_neither_models_nor_yaml_nor_pictures(
    sample: str, more: list[str]
) -> None:
    job = str(ROOT / "sample_installs" / sample)
    imported(RUN, "check", job)
    heavy = imported(RUN, "check", job, *more) & set(HEAVY)
    assert not heavy, f"a second compliance check loads {heavy}: {HOW_TO}"


def test_a_second_check_of_a_folder_of_jobs_loads_nothing_heavy(tmp_path: Path) -> None:
    jobs = tmp_path / "jobs"
    shutil.copytree(RECORD.parent, jobs / "one")
    imported(RUN, "check", str(jobs))
    heavy = imported(RUN, "check", str(jobs)) & set(HEAVY)
    assert not heavy, f"a second compliance check of a folder loads {heavy}: {HOW_TO}"


@pytest.mark.parametrize(
    "arguments", [["voltage_factor"], ["system_voltage_v", "modules=9", "module_voc_stc_v=41.8"]]
)
def test_a_second_calculation_by_hand_loads_neither_models_nor_yaml(arguments: list[str]) -> None:
    imported(RUN, "calculate", *arguments)
    heavy = imported(RUN, "calculate", *arguments) & set(HEAVY)
    assert not heavy, f"a second compliance calculate loads {heavy}: {HOW_TO}"


def test_a_pack_is_never_made_from_the_cache(tmp_path: Path) -> None:
    job = str(ROOT / "sample_installs" / "bungalow-two-faces")
    imported(RUN, "check", job)
    assert "pydantic" in imported(RUN, "pack", job, "--out", str(tmp_path))
