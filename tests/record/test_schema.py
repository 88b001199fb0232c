"""The exported schema and the loader take and refuse the same records.

Judged by the jsonschema library, which knows nothing of this project.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from bad_input.expectations import cases, expected, name_of
from jsonschema import Draft202012Validator

from compliance.files.yaml import parse_yaml, read_yaml
from compliance.record.load import record_from
from compliance.record.migrations import in_todays_format
from compliance.record.schema import record_schema

ROOT = Path(__file__).parents[2]
RECORDS = sorted(ROOT.glob("sample_installs/*/installation.yaml"))
BAD = cases(ROOT / "tests" / "bad_input" / "record")
BEYOND_A_SCHEMA = {
    "record.unknown-reference": "names that must exist in the same record",
    "record.name-twice": "a name used in two collections",
    "record.newer-format": "told before anything else is read",
    "record.unknown-document": "needs the register of sources",
    "record.not-a-name": "what a short name may be",
    "record.planned-only": "what is said of a batch elsewhere in the record",
    "record.nobody-says-it": "what a batch's entries take over",
    "record.no-range": "numbers that follow each other",
    "record.order-of-tests": "dates against the order of entries",
    "record.dates-contradict": "dates against other dates",
    "record.visit-before-start": "dates against other dates",
    "record.loop-of-references": "where references lead",
    "record.which-part": "what is left out and cannot be guessed",
    "record.name-of-firm": "needs the firm's file",
    "record.unknown-usual": "needs the firm's file",
    "record.another-kind": "needs the firm's file",
    "record.unknown-requirement": "needs the rulesets",
    "record.unknown-subject": "needs the rulesets",
    "record.too-many-digits": "digits that matter, wherever the point is",
    "record.too-many-problems": "how many problems are told",
    "record.block-outside-text": "how a text was written, which data no longer says",
}
VALIDATOR = Draft202012Validator(record_schema())


def as_json(node: Any) -> Any:
    """What the YAML loader read, as plain data for a validator of JSON Schema."""
    if isinstance(node, dict):
        return {str(key): as_json(value) for key, value in node.items()}
    return [as_json(item) for item in node] if isinstance(node, list) else str(node).strip()


def _problems(data: Any) -> list[str]:
    return [error.message for error in VALIDATOR.iter_errors(as_json(data))]


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(record_schema())


def test_what_a_batch_says_of_its_entries_is_taken() -> None:
    usual = Path(__file__).parents[1] / "jobs" / "usual" / "next"
    data = read_yaml(usual / "installation.yaml").data
    assert "readable" in data["batches"]["as-built"]  # type: ignore[index,call-overload]
    assert _problems(data) == []


@pytest.mark.parametrize("path", RECORDS, ids=lambda p: p.parent.name)
def test_every_sample_is_taken(path: Path) -> None:
    tree = read_yaml(path)
    record_from(tree, path.parent)
    assert _problems(tree.data) == []


@pytest.mark.parametrize("case", BAD, ids=name_of)
def test_what_the_loader_refuses_the_schema_refuses(case: Path) -> None:
    causes = {want.cause for want in expected(case)}
    if causes <= set(BEYOND_A_SCHEMA):
        return
    tree = in_todays_format(parse_yaml(case.read_bytes(), name=case.name)).tree
    refused = bool(_problems(tree.data))
    if "record.not-a-date" in causes and "02-30" in case.read_text("utf-8"):
        return  # a day that the calendar does not have: no pattern says so
    assert refused, f"the schema takes what is refused as {causes}"


def test_numbers_and_truths_of_json_are_taken_as_such() -> None:
    text = b"record: installation/2\nreference: r\njurisdiction: GB-ENG\ntitle: t\n"
    data = as_json(parse_yaml(text, name="x").data)
    assert not list(VALIDATOR.iter_errors(data))
    data["site"] = {"supply": {"phases": 1, "ze_ohm": 0.35}}
    data["isolators"] = {"ac1": {"side": "ac", "serves": "inv", "lockable": True}}
    assert not list(VALIDATOR.iter_errors(data))
    data["site"]["supply"]["ze_ohm"] = "0,35"
    assert list(VALIDATOR.iter_errors(data))


def test_a_mistake_is_told_of_the_kind_that_was_meant() -> None:
    data = {"side": "ac", "serves": "inv", "lockable": "perhaps"}
    schema = {**record_schema(), "required": []}
    told = list(Draft202012Validator(schema).iter_errors({"isolators": {"ac1": data}}))
    assert told
    assert any("lockable" in list(e.absolute_path) for t in told for e in (t.context or [t]))
