"""`compliance chase` over a folder of drawn jobs, recomputed another way (`by_hand.py`).

COMPLIANCE_JOBS=300 tries that many jobs.
"""

from __future__ import annotations

import csv
import email
import io
import json
import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Callable
from datetime import date
from email.policy import default
from pathlib import Path
from typing import Any

import pytest
from portfolio import by_hand
from portfolio.jobs import TODAY, make_jobs

JOBS = int(os.environ.get("COMPLIANCE_JOBS", "30"))
Call = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("office") / "jobs"
    make_jobs(made, JOBS)
    return made


def chased(call: Call, folder: Path, *more: str) -> dict[str, Any]:
    code, out, _ = call("chase", folder, "--on", TODAY.isoformat(), "--format", "json", *more)
    assert code == 1
    data: dict[str, Any] = json.loads(out)
    return data


def every(data: dict[str, Any]) -> list[dict[str, Any]]:
    return [item for held in data["held"] for item in held["items"]]


def test_the_notices_are_those_worked_out_by_hand(call: Call, folder: Path) -> None:
    found: dict[tuple[str, str, str], dict[str, str]] = {}
    for item in every(chased(call, folder)):
        if not item["deadlines"] and item["standing"] != "no day known":
            continue
        if not re.search("notice to|certificate|handover", item["asked_by"][0]):
            continue
        if not item["deadlines"] and "`in_use`" not in item["needed"]:
            continue
        days = {d["by"]: d["day"] for d in item["deadlines"]} or {"none": ""}
        for part in item["part"].split(", "):
            key = (item["reference"], item["asked_by"][0], part)
            assert key not in found, "counted twice"
            found[key] = days
    by_the_way = by_hand.notices(folder, TODAY)
    assert len(by_the_way) > JOBS
    assert found == by_the_way


def test_how_each_stands_follows_from_its_days_alone(call: Call, folder: Path) -> None:
    said = set()
    for item in every(chased(call, folder)):
        for d in item["deadlines"]:
            left = (date.fromisoformat(d["day"]) - TODAY).days
            if left < 0:
                assert f"late by {d['by']}" in item["standing"]
                said.add(d["by"])
            else:
                assert f"late by {d['by']}" not in item["standing"]
                assert re.search(rf"due (today|in {left} day)", item["standing"])
    assert said == {"law", "practice"}


def test_what_the_checks_lack_is_asked_for_once_and_of_its_holder(call: Call, folder: Path) -> None:
    lacking = set()
    for job in folder.iterdir():
        _, out, _ = call("check", job, "--on", TODAY.isoformat(), "--format", "json")
        for finding in json.loads(out)["findings"]:
            if finding["outcome"] == "not shown":
                for need in finding["needs"]:
                    lacking.add((job.name, finding["held_by"], need["supply"]))
    data = chased(call, folder)
    asked = [
        (item["folder"], held["held_by"], re.sub(r" \(or: .*\)$", "", item["needed"]))
        for held in data["held"]
        for item in held["items"]
        if not item["deadlines"] and "`in_use`" not in item["needed"]
        and not item["needed"].startswith("a competent person's decision")
    ]  # fmt: skip
    assert lacking <= set(asked)
    assert {a for a in asked if a not in lacking} == set()


def test_within_a_holder_the_earliest_deadline_comes_first(call: Call, folder: Path) -> None:
    for held in chased(call, folder)["held"]:
        days = [item["day"] or "9999" for item in held["items"]]
        assert days == sorted(days)


def test_ages_are_days_since_the_part_went_into_use(call: Call, tmp_path: Path) -> None:
    job = make_jobs(tmp_path / "jobs", 1)[0]
    text = (
        "record: installation/1\nreference: R\njurisdiction: GB-SCT\ntitle: T (invented)\n"
        "parts:\n  a: {kind: array, in_use: 2026-11-06}\n"
    )
    (job / "installation.yaml").write_text(text, "utf-8")
    ages = {i["since_done_days"] for i in every(chased(call, tmp_path / "jobs")) if i["part"]}
    assert ages == {20}


# -- forms -------------------------------------------------------------------------------


def test_the_calendar_is_read_by_an_outside_parser(call: Call, folder: Path) -> None:
    icalendar = pytest.importorskip("icalendar")
    _, out, _ = call("chase", folder, "--on", TODAY.isoformat(), "--format", "ics")
    calendar = icalendar.Calendar.from_ical(out)
    tasks = calendar.walk("VTODO")
    assert not [t for t in tasks if t.errors]
    expected = [
        (f"{i['reference']}: {i['needed']} (by {d['by']})", d["day"])
        for i in every(chased(call, folder))
        for d in i["deadlines"]
    ]
    assert sorted((str(t["SUMMARY"]), t["DUE"].dt.isoformat()) for t in tasks) == sorted(expected)
    assert len({str(t["UID"]) for t in tasks}) == len(tasks)
    assert all(len(line.encode()) <= 75 for line in out.split("\r\n"))


def test_a_line_is_folded_between_characters() -> None:
    from compliance.portfolio.calendar_file import _folded

    pieces = list(_folded("SUMMARY:" + "Ω² " * 60))
    assert all(len(piece.encode()) <= 75 for piece in pieces)
    assert pieces[0] + "".join(p[1:] for p in pieces[1:]) == "SUMMARY:" + "Ω² " * 60


@pytest.fixture
def formulas(tmp_path: Path) -> Path:
    """A job whose texts look like formulas."""
    folder = tmp_path / "jobs"
    (folder / "a").mkdir(parents=True)
    text = (
        'record: installation/1\nreference: "=1+1"\njurisdiction: GB-ENG\ntitle: "@SUM(A1)"\n'
        'organisation: {name: "+1 (invented)"}\ncustomer: {name: "-2 {{ 7 * 7 }} (invented)"}\n'
        "parts:\n  p: {kind: array, in_use: 2026-11-06}\n"
    )
    (folder / "a" / "installation.yaml").write_text(text, "utf-8")
    return folder


def test_text_that_looks_like_a_formula_stays_text_in_csv(call: Call, formulas: Path) -> None:
    _, out, _ = call("chase", formulas, "--on", TODAY.isoformat(), "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert {row["reference"] for row in rows} == {"'=1+1"}
    assert {row["name"] for row in rows if row["held by"] == "office"} == {"'+1 (invented)"}
    assert not [c for row in rows for c in row.values() if c[:1] in ("=", "+", "-", "@")]


def test_a_workbook_holds_the_rows_of_the_csv(call: Call, formulas: Path) -> None:
    done = subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-m", "compliance", "chase", formulas, "--on", TODAY.isoformat(),
         "--format", "xlsx"], capture_output=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1, done.stderr
    openpyxl = pytest.importorskip("openpyxl")
    rows = openpyxl.load_workbook(io.BytesIO(done.stdout)).active.iter_rows(values_only=True)
    cells = [["" if c is None else str(c) for c in row] for row in rows]
    _, out, _ = call("chase", formulas, "--on", TODAY.isoformat(), "--format", "csv")
    plain = [[c.removeprefix("'") for c in row] for row in csv.reader(io.StringIO(out))]
    assert len(cells) > 10
    assert cells == plain


def test_text_that_looks_like_a_formula_stays_text_in_a_workbook() -> None:
    from compliance.portfolio.sheets import xlsx_bytes

    data = xlsx_bytes("s", ("a", "b"), [("=1+1", 3), ("bell\x07", None)])
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        sheet = book.read("xl/worksheets/sheet1.xml").decode()
    assert "<f>" not in sheet
    assert "<f " not in sheet
    openpyxl = pytest.importorskip("openpyxl")
    rows = list(openpyxl.load_workbook(io.BytesIO(data)).active.iter_rows(values_only=True))
    assert rows == [("a", "b"), ("=1+1", 3), ("bell ", None)]


def test_a_draft_for_each_person_holds_just_their_items(
    call: Call, folder: Path, tmp_path: Path
) -> None:
    data = chased(call, folder, "--drafts", str(tmp_path / "drafts"))
    letters = sorted((tmp_path / "drafts").iterdir())
    assert len(letters) == len(data["held"])
    for path, held in zip(letters, data["held"], strict=True):
        message = email.message_from_bytes(path.read_bytes(), policy=default)
        assert (message["To"], message["From"]) == (None, None)
        body = message.get_content().replace("\r\n", "\n")
        listed = re.findall(r"^  - (.*)$", body, re.MULTILINE)
        assert sorted(listed) == sorted(item["needed"] for item in held["items"])
        assert f"Dear {held['name'] or held['held_by']}," in body
        assert "no permission to energise" in body
        outsiders = held["held_by"] not in ("office", "installer", "designer", "network operator")
        if outsiders:
            assert len({item["folder"] for item in held["items"]}) == 1


def test_drafts_run_nothing_and_never_replace_what_was_edited(
    call: Call, formulas: Path, tmp_path: Path
) -> None:
    where = tmp_path / "drafts"
    chased(call, formulas, "--drafts", str(where))
    said = "".join(
        email.message_from_bytes(p.read_bytes(), policy=default).get_content()
        for p in where.iterdir()
    )
    assert "{{ 7 * 7 }}" in said or "customer" not in said
    assert "49" not in said
    before = {p: p.read_bytes() for p in where.iterdir()}
    code, _, err = call("chase", formulas, "--drafts", where)
    assert code == 2
    assert "is not empty" in err
    assert {p: p.read_bytes() for p in where.iterdir()} == before


def test_the_text_names_dangers_first_and_gives_no_permission(call: Call) -> None:
    samples = Path(__file__).parents[2] / "sample_installs"
    code, out, _ = call("chase", samples, "--on", "2026-11-25", "--no-cache")
    assert code == 1
    assert out.index("DANGER in") < out.index("office: ")
    assert "no permission to energise" in out
    assert "late by law" in out
    assert "late by practice" in out
    assert "Regulations 2002, regulation 22(2)(c) (memory)" in " ".join(out.split())


def test_a_folder_without_jobs_is_refused(call: Call, tmp_path: Path) -> None:
    code, _, err = call("chase", tmp_path)
    assert code == 2
    assert "holds no job folders" in err
