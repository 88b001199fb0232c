"""What it takes after a point of no return, and when a pause makes tests due again."""

from __future__ import annotations

from datetime import date

import pytest
from rules.small import check, one, only, shipped, told

from compliance.rules.outcome import Finding, Outcome
from compliance.rules.rule import Rule

THEN = "Look from a tower."
REST = f"""\
    holds_up: use
    held_by: installer
    source: {{document: common-practice, confidence: common practice}}
    why: For a test.
    remedy: For a test.
    afterwards: {THEN}
    examples:
      - {{name: a, outcome: met}}
      - {{name: b, outcome: not met}}
      - {{name: c, outcome: not shown}}
"""
PARTS = "parts: {{roof: {{kind: array, designed: 2026-09-01, started: 2026-11-01{covered}}}}}\n"
STRING = "strings: {S1: {in_series: 8}}\n"
KEYS = "for: string in strings\nbefore: {before}\nmust: string.in_series == 8\nevidence: [photo]"


def photo_of(before: str, record: str) -> Finding:
    return only(check(one(KEYS.format(before=before), rest=REST), record + STRING))


@pytest.mark.parametrize(
    ("covered", "asks_for_a_photo"),
    [
        (", covered: not yet", True),
        (", covered: 2026-11-11", True),
        (", covered: 2026-11-10", True),  # today: the last chance
        (", covered: 2026-11-09", False),
        ("", False),  # silence counts as passed
    ],
)
def test_a_photo_is_asked_for_until_the_day_on_which_it_is_covered(
    covered: str, asks_for_a_photo: bool
) -> None:
    found = photo_of("cover", PARTS.format(covered=covered))
    assert found.outcome in (Outcome.NOT_SHOWN, Outcome.NOT_DUE)
    (need,) = found.needs
    assert need.supply.startswith("a photo about S1") is asks_for_a_photo
    assert (THEN.rstrip(".") in need.supply) is not asks_for_a_photo
    assert (THEN in found.remark) is not asks_for_a_photo


@pytest.mark.parametrize(
    ("scaffolds", "asks_for_a_photo"),
    [
        ("scaffolds: {front: {serves: roof, struck: not yet}}\n", True),
        ("scaffolds: {front: {serves: roof, struck: 2026-11-10}}\n", True),
        ("scaffolds: {front: {serves: roof, struck: 2026-11-09}}\n", False),
        ("scaffolds: none\n", False),
        ("", False),
    ],
)
def test_so_it_is_until_the_scaffold_comes_down(scaffolds: str, asks_for_a_photo: bool) -> None:
    found = photo_of("scaffold-down", PARTS.format(covered="") + scaffolds)
    (need,) = found.needs
    assert need.supply.startswith("a photo about S1") is asks_for_a_photo
    assert (THEN.rstrip(".") in need.supply) is not asks_for_a_photo


@pytest.mark.parametrize(
    "rule", [r for r in shipped().rules.rules if "photo" in r.clause.evidence],
    ids=lambda r: r.requirement.id,
)  # fmt: skip
def test_every_photo_of_what_gets_hidden_has_its_afterwards(rule: Rule) -> None:
    if rule.clause.before in ("cover", "scaffold-down"):
        assert rule.requirement.afterwards


def pause(in_use: str, *days: str) -> str:
    kinds = ("polarity", "open-circuit voltage", "insulation")
    tests = [f"  - {{test: {k}, of: S1, on: {d}}}" for d in days for k in kinds]
    parts = f"parts: {{roof: {{kind: array, designed: 2026-09-01{in_use}}}}}\n"
    return parts + STRING + "\n".join(["tests:", *tests, ""])


USED = ", in_use: 2026-11-09"


@pytest.mark.parametrize(
    ("record", "outcome"),
    [
        (pause(USED, "2026-11-09"), "met"),
        (pause(USED, "2026-10-26"), "met"),
        (pause(USED, "2026-10-25"), "not met"),
        (pause(USED, "2026-09-10", "2026-11-08"), "met"),  # tested again
        (pause(USED, "2026-09-10", "2026-11-10"), "not met"),  # again, but only in use
        (pause(USED, "2026-11-10"), "not shown"),
        (pause(", in_use: not yet", "2026-11-01"), "not due"),
        (pause(", in_use: not yet", "2026-10-20"), "not met"),  # too old by any day to come
        (pause(", in_use: 2026-11-20", "2026-11-01"), "not due"),
        (pause("", "2026-11-01"), "not shown"),
    ],
)
def test_a_string_is_due_again_when_its_tests_are_old_on_switching_on(
    record: str, outcome: str
) -> None:
    found = told(check(shipped(), record), "string-tested-again-after-pause")
    assert found == {"S1": outcome}


def test_a_pause_shows_when_it_grows_too_long() -> None:
    record = pause(", in_use: not yet", "2026-10-30")
    days = {5: "not due", 13: "not due", 14: "not due", 15: "not met", 40: "not met"}
    for old, outcome in days.items():
        on = date.fromordinal(date(2026, 10, 30).toordinal() + old)
        found = told(check(shipped(), record, on=on), "string-tested-again-after-pause")
        assert found == {"S1": outcome}, old
