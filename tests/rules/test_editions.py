"""Editions of a ruleset: the right one by date, and by statement where two are permitted."""

from __future__ import annotations

import shutil
import tempfile
from datetime import date
from pathlib import Path

import pytest
from rules.small import HEAD, RULESETS, check, only, requirement, told, view_of

from compliance.rules.check import Checker
from compliance.rules.outcome import Outcome
from compliance.rules.ruleset import load_rules
from compliance.rules.wanted import wanted
from compliance.rules.world import RecordWorld

OLD, NEW = "bs-7671-2018-a2", "bs-7671-2018-a4"
UNTIL = "from: 2019-01-01, until: 2026-10-15, by: designed"
FROM = "from: 2026-10-15, by: designed"
UNTIL_EITHER = f"{UNTIL}, alternative: {NEW}"
FROM_EITHER = f"from: 2026-04-15, by: designed, alternative: {OLD}"
QUESTION = (
    "questions:\n  - id: odd\n    for: string in strings\n    if: string.in_series <= {most}\n"
    "    ask: Is it odd?\n    innocent: It may not be.\n    examples:\n"
    "      - {{name: a, given: {{string: {{in_series: {most}}}}}, outcome: asked}}\n"
    "      - {{name: b, given: {{string: {{in_series: 99}}}}, outcome: not asked}}\n"
)


def edition(name: str, applies: str, *requirements: str, questions: str = "") -> str:
    """One edition of a ruleset."""
    return (
        f"ruleset: gb-tried\nedition: {name}\ntitle: Tried\njurisdiction: GB\n"
        f"applies: {{{applies}}}\nsources: [common-practice, {name}]\nrequirements:\n"
        + "".join(requirements)
        + questions
    )


def least(modules: int, name: str = "tried") -> str:
    """A requirement that differs between editions by one figure."""
    keys = f"for: string in strings\nbefore: use\nmust: string.in_series >= {modules}"
    return requirement(name, keys)


def checker(*editions: str) -> Checker:
    """A checker of several ruleset files."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        shutil.copy(RULESETS / "sources.yaml", place)
        shutil.copytree(RULESETS / "gb" / "limits", place / "gb" / "limits")
        for number, text in enumerate(editions):
            (place / "gb" / f"tried{number}.yaml").write_text(text, "utf-8")
        return Checker.of(load_rules(place, "gb"))


def job(designed: str, *, in_series: int = 5, designed_to: str = "") -> str:
    """A job of one string, whose array was designed on a day."""
    said = f"designed_to: {designed_to}\n" if designed_to else ""
    day = f", designed: {designed}" if designed else ""
    return (
        f"{said}parts: {{a: {{kind: array{day}}}}}\nstrings: {{S1: {{in_series: {in_series}}}}}\n"
    )


IN_TURN = checker(edition(OLD, UNTIL, least(4)), edition(NEW, FROM, least(6)))
EITHER = checker(
    edition(OLD, UNTIL_EITHER, least(4), questions=QUESTION.format(most=3)),
    edition(NEW, FROM_EITHER, least(6), least(6, "new"), questions=QUESTION.format(most=5)),
)


@pytest.mark.parametrize(
    ("designed", "outcome", "name"),
    [
        ("2019-01-01", "met", OLD),
        ("2026-10-14", "met", OLD),
        ("2026-10-15", "not met", NEW),
        ("2027-03-01", "not met", NEW),
    ],
)
def test_a_job_gets_the_edition_of_the_day_it_was_designed(
    designed: str, outcome: str, name: str
) -> None:
    checked = check(IN_TURN, job(designed))
    found = only(checked)
    assert found.outcome.value == outcome
    assert found.requirement.ruleset == f"gb-tried, edition {name}"
    assert checked.rulesets == (f"gb-tried, edition {name}",)
    assert checked.uncovered == ()


@pytest.mark.parametrize(("on", "outcome"), [("2026-10-14", "met"), ("2026-10-15", "not met")])
def test_where_the_design_date_is_not_said_the_day_of_the_check_picks(
    on: str, outcome: str
) -> None:
    found = only(check(IN_TURN, job(""), on=date.fromisoformat(on)))
    assert found.outcome.value == outcome
    assert "does not say when this part was designed" in found.remark


def test_before_the_first_edition_nothing_was_checked_and_it_is_said_once() -> None:
    checked = check(IN_TURN, job("2018-12-31"))
    assert checked.findings == ()
    (text,) = checked.uncovered
    assert "gb-tried applies from 2019-01-01" in text
    assert "until" not in text, "the later edition has no end"


@pytest.mark.parametrize(
    ("designed", "designed_to", "outcome"),
    [
        ("2026-05-01", OLD, "met"),
        ("2026-05-01", NEW, "not met"),
        ("2026-05-01", f"[iec-62446-1, {NEW}]", "not met"),
        ("2026-10-14", OLD, "met"),
        ("2026-04-14", NEW, "met"),
        ("2026-10-15", OLD, "not met"),
    ],
)
def test_of_two_permitted_editions_the_record_states_which_and_only_of_them(
    designed: str, designed_to: str, outcome: str
) -> None:
    assert told(check(EITHER, job(designed, designed_to=designed_to))) == {"S1": outcome}


@pytest.mark.parametrize("designed_to", ["", "iec-62446-1", f"[{OLD}, {NEW}]"])
@pytest.mark.parametrize("in_series", [1, 5, 9])
def test_without_the_statement_each_requirement_is_once_not_shown_and_needs_it(
    designed_to: str, in_series: int
) -> None:
    checked = check(EITHER, job("2026-05-01", in_series=in_series, designed_to=designed_to))
    assert [f.requirement.id for f in checked.findings] == ["tried", "new"]
    for found in checked.findings:
        assert found.outcome is Outcome.NOT_SHOWN
        (need,) = found.needs
        assert need.path == "designed_to"
        assert need.supply == (
            f"which edition the job was designed to, as `designed_to`: one of {OLD}, {NEW}, "
            "each permitted for 2026-05-01"
        )
    assert sum(checked.counts.values()) == 2


def test_an_undecided_edition_stays_not_due_until_its_point_is_passed() -> None:
    record = job("2026-05-01").replace("kind: array", "kind: array, in_use: not yet")
    assert only(check(EITHER, record)).outcome is Outcome.NOT_DUE


def test_what_is_known_not_to_be_there_needs_no_statement() -> None:
    record = "parts: {a: {kind: array, designed: 2026-05-01}}\nstrings: none\n"
    assert told(check(EITHER, record, on=date(2026, 5, 2))) == {"job": "not applicable"}


def test_an_undecided_edition_holds_up_what_the_stricter_one_does() -> None:
    milder = least(4).replace("holds_up: use", "holds_up: payment")
    for editions in [(milder, least(6)), (least(6), milder)]:
        both = checker(
            edition(OLD, UNTIL_EITHER, editions[0]), edition(NEW, FROM_EITHER, editions[1])
        )
        found = only(check(both, job("2026-05-01")))
        assert found.requirement.holds_up.value == "use"


@pytest.mark.parametrize(
    ("designed_to", "in_series", "asked"),
    [(OLD, 3, 1), (OLD, 4, 0), (NEW, 5, 1), (NEW, 6, 0), ("", 1, 0)],
)
def test_a_question_is_asked_by_the_edition_that_counts(
    designed_to: str, in_series: int, asked: int
) -> None:
    record = job("2026-05-01", in_series=in_series, designed_to=designed_to)
    assert len(check(EITHER, record).questions) == asked


def test_what_would_be_right_of_a_reading_is_told_by_the_edition_that_counts() -> None:
    def tested(megohm: int) -> str:
        must = f"string.insulation.positive_earth_megohm >= {megohm}"
        return requirement("tried", f"for: string in strings\nbefore: use\nmust: {must}")

    rules = checker(
        edition(OLD, UNTIL_EITHER, tested(1)), edition(NEW, FROM_EITHER, tested(2))
    ).rules
    test = "tests: [{test: insulation, of: S1, positive_earth_megohm: 5}]\n"

    def right(designed: str, designed_to: str = "") -> list[str]:
        view = view_of(job(designed, designed_to=designed_to) + test, head=HEAD)
        return list(wanted(rules, RecordWorld(view, date(2026, 11, 10), rules.tables, {})).values())

    assert right("2026-01-01") == ["at least 1 MΩ"]
    assert right("2026-11-01") == ["at least 2 MΩ"]
    assert right("2026-05-01", NEW) == ["at least 2 MΩ"]
    assert right("2026-05-01") == []


def test_three_editions_in_turn_leave_no_hole() -> None:
    three = checker(
        edition(OLD, "from: 2019-01-01, until: 2021-01-01, by: designed", least(2)),
        edition(NEW, "from: 2021-01-01, until: 2023-01-01, by: designed", least(4)),
        edition("iec-62548", "from: 2023-01-01, by: designed", least(6)),
    )
    days = ("2020-12-31", "2021-01-01", "2023-01-01")
    outcomes = [told(check(three, job(d, in_series=3)))["S1"] for d in days]
    assert outcomes == ["met", "not met", "not met"]
    assert only(check(three, job("2022-12-31"))).outcome is Outcome.MET


def test_a_later_edition_may_drop_and_add_requirements() -> None:
    both = checker(
        edition(OLD, UNTIL, least(4), least(4, "dropped")),
        edition(NEW, FROM, least(4), least(4, "added")),
    )
    for designed, ids in [
        ("2026-10-14", ["tried", "dropped"]),
        ("2026-10-15", ["tried", "added"]),
    ]:
        checked = check(both, job(designed))
        assert [f.requirement.id for f in checked.findings] == ids
        assert checked.uncovered == ()
