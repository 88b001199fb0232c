"""The component register: what it says of the samples, and of a record with awkward words."""

from __future__ import annotations

from datetime import date
from io import BytesIO
from pathlib import Path

import pypdf
import pytest

from compliance.documents.components import component_tables, component_values, made
from compliance.documents.content import load_template
from compliance.documents.docx import docx_bytes
from compliance.documents.pdf import pdf_bytes
from compliance.documents.tree import Document, Table, text_runs
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.rules.job import Job, open_job
from compliance.rules.outcome import NO_PERMISSION

SAMPLES = Path(__file__).parents[2] / "sample_installs"
DAY = date(2026, 11, 20)
HEAD = "record: installation/1\nreference: R-1\njurisdiction: GB-ENG\ntitle: A job (invented)\n"
LONG = "Wellenbergerhochspannungsgleichstromtrennschaltergesellschaft " * 3 + "& Söhne <b>"


def _document(job: Job) -> Document:
    template = load_template(templates_folder() / "component-register.md.j2")
    return template.render(component_values(job), component_tables(job))


def _job(tmp_path: Path, text: str) -> Job:
    (tmp_path / "installation.yaml").write_text(HEAD + text, "utf-8")
    return open_job(tmp_path, rulesets_folder(), today=DAY)


@pytest.fixture(scope="module")
def garage() -> Job:
    return open_job(SAMPLES / "garage-second-life-modules", rulesets_folder(), today=DAY)


@pytest.fixture(scope="module")
def bungalow() -> Job:
    return open_job(SAMPLES / "bungalow-two-faces", rulesets_folder(), today=DAY)


def _row(table: Table, first: str) -> tuple[str, ...]:
    return next(tuple(map(str, row)) for row in table.rows if str(row[0]).startswith(first))


def test_each_component_stands_with_origin_place_number_and_evidence(bungalow: Job) -> None:
    table = component_tables(bungalow)["components"]
    assert len(table.rows) == len(bungalow.view["components"])
    assert _row(table, "mod-440")[2:] == (
        "new", "roof-array; string S1: 9; string S2: 7", "16 listed below",
        "data-modules, certificates",
    )  # fmt: skip
    assert _row(table, "inv-5")[4] == "CG5-000417"
    assert _row(table, "switch-25")[3] == "garage-inverter; dc1, garage wall, left of the inverter"


def test_an_approval_stands_with_its_dates_and_what_the_check_found(garage: Job) -> None:
    table = component_tables(garage)["approvals"]
    assert _row(table, "cable-4")[1:] == (
        "EN 50618", "ETH-W-0004, Example Test House (invented)",
        "from 2021-11-12 until 2026-11-11", "not met", "certificates",
    )  # fmt: skip
    assert _row(table, "kit-2")[3:5] == ("from 2024-01-15, without an end", "met")
    found = [row[4] for row in table.rows if row[0] == "mod-250"]
    assert found == ["not met", "met"]


def test_no_approval_and_silence_are_told_apart(garage: Job) -> None:
    table = component_tables(garage)["approvals"]
    assert _row(table, "charger-7")[1:3] == ("none", "no approval, as the record says")
    assert _row(table, "plug-on-module")[1:3] == ("not recorded", "not recorded")


def test_every_gap_of_the_components_is_open_and_no_other(garage: Job) -> None:
    rows = component_tables(garage)["component-gaps"].rows
    gaps = [g for g in garage.checked.gaps if g.requirement.ruleset.startswith("gb-component-")]
    names = ["the whole job" if gap.subject == "job" else gap.subject for gap in gaps]
    assert [row[0] for row in rows] == names
    assert len(garage.checked.gaps) > len(gaps) > 10
    assert all(all(row) for row in rows)


def test_what_is_dangerous_is_said_first_with_its_subject(garage: Job, bungalow: Job) -> None:
    dangers = component_values(garage)["dangers"]
    assert [d.partition(":")[0] for d in dangers] == ["bat-5", "S1-plus-roof"]
    words = text_runs(_document(garage))
    assert words.index("Make it safe first") < words.index("Still open")
    assert "Make it safe first" not in text_runs(_document(bungalow))


def test_register_and_plate_stand_beside_each_other(garage: Job) -> None:
    row = _row(component_tables(garage)["type-tests"], "inv-3")
    assert row[2:4] == ("3.68 kW / 3.7 kW", "V3 / not recorded")


def test_fire_is_asked_of_in_roof_kits_only(garage: Job, bungalow: Job) -> None:
    assert _row(component_tables(garage)["mountings"], "kit-2")[3] == (
        "class not available; without a barrier layer"
    )
    assert _row(component_tables(bungalow)["mountings"], "kit-1")[3] == "asked of in-roof kits only"


def test_every_serial_number_is_printed_once_and_counted(bungalow: Job) -> None:
    rows = component_tables(bungalow)["serials"].rows
    assert [row[1] for row in rows] == ["1 to 4", "5 to 8", "9 to 12", "13 to 16"]
    printed = [number for row in rows for number in str(row[2]).split(", ")]
    assert printed == list(bungalow.view["modules"][0]["serials"])


def test_an_odd_number_of_serials_ends_with_its_own_line(tmp_path: Path) -> None:
    numbers = ", ".join(f"A-{n}" for n in range(1, 6))
    job = _job(tmp_path, f"components: {{m: {{category: module, serials: [{numbers}]}}}}\n")
    rows = component_tables(job)["serials"].rows
    assert [(row[1], row[2]) for row in rows] == [("1 to 4", "A-1, A-2, A-3, A-4"), ("5", "A-5")]


def test_only_the_rulesets_about_components_are_named(garage: Job) -> None:
    assert component_values(garage)["rulesets"] == [
        "gb-component-approval", "gb-component-identity",
    ]  # fmt: skip


def test_a_record_without_components_says_so_and_permits_nothing(tmp_path: Path) -> None:
    words = text_runs(_document(_job(tmp_path, "")))
    assert words.count("The record names no component.") == 3
    assert NO_PERMISSION in words
    assert any("never certifies" in said for said in words)


def test_what_has_neither_maker_nor_model_says_so() -> None:
    assert made(None) == made({"~name": "x"}) == "not recorded"
    assert made({"~name": "x", "model": "M-1"}) == "M-1"


def test_long_and_odd_words_are_printed_whole_in_both(tmp_path: Path) -> None:
    job = _job(
        tmp_path,
        "parts: {roof: {kind: array, started: 2026-10-05}}\ncomponents:\n  m:\n"
        f"    category: module\n    maker: '{LONG}'\n    model: '{'X' * 120}'\n    origin: new\n"
        f"    approval:\n      - certificate: '{'7' * 90}'\n"
        f"    serials: [{', '.join(f'{n:040d}' for n in range(60))}]\n",
    )
    document = _document(job)
    text = "".join(
        "".join(page.extract_text().split())
        for page in pypdf.PdfReader(
            BytesIO(pdf_bytes(document, footer="f", draft=True)), strict=True
        ).pages
    )
    for wanted in ("".join(LONG.split()), "X" * 120, "7" * 90, f"{59:040d}"):
        assert wanted in text
    assert docx_bytes(document, footer="f", draft=True)
