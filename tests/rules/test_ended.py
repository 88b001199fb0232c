"""What one visit left wrong and a later one right stays not met, and endangers nobody now."""

from __future__ import annotations

from datetime import date
from itertools import combinations

import pytest
from rules.small import check, shipped

from compliance.rules.outcome import Checked, Finding, Outcome

BARE, SAFE, SILENT = "dc_ends: bare", "dc_ends: joined", "roof: weathertight"
ENDS = "dc-ends-safe-on-leaving"


def visits(*each: tuple[str, str], on: date = date(2026, 11, 10)) -> Checked:
    lines = [f"  - {{on: {day}, left: {{{left}}}}}" for day, left in each]
    return check(shipped(), "\n".join(["visits:", *lines, ""]), on=on)


def ends(checked: Checked) -> list[Finding]:
    return [f for f in checked.findings if f.requirement.id == ENDS]


def test_bare_ends_stay_a_danger_until_a_later_visit_says_that_they_are_safe() -> None:
    (alone,) = ends(visits(("2026-11-03", BARE)))
    assert (alone.is_danger, alone.ended) == (True, "")
    first, second = ends(visits(("2026-11-03", BARE), ("2026-11-06", SAFE)))
    assert (first.outcome, first.is_danger, first.was_danger) == (Outcome.NOT_MET, False, True)
    assert not first.holds_something_up
    assert first.ended == "Ended on 2026-11-06: the visit of 2026-11-06 was as required."
    assert second.outcome is Outcome.MET


def test_a_silent_visit_ends_nothing() -> None:
    first, second = ends(visits(("2026-11-03", BARE), ("2026-11-06", SILENT)))
    assert first.is_danger
    assert second.outcome is Outcome.NOT_SHOWN


@pytest.mark.parametrize(
    ("each", "dangers"),
    [
        ([("2026-11-06", BARE), ("2026-11-03", SAFE)], 1),  # safe before, not after
        ([("2026-11-03", BARE), ("2026-11-06", SAFE), ("2026-11-07", BARE)], 1),
        ([("2026-11-03", BARE), ("2026-11-05", BARE), ("2026-11-07", SAFE)], 0),
        ([("2026-11-03", BARE), ("2026-11-11", SAFE)], 1),  # dated after the day of the check
        ([("2026-11-03", BARE), ("2026-11-03", SAFE)], 0),  # the second visit of the day
        ([("2026-11-03", SAFE), ("2026-11-03", BARE)], 1),
    ],
)
def test_only_a_later_visit_up_to_the_day_of_the_check_ends_it(
    each: list[tuple[str, str]], dangers: int
) -> None:
    assert sum(f.is_danger for f in ends(visits(*each))) == dangers


@pytest.mark.parametrize(
    ("later", "is_danger"),
    [
        ("access: none needed", True),  # the scaffold still stands there
        ("access: scaffold, scaffold_inspected: 2026-11-05, scaffold_found: safe", False),
        ("access: scaffold, scaffold_inspected: 2026-11-05, scaffold_found: not safe", True),
    ],
)
def test_a_visit_that_used_no_scaffold_does_not_make_the_scaffold_safe(
    later: str, is_danger: bool
) -> None:
    text = (
        "visits:\n  - {on: 2026-11-03, access: scaffold, scaffold_inspected: 2026-11-03, "
        f"scaffold_found: not safe}}\n  - {{on: 2026-11-06, {later}}}\n"
    )
    found = check(shipped(), text, on=date(2026, 11, 10)).findings
    first = next(f for f in found if f.requirement.id == "scaffold-inspected")
    assert (first.subject, first.was_danger) == ("visit of 2026-11-03", True)
    assert first.is_danger is is_danger


def test_forgetting_what_visits_say_never_ends_a_danger() -> None:
    days = ("2026-11-03", "2026-11-05", "2026-11-07")
    for said in (BARE, SAFE), (SAFE, BARE), (BARE, BARE), (SAFE, SAFE):
        each = [(days[0], BARE), *zip(days[1:], said, strict=True)]
        whole = {f.subject for f in ends(visits(*each)) if f.is_danger}
        for forgotten in [c for n in (1, 2) for c in combinations(range(3), n)]:
            less = [(d, SILENT if i in forgotten else left) for i, (d, left) in enumerate(each)]
            after = ends(visits(*less))
            stays = {f.subject for f in after if f.is_danger}
            lost = {f"visit of {days[i]}" for i in forgotten}
            assert whole - lost <= stays
