"""The visit sheet: made from the rules and the record, safe in its order, readable on site."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from datetime import date
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from documents.test_writers import docx_words, joined, pdf_words, with_marks

from compliance.documents.cautions import CAUTIONS_IN_BRIEF, DEFERENCE
from compliance.documents.content import load_template
from compliance.documents.docx import docx_bytes
from compliance.documents.pdf import pdf_bytes
from compliance.documents.tree import Document, SignatureBlock, text_runs
from compliance.documents.visit import KINDS, STAGES, visit_sheet, visit_tables, visit_values
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.record.questions import answers
from compliance.record.skeleton import skeleton
from compliance.rules.job import Job, open_job

SAMPLES = Path(__file__).parents[2] / "sample_installs"
DAY = date(2026, 11, 25)
USUAL = "2,1,2,1,1,3"
MakeJob = Callable[..., Job]


@pytest.fixture
def new(tmp_path: Path) -> MakeJob:
    """Opens the first record that six answers give, with more lines below it."""

    def opened(given: str, more: str = "") -> Job:
        first = skeleton(answers(given.split(",")), reference="J-1", jurisdiction="GB-ENG")
        (tmp_path / "installation.yaml").write_bytes(first + more.encode())
        return open_job(tmp_path, rulesets_folder(), today=DAY)

    return opened


def sheet(job: Job, visit: date | None = None) -> Document:
    template = load_template(templates_folder() / "visit-sheet.md.j2")
    return template.render(visit_values(job, visit), visit_tables(job))


def rows(job: Job, table: str) -> list[tuple[str, ...]]:
    return [tuple(map(str, row)) for row in visit_tables(job)[table].rows]


def right_of(job: Job, table: str, test: str, subject: str) -> str:
    told = (row for row in rows(job, table) if row[0] == test)
    return next(right for _, blank, right in told if f"{subject} _" in blank)


@pytest.mark.parametrize("given", [USUAL, "6,1,7,3,1,1", "5,3,7,7,3,2", "1,2,4,6,2,1"])
def test_pdf_and_docx_say_what_the_tree_says(new: MakeJob, given: str) -> None:
    document = sheet(new(given))
    pdf = pdf_words(pdf_bytes(document, footer="f", draft=False))
    assert joined(pdf) == joined(with_marks(document))
    word = docx_words(docx_bytes(document, footer="f", draft=False))
    assert joined(word) == joined(text_runs(document))


@pytest.mark.parametrize(
    ("given", "most"), [(USUAL, 3), ("6,1,7,1,1,1", 2), ("5,3,7,1,2,2", 3), ("1,2,2,1,3,1", 3)]
)
def test_a_job_has_a_sheet_that_can_be_carried(new: MakeJob, given: str, most: int) -> None:
    """New panels and battery; a charger alone; a battery added; panels that replace paid ones."""
    made = visit_sheet(new(given), templates_folder())
    assert sorted(made) == ["visit-sheet.docx", "visit-sheet.pdf"]
    pages = pypdf.PdfReader(BytesIO(made["visit-sheet.pdf"])).pages
    assert len(pages) <= most
    assert all(DEFERENCE.split(";")[0] in page.extract_text() for page in pages)


def test_it_carries_cautions_and_room_to_sign(new: MakeJob) -> None:
    blocks = sheet(new(USUAL)).blocks
    assert CAUTIONS_IN_BRIEF in blocks
    assert any(isinstance(block, SignatureBlock) for block in blocks)


def test_every_kind_of_test_has_its_place_in_the_order() -> None:
    placed = [kind for kinds in STAGES.values() for kind in kinds]
    assert sorted(placed) == sorted(KINDS)


def test_dead_tests_stand_before_live_ones_and_continuity_first(new: MakeJob) -> None:
    captions = [stage for stage in visit_tables(new(USUAL)) if stage.endswith("-tests")]
    assert captions == ["dead-tests", "string-tests", "live-tests"]
    dead = [row[0].partition(":")[0] for row in rows(new(USUAL), "dead-tests")]
    order = list(dict.fromkeys(dead))
    assert order == ["continuity", "frame continuity", "circuit insulation", "circuit polarity"]
    strings = list(dict.fromkeys(r[0].partition(":")[0] for r in rows(new(USUAL), "string-tests")))
    assert strings[:3] == ["insulation", "polarity", "open-circuit voltage"]


@pytest.mark.source(document="bs-7671-2018-a2", table="64", confidence="from memory")
def test_a_limit_that_the_answers_settle_is_one_figure(new: MakeJob) -> None:
    job = new(USUAL)
    test = "circuit insulation: insulation resistance, live to earth"
    assert right_of(job, "dead-tests", test, "C1") == "at least 1 MΩ"


@pytest.mark.source(document="iec-62446-1", table="1", confidence="from memory")
def test_a_limit_that_is_not_settled_shows_every_row_and_what_it_depends_on(new: MakeJob) -> None:
    job = new("1,1,1,1,1,1")
    right = right_of(job, "string-tests", "insulation: positive earth", "S1")
    assert right == "at least 0.5 MΩ (below 120 V), 1 MΩ (from 120 V)"
    assert "insulation: number of modules in series and Voc" in visit_values(job)["lacking"]


def test_a_figure_that_the_record_gains_settles_the_limit(new: MakeJob) -> None:
    first = new("1,1,1,1,1,1").folder / "installation.yaml"
    text = first.read_text("utf-8")
    text = text.replace("    category: module\n", "    category: module\n    voc_v: 38.9\n")
    text = text.replace("    modules: mod\n", "    modules: mod\n    in_series: 9\n")
    assert text.count("38.9") == 1
    first.write_text(text, "utf-8")
    job = open_job(first.parent, rulesets_folder(), today=DAY)
    test = "insulation: positive earth"
    assert right_of(job, "string-tests", test, "S1") == "at least 1 MΩ"


@pytest.mark.source(document="bs-7671-2018-a2", table="41.3", confidence="from memory")
@pytest.mark.parametrize(
    ("curve", "rated", "limit"),
    [("B", 6, "7.28"), ("B", 16, "2.73"), ("B", 32, "1.37"), ("C", 16, "1.37"), ("C", 32, "0.68"),
     ("D", 16, "0.68"), ("D", 32, "0.34")],
)  # fmt: skip
def test_loop_limits_are_those_of_the_printed_table(
    new: MakeJob, curve: str, rated: int, limit: str
) -> None:
    table = visit_tables(new(USUAL))["loop-limits"]
    row = next(row for row in table.rows if row[0] == curve)
    column = next(n for n, c in enumerate(table.columns) if c.header == f"{rated} A")
    assert row[column] == limit


def test_without_a_voltage_no_loop_limit_is_made_up(new: MakeJob) -> None:
    table = rows(new("1,1,1,7,1,1"), "loop-limits")
    assert {cell for row in table for cell in row[1:]} == {"not known"}


def test_what_a_cover_hides_comes_before_all_other_photos(new: MakeJob) -> None:
    photos = rows(new(USUAL), "photos")
    points = [row[0] for row in photos]
    assert points == ["start", "cover", "scaffold-down", "use", "handover"]
    assert any("Polarity sleeve at both ends" in row[1] for row in photos if row[0] == "cover")


def test_every_photo_and_reading_on_it_is_one_that_a_ruleset_asks_for(new: MakeJob) -> None:
    job = new(USUAL)
    titles = {rule.requirement.title for rule in job.rules.rules}
    photos = [line.removeprefix("– ") for row in rows(job, "photos") for line in row[1].split("\n")]
    labels = [line.removesuffix(" (with a photo)") for line in visit_values(job)["labels"]]
    assert len(photos) > 10
    assert {line.partition(": ")[0] for line in photos + labels} <= titles
    assert visit_values(job)["labels"][0].endswith("dc1 and dc2 (with a photo)")


def test_an_old_array_that_earns_a_tariff_is_told_before_anything(new: MakeJob) -> None:
    told = "whoever pays the tariff has agreed in writing"
    assert told in " ".join(text_runs(sheet(new("1,3,1,1,3,1"))))
    assert told not in " ".join(text_runs(sheet(new("1,3,1,1,2,1"))))


def test_what_is_shown_already_is_left_out() -> None:
    sample = SAMPLES / "bungalow-two-faces"
    job = open_job(sample, rulesets_folder(), today=date(2026, 10, 16))
    tables = visit_tables(job)
    assert all(not table.rows for table in tables.values())
    assert visit_values(job)["labels"] == []
    assert visit_values(job)["others"] == ""


def test_of_a_visit_on_record_only_what_is_open_must_be_true_before_leaving(
    tmp_path: Path,
) -> None:
    folder = shutil.copytree(SAMPLES / "terrace-eight-faults", tmp_path / "job")
    day = date(2026, 11, 3)
    job = open_job(folder, rulesets_folder(), today=day, on=day)
    leaving = visit_values(job, day)["leaving"]
    assert "Loose ends of DC cables insulated when leaving" in leaving
    assert len(leaving) < len(visit_values(job)["leaving"])
    assert sorted(visit_sheet(job, templates_folder(), day)) == [
        "visit-sheet-2026-11-03.docx", "visit-sheet-2026-11-03.pdf",
    ]  # fmt: skip


def test_old_labels_on_record_are_listed_with_what_became_of_them(new: MakeJob) -> None:
    job = new(USUAL, "old_labels: {o1: {wording: Cooker, now: removed}}\n")
    assert visit_values(job)["old_labels"] == ["o1: Cooker; now removed"]


def test_like_strings_share_a_limit_and_have_a_line_each(new: MakeJob) -> None:
    row = next(r for r in rows(new(USUAL), "string-tests") if r[0] == "insulation: positive earth")
    assert row[1] == "S1 _______ MΩ; S2 _______ MΩ"
    switches = next(r for r in rows(new(USUAL), "live-tests") if r[0] == "switching: result")
    assert switches[1] == "ac1 _______; dc1 _______\n\ndc2 _______; main _______"
    alone = next(r for r in rows(new(USUAL), "live-tests") if r[0] == "loop impedance: Zs")
    assert alone[1] == f"C1 {'_' * 14} Ω"


def test_what_to_bring_is_a_list_with_each_thing_once_tests_first(new: MakeJob) -> None:
    job = new(USUAL)
    things = visit_values(job)["bring"]
    names = [re.split(r": |, | (?:with|that|for|rated|of) ", thing)[0] for thing in things]
    assert len(names) == len(set(names))
    assert names.index("loop tester") < names.index("labels") < names.index("padlock")
    asked = {rule.requirement.bring for rule in job.rules.rules}
    wanted = {part for text in asked for part in re.split(r"; |, ", text)}
    said = {part for thing in things for part in re.split(r": |; |, ", thing)}
    assert said <= wanted | {n for n in names} | {
        p.removeprefix(f"{n} ") for p in wanted for n in names
    }


def test_a_charger_alone_is_not_asked_for_notices_of_a_second_source(new: MakeJob) -> None:
    labels = visit_values(new("6,1,7,1,1,1"))["labels"]
    assert labels
    assert not [line for line in labels if "two supplies" in line or "panels" in line]
    beside = visit_values(new("6,3,7,1,2,1"))["labels"]
    assert "Notice of two supplies at the origin" in beside
    assert "Sign at the supply that there are panels on the roof" in beside


@pytest.mark.parametrize("given", [USUAL, "5,3,7,1,2,2", "6,1,7,1,1,1", "1,2,2,1,3,1"])
def test_no_heading_is_left_alone_at_the_end_of_a_page(new: MakeJob, given: str) -> None:
    pages = pypdf.PdfReader(BytesIO(visit_sheet(new(given), templates_folder())["visit-sheet.pdf"]))
    for page in pages.pages:
        lines = [line.strip() for line in page.extract_text().splitlines() if line.strip()]
        body = [line for line in lines if DEFERENCE not in line and "page " not in line]
        last = next(line for line in reversed(body) if "record " not in line)
        assert last not in ("Labels", "Test", "Take along", "Before anybody leaves")
        assert not last.startswith(("To fit", "Write down", "Photos, and", "Loop impedance limit"))
