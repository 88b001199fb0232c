"""Each point of no return: which date passes it, and that silence counts as passed."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest

from compliance.rules.points import (
    FIELDS,
    POINTS,
    can_still_be_shown,
    day_of,
    lies_ahead,
    passed_on,
)
from compliance.values import NOT_YET

TODAY = date(2026, 11, 10)
BEFORE, AFTER = date(2026, 11, 9), date(2026, 11, 11)
AHEAD_OR_NOT: list[tuple[Any, bool]] = [
    (None, False),
    (NOT_YET, True),
    (BEFORE, False),
    (TODAY, False),
    (AFTER, True),
    (datetime(2026, 11, 10, 23, 59), False),
    (datetime(2026, 11, 11, 0, 0), True),
]


def _part(**dates: Any) -> dict[str, Any]:
    return {"~name": "roof", **{k: v for k, v in dates.items() if v is not None}}


@pytest.mark.parametrize("point", FIELDS)
@pytest.mark.parametrize(("moment", "ahead"), AHEAD_OR_NOT)
def test_the_date_of_the_subjects_part_passes_the_point(
    point: str, moment: Any, ahead: bool
) -> None:
    subject = {"~name": "S1", "part": _part(**{FIELDS[point]: moment})}
    assert lies_ahead(point, subject, {}, TODAY) is ahead


@pytest.mark.parametrize("point", FIELDS)
def test_another_date_of_the_part_passes_nothing(point: str) -> None:
    others = {field: AFTER for field in FIELDS.values() if field != FIELDS[point]}
    assert not lies_ahead(point, {"~name": "S1", "part": _part(**others)}, {}, TODAY)


def test_what_belongs_to_no_part_is_never_excused() -> None:
    for point in POINTS:
        assert not lies_ahead(point, {"~name": "S1"}, {"parts": [_part(in_use=NOT_YET)]}, TODAY)


def test_what_is_covered_by_itself_goes_before_its_part() -> None:
    part = _part(covered=BEFORE)
    assert lies_ahead("cover", {"covered": NOT_YET, "part": part}, {}, TODAY)
    part = _part(covered=NOT_YET)
    assert not lies_ahead("cover", {"covered": BEFORE, "part": part}, {}, TODAY)


@pytest.mark.parametrize(("moment", "ahead"), AHEAD_OR_NOT[2:])
def test_leaving_is_passed_by_the_day_of_the_visit(moment: Any, ahead: bool) -> None:
    assert lies_ahead("leaving", {"on": moment}, {}, TODAY) is ahead


WHOLE_JOB: list[tuple[str, list[Any], bool]] = [
    ("start", [BEFORE, AFTER], False),  # the earliest counts
    ("start", [AFTER, NOT_YET], True),
    ("start", [None, NOT_YET], False),  # silence counts as passed
    ("start", [], False),
    ("use", [BEFORE, NOT_YET], False),
    ("use", [NOT_YET, NOT_YET], True),
    ("use", [NOT_YET, None], False),
    ("handover", [BEFORE, AFTER], True),  # the latest counts
    ("handover", [BEFORE, TODAY], False),
    ("handover", [BEFORE, NOT_YET], True),
    ("handover", [None, BEFORE], False),
    ("handover", [None, NOT_YET], True),
    ("handover", [], False),
]


@pytest.mark.parametrize(("point", "moments", "ahead"), WHOLE_JOB)
def test_the_whole_job_takes_the_earliest_start_and_use_and_the_latest_handover(
    point: str, moments: list[Any], ahead: bool
) -> None:
    parts = [_part(**{FIELDS[point]: moment}) for moment in moments]
    assert lies_ahead(point, None, {"parts": parts}, TODAY) is ahead


def test_the_day_that_picks_an_edition_is_the_parts_own() -> None:
    early, late = date(2018, 1, 1), date(2026, 9, 1)
    job = {"parts": [_part(designed=early), _part(designed=late)]}
    assert day_of("designed", {"part": job["parts"][1]}, job) == late
    assert day_of("designed", None, job) == early
    assert day_of("designed", {"~name": "visit"}, job) == early  # belongs to no part


@pytest.mark.parametrize("moment", [None, NOT_YET])
def test_a_day_not_said_or_not_yet_picks_none(moment: Any) -> None:
    part = _part(designed=moment)
    assert day_of("designed", {"part": part}, {"parts": [part]}) is None


def test_a_time_of_day_picks_its_day() -> None:
    part = _part(designed=datetime(2026, 9, 1, 16, 0))
    found = day_of("designed", {"part": part}, {"parts": [part]})
    assert found == date(2026, 9, 1)
    assert type(found) is date


SCAFFOLDS: list[tuple[list[Any], bool, date | None]] = [
    ([], False, None),  # none, or nobody says: it counts as down
    ([NOT_YET], True, None),
    ([AFTER], True, AFTER),
    ([TODAY], False, TODAY),
    ([BEFORE, AFTER], False, AFTER),  # which of them the thing was reached from nobody says
    ([None], False, None),
    ([None, BEFORE], False, None),
    ([NOT_YET, AFTER], True, None),
]


@pytest.mark.parametrize(("struck", "ahead", "passed"), SCAFFOLDS)
def test_the_scaffolds_of_its_part_pass_the_point(
    struck: list[Any], ahead: bool, passed: date | None
) -> None:
    scaffolds = [{"struck": day} if day is not None else {} for day in struck]
    subject = {"~name": "S1", "part": {"~name": "roof", "scaffolds": scaffolds}}
    assert lies_ahead("scaffold-down", subject, {}, TODAY) is ahead
    assert passed_on("scaffold-down", subject, {}) == passed


def test_a_scaffold_comes_down_by_its_own_date() -> None:
    assert lies_ahead("scaffold-down", {"~name": "front", "struck": NOT_YET}, {}, TODAY)
    assert not lies_ahead("scaffold-down", {"~name": "front", "struck": TODAY}, {}, TODAY)


def test_what_is_taken_away_never_comes_into_use() -> None:
    old = {"~name": "old", "kind": "removed"}
    new = _part(in_use=NOT_YET) | {"kind": "array"}
    assert lies_ahead("use", None, {"parts": [new, old]}, TODAY)
    assert not lies_ahead("handover", None, {"parts": [new, old]}, TODAY)


@pytest.mark.parametrize(
    ("moment", "still"),
    [(NOT_YET, True), (AFTER, True), (TODAY, True), (BEFORE, False), (None, False)],
)
def test_a_photo_can_be_taken_until_the_day_ends(moment: Any, still: bool) -> None:
    subject = {"~name": "S1", "part": _part(covered=moment)}
    assert can_still_be_shown("cover", subject, {}, TODAY) is still
