"""Every file under `rulesets/` is a ruleset, limit file or register with one mistake.

It is loaded beside the real register and limit tables, as the only ruleset, and its examples
are run, first as they are and then against small mistakes. Its first line says what is told.
New files are found by themselves. What stands below a line `# another file` is a second
ruleset file, whose lines are counted through.
"""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import pytest
from bad_input.expectations import cases, compare, each, expected, name_of

from compliance.errors import ComplianceError
from compliance.files.resources import rulesets_folder
from compliance.rules.mutations import tried_mutations
from compliance.rules.ruleset import load_rules
from compliance.rules.selftest import tried_examples

CASES = cases(Path(__file__).with_name("rulesets"))
PLACES = {"ruleset": "gb/tried.yaml", "limits": "gb/limits/tried.yaml", "sources": "sources.yaml"}
SECOND, SECOND_FILE = b"# another file\n", "gb/tried2.yaml"


def told(text: bytes, folder: Path) -> list[ComplianceError]:
    """What is told about one file in an otherwise right rulesets folder."""
    shutil.copy(rulesets_folder() / "sources.yaml", folder)
    shutil.copytree(rulesets_folder() / "gb" / "limits", folder / "gb" / "limits")
    lines = text[:10_000].decode().splitlines()
    first = next(line for line in lines if line and not line.startswith("#"))
    text, found, second = text.partition(SECOND)
    (folder / PLACES[first.partition(":")[0]]).write_bytes(text)
    if found:
        (folder / SECOND_FILE).write_bytes(b"\n" * (text.count(b"\n") + 1) + second)
    with pytest.raises(ComplianceError) as caught:
        _use(folder)
    return each(caught.value)


def _use(folder: Path) -> None:
    rules = load_rules(folder, "gb")
    list(tried_examples(rules))
    tried_mutations(rules)


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_each_mistake_is_told_at_its_place_with_what_would_be_right(
    case: Path, tmp_path: Path
) -> None:
    problems = told(case.read_bytes(), tmp_path)
    compare(case, problems)
    files = {str(tmp_path / place) for place in (*PLACES.values(), SECOND_FILE)}
    assert {p.place.file for p in problems if p.place} <= files


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_a_case_lies_in_the_folder_of_a_cause_it_expects(case: Path) -> None:
    assert f"ruleset.{case.parent.name}" in {want.cause for want in expected(case)}


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_what_is_told_inside_a_requirement_or_question_names_it(case: Path, tmp_path: Path) -> None:
    for problem in told(case.read_bytes(), tmp_path):
        assert problem.place is not None
        assert not problem.place.field.startswith(("requirements[", "questions["))


def test_an_expression_of_ten_megabytes_is_refused_before_it_is_read(tmp_path: Path) -> None:
    case = Path(__file__).with_name("rulesets") / "unknown-name" / "a-field.yaml"
    long = "1 < 2 and " * 1_000_000
    text = case.read_bytes().replace(b"must: ", f"must: {long}".encode())
    started = time.perf_counter()
    (problem,) = told(text, tmp_path)
    assert problem.id == "yaml.too-large"
    assert time.perf_counter() - started < 2, "it was read before its size was looked at"
