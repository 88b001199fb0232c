"""Every way of writing something that cannot be is refused: with its place, and what to write."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from compliance.errors import ComplianceError, Problems, RecordError
from compliance.files.yaml import parse_yaml
from compliance.record.load import record_from

ROOT = Path(__file__).parents[2]
HEAD = """\
record: installation/1
reference: J-1
jurisdiction: GB-ENG
title: An invented job
"""
PARTS = """\
parts:
  roof: {kind: array}
components:
  m1: {category: module}
  i1: {category: inverter}
strings:
  S1: {modules: m1}
people:
  rowan: {name: Rowan (invented)}
"""

# The fifth line of the record holds the mistake; rows of reliability.md 5.3 first.
CASES = [
    ("site: {lowest_cell_c: 010}", "record.not-a-number", "such as 10"),
    ("site: {lowest_cell_c: 12:30}", "record.not-a-number", "plain number"),
    ("site: {lowest_cell_c: 1e3}", "record.not-a-number", "such as 1000"),
    ("site: {lowest_cell_c: 1_000}", "record.not-a-number", "such as 1000"),
    ("site: {lowest_cell_c: .nan}", "record.not-a-number", "plain number"),
    ("site: {lowest_cell_c: .inf}", "record.not-a-number", "plain number"),
    ("site: {lowest_cell_c: nan}", "record.not-a-number", "plain number"),
    ("site: {lowest_cell_c: 1e400}", "record.not-a-number", "plain number"),
    ("site: {lowest_cell_c: " + "9" * 5000 + "}", "record.too-many-digits", "12 digits"),
    ("site: {lowest_cell_c: 0x" + "f" * 5000 + "}", "record.not-a-number", "plain number"),
    ("site: {lowest_cell_c: -2OO}", "record.not-a-number", "such as -200"),
    ("site: {lowest_cell_c: ١٢}", "record.not-a-number", "plain number"),
    ("site: {lowest_cell_c: ²}", "record.not-a-number", "plain number"),
    ('site: {lowest_cell_c: "-1,5"}', "record.not-a-number", "such as -1.5"),
    ("site: {lowest_cell_c: -15 °C}", "record.unit-written", "such as -15"),
    ("site: {lowest_cell_c: 14 V}", "record.unit-written", "in °C"),
    ("site: {lowest_cell_c: over 5}", "record.beyond-range", "rated or counted"),
    ("site: {lowest_cell_c: [1, 2]}", "record.wrong-shape", "a single value"),
    ("closed: 2026-02-30", "record.not-a-date", "no day or time that exists"),
    ("closed: 2026-2-8", "record.not-a-date", "2026-02-08"),
    ("closed: 08/02/2026", "record.not-a-date", "2026-02-08"),
    ("closed: 2026-02-08T25:00", "record.not-a-date", "no day or time that exists"),
    ("closed: not yet", "record.not-a-date", "date in full"),
    ("closed: ~", "record.says-nothing", "Leave the line out"),
    ("closed: null", "record.says-nothing", "Leave the line out"),
    ("closed:", "record.says-nothing", "Leave the line out"),
    ("closed: tbc", "record.says-nothing", "Leave the line out"),
    ("site: {address: n/a}", "record.says-nothing", "Leave the line out"),
    ("site: {address: ''}", "record.says-nothing", "Leave the line out"),
    ("strings: []", "record.empty-list", '"none"'),
    ("strings: {}", "record.empty-list", '"none"'),
    ("strings: [{in_series: 3}]", "record.wrong-shape", "short name"),
    ("visits: {a: {on: 2026-01-01}}", "record.wrong-shape", "dash"),
    ("strings: maybe", "record.wrong-shape", '"none"'),
    ("sites: {address: x}", "record.unknown-field", '"site"'),
    ("site: {adress: x}", "record.unknown-field", '"address"'),
    ("site: {supply: {earthing: TNS}}", "record.unknown-word", '"TN-S"'),
    ("isolators: {d: {side: dc, serves: S9}}", "record.unknown-reference", '"S9"'),
    ("isolators: {d: {side: dc}}", "record.missing-field", "strings"),
    ("isolators: {d: {side: left}}", "record.unknown-word", "dc, ac"),
    ("isolators: {d: {serves: S1}}", "record.missing-field", "dc, ac"),
    ("isolators: {d: {side: ac, serves: m1}}", "record.unknown-reference", "category inverter"),
    ("isolators: {S1: {side: ac, serves: i1}}", "record.name-twice", "a name of its own"),
    ("isolators: {d: {side: ac, serves: i1, lockable: true}}", "record.not-yes-or-no", '"yes"'),
    ("isolators: {d: {side: ac, serves: i1, lockable: on}}", "record.not-yes-or-no", '"yes"'),
    ("isolators: {d: {side: ac, serves: i1, lockable: YES}}", "record.not-yes-or-no", '"yes"'),
    ("tests: [{test: insulation, of: S1, positive_earth_megohm: not taken}]", "record.not-taken",
     "say why"),
    ('tests: [{test: insulation, of: S1, test_voltage_v: "not taken: rain"}]', "record.not-taken",
     "no reading"),
    ("tests: [{test: insulation, of: S1, not_taken: tbc}]", "record.says-nothing", "Leave"),
    ("tests: [{test: insulation, of: S1, positive_earth_megohm: 12 V}]", "record.unit-written",
     "in MΩ"),
    ("tests: [{test: polarity, of: S1, on: 2026-02-02}, {test: polarity, of: S1, on: 2026-02-01}]",
     "record.order-of-tests", "latest last"),
    ("evidence: {e: {file: a.jpg, kind: photo, about: nobody}}", "record.unknown-reference",
     '"nobody"'),
]  # fmt: skip


def _problem(text: str) -> ComplianceError:
    with pytest.raises(ComplianceError) as caught:
        record_from(parse_yaml(text.encode(), name="job.yaml"), Path("job"))
    return caught.value


@pytest.mark.parametrize(("line", "cause", "words"), CASES, ids=lambda v: str(v)[:40])
def test_a_mistake_is_refused_with_its_line_and_what_would_be_right(
    line: str, cause: str, words: str
) -> None:
    rest = "" if line.startswith("strings") else PARTS
    problem = _problem(f"{HEAD}{line}\n{rest}")
    assert problem.id == cause, str(problem)
    assert problem.place is not None
    assert problem.place.file == "job.yaml"
    assert problem.place.line == (12 if cause == "record.name-twice" else 5)
    assert words in problem.what
    assert not any(word in str(problem) for word in ("Input should", "validation", "ruamel"))
    assert len(problem.what) < 600


@pytest.mark.parametrize("word", ["strings", "visits", "departures"])
def test_none_says_that_there_is_nothing(word: str) -> None:
    text = f"{HEAD}{word}: none\n"
    record = record_from(parse_yaml(text.encode(), name="job.yaml"), Path("job")).record
    assert not getattr(record, word)
    assert getattr(record, word) is not None


def test_a_block_of_text_where_a_reading_belongs_is_refused() -> None:
    text = f"{HEAD}site:\n  supply:\n    ze_ohm: >\n      200\n"
    problem = _problem(text)
    assert problem.id == "record.block-outside-text"
    assert "over 200" in problem.what


def test_yes_no_and_on_stay_words_in_text() -> None:
    text = f"{HEAD}site: {{address: no}}\n"
    record = record_from(parse_yaml(text.encode(), name="job.yaml"), Path("job")).record
    assert record.site.address == "no"


def test_a_wrong_first_line_is_named() -> None:
    problem = _problem(HEAD.replace("installation/1", "installation/9"))
    assert isinstance(problem, RecordError)
    assert problem.id == "record.wrong-format"


def test_every_mistake_of_a_file_is_told_at_once_in_order() -> None:
    text = (
        f"{HEAD}closed: 2026-02-30\nsite: {{lowest_cell_c: 1e3, adress: x}}\n"
        "strings:\n  S1: {modules: nothing, in_series: nine}\n"
        "isolators:\n  d1: {side: dc, serves: [S1, S2]}\n"
    )
    problem = _problem(text)
    assert isinstance(problem, Problems)
    assert [(p.place.line if p.place else 0, p.id) for p in problem.problems] == [
        (5, "record.not-a-date"),
        (6, "record.not-a-number"),
        (6, "record.unknown-field"),
        (8, "record.unknown-reference"),
        (8, "record.not-a-number"),
        (10, "record.unknown-reference"),
    ]


@pytest.mark.parametrize("command", [["check"], ["pack", "--out", "handover"]])
def test_a_command_refuses_with_exit_code_2_and_writes_nothing(
    tmp_path: Path, command: list[str]
) -> None:
    job = tmp_path / "job"
    job.mkdir()
    (job / "installation.yaml").write_text(f"{HEAD}closed: 2026-02-30\n", "utf-8")
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-m", "compliance", command[0], "job", *command[1:]],
        capture_output=True, text=True, check=False, cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT), "PATH": ""},
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert "job/installation.yaml:5:9  closed" in done.stderr
    assert "Traceback" not in done.stderr
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job"]
