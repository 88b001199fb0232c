"""`compliance chase` over a folder of drawn jobs, recomputed another way (`by_hand.py`).

COMPLIANCE_JOBS=300 tries that many jobs.
"""

from __future__ import annotations

import csv
import email
import io
import json
import os
import random
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

from compliance.portfolio.route import per_phase_kw

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


NOTICES = {*by_hand.TITLES.values(), "handover of the documents to the customer"}


def of_notices(data: dict[str, Any]) -> list[dict[str, Any]]:
    """The items that ask for a notice, not for a finding of a check."""
    return [item for item in every(data) if item["asked_by"][0] in NOTICES]


def test_the_notices_are_those_worked_out_by_hand(call: Call, folder: Path) -> None:
    found: dict[tuple[str, str, str], dict[str, str]] = {}
    for item in of_notices(chased(call, folder)):
        assert item["deadlines"] or item["standing"] in ("no day known", "due before work starts")
        days = {d["by"]: d["day"] for d in item["deadlines"]} or {"none": ""}
        for part in item["part"].split(", "):
            key = (item["reference"], item["asked_by"][0], part)
            assert key not in found, "counted twice"
            found[key] = days
    by_the_way = by_hand.notices(folder, TODAY)
    assert len(by_the_way) > JOBS
    assert {title for _, title, _ in by_the_way} == NOTICES
    assert found == by_the_way


def test_what_went_out_late_is_told_with_its_days_and_never_as_open(
    call: Call, folder: Path
) -> None:
    data = chased(call, folder)
    found: dict[tuple[str, str, str], dict[str, int]] = {}
    for late in data["sent_late"]:
        for part in late["part"].split(", "):
            key = (late["reference"], late["notice"], part)
            assert key not in found, "counted twice"
            found[key] = {d["by"]: d["late_days"] for d in late["missed"]}
        for missed in late["missed"]:
            days = "1 day" if missed["late_days"] == 1 else f"{missed['late_days']} days"
            assert f"{days} late by {missed['by']}" in late["standing"]
    assert found == by_hand.late(folder, TODAY)
    assert len(found) > JOBS // 3
    open_ = {(i["reference"], i["asked_by"][0], p) for i in of_notices(data)
             for p in i["part"].split(", ")}  # fmt: skip
    assert not open_ & found.keys()
    _, out, _ = call("chase", folder, "--on", TODAY.isoformat())
    assert out.count(" late by ") > 0
    plain = " ".join(out.split())
    assert f"{len(data['sent_late'])} notices sent late" in plain
    assert all(f"{late['reference']} {late['notice']}" in plain for late in data["sent_late"])
    _, out, _ = call("chase", folder, "--on", TODAY.isoformat(), "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [row["how it stands"] for row in rows if row["held by"] == ""] == [
        late["standing"] for late in data["sent_late"]
    ]


def test_a_notice_that_was_sent_late_holds_nothing_up(call: Call, tmp_path: Path) -> None:
    text = (
        "record: installation/1\nreference: R\njurisdiction: GB-SCT\ntitle: T (invented)\n"
        "parts:\n  c: {kind: charger, in_use: 2026-10-01, handed_over: 2026-10-02}\n"
        "notifications:\n  - {notice: network notice, of: c, on: 2026-10-30}\n"
    )
    (tmp_path / "jobs" / "a").mkdir(parents=True)
    (tmp_path / "jobs" / "a" / "installation.yaml").write_text(text, "utf-8")
    before = chased(call, tmp_path / "jobs")
    assert [late["standing"] for late in before["sent_late"]] == [
        "sent 2026-10-30: 1 day late by practice"
    ]
    assert of_notices(before) == []
    _, out, _ = call("check", tmp_path / "jobs")
    assert out.splitlines()[0].endswith("; 1 notice sent late")
    _, ics, _ = call("chase", tmp_path / "jobs", "--on", TODAY.isoformat(), "--format", "ics")
    assert "VTODO" not in ics
    code, _, _ = call("chase", tmp_path / "jobs", "--on", "2026-10-29", "--format", "json")
    assert code == 1


@pytest.mark.source(
    document="reference facts of the project, process.md section 10, route scenarios",
    table="which route a job takes to the network operator",
    confidence="secondary",
)
@pytest.mark.parametrize(
    ("supply", "inverters", "span_kw", "agrees_first"),
    [
        (1, [(3.6, 1)], (3.6, 3.6), False),
        (1, [(5.0, 1)], (5.0, 5.0), True),
        (3, [(10.0, 3)], (10 / 3, 10 / 3), False),
        (1, [(3.6, 1), (3.6, 1)], (7.2, 7.2), True),
        (3, [(3.6, 1), (3.6, 1)], (3.6, 7.2), None),
        (1, [(3.6, 1), (None, 1)], (3.6, None), None),
        (1, [(3.68, 1)], (3.68, 3.68), False),
        (1, [], None, None),
    ],
)
def test_the_route_to_the_network_operator(
    call: Call, tmp_path: Path, supply: int, inverters: list[tuple[float | None, int]],
    span_kw: tuple[float, float | None] | None, agrees_first: bool | None,
) -> None:  # fmt: skip
    view = {
        "site": {"supply": {"phases": float(supply)}},
        "inverters": [{"rated_kw": kw, "phases": float(n)} for kw, n in inverters],
    }
    assert per_phase_kw(view) == span_kw
    text = (
        "record: installation/1\nreference: R\njurisdiction: GB-ENG\ntitle: T (invented)\n"
        f"site: {{supply: {{phases: {supply}}}}}\n"
        "parts:\n  p: {kind: inverter, started: 2026-12-01, in_use: not yet}\n"
        "  q: {kind: battery, in_use: 2026-11-02}\n"
    )
    if inverters:
        text += "components:\n"
    for number, (kw, phases) in enumerate(inverters):
        rated = f", rated_kw: {kw}" if kw else ""
        text += f"  i{number}: {{category: inverter, part: p, phases: {phases}{rated}}}\n"
    (tmp_path / "jobs" / "a").mkdir(parents=True)
    (tmp_path / "jobs" / "a" / "installation.yaml").write_text(text, "utf-8")
    found = {i["asked_by"][0]: i for i in of_notices(chased(call, tmp_path / "jobs"))}
    agreement = found.get(by_hand.TITLES["network agreement"])
    assert (agreement is not None) == bool(agrees_first)
    if agreement:
        assert agreement["standing"] == "due in 5 days"
        assert f"{span_kw and span_kw[0]:g} kW per phase, above 3.68 kW" in agreement["needed"]
    notice = found[by_hand.TITLES["network notice"]]["needed"]
    assert ("capacity per phase not shown" in notice) == (agrees_first is None)


def test_a_span_of_capacity_holds_every_way_to_connect_the_inverters() -> None:
    made = random.Random(20261126)
    for _ in range(300):
        inverters = []
        for _ in range(made.randint(1, 4)):
            said = {"rated_kw": made.choice((1.5, 2.0, 3.68, 5.0, 8.0, None)),
                    "phases": made.choice((1.0, 3.0, None))}  # fmt: skip
            inverters.append({name: value for name, value in said.items() if value})
        phases = made.choice((1.0, 3.0, None))
        supply = {"phases": phases} if phases else {}
        span = per_phase_kw({"site": {"supply": supply}, "inverters": inverters})
        components = {str(n): {"category": "inverter", **i} for n, i in enumerate(inverters)}
        job = {"components": components, "site": {"supply": supply}}
        brute = by_hand.most_and_least_kw(job)
        assert span is not None
        assert brute is not None
        assert span[0] <= brute[0] + 1e-9
        if span[1] is None:
            assert brute[1] > 1e6
        else:
            assert span[1] == pytest.approx(brute[1])


def test_agreement_is_asked_for_before_anything_has_begun(call: Call, tmp_path: Path) -> None:
    text = (
        "record: installation/1\nreference: R\njurisdiction: GB-NIR\ntitle: T (invented)\n"
        "parts:\n  p: {kind: array, started: not yet, in_use: not yet}\n"
        "components:\n  i: {category: inverter, part: p, rated_kw: 15, phases: 3}\n"
    )
    (tmp_path / "jobs" / "a").mkdir(parents=True)
    (tmp_path / "jobs" / "a" / "installation.yaml").write_text(text, "utf-8")
    (item,) = of_notices(chased(call, tmp_path / "jobs"))
    assert (item["standing"], item["holds_up"]) == ("due before work starts", "switching on")


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
        if item["asked_by"][0] not in NOTICES
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
