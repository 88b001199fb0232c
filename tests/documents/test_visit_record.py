"""The record of a visit and the notice of danger: what they say, and when they apply."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from documents.sheet_records import HALF_EMPTY, ORDINARY
from documents.test_writers import docx_words, joined, pdf_words, with_marks

from compliance.documents.content import load_template
from compliance.documents.danger import danger_values, found_dangers
from compliance.documents.docx import docx_bytes
from compliance.documents.leaving import visits_made
from compliance.documents.pdf import pdf_bytes
from compliance.documents.tree import Document, SignatureBlock, text_runs
from compliance.documents.visit_record import visit_record_tables, visit_record_values
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.rules.job import Job, open_job

TERRACE = Path(__file__).parents[2] / "sample_installs" / "terrace-eight-faults"
DAY = date(2026, 11, 20)


def opened(folder: Path, text: str) -> Job:
    (folder / "installation.yaml").write_text(text, "utf-8")
    return open_job(folder, rulesets_folder(), today=DAY)


@pytest.fixture(scope="module")
def terrace() -> Job:
    return open_job(TERRACE, rulesets_folder(), today=DAY)


def visit_record(job: Job, number: int = 0) -> Document:
    visit = visits_made(job)[number]
    template = load_template(templates_folder() / "visit-record.md.j2")
    return template.render(visit_record_values(job, visit), visit_record_tables(job, visit))


def notice(job: Job) -> Document:
    template = load_template(templates_folder() / "notice-of-danger.md.j2")
    return template.render(danger_values(job), {})


@pytest.mark.parametrize("made", [visit_record, notice])
def test_pdf_and_docx_say_what_the_tree_says(made: Callable[[Job], Document], terrace: Job) -> None:
    document = made(terrace)
    pdf = pdf_words(pdf_bytes(document, footer="f", draft=True))
    assert joined(pdf) == joined(with_marks(document))
    word = docx_words(docx_bytes(document, footer="f", draft=True))
    assert joined(word) == joined(text_runs(document))
    assert any(isinstance(block, SignatureBlock) for block in document.blocks)


def test_a_visit_record_holds_that_days_readings_and_photos(terrace: Job) -> None:
    first, second = (visit_record_tables(terrace, visit) for visit in visits_made(terrace))
    assert first["visit-readings"].rows == ()
    assert [row[0] for row in first["visit-photos"].rows] == [
        "photo-cables (photo)", "photo-clamps (photo)",
    ]  # fmt: skip
    read = {str(row[0]): str(row[1]) for row in second["visit-readings"].rows}
    assert "positive earth 0.3 MΩ" in read["S1"]
    assert read["dc1, dc2, ac1 and main"] == "switching: opens and closes"


def test_a_visit_record_says_who_came_how_it_was_left_and_what_ended(terrace: Job) -> None:
    said = "".join(text_runs(visit_record(terrace)))
    assert "Ash Merrin (invented)" in said
    assert "Ends of the DC cables: bare" in said
    assert "What can be live: ends of both strings in the loft (from: array in daylight)" in said
    assert "(not met). Ended on 2026-11-06" in said
    assert "The record does not say: Locked off and Key of the lock with." in said


def test_only_visits_up_to_the_day_of_the_check_have_a_record(tmp_path: Path) -> None:
    made = visits_made(opened(tmp_path, ORDINARY))
    assert [visit["~name"] for visit in made] == ["visit of 2026-11-18", "visit of 2026-11-17"]
    silent = visit_record(opened(tmp_path, ORDINARY), 1)
    assert "the record does not say who was there" in text_runs(silent)


def test_the_notice_tells_each_danger_with_what_makes_it_safe(terrace: Job) -> None:
    said = "".join(text_runs(notice(terrace)))
    dangers = [f for f in terrace.checked.findings if f.was_danger]
    assert len(dangers) == 4
    for danger in dangers:
        assert danger.subject in said
        assert (danger.requirement.danger in said) is not bool(danger.ended)
    assert "visit of 2026-11-03 (ended since)" in said
    assert "T. Standin, how to shut down (told by: Rowan Vale (invented))" in said


def test_what_was_not_made_safe_and_nobody_told_is_said_so(terrace: Job, tmp_path: Path) -> None:
    assert danger_values(terrace)["made_safe"] == []
    assert "Take it that nothing was." in " ".join(text_runs(notice(terrace)))
    job = opened(tmp_path, ORDINARY)
    assert danger_values(job)["made_safe"] == [
        "The visit of 18 November 2026 left the work locked off: ac1, key with "
        "Rowan Vale (invented)."
    ]
    assert danger_values(opened(tmp_path, HALF_EMPTY))["told"] == []


def test_without_a_danger_there_is_no_notice(tmp_path: Path) -> None:
    assert found_dangers(opened(tmp_path, HALF_EMPTY)) == []
