"""The command line as people call it: help, suggestions, exit codes, one shape of JSON."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from importlib import metadata
from pathlib import Path

import pytest

from compliance import cli
from compliance.rules.outcome import NO_PERMISSION

ROOT = Path(__file__).parents[2]
SMALL = Path(__file__).with_name("small")
Called = tuple[int, str, str]
Call = Callable[..., Called]


def _job(folder: Path, *, instead: tuple[str, str] = ("", "")) -> Path:
    folder.mkdir(parents=True)
    text = (SMALL / "installation.yaml").read_text("utf-8")
    assert instead[0] in text
    (folder / "installation.yaml").write_text(text.replace(*instead, 1), "utf-8")
    return folder


# -- help and wrong calls -----------------------------------------------------------------


@pytest.mark.parametrize("arguments", [[], ["--help"], ["-h"]])
def test_the_bare_command_helps(call: Call, arguments: list[str]) -> None:
    code, out, err = call(*arguments)
    assert (code, err) == (0, "")
    for command in cli.COMMANDS:
        assert f"  {command} " in out
    assert "Start with: compliance check" in out
    assert "permission to energise" in " ".join(out.split())


@pytest.mark.parametrize("command", cli.COMMANDS)
def test_each_command_helps_and_says_what_its_exit_codes_mean(call: Call, command: str) -> None:
    code, out, _ = call(command, "--help")
    assert code == 0
    assert f"compliance {command}" in out


@pytest.mark.parametrize(
    ("typed", "meant"), [("chek", "check"), ("veryfy", "verify"), ("rule", "rules")]
)
def test_a_mistyped_command_names_the_nearest(call: Call, typed: str, meant: str) -> None:
    code, out, err = call(typed)
    assert (code, out) == (2, "")
    assert f'did you mean "{meant}"?' in err


def test_a_word_that_is_no_command_is_refused(call: Call) -> None:
    code, out, err = call("zzz")
    assert (code, out) == (2, "")
    assert "zzz" in err


@pytest.mark.parametrize("installed", ["0.1.0", None])
def test_the_version_is_told_also_where_none_is_installed(
    call: Call, monkeypatch: pytest.MonkeyPatch, installed: str | None
) -> None:
    def version(package: str) -> str:
        assert package == "installation-evidence"
        if installed is None:
            raise metadata.PackageNotFoundError(package)
        return installed

    monkeypatch.setattr(metadata, "version", version)
    code, out, err = call("--version")
    assert (code, err) == (0, "")
    assert out == f"{installed}\n" if installed else "is not installed" in out


def test_one_question_is_shown_with_when_it_is_asked(call: Call) -> None:
    code, out, _ = call("rules", "show", "loop-below-the-supply")
    assert code == 0
    assert "circuit.loop_impedance.zs_ohm < site.supply.ze_ohm" in " ".join(out.split())
    assert "A question is no finding" in out


def test_the_list_of_rules_shows_questions_apart(call: Call) -> None:
    _, out, _ = call("rules", "list")
    requirements, questions = out.split("Questions that a reader of the record would ask")
    assert "string-insulation" in requirements
    assert "dead-reading-of-nothing" in questions
    data = json.loads(call("rules", "list", "--format", "json")[1])
    assert "dead-reading-of-nothing" in {q["id"] for q in data["questions"]}
    assert "dead-reading-of-nothing" not in {r["id"] for r in data["requirements"]}


def test_a_folder_that_is_not_there_says_what_to_give(call: Call, tmp_path: Path) -> None:
    code, out, err = call("check", tmp_path / "nowhere")
    assert (code, out) == (2, "")
    assert "name the folder that holds a job" in err


def test_a_folder_without_a_record_names_the_jobs_inside(call: Call, tmp_path: Path) -> None:
    code, _, err = call("check", tmp_path)
    assert code == 2
    assert "holds no installation.yaml" in err
    _job(tmp_path / "terrace")
    code, out, err = call("live", tmp_path)  # of one job alone; `check` takes a folder of them
    assert (code, out) == (2, "")
    assert "terrace" in err


def test_the_record_itself_may_be_named(call: Call) -> None:
    assert call("check", SMALL / "installation.yaml")[:2] == call("check", SMALL)[:2]


@pytest.mark.parametrize("day", ["2026-02-30", "08/02/2026", "2026-2-8", "tomorrow", "20260208"])
def test_a_day_that_is_none_is_refused(call: Call, day: str) -> None:
    code, out, err = call("check", SMALL, "--on", day)
    assert (code, out) == (2, "")
    assert f'"{day}" is not a day; write it as 2026-02-08' in err


def test_a_record_that_cannot_be_used_is_told_with_its_line(call: Call, tmp_path: Path) -> None:
    job = _job(tmp_path / "job", instead=("closed: 2026-11-10", "closed: 2026-11-31"))
    code, out, err = call("check", job)
    assert (code, out) == (2, "")
    assert f"{job / 'installation.yaml'}:6:9  closed\n" in err
    assert "no day or time that exists" in err


# -- check --------------------------------------------------------------------------------


def test_a_job_with_gaps_is_told_on_stdout_and_exits_1(call: Call) -> None:
    code, out, err = call("check", SMALL)
    assert (code, err) == (1, "")
    assert out.splitlines()[0] == "T-1  A small record (invented), checked on 2026-11-10"
    assert "DANGER (1)" in out
    assert out.index("DANGER") < out.index("Holds up leaving the site") < out.index("Also open: ")
    assert "switching on (" in out
    assert NO_PERMISSION in " ".join(out.split())
    assert all(len(line) <= 100 for line in out.splitlines())


def test_the_day_of_the_check_is_the_records_own_unless_it_is_said(
    call: Call, tmp_path: Path
) -> None:
    assert "checked on 2026-11-05" in call("check", SMALL, "--on", "2026-11-05")[1]
    unclosed = _job(tmp_path / "job", instead=("closed: 2026-11-10\n", ""))
    out = call("check", unclosed)[1]
    assert "checked on 2026-11-10" not in out


def test_explain_prints_one_requirement_with_its_subjects(call: Call) -> None:
    code, out, _ = call("check", SMALL, "--explain", "string-polarity")
    assert code == 1
    assert out.startswith("string-polarity: Polarity of each string, by meter\n")
    assert "S1: Polarity" in out
    assert "reversed" in out
    assert "each string in strings" in out
    assert NO_PERMISSION in " ".join(out.split())


def test_explain_of_no_requirement_names_the_nearest(call: Call) -> None:
    code, out, err = call("check", SMALL, "--explain", "string-polarety")
    assert (code, out) == (2, "")
    assert 'no requirement is called "string-polarety"' in err
    assert 'Did you mean "string-polarity"?' in err


def test_json_has_one_shape_whatever_else_was_asked(call: Call) -> None:
    shapes = []
    for more in ([], ["--all"], ["--explain", "string-polarity"]):
        code, out, err = call("check", SMALL, "--format", "json", *more)
        assert (code, err) == (1, "")
        shapes.append(json.loads(out))
    whole, everything, one = shapes
    assert whole == everything
    assert set(one) == set(whole)
    assert {f["requirement"] for f in one["findings"]} == {"string-polarity"}
    assert whole["format"] == 1
    assert whole["notice"] == NO_PERMISSION
    assert whole["on"] == "2026-11-10"
    assert whole["held_up"] is True
    assert sum(whole["counts"].values()) == len(whole["findings"])
    polarity = one["findings"][0]
    assert polarity["outcome"] == "not met"
    assert polarity["danger"].startswith("Leave this string's isolator open")
    assert "danger" not in polarity["remark"]


def test_json_is_as_the_schema_says(call: Call) -> None:
    import jsonschema

    schema = json.loads((ROOT / "compliance" / "rules" / "findings.schema.json").read_text("utf-8"))
    for job in (SMALL, *sorted((ROOT / "sample_installs").glob("*/installation.yaml"))):
        jsonschema.validate(json.loads(call("check", job, "--format", "json")[1]), schema)


def test_the_same_call_prints_the_same(call: Call) -> None:
    assert call("check", SMALL, "--all") == call("check", SMALL, "--all")


# -- rules --------------------------------------------------------------------------------


def test_a_jurisdiction_that_is_none_names_those_there_are(call: Call) -> None:
    code, out, err = call("rules", "list", "--jurisdiction", "atlantis")
    assert (code, out) == (2, "")
    assert "there are: gb" in err


# -- faults of ours -----------------------------------------------------------------------


def test_a_fault_of_ours_says_so_without_a_word_of_the_record(
    call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("T-1 A small record (invented) of Secret Customer")

    monkeypatch.setattr("compliance.rules.job.open_job", broken)
    code, out, err = call("check", SMALL)
    assert (code, out) == (70, "")
    assert "our fault, not yours" in err
    assert "RuntimeError" in err
    assert "test_cli.py" in err, "where it happened"
    for word in ("Secret", "T-1", "invented"):
        assert word not in err


def test_an_interruption_leaves_with_130(call: Call, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("compliance.rules.job.open_job", interrupted)
    code, out, err = call("check", SMALL)
    assert (code, out) == (130, "")
    assert "interrupted" in err


# -- as a process of its own --------------------------------------------------------------


def _process(*arguments: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-m", "compliance", *arguments],
        capture_output=True, text=True, check=False, cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip


@pytest.mark.parametrize("command", [["check"], ["pack", "--out", "handover"]])
def test_a_record_that_cannot_be_used_exits_2_and_nothing_is_written(
    tmp_path: Path, command: list[str]
) -> None:
    _job(tmp_path / "job", instead=("closed: 2026-11-10", "closed: 2026-02-30"))
    done = _process(command[0], "job", *command[1:], folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("job/installation.yaml:6:9  closed\n")
    assert "Traceback" not in done.stderr
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job"]


def test_a_pipe_that_closes_early_is_no_fault(tmp_path: Path) -> None:
    command = f"{sys.executable} -m compliance check {SMALL} --all | head -1"
    done = subprocess.run(  # noqa: S602 - a fixed command, for its pipe
        command, shell=True, capture_output=True, text=True, check=False, cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.stdout.startswith("T-1")
    assert done.stderr == ""


# -- other forms of a check ---------------------------------------------------------------

SAMPLES = ROOT / "sample_installs"


def test_markdown_says_every_gap_and_no_more(call: Call) -> None:
    _, out, _ = call("check", SAMPLES / "terrace-eight-faults", "--format", "json")
    findings = json.loads(out)["findings"]
    gaps = [f for f in findings if f["outcome"] in ("not met", "not shown", "for judgement")]
    code, text, _ = call("check", SAMPLES / "terrace-eight-faults", "--format", "markdown")
    assert code == 1
    assert text.count("\n- **") == len(gaps)
    assert NO_PERMISSION in text
    assert text.index("## Danger") < text.index("## Switching on") < text.index("## Supply first")


HOSTILE = "title: '<b>1. *x* [y](z) `q` | # -'"


def test_what_was_typed_stays_literal_in_markdown(call: Call, tmp_path: Path) -> None:
    """Read back by markdown-it-py, a general reader of CommonMark."""
    from markdown_it import MarkdownIt

    job = _job(tmp_path / "job", instead=("title: A small record (invented)", HOSTILE))
    _, text, _ = call("check", job, "--format", "markdown")
    tokens = MarkdownIt("commonmark").parse(text)
    heading = tokens[1].children or []
    assert [child.type for child in heading] == ["text"]
    assert heading[0].content.endswith("<b>1. *x* [y](z) `q` | # -")
    assert not any(token.type == "html_block" for token in tokens)


def test_a_visit_is_checked_as_of_its_day_and_says_what_is_the_last_chance(call: Call) -> None:
    job = SAMPLES / "terrace-eight-faults"
    _, out, _ = call("check", job, "--visit", "2026-11-06")
    assert "checked on 2026-11-06" in " ".join(out.split())
    assert (
        out.index("DANGER") < out.index("Holds up leaving") < out.index("Last chance on 2026-11-06")
    )
    last = out[out.index("Last chance") :]
    assert "C7: Earth fault loop impedance" in last
    assert NO_PERMISSION in " ".join(out.split())
    _, out, _ = call("check", job, "--visit", "2026-11-07")
    assert "Last chance on 2026-11-07 (0)" in out
