"""The isolation and label schedule, and what the sheets say stays live, by every position.

The oracle of `rules.test_connections` works out from the record's own words what is live.
Source: common practice, no source.
"""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pypdf
import pytest
from documents.sheet_records import HALF_EMPTY, HEAD, ORDINARY, awkward
from documents.test_writers import docx_words, joined, pdf_words, with_marks
from rules.test_connections import oracle, positions

from compliance.documents.content import load_template
from compliance.documents.docx import docx_bytes
from compliance.documents.isolation import NO_SWITCH, isolation_tables, isolation_values
from compliance.documents.live import live_afterwards
from compliance.documents.pdf import pdf_bytes
from compliance.documents.tree import Document, SignatureBlock, text_runs
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.rules.job import Job, open_job

SAMPLES = sorted(p.parent for p in Path("sample_installs").glob("*/installation.yaml"))
DAY = date(2026, 11, 20)

TWO_ON_ONE_BOARD = HEAD + (
    "components:\n  i1: {category: inverter, island_mode: yes}\n"
    "  i2: {category: inverter, island_mode: no}\n  b1: {category: battery, inverter: i1}\n"
    "strings: {S1: {input: {inverter: i1}}, S2: {input: {inverter: i2}}}\n"
    "isolators:\n"
    "  main: {side: supply, opens: all lines and neutral}\n"
    "  a1: {side: ac, serves: i1, opens: all lines and neutral, network_terminals: left}\n"
    "  a2: {side: ac, serves: i2, opens: all lines and neutral}\n"
    "  d1: {side: dc, serves: S1, breaks_positive: 1, breaks_negative: 1, plugs_beside: yes}\n"
    "  d2: {side: dc, serves: S2, breaks_positive: 1, breaks_negative: 1}\n"
    "circuits: {C1: {feeds: i1, board: outbuilding}, C2: {feeds: i2, board: outbuilding}}\n"
    "labels:\n"
    "  l1: {kind: live in daylight, place: isolator, marks: d1}\n"
    "  l2: {kind: live from both sides, place: isolator, marks: a2}\n"
    "  l3: {kind: two supplies, place: board, circuit: C2}\n"
    "  l4: {kind: live from both sides, place: meter}\n"
    "old_labels:\n  o1: {wording: Old inverter, place: board, now: still there and wrong}\n"
    "  o2: {wording: Cooker, place: board, now: still true}\n  o3: {wording: Heater}\n"
    "  o4: {wording: Shed, now: removed}\n"
)
RECORDS = {"ordinary": ORDINARY, "half empty": HALF_EMPTY, "awkward": awkward(),
           "two inverters, one with a battery and island mode": TWO_ON_ONE_BOARD}  # fmt: skip


def job_of(folder: Path, text: str) -> Job:
    (folder / "installation.yaml").write_text(text, "utf-8")
    return open_job(folder, rulesets_folder(), today=DAY)


def rows(job: Job, table: str) -> list[tuple[str, ...]]:
    return [tuple(map(str, row)) for row in isolation_tables(job)[table].rows]


def document(job: Job) -> Document:
    template = load_template(templates_folder() / "isolation-label-schedule.md.j2")
    return template.render(isolation_values(job), isolation_tables(job))


def _names(text: str) -> list[frozenset[str]]:
    """The sets of switches in `a and b; or c`."""
    if text == NO_SWITCH:
        return []
    return [frozenset(re.split(r", | and ", some)) for some in text.split("; or ")]


def _claims_hold(job: Job) -> None:
    """Every set of switches that is promised frees its place; no other position does."""
    view = job.view
    places = {"Boards of the house": "boards"}
    for inverter in view.get("inverters", ()):
        name = inverter["~name"]
        places |= {f"AC terminals of {name}": f"ac {name}", f"DC terminals of {name}": f"dc {name}"}
    told = {
        place[0].upper() + place[1:]: row
        for row in rows(job, "freeing")
        for place in row[0].split("; ")
    }
    switches = [i["~name"] for i in view.get("isolators", ())]
    for opened in positions(switches):
        live = oracle(view, opened)
        for place, key in places.items():
            frees = any(some <= opened for some in _names(told[place][2]))
            assert frees == (not live[key]), (place, sorted(opened))
    said = " ".join(live_afterwards(view, job.checked.workings))
    for place, key in places.items():
        if oracle(view, frozenset(switches))[key]:
            assert place[1:] in said, place
            (sentence,) = [s for s in said.split(". ") if place[1:] in s]
            for source in oracle(view, frozenset(switches))[key]:
                assert source in sentence or "live in daylight" in sentence


@pytest.mark.parametrize("folder", SAMPLES, ids=lambda folder: folder.name)
def test_what_each_sample_s_sheets_claim_holds_in_every_position(folder: Path) -> None:
    _claims_hold(open_job(folder, rulesets_folder(), today=DAY))


@pytest.mark.parametrize("record", [r for r in RECORDS if r != "awkward"])  # 2 ** 13 positions
def test_what_the_sheets_claim_holds_in_every_position(record: str, tmp_path: Path) -> None:
    _claims_hold(job_of(tmp_path, RECORDS[record]))


def test_an_inverter_in_island_mode_keeps_the_board_live(tmp_path: Path) -> None:
    told = {row[0]: row[1:] for row in rows(job_of(tmp_path, TWO_ON_ONE_BOARD), "freeing")}
    sources, opened, beside = told["Boards of the house"]
    assert sources == "array S1 in daylight, battery b1 and network"
    assert opened == "a1 and main"
    assert "the other side of a1 (AC terminals of i1), from" in beside
    assert told["DC terminals of i1; AC terminals of i1; terminals of battery b1"][1] == NO_SWITCH


def test_labels_are_to_fit_to_keep_or_to_remove_by_what_is_live(tmp_path: Path) -> None:
    found = rows(job_of(tmp_path, TWO_ON_ONE_BOARD), "label-schedule")
    what = {(row[1], row[3]): row[0] for row in found}
    tells = {row[1]: row[2] for row in found}
    assert what["switch d1: live in daylight", "l1"] == "keep"
    assert what["switch d2: live in daylight", ""] == "fit"
    assert what["switch d1: do not unplug under load", ""] == "fit"
    assert "switch d2: do not unplug under load" not in tells
    # inverter i2 cannot supply by itself, but i1 can keep the board live beyond a2
    assert what["switch a1: live from both sides", ""] == "fit"
    assert what["isolator: live from both sides", "l2"] == "remove"
    assert what["meter: live from both sides", "l4"] == "remove"
    assert what["outbuilding: two supplies", "l3"] == "keep"
    assert tells["switch a1: two supplies"].endswith("the left terminals stay live")
    assert tells["switch a2: two supplies"].endswith("one side, not on record which, stays live")
    assert tells["origin: two supplies"] == "two supplies; open main and a1 and a2 before work"
    assert tells["origin or inverter: shutdown order"].endswith("order: a1, d1, a2, d2, main")
    assert tells["inverter i2: live in daylight"].endswith("parted only by a2 and d2")
    old = {row[3]: row[0] for row in found if row[1].endswith("from before")}
    assert old == {"o1": "remove", "o2": "keep", "o3": "find out"}


@pytest.mark.parametrize("record", RECORDS)
def test_pdf_and_docx_say_what_the_tree_says(record: str, tmp_path: Path) -> None:
    made = document(job_of(tmp_path, RECORDS[record]))
    pdf = pdf_bytes(made, footer="f", draft=True)
    assert joined(pdf_words(pdf)) == joined(with_marks(made))
    assert joined(docx_words(docx_bytes(made, footer="f", draft=True))) == joined(text_runs(made))


def test_it_cautions_defers_and_has_room_to_sign(tmp_path: Path) -> None:
    made = document(job_of(tmp_path, TWO_ON_ONE_BOARD))
    said = " ".join(text_runs(made))
    assert "Local regulations" in said
    assert "prove dead at the place of work" in said
    assert "a1: no switch" not in said
    assert any(isinstance(block, SignatureBlock) for block in made.blocks)


def test_an_ordinary_house_takes_three_pages_at_most(tmp_path: Path) -> None:
    from io import BytesIO

    data = pdf_bytes(document(job_of(tmp_path, ORDINARY)), footer="f", draft=False)
    assert len(pypdf.PdfReader(BytesIO(data)).pages) <= 3
