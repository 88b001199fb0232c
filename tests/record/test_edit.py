"""One change to a record's text leaves everything else of it as it was written."""

from __future__ import annotations

import random
import re
from pathlib import Path
from typing import Any

import pytest

from compliance.files.written import Written
from compliance.files.yaml import parse_yaml
from compliance.record.edit import Change, NotWrittenAsMeantError, edited

SAMPLES = Path(__file__).parents[2] / "sample_installs"
TEXT = """\
# An invented record, with a word above everything.
record: installation/1     # the format
reference: "0042"          # quotes kept
site:
  supply:
    ze_ohm: 0.30           # not 0.3

    # why there is no fault current: meter broke
strings:
  S1: {in_series: 9, parallel: 1}   # in one line
tests:
  - test: polarity
    of: S1
    result: correct        # by meter

  # retest after the repair comes here
# --- what people said ---
departures: none
# the end
"""


def _edit(change: Change, text: str = TEXT) -> str:
    return edited(text.encode(), change, "installation.yaml").decode()


def _gone_and_new(after: str, text: str = TEXT) -> tuple[list[str], list[str]]:
    old, new = text.splitlines(), after.splitlines()
    return [line for line in old if line not in new], [line for line in new if line not in old]


@pytest.mark.parametrize(
    ("loc", "value", "gone", "new"),
    [
        (("site", "supply", "ze_ohm"), "0.45", "    ze_ohm: 0.30           # not 0.3",
         "    ze_ohm: 0.45           # not 0.3"),
        (("reference",), "7", 'reference: "0042"          # quotes kept',
         'reference: "7"          # quotes kept'),
        (("tests", 0, "result"), "reversed", "    result: correct        # by meter",
         "    result: reversed       # by meter"),
    ],
)  # fmt: skip
def test_a_value_is_changed_on_its_line_alone(
    loc: tuple[str | int, ...], value: str, gone: str, new: str
) -> None:
    was, now = _gone_and_new(_edit(Change(loc, value)))
    assert was == [gone]
    assert [re.sub(" +", " ", line) for line in now] == [re.sub(" +", " ", new)]


def test_a_new_test_stands_below_the_last_and_above_what_follows() -> None:
    after = _edit(Change(("tests", 1), {"test": "insulation", "of": "S1"}))
    assert _gone_and_new(after) == ([], ["  - test: insulation"])
    assert after.index("- test: insulation") < after.index("# --- what people said")
    assert after.index("# by meter") < after.index("- test: insulation")


def test_a_new_value_of_a_group_stands_at_its_end() -> None:
    after = _edit(Change(("site", "supply", "phases"), "1"))
    assert _gone_and_new(after) == ([], ["    phases: 1"])
    assert after.index("# why there is no") < after.index("strings:")


def test_groups_on_the_way_are_made_and_none_becomes_a_list() -> None:
    data = parse_yaml(_edit(Change(("departures", 0), {"by": "ash"})).encode(), name="x").data
    assert data["departures"] == [{"by": "ash"}]
    data = parse_yaml(_edit(Change(("customer", "name"), "T. Standin")).encode(), name="x").data
    assert data["customer"] == {"name": "T. Standin"}


@pytest.mark.parametrize(
    "value",
    ["yes", "010", "1e3", "over 200", "> 200", "a: b", "roof #2", "- x", "'quoted'", "{x", "[",
     "&a", "*a", "!t", "%d", "@at", "`b", "x\ty",
     "ends in colon:", "null", "~", "é Ω ≤", " spaces "],
)  # fmt: skip
def test_every_text_comes_back_as_it_was_typed(value: str) -> None:
    after = _edit(Change(("site", "address"), value))
    assert str(parse_yaml(after.encode(), name="x").data["site"]["address"]) == value  # type: ignore[index,call-overload]


def test_lists_over_several_lines_stay_as_they_were_laid_out() -> None:
    text = TEXT + "serials: [\n  A-1, A-2,  # two\n  A-3]\nafter: x   # last\n"
    after = _edit(Change(("tests", 1), {"test": "insulation", "of": "S1"}), text)
    assert _gone_and_new(after, text) == ([], ["  - test: insulation"])
    after = _edit(Change(("after",), "y"), text)
    assert _gone_and_new(after, text) == (["after: x   # last"], ["after: y   # last"])


@pytest.mark.parametrize(
    ("sample", "edits"), [("garage-second-life-modules", 85), ("terrace-eight-faults", 15)]
)
def test_a_hundred_random_edits_lose_no_comment_and_change_nothing_else(
    sample: str, edits: int
) -> None:
    """Every edit is one of a leaf, a new leaf or a new entry, of a sample with comments in it."""
    made = random.Random(20261125)
    lines = (SAMPLES / sample / "installation.yaml").read_text("utf-8").splitlines()
    for number in range(3, len(lines), 7):
        if lines[number].lstrip().startswith("NL415") or lines[number].endswith("["):
            continue  # ruamel.yaml drops comments between the brackets of a list
        lines[number] += f"  # comment {number}"
        indent = re.match(r"[ -]*", lines[number])[0].replace("-", " ")  # type: ignore[index]
        lines[number] += f"\n{indent}# line {number}"
    text = "\n".join(lines) + "\n"
    comments = re.findall(r"# .*", text)
    for number in range(edits):
        tree = parse_yaml(text.encode(), name="x")
        leaves = [loc for loc in _leaves(tree.data) if len(loc) > 1]
        loc = made.choice(leaves)
        kind = made.randrange(3)
        if kind == 0:
            change = Change(loc, f"value {number}")
        elif kind == 1:
            change = Change((*_group_of(loc), f"new_{number}"), f"value {number}")
        else:
            tests: Any = tree.data.get("tests", ())
            change = Change(("tests", len(tests)), {"test": "polarity", "of": f"S{number}"})
        text = edited(text.encode(), change, "x").decode()
        assert re.findall(r"# .*", text) == comments, change


def _leaves(node: Any, loc: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    if isinstance(node, Written):
        return [loc]
    items = node.items() if isinstance(node, dict) else enumerate(node)
    return [leaf for key, below in items for leaf in _leaves(below, (*loc, _key(key)))]


def _key(key: Any) -> str | int:
    return key if isinstance(key, int) else str(key)


def _group_of(loc: tuple[str | int, ...]) -> tuple[str | int, ...]:
    group = loc[:-1]
    while group and isinstance(loc[len(group)], int):
        group = group[:-1]
    return group


def test_a_change_that_would_alter_something_else_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("compliance.record.edit._written_like", lambda text, change: "x: 1\n")
    with pytest.raises(NotWrittenAsMeantError):
        _edit(Change(("site", "address"), "y"))
