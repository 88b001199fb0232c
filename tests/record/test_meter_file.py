"""Tests read from a meter's own file: each value at its row, and nothing guessed."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from textwrap import dedent

import pytest

from compliance.errors import ComplianceError, Problems
from compliance.files.cache import FolderCache
from compliance.files.yaml import parse_yaml
from compliance.record.load import Loaded, record_from
from compliance.record.opened import open_record
from compliance.record.view import view

RECORD = dedent("""\
    record: installation/2
    reference: J
    jurisdiction: GB-ENG
    title: t
    people:
      p: {name: P (invented)}
    instruments:
      m:
        kind: tester
        columns:
          - called: Riso +
            means: IR+
    components:
      mod: {category: module}
      inv: {category: inverter}
    strings:
      S1: {modules: mod}
      S2: {modules: mod}
    circuits:
      C1: {feeds: inv}
    evidence:
      file:
        file: evidence/meter.csv
        kind: meter file
        tests: read from it
        instrument: m
        by: p
        on: 2026-10-14
    """)


def loaded(folder: Path, table: str, record: str = RECORD) -> Loaded:
    (folder / "evidence").mkdir(exist_ok=True)
    (folder / "evidence" / "meter.csv").write_text(table, "utf-8")
    return record_from(parse_yaml(record.encode(), name="r.yaml"), folder)


def told(folder: Path, table: str, record: str = RECORD) -> list[str]:
    with pytest.raises(ComplianceError) as caught:
        loaded(folder, table, record)
    found = caught.value
    return [str(p) for p in (found.problems if isinstance(found, Problems) else [found])]


def test_a_row_gives_each_of_its_tests_what_it_was_made_under(tmp_path: Path) -> None:
    table = (
        "of,on,polarity,Voc,short-circuit current,irradiance_w_m2,Tcell,Riso +,IR-,Utest\n"
        "S1,2026-10-14T11:20,correct,341.2,8.55,612,24,>200,38,500\n"
        "S2,2026-10-14T11:26,correct,262.8,,455,22,over 200,over 200,500\n"
    )
    job = view(loaded(tmp_path, table).record)
    first, second = job["strings"]
    assert first["open_circuit_voltage"]["value_v"] == 341.2
    assert first["short_circuit_current"]["irradiance_w_m2"] == 612
    assert first["insulation"]["test_voltage_v"] == 500
    assert "irradiance_w_m2" not in first["insulation"]
    assert first["insulation"]["positive_earth_megohm"].limit == 200
    assert first["polarity"]["known"] == "meter file"
    assert first["polarity"]["by"]["name"] == "P (invented)"
    assert str(second["polarity"]["on"]) == "2026-10-14 11:26:00"
    assert "short_circuit_current" not in second
    (paper,) = job["evidence"]
    assert paper["about"] == ("S1", "S2")
    assert paper["shows"] == "The readings of S1, S2 as the meter stored them"


def test_strings_and_circuits_may_stand_in_one_file(tmp_path: Path) -> None:
    table = "of;Voc;Zs;R1+R2;polarity\nS1;341,2;;;\nC1;;0.38;0.16;correct\n"
    (problem,) = told(tmp_path, table)
    assert problem.startswith(f"{tmp_path}/evidence/meter.csv:2:2")
    assert '"341,2" is not a plain number' in problem
    job = view(loaded(tmp_path, table.replace("341,2", "341.2")).record)
    (circuit,) = job["circuits"]
    assert circuit["loop_impedance"]["zs_ohm"] == 0.38
    assert circuit["continuity"]["r1_r2_ohm"] == 0.16
    assert circuit["polarity"]["result"] == "correct"


def test_a_test_typed_after_the_file_was_written_counts_after_it(tmp_path: Path) -> None:
    typed = dedent("""\
        tests:
          - {test: polarity, of: S1, by: p, on: 2026-10-20, after: ends exchanged, result: correct}
        """)
    made = loaded(tmp_path, "of,polarity\nS1,reversed\n", RECORD + typed)
    string, _ = view(made.record)["strings"]
    assert string["polarity"]["result"] == "correct"
    assert string["polarity"]["~earlier"][0]["result"] == "reversed"
    assert made.tree.place(("tests", 1, "result")).line == RECORD.count("\n") + 2
    assert made.tree.place(("tests", 0, "result")).file.endswith("meter.csv")


@pytest.mark.parametrize(
    ("table", "cause"),
    [
        ("subject,Voc\nS1,3\n", "record.no-subject-column"),
        ("of,Vocc\nS1,3\n", "record.unknown-column"),
        ("of,Voc,open-circuit voltage\nS1,3,3\n", "record.column-twice"),
        ("of,Voc,Voc\nS1,3,3\n", "record.column-twice"),
        ("of,Zs\nS1,3\n", "record.column-does-not-fit"),
        ("of,value_a\nS1,3\n", "record.column-does-not-fit"),
        ("of,Voc\nS1,3,4\n", "record.row-too-long"),
        ("of,Voc\nS9,3\n", "record.unknown-reference"),
        ("of,Voc\n", "record.no-table"),
        ('of,Voc\nS1,"3\n', "record.no-table"),
        ("", "record.no-table"),
    ],
)
def test_what_cannot_be_read_is_told_at_its_cell(tmp_path: Path, table: str, cause: str) -> None:
    with pytest.raises(ComplianceError) as caught:
        loaded(tmp_path, table)
    assert caught.value.id == cause
    assert caught.value.place is not None
    assert caught.value.place.file.endswith("meter.csv")


def test_a_changed_file_is_read_again(tmp_path: Path) -> None:
    job = tmp_path / "job"
    (job / "evidence").mkdir(parents=True)
    (job / "installation.yaml").write_text(RECORD)
    cache = FolderCache(tmp_path / "cache")
    for voltage in (341.2, 262.8):
        (job / "evidence" / "meter.csv").write_text(f"of,Voc\nS1,{voltage}\n")
        opened = open_record(job, cache, today=date(2026, 11, 25))
        assert opened.view["strings"][0]["open_circuit_voltage"]["value_v"] == voltage


def test_each_value_keeps_its_place_beside_planned_tests_and_two_files(tmp_path: Path) -> None:
    typed = dedent("""\
        tests:
          - {test: insulation, of: S1, batch: later}
          - {test: polarity, of: S2, batch: now, after: ends exchanged, result: correct}
        batches:
          later: {what: tests}
          now: {by: p, on: 2026-10-20}
        """)
    second = (
        dedent("""\
          more:
            file: evidence/meter.csv
            kind: meter file
            tests: read from it
            by: p
            on: 2026-10-13
        """)
        .replace("\n", "\n  ")
        .rstrip(" ")
    )
    made = loaded(tmp_path, "of,polarity\nS2,reversed\n", RECORD + "  " + second + typed)
    assert [t.on.isoformat() for t in made.record.tests or ()] == [
        "2026-10-13", "2026-10-14", "2026-10-20",
    ]  # fmt: skip
    written = (RECORD + "  " + second + typed).splitlines()
    said = next(at for at, line in enumerate(written, 1) if "now: {by" in line)
    assert made.tree.place(("tests", 2, "on")).line == said, "the day is the batch's"
    assert made.tree.place(("tests", 2, "result")).line == said - 3
    assert made.tree.place(("tests", 1, "result")).file.endswith("meter.csv")


def test_a_row_of_the_supply_holds_what_was_read_at_the_origin(tmp_path: Path) -> None:
    table = "of,on,Zs,Ze,PFC\nC1,2026-10-14,0.4,,0.9\nsupply,2026-10-14,,0.22,1.05\n"
    made = loaded(tmp_path, table, RECORD)
    supply = made.record.site.supply
    assert (supply.ze_ohm, supply.prospective_fault_ka) == (0.22, 1.05)
    place = made.tree.place(("site", "supply", "ze_ohm"))
    assert (place.line, place.column) == (3, 4)
    assert place.file.endswith("meter.csv")
    (file,) = (made.record.evidence or {}).values()
    assert file.about == ("C1", "job")
    assert [t.test for t in made.record.tests or ()] == ["loop impedance", "fault current"]
    typed = RECORD + "site: {supply: {ze_ohm: 0.3, phases: 1}}\n"
    with pytest.raises(ComplianceError, match=r"0\.22 here and 0\.3 elsewhere"):
        loaded(tmp_path, table, typed)


def test_a_file_with_a_row_for_each_reading_gives_the_same_tests(tmp_path: Path) -> None:
    wide = (
        "of,on,Voc,irradiance_w_m2,IR+,Riso -,Utest\n"
        "S1,2026-10-14T11:20,341.2,612,over 200,38,500\n"
        "S2,2026-10-14T11:26,262.8,455,over 200,over 200,500\n"
        "S1,2026-10-14T14:10,339,640,,,\n"
    )
    columns = RECORD.replace("means: IR+\n", "means: IR+\n      - {called: Riso -, means: IR-}\n")
    (header, *rows) = [line.split(",") for line in wide.splitlines()]
    long = ["of,on,reading,value"]
    for row in rows:
        long += [
            f"{row[0]},{row[1]},{n},{v}" for n, v in zip(header[2:], row[2:], strict=True) if v
        ]
    one = loaded(tmp_path, wide, columns)
    other = loaded(tmp_path, "\n".join(long) + "\n", columns)
    assert other.record.tests == one.record.tests
    assert len(one.record.tests or ()) == 5
    place = other.tree.place(("tests", 0, "value_v"))
    assert (place.line, place.column) == (2, 4)
