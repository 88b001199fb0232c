"""When evidence counts for a subject, and what is said of evidence that does not."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from rules.small import TODAY, whole

from compliance.evidence import Seen
from compliance.rules.shown import lacking
from compliance.values import NOT_YET

STARTED = date(2026, 11, 2)
PART = {"~name": "roof", "started": STARTED, "covered": date(2026, 11, 3)}
SUBJECT = {"~name": "S1", "part": PART}
PHOTO = {
    "~name": "photo-1",
    "file": "evidence/a.jpg",
    "kind": "photo",
    "about": ("S1",),
    "shows": "The label in place",
    "by": {"~name": "ash"},
}


def _lacks(
    item: dict[str, Any] | None,
    *,
    seen: Seen | None = None,
    before: str = "use",
    about: dict[str, Any] = SUBJECT,
    kind: str = "photo",
    opened: bool = True,
) -> str:
    job = {"~name": "job", "evidence": [item] if item else []}
    files = {"photo-1": seen or whole(taken=datetime(2026, 11, 5, 10, 0))} if opened else {}
    needs = lacking(kind, job if about is None else about, before, job, files, TODAY)
    assert all(path == f"evidence: {kind}" for path, _ in needs)
    return "; ".join(reason for _, reason in needs)


def test_a_whole_dated_file_with_a_named_persons_statement_counts() -> None:
    assert _lacks(PHOTO) == ""


def test_nothing_at_all_is_missing() -> None:
    assert _lacks(None) == "missing"
    assert lacking("photo", SUBJECT, "use", {"~name": "job"}, {}, TODAY) == (
        ("evidence: photo", "missing"),
    )


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"shows": None}, "no named person"),
        ({"by": None}, "no named person"),
        ({"about": ("S2",)}, "missing"),
        ({"about": ("job",)}, "missing"),  # the whole job's photo is not the string's
        ({"kind": "test sheet"}, "missing"),
        ({"on": date(2026, 11, 1)}, "before the work on this part started"),
        ({"on": date(2026, 11, 11)}, "after the day of this check"),
        ({"on": datetime(2026, 11, 1, 23, 59)}, "before the work on this part started"),
    ],
)
def test_what_keeps_a_photo_from_counting_is_said(change: dict[str, Any], why: str) -> None:
    item = {k: v for k, v in {**PHOTO, **change}.items() if v is not None}
    assert why in _lacks(item)


@pytest.mark.parametrize("day", [STARTED, date(2026, 11, 5), TODAY])
def test_a_photo_of_the_first_day_or_the_last_counts(day: date) -> None:
    assert _lacks({**PHOTO, "on": day}) == ""


def test_a_file_that_is_not_whole_does_not_count() -> None:
    broken = Seen("evidence/a.jpg", kind="jpeg", fault="The photo is cut off after 60 %.")
    assert "cut off after 60 %" in _lacks(PHOTO, seen=broken)
    assert "not opened" in _lacks(PHOTO, opened=False)


def test_the_date_in_the_file_counts_where_the_record_says_none() -> None:
    early = whole(taken=datetime(2026, 10, 1, 9, 0))
    assert "before the work" in _lacks(PHOTO, seen=early)
    assert _lacks({**PHOTO, "on": date(2026, 11, 5)}, seen=early) == ""
    assert 'add "on:"' in _lacks(PHOTO, seen=whole())


def test_a_photo_of_what_gets_covered_was_taken_before_it_was() -> None:
    late = {**PHOTO, "on": date(2026, 11, 4)}
    assert "after the last day" in _lacks(late, before="cover")
    assert _lacks({**PHOTO, "on": date(2026, 11, 3)}, before="cover") == ""
    assert _lacks(late, before="use") == ""


PASSED = {
    "~name": "roof", "started": STARTED, "covered": date(2026, 11, 3),
    "in_use": date(2026, 11, 4), "handed_over": date(2026, 11, 5),
}  # fmt: skip


@pytest.mark.parametrize(
    ("before", "point"),
    [("start", "started"), ("cover", "covered"), ("use", "in_use"), ("handover", "handed_over")],
)
def test_a_photo_is_not_after_any_point_of_no_return(before: str, point: str) -> None:
    about, day = {"~name": "S1", "part": PASSED}, PASSED[point]
    assert isinstance(day, date)
    assert _lacks({**PHOTO, "on": day}, before=before, about=about) == ""
    late = {**PHOTO, "on": day + timedelta(days=1)}
    assert "after the last day" in _lacks(late, before=before, about=about)
    silent = {"~name": "S1", "part": {k: v for k, v in PASSED.items() if k != point}}
    assert _lacks(late, before=before, about=silent) == ""
    ahead = {"~name": "S1", "part": {**PASSED, point: NOT_YET}}
    assert _lacks(late, before=before, about=ahead) == ""


@pytest.mark.parametrize(
    ("before", "others", "counts"),
    [
        ("use", date(2026, 11, 8), False),  # in use since the earliest of its parts was
        ("use", None, False),  # the earliest is no later than what is known
        ("handover", date(2026, 11, 8), True),  # handed over when the last part was
        ("handover", NOT_YET, True),
        ("handover", None, True),  # which day is the last is not known
    ],
)
def test_a_photo_of_the_whole_job_goes_by_the_earliest_use_and_the_latest_handover(
    before: str, others: Any, counts: bool
) -> None:
    other = {"~name": "loft", "in_use": others, "handed_over": others}
    parts = [PASSED, {k: v for k, v in other.items() if v is not None}]
    item = {**PHOTO, "about": ("job",), "on": date(2026, 11, 6)}
    job = {"~name": "job", "parts": parts, "evidence": [item]}
    lacks = lacking("photo", job, before, job, {"photo-1": whole()}, TODAY)
    assert (lacks == ()) is counts, lacks


def test_a_paper_may_be_younger_than_the_point_of_no_return() -> None:
    sheet = {**PHOTO, "kind": "test sheet", "on": date(2026, 11, 9)}
    assert _lacks(sheet, kind="test sheet", about={"~name": "S1", "part": PASSED}) == ""


def test_a_photo_of_how_a_site_was_left_is_of_that_visit() -> None:
    visit = {"~name": "visit of 2026-11-03", "on": date(2026, 11, 3)}
    about = {**PHOTO, "about": ("visit of 2026-11-03",)}
    assert _lacks({**about, "on": date(2026, 11, 3)}, about=visit, before="leaving") == ""
    assert "after the last day" in _lacks(
        {**about, "on": date(2026, 11, 4)}, about=visit, before="leaving"
    )


def test_what_must_exist_before_the_start_is_older_than_the_work() -> None:
    assert _lacks({**PHOTO, "on": date(2026, 10, 20)}, before="start") == ""


def test_a_paper_may_be_older_than_the_work() -> None:
    sheet = {**PHOTO, "kind": "datasheet", "on": date(2020, 1, 1)}
    assert _lacks(sheet, kind="datasheet") == ""
    assert "after the day" in _lacks({**sheet, "on": date(2027, 1, 1)}, kind="datasheet")


def test_one_of_several_that_counts_is_enough_and_else_each_is_told() -> None:
    other = {**PHOTO, "~name": "photo-2", "file": "evidence/b.jpg"}
    files = {"photo-1": whole(), "photo-2": whole(taken=datetime(2026, 11, 5, 9, 0))}
    job = {"~name": "job", "evidence": [PHOTO, other]}
    assert lacking("photo", SUBJECT, "use", job, files, TODAY) == ()
    none = lacking("photo", SUBJECT, "use", job, {"photo-1": whole()}, TODAY)
    assert [reason.split()[0] for _, reason in none] == ["photo-1", "photo-2"]
