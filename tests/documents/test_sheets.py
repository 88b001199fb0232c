"""The isolation and shutdown sheet and the leave-safe sheet: what they say, and from where."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from documents.sheet_records import HALF_EMPTY, HEAD, ORDINARY, awkward
from documents.test_writers import docx_words, joined, pdf_words, with_marks

from compliance.documents.cautions import CAUTIONS_IN_BRIEF
from compliance.documents.content import load_template
from compliance.documents.docx import docx_bytes
from compliance.documents.leaving import (
    leaving_tables,
    leaving_values,
    occupier_tables,
    occupier_values,
)
from compliance.documents.pdf import pdf_bytes
from compliance.documents.shutdown import shutdown_tables, shutdown_values
from compliance.documents.tree import Document, SignatureBlock, text_runs
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.rules.job import Job, open_job

SAMPLES = Path(__file__).parents[2] / "sample_installs"
DAY = date(2026, 11, 20)
RECORDS = {"ordinary": ORDINARY, "half empty": HALF_EMPTY, "awkward": awkward()}
MakeJob = Callable[[str], Job]


@pytest.fixture
def job(tmp_path: Path) -> MakeJob:
    """Opens and checks a record given as text."""

    def opened(text: str) -> Job:
        (tmp_path / "installation.yaml").write_text(text, "utf-8")
        return open_job(tmp_path, rulesets_folder(), today=DAY)

    return opened


def shutdown_sheet(job: Job) -> Document:
    template = load_template(templates_folder() / "isolation-shutdown-sheet.md.j2")
    return template.render(shutdown_values(job), shutdown_tables(job))


def leave_safe_sheet(job: Job) -> Document:
    template = load_template(templates_folder() / "leave-safe-sheet.md.j2")
    return template.render(leaving_values(job), leaving_tables(job))


def steps(job: Job) -> list[tuple[str, ...]]:
    return [tuple(map(str, row)) for row in shutdown_tables(job)["switch-steps"].rows]


def live(job: Job) -> str:
    return "\n".join(shutdown_values(job)["live"])


def unsaid(job: Job) -> str:
    return "\n".join(shutdown_values(job)["unsaid"])


def changed(old: str, new: str, record: str = ORDINARY) -> str:
    assert record.count(old) == 1
    return record.replace(old, new)


# -- both sheets --------------------------------------------------------------------------


@pytest.mark.parametrize("record", RECORDS)
@pytest.mark.parametrize("sheet", [shutdown_sheet, leave_safe_sheet])
def test_pdf_and_docx_say_what_the_tree_says(
    sheet: Callable[[Job], Document], record: str, job: MakeJob
) -> None:
    document = sheet(job(RECORDS[record]))
    pdf = pdf_words(pdf_bytes(document, footer="f", draft=True))
    assert joined(pdf) == joined(with_marks(document))
    word = docx_words(docx_bytes(document, footer="f", draft=True))
    assert joined(word) == joined(text_runs(document))


@pytest.mark.parametrize("record", RECORDS)
@pytest.mark.parametrize("sheet", [shutdown_sheet, leave_safe_sheet])
def test_each_sheet_cautions_defers_and_has_room_to_sign(
    sheet: Callable[[Job], Document], record: str, job: MakeJob
) -> None:
    document = sheet(job(RECORDS[record]))
    said = " ".join(text_runs(document))
    assert "Local regulations" in said
    assert "a competent person" in said.lower()
    assert "live whenever light falls on" in said
    assert any(isinstance(block, SignatureBlock) for block in document.blocks)


@pytest.mark.parametrize("name", ["ordinary", "half empty", "bungalow-two-faces"])
def test_the_shutdown_sheet_of_an_ordinary_house_is_one_page(name: str, job: MakeJob) -> None:
    if name in RECORDS:
        opened = job(RECORDS[name])
    else:
        opened = open_job(SAMPLES / name, rulesets_folder(), today=DAY)
    data = pdf_bytes(shutdown_sheet(opened), footer="f", draft=True)
    assert len(pypdf.PdfReader(BytesIO(data)).pages) == 1


@pytest.mark.parametrize(
    "point",
    [
        "live whenever light falls on", "atteries stay live", "without a look at the installation",
        "what was not recorded", "Local regulations", "network operator's conditions",
        "makers' instructions", "licensed practice", "no certificate",
        "no permission to energise", "no switch for emergencies",
        "competent person decides and signs",
    ],
)  # fmt: skip
def test_the_cautions_in_brief_leave_no_point_out(point: str) -> None:
    assert point in " ".join(CAUTIONS_IN_BRIEF.paragraphs)


# -- isolation and shutdown ---------------------------------------------------------------


def test_the_ac_side_opens_before_the_dc_side_and_the_house_last(job: MakeJob) -> None:
    assert [(row[0], row[1]) for row in steps(job(ORDINARY))] == [
        ("1", "ac1"), ("2", "dc1"), ("3", "main"),
    ]  # fmt: skip


def test_each_inverter_is_switched_off_before_the_next(job: MakeJob) -> None:
    record = HEAD + (
        "components: {i1: {category: inverter}, i2: {category: inverter}}\n"
        "strings: {S1: {input: {inverter: i1}}, S2: {input: {inverter: i2}}, S3: {in_series: 8}}\n"
        "isolators:\n  d3: {side: dc, serves: S3}\n  d2: {side: dc, serves: S2}\n"
        "  d1: {side: dc, serves: S1}\n  a2: {side: ac, serves: i2}\n"
        "  m: {side: supply}\n  a1: {side: ac, serves: i1}\n"
    )
    assert [row[1] for row in steps(job(record))] == ["a1", "d1", "a2", "d2", "d3", "m"]


def test_a_step_says_where_the_switch_is_and_what_it_parts(job: MakeJob) -> None:
    ac, dc, supply = steps(job(ORDINARY))
    assert ac[2:] == ("beside the door", "Parts i1 from the house; it stops.")
    assert dc[2:] == ("garage", "Parts S1 (south) and S2 (west) from the inverter.")
    assert supply[3] == "Switches off the whole house."
    islanded = steps(job(changed("island_mode: no", "island_mode: yes")))
    assert islanded[0][3].startswith("Parts i1 from the house; it may go on by itself.")
    record = changed(
        "place: garage, reached: from the floor", "built_in: yes, reached: by a loose ladder"
    )
    assert steps(job(record))[1][2] == (
        "the record does not say where, part of the inverter's case; reached by a loose ladder"
    )


def test_what_stays_live_is_told_from_the_record(job: MakeJob) -> None:
    said = live(job(ORDINARY))
    # 8 × 40 V × (1 + 0.25 / 100 × 40) = 352 V, by hand
    assert "as far as dc1: live in daylight, up to 352 V." in said
    assert "The box j1 (loft): live in daylight" in said
    assert "The bottom terminals of ac1 and the cable to house board, way 9" in said
    assert "The inside of i1: live for some minutes" in said
    assert "the incoming side of main: always live" in said
    assert len(said.splitlines()) == 5


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("island_mode: no", "island_mode: yes", "i1 can supply by itself"),
        (", island_mode: no", "", "i1 may be able to supply, the record does not say, by itself"),
        ("network_terminals: bottom, ", "", "One side, the record does not say which, of ac1"),
        ("breaks_negative: 2", "breaks_negative: 0", "What lies behind dc1: not shown to be dead"),
        (",\n     breaks_negative: 2", "", "What lies behind dc1: not shown to be dead"),
        ("door, opens: all lines and neutral", "door, opens: all lines", "What lies behind ac1"),
        ("voc_v: 40, ", "", "at a voltage that was not worked out"),
    ],
)
def test_silence_and_half_open_switches_are_taken_for_live(
    old: str, new: str, expected: str, job: MakeJob
) -> None:
    assert expected not in live(job(ORDINARY))
    assert expected in live(job(changed(old, new)))


def test_a_string_without_a_switch_is_live_to_the_inverter(job: MakeJob) -> None:
    said = live(job(changed("serves: [S1, S2]", "serves: S1")))
    assert "DC terminals of i1 and modules and cables of S2 (west): live in daylight" in said
    assert "S2 has no switch" in said
    assert "the record names no switch for S1" in live(job(HALF_EMPTY))


def test_a_complete_record_leaves_nothing_unsaid(job: MakeJob) -> None:
    assert unsaid(job(ORDINARY)) == ""


def test_what_the_record_does_not_say_stands_on_the_sheet(job: MakeJob) -> None:
    assert unsaid(job(HALF_EMPTY)).splitlines() == [
        "which inverters there are",
        "which switches there are",
        "the installer's telephone number",
        "the network operator's telephone number",
    ]
    said = unsaid(job(awkward()))
    for expected in (
        "which switch parts Inverter-loft from the house",
        "how the battery (store) is switched off",
        "which is the main switch of the house",
        "how dc-2, dc-4, dc-6, dc-8, dc-10 and ac-1 can be reached",
        "where dc-1, dc-3, dc-5, dc-7, dc-9, dc-11 and ac-1 can be found",
        "why l1 on site gives another order (dc-1, ac-1)",
    ):
        assert expected in said


def test_an_order_on_site_that_differs_is_not_passed_over(job: MakeJob) -> None:
    other = job(changed("names: [ac1, dc1, main]", "names: [dc1, ac1, main]"))
    assert "why l1 on site gives another order (dc1, ac1, main); ask the installer" in unsaid(other)


def test_a_switch_that_is_dangerous_to_use_is_told_before_the_steps(job: MakeJob) -> None:
    terrace = open_job(SAMPLES / "terrace-eight-faults", rulesets_folder(), today=DAY)
    (danger,) = shutdown_values(terrace)["dangers"]
    assert danger.startswith("S2 / dc2: Do not open or close this isolator under load")
    minded = [row[1] for row in steps(terrace) if "Mind the danger above" in row[3]]
    assert minded == ["dc2"]
    said = text_runs(shutdown_sheet(terrace))
    assert said.index(danger) < said.index("Switch off in this order")
    assert shutdown_values(job(ORDINARY))["dangers"] == []


# -- leave-safe ---------------------------------------------------------------------------


def test_the_last_visit_up_to_the_day_of_the_check_is_told(job: MakeJob) -> None:
    opened = job(ORDINARY)
    values = leaving_values(opened)
    assert (values["visit_on"], values["who"], values["done"]) == (
        "18 November 2026", "Ash Merrin (invented)", "Cables run",
    )  # fmt: skip
    assert dict(leaving_tables(opened)["left-state"].rows) == {
        "What this job puts in": "locked off",
        "What can be live": "not recorded",
        "Ends of the DC cables": "insulated",
        "Plug connectors": "not recorded",
        "Locked off": "ac1, beside the door",
        "Key of the lock with": "Rowan Vale (invented)",
        "Roof": "covered for now",
        "Openings in walls, floors and ceilings": "guarded",
        "Ladders and scaffold": "taken away",
        "What the occupier was told": "the occupier, keep out of the loft",
        "Told by": "Ash Merrin (invented)",
        "Next visit": "24 November 2026",
        "Who comes then": "Ash Merrin (invented) and Rowan Vale (invented)",
    }


def test_without_a_visit_everything_is_not_recorded(job: MakeJob) -> None:
    opened = job(HALF_EMPTY)
    assert leaving_values(opened)["visit_on"] == ""
    states = {row[1] for row in leaving_tables(opened)["left-state"].rows}
    assert states == {"not recorded"}
    assert "the record names no visit" in text_runs(leave_safe_sheet(opened))


def test_every_gap_that_holds_up_leaving_or_use_is_on_the_sheet(job: MakeJob) -> None:
    opened = job(ORDINARY)
    values = leaving_values(opened)
    for field, stopped in (("open_before_leaving", "leaving"), ("open_before_use", "use")):
        gaps = [g for g in opened.checked.gaps if g.requirement.holds_up == stopped]
        assert gaps
        for gap in gaps:
            assert any(gap.requirement.title in line and gap.subject in line
                       for line in values[field]), gap  # fmt: skip


def test_the_dangers_of_the_check_are_on_the_leave_safe_sheet() -> None:
    terrace = open_job(SAMPLES / "terrace-eight-faults", rulesets_folder(), today=DAY)
    said = " ".join(text_runs(leave_safe_sheet(terrace)))
    dangers = [gap for gap in terrace.checked.gaps if gap.is_danger]
    assert len(dangers) == 3
    for gap in dangers:
        assert gap.requirement.danger in said


def test_a_closed_job_says_that_nothing_is_held_up_and_permits_nothing() -> None:
    bungalow = open_job(SAMPLES / "bungalow-two-faces", rulesets_folder(), today=DAY)
    said = " ".join(text_runs(leave_safe_sheet(bungalow)))
    assert "Nobody should have left" not in said
    assert "That is no permission to switch on." in said


# -- leave-safe, for the occupier ---------------------------------------------------------


def occupier_sheet(job: Job) -> Document:
    template = load_template(templates_folder() / "leave-safe-sheet-for-occupier.md.j2")
    return template.render(occupier_values(job), occupier_tables(job))


@pytest.mark.parametrize("record", RECORDS)
def test_the_occupier_s_pdf_and_docx_say_what_the_tree_says(record: str, job: MakeJob) -> None:
    document = occupier_sheet(job(RECORDS[record]))
    pdf = pdf_words(pdf_bytes(document, footer="f", draft=True))
    assert joined(pdf) == joined(with_marks(document))
    word = docx_words(docx_bytes(document, footer="f", draft=True))
    assert joined(word) == joined(text_runs(document))


def test_the_occupier_is_told_what_to_leave_alone_and_who_comes_next(job: MakeJob) -> None:
    said = " ".join(text_runs(occupier_sheet(job(ORDINARY))))
    assert "Do not switch any of it on" in said
    assert "Leave lock and tag where they are" in said
    assert "ac1, beside the door" in said
    assert "24 November 2026" in said
    assert "999" in said
    assert "Ends of the DC cables" not in said
    for sentence in live(job(ORDINARY)).splitlines():
        assert sentence in said
    in_use = changed("work: locked off", "work: in use")
    assert "Do not switch any of it on" not in " ".join(text_runs(occupier_sheet(job(in_use))))


def test_every_danger_stands_on_the_occupier_s_sheet() -> None:
    terrace = open_job(SAMPLES / "terrace-eight-faults", rulesets_folder(), today=DAY)
    said = " ".join(text_runs(occupier_sheet(terrace)))
    assert all(g.requirement.danger in said for g in terrace.checked.gaps if g.is_danger)
