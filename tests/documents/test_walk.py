"""The walk-round sheet: every claim once, at its station, with room beside it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from documents.test_writers import docx_words, joined, pdf_words, with_marks

from compliance.documents.content import load_template
from compliance.documents.docx import docx_bytes
from compliance.documents.pdf import pdf_bytes
from compliance.documents.tree import Document, text_runs
from compliance.documents.walk import NAME, walk_tables, walk_values
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.rules.job import Job, open_job

SAMPLES = sorted(p.parent for p in Path("sample_installs").glob("*/installation.yaml"))
BUNGALOW = Path("sample_installs/bungalow-two-faces")
Call = Callable[..., tuple[int, str, str]]


def job_of(folder: Path) -> Job:
    return open_job(folder, rulesets_folder(), today=date(2026, 11, 20))


def sheet(job: Job) -> Document:
    template = load_template(templates_folder() / f"{NAME}.md.j2")
    return template.render(walk_values(job), walk_tables(job))


def rows(job: Job, table: str) -> list[tuple[str, ...]]:
    return [tuple(map(str, row)) for row in walk_tables(job)[table].rows]


@pytest.mark.parametrize("folder", SAMPLES, ids=lambda folder: folder.name)
def test_every_switch_cable_string_and_label_has_one_line(folder: Path) -> None:
    job = job_of(folder)
    stations = ("walk-supply", "walk-inverters", "walk-route", "walk-roof")
    lines = [row for table in stations for row in rows(job, table)]
    for word, collection in (
        ("Switch", "isolators"), ("DC cable", "cables"), ("String", "strings"),
        ("Circuit", "circuits"), ("Surge device", "surge"), ("Box", "junctions"),
    ):  # fmt: skip
        named = [row[0] for row in lines if row[0].startswith(f"{word} ")]
        assert sorted(named) == sorted(
            f"{word} {one['~name']}" for one in job.view.get(collection, ())
        )
    placed = [label for label in job.view.get("labels", ()) if "place" in label]
    assert sum(row[0].startswith("Label at ") for row in lines) == len(placed)
    assert all(row[3] == "" for row in lines)


def test_readings_that_can_be_taken_again_stand_with_their_limit() -> None:
    again = rows(job_of(BUNGALOW), "walk-readings")
    assert {row[0] for row in again} == {"S1", "S2", "C9"}
    assert ("S1", "open-circuit voltage", "341.2 V") in {row[:3] for row in again}
    assert not [row for row in again if "insulation" in row[1]]
    assert all(row[4] == "" for row in again)


@pytest.mark.parametrize("folder", SAMPLES, ids=lambda folder: folder.name)
def test_pdf_and_docx_say_what_the_tree_says(folder: Path) -> None:
    made = sheet(job_of(folder))
    assert joined(pdf_words(pdf_bytes(made, footer="f", draft=False))) == joined(with_marks(made))
    assert joined(docx_words(docx_bytes(made, footer="f", draft=False))) == joined(text_runs(made))
    said = " ".join(text_runs(made))
    assert "Local regulations" in said
    assert "opens no cover and climbs no roof" in said


def test_the_command_makes_it_beside_the_job_or_elsewhere(call: Call, tmp_path: Path) -> None:
    code, out, _ = call("sheet", BUNGALOW, "--walk", "--out", tmp_path)
    assert code == 0
    assert "no permission to energise" in out
    assert sorted(p.name for p in tmp_path.iterdir()) == [f"{NAME}.docx", f"{NAME}.pdf"]
