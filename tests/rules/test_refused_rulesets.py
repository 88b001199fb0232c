"""A mistake in a ruleset or limit table is an error when it loads: file, line, nearest name."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from compliance.errors import ComplianceError, Problems
from compliance.files.resources import rulesets_folder
from compliance.rules.ruleset import load_rules
from compliance.rules.selftest import ExampleError, tried_examples

RULESET = "gb/pv-string-tests.yaml"
LIMITS = "gb/limits/pv-array.yaml"

# file, what stands there, what it is changed to (first place), cause, words of the message
CASES = [
    (RULESET, "string.polarity.result ==", "string.polarety.result ==", "unknown-name",
     '"polarity"'),
    (RULESET, "== 'correct'", "== 'corect'", "unknown-word", '"correct"'),
    (RULESET, "string.cold_voc_v <= string.input", "string.insulation.positive_earth_megohm "
     "<= string.input", "units-differ", "MΩ"),
    (RULESET, "must: string.polarity.result == 'correct'", "must: string.polarity.result >= 3",
     "kinds-differ", "one of the words"),
    (RULESET, "must: string.polarity.result == 'correct'", "must: string.polarity.result",
     "kinds-differ", "a condition"),
    (RULESET, "must: string.polarity.result == 'correct'", "must: string.in_series ** 2 > 3",
     "not-in-the-language", "+ - * /"),
    (RULESET, "must: string.polarity.result == 'correct'", "must: string['polarity'] == 'x'",
     "not-in-the-language", "dot"),
    (RULESET, "must: string.polarity.result == 'correct'",
     "must: __import__('os').system('id') == 1", "not-in-the-language", "no methods"),
    (RULESET, "must: string.polarity.result == 'correct'",
     "must: all(t.test == 'polarity' for t in tests)", "not-sure", "`for`"),
    (RULESET, "must: string.polarity.result == 'correct'",
     "must: any(string.in_series > 2 for string in strings)", "hidden-name", "hides"),
    (RULESET, "must: string.polarity.result == 'correct'",
     "must: string.insulation.positive_earth_megohm == 1", "kinds-differ", "<= or >="),
    (RULESET, "must: string.polarity.result == 'correct'",
     "must: " + "(" * 40 + "string.in_series > 2" + ")" * 40 + " and 1 < 2" * 250, "too-much",
     "split the rule"),
    (RULESET, "must: string.polarity.result == 'correct'",
     "must: string.in_series > 2 and", "not-in-the-language", "brackets"),
    (RULESET, "for: string in strings", "for: string in strngs", "unknown-name", '"strings"'),
    (RULESET, "for: string in strings", "for: strings", "for", "NAME in COLLECTION"),
    (RULESET, "for: string in strings", "for: string in site", "kinds-differ", "a collection"),
    (RULESET, "limits.insulation_megohm(", "limits.insulation_megohms(", "unknown-name",
     '"insulation_megohm"'),
    (RULESET, "sources: [iec-62446-1, iec-62548,", "sources: [iec-62446-1, iec-62548, iec-62446,",
     "unregistered-source", '"iec-62446-1"'),
    (RULESET, "sources: [iec-62446-1, iec-62548,", "sources: [iec-62446-1,", "head-differs",
     "iec-62548"),
    (RULESET, "    before: use\n    must: string.polarity.result == 'correct'\n",
     "    must: string.polarity.result == 'correct'\n    before: use\n", "keys-out-of-order",
     '"before"'),
    (RULESET, "    must: string.polarity.result == 'correct'\n", "", "must-or-judge", "neither"),
    (RULESET, "        outcome: not met\n      - name: nobody measured", "        outcome: met\n"
     "      - name: nobody measured", "missing-examples", "not met"),
    (RULESET, "id: like-strings-agree", "id: string-polarity", "requirement-twice",
     "never reused"),
    (RULESET, "    before: use\n    must: string.polarity", "    before: cover\n    must: "
     "string.polarity", "afterwards-missing", "afterwards"),
    (RULESET, "before: use", "before: scaffold-down", "as-written", "leaving"),
    (RULESET, "held_by: installer", "held_by: instaler", "as-written", '"installer"'),
    (RULESET, "    why: >-\n      A reversed", "    whi: >-\n      A reversed", "as-written",
     '"why"'),
    (RULESET, "confidence: secondary", "confidence: certain", "as-written", "memory"),
    (LIMITS, "{below: 120, value: 0.5}", "{below: 620, value: 0.5}", "limit-rows", "higher bound"),
    (LIMITS, "{above: 500, value: 1.0}", "{above: 600, value: 1.0}", "limit-rows", "above: 500"),
    (LIMITS, "{above: 500, value: 1.0}", "{above: 500, value: one}", "as-written", "plain number"),
    (LIMITS, "  like_strings_percent:", "  insulation_megohm:", "yaml", "already"),
]  # fmt: skip


def _folder(tmp_path: Path) -> Path:
    shutil.copytree(rulesets_folder(), tmp_path / "rulesets")
    return tmp_path / "rulesets"


def _refused(folder: Path) -> tuple[ComplianceError, ...]:
    with pytest.raises(ComplianceError) as caught:
        load_rules(folder, "gb")
    found = caught.value
    return found.problems if isinstance(found, Problems) else (found,)


@pytest.mark.parametrize(("file", "there", "instead", "cause", "words"), CASES,
                         ids=lambda v: str(v)[:30])  # fmt: skip
def test_a_mistake_in_a_ruleset_is_refused_when_it_loads(
    tmp_path: Path, file: str, there: str, instead: str, cause: str, words: str
) -> None:
    folder = _folder(tmp_path)
    text = (folder / file).read_text("utf-8")
    assert there in text
    (folder / file).write_text(text.replace(there, instead, 1), "utf-8")
    first = _refused(folder)[0]
    assert first.id.startswith("yaml." if cause == "yaml" else f"ruleset.{cause}"), str(first)
    assert words in first.what, str(first)
    assert first.place is not None
    assert first.place.file.endswith(file)
    assert first.place.line > 0


def _edition(rows: str) -> str:
    source = "{document: common-practice, confidence: common practice}"
    return (
        f"limits: x\ntables:\n  a_v:\n    title: An invented table\n    editions:\n{rows}".replace(
            "SOURCE", source
        )
    )


@pytest.mark.parametrize(
    ("second", "words"),
    [("2019-01-01", "overlap"), ("2021-01-01", "hole")],
)
def test_editions_that_overlap_or_leave_a_hole_name_both_places(
    tmp_path: Path, second: str, words: str
) -> None:
    folder = _folder(tmp_path)
    rows = (
        "      - {from: 2000-01-01, until: 2020-01-01, source: SOURCE, rows: [{value: 1}]}\n"
        f"      - {{from: {second}, source: SOURCE, rows: [{{value: 2}}]}}\n"
    )
    (folder / "gb" / "limits" / "x.yaml").write_text(_edition(rows), "utf-8")
    (problem,) = _refused(folder)
    assert problem.id == "ruleset.limit-editions"
    assert words in problem.what
    assert "line 6" in problem.what
    assert problem.place is not None
    assert problem.place.line == 7


def test_a_citation_of_an_unregistered_document_is_refused(tmp_path: Path) -> None:
    folder = _folder(tmp_path)
    text = (folder / RULESET).read_text("utf-8")
    (folder / RULESET).write_text(
        text.replace("{document: iec-62446-1, clause", "{document: iec-62446, clause", 1), "utf-8"
    )
    found = {p.id: p for p in _refused(folder)}
    assert '"iec-62446-1"' in found["ruleset.unregistered-source"].what


def test_a_limit_table_that_stands_twice_is_refused(tmp_path: Path) -> None:
    folder = _folder(tmp_path)
    shutil.copy(folder / LIMITS, folder / "gb" / "limits" / "zz.yaml")
    assert {p.id for p in _refused(folder)} == {"ruleset.limit-table-twice"}


def test_an_expression_of_ten_megabytes_is_refused_at_once(tmp_path: Path) -> None:
    folder = _folder(tmp_path)
    text = (folder / RULESET).read_text("utf-8")
    long = "1 < 2 and " * 1_000_000
    (folder / RULESET).write_text(text.replace("must: ", f"must: {long}", 1), "utf-8")
    (problem,) = _refused(folder)
    assert problem.id == "yaml.too-large"


def test_too_many_requirements_ask_for_two_files(tmp_path: Path) -> None:
    folder = _folder(tmp_path)
    text = (folder / "gb" / "ac-circuit-tests.yaml").read_text("utf-8")
    head, first, *_ = text.split("  - id: ")
    many = "".join(f"  - id: {first.replace('protective', f'p{n}')}" for n in range(26))
    (folder / "gb" / "ac-circuit-tests.yaml").write_text(head + many, "utf-8")
    assert "ruleset.too-many-requirements" in {p.id for p in _refused(folder)}


def test_an_example_with_a_name_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    folder = _folder(tmp_path)
    text = (folder / RULESET).read_text("utf-8")
    text = text.replace("given: {string: {polarity:", "given: {string: {polarety:", 1)
    (folder / RULESET).write_text(text, "utf-8")
    with pytest.raises(ExampleError, match="polarity"):
        list(tried_examples(load_rules(folder, "gb")))


def test_a_wrong_example_fails_and_says_what_it_gives(tmp_path: Path) -> None:
    folder = _folder(tmp_path)
    text = (folder / LIMITS).read_text("utf-8")
    (folder / LIMITS).write_text(text.replace("value: 0.5", "value: 0.7", 1), "utf-8")
    failed = [t for t in tried_examples(load_rules(folder, "gb")) if not t.passed]
    assert [t.example for t in failed] == ["short string, lower row of the table"]
    assert failed[0].given == "not met"


def test_every_example_of_every_requirement_passes() -> None:
    tried = list(tried_examples(load_rules(rulesets_folder(), "gb")))
    assert len(tried) > 80
    assert [t for t in tried if not t.passed] == []
