"""Sheets through an outside spreadsheet program: every cell arrives as the text or number it was.

LibreOffice Calc reads what we wrote and saves it as CSV again (Debian: `libreoffice-calc`).
`.ci/run` sets COMPLIANCE_OUTSIDE=required, so that these tests cannot be skipped there.
"""

from __future__ import annotations

import csv
import io
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from portfolio.jobs import TODAY, make_jobs

from compliance.portfolio.sheets import csv_text, xlsx_bytes

Call = Callable[..., tuple[int, str, str]]
SAVED_AS = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false"
"""Commas, double quotes, UTF-8; numbers as they are shown."""
ROWS = [
    ("=1+1", 3),
    ("=HYPERLINK(1)", 0),
    ("-2 (Müßig, 5 Ω)", None),
    ("+44 1 (invented)", -4),
    ("@SUM(A1)", 1),
    ("＝1+1", 12),
    ("2026-11-26", 20261126),
    ("0012", 7),
    ("1e5", 8),
    ("TRUE", 9),
    ('said "so", twice', 2),
    ("' a quote", 5),
]


def through_calc(sheet: Path) -> list[list[str]]:
    """The cells of a sheet as LibreOffice Calc saves them."""
    program = shutil.which("soffice")
    if program is not None:
        out = sheet.parent / "out"
        subprocess.run(  # noqa: S603 - a fixed program and our own file
            [program, f"-env:UserInstallation=file://{sheet.parent}/profile", "--headless",
             "--infilter=CSV:44,34,76", "--convert-to", SAVED_AS, "--outdir", str(out), str(sheet)],
            check=True, capture_output=True, timeout=120,
        )  # fmt: skip
        saved = out / f"{sheet.stem}.csv"
        if saved.exists():
            return list(csv.reader(io.StringIO(saved.read_text("utf-8"))))
    missing = "LibreOffice Calc is not there; on Debian: apt-get install libreoffice-calc"
    if os.environ.get("COMPLIANCE_OUTSIDE") == "required":
        pytest.fail(missing)
    pytest.skip(missing)


def as_shown(rows: list[tuple[str, int | None]]) -> list[list[str]]:
    return [[text, "" if number is None else str(number)] for text, number in rows]


def test_a_workbook_shows_every_text_as_it_was_written(tmp_path: Path) -> None:
    path = tmp_path / "sheet.xlsx"
    path.write_bytes(xlsx_bytes("not shown 2026-11-26", ("text", "number"), ROWS))
    assert through_calc(path) == [["text", "number"], *as_shown(ROWS)]


def test_no_text_of_a_csv_file_becomes_a_formula(tmp_path: Path) -> None:
    path = tmp_path / "sheet.csv"
    path.write_text(csv_text(("text", "number"), ROWS), "utf-8")
    # CSV tells no kinds, so the program itself takes these two for numbers; a workbook keeps them.
    taken_for_numbers = {"0012": "12", "1e5": "100000"}
    expected = [
        [taken_for_numbers.get(text, f"'{text}" if text[0] in "=-+@＝" else text), number]
        for text, number in as_shown(ROWS)
    ]
    assert through_calc(path) == [["text", "number"], *expected]


def test_the_workbook_of_chase_holds_the_cells_of_its_csv(call: Call, tmp_path: Path) -> None:
    jobs = make_jobs(tmp_path / "jobs", 5)
    record = jobs[0] / "installation.yaml"
    text = record.read_text("utf-8").replace("title: Job 0", 'title: "=Größe Ω"  # Job 0')
    record.write_text(text, "utf-8")
    arguments = ("chase", tmp_path / "jobs", "--on", TODAY.isoformat(), "--format")
    done = subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-m", "compliance", *arguments, "xlsx"], capture_output=True, check=False
    )
    assert done.returncode == 1, done.stderr
    path = tmp_path / "sheet.xlsx"
    path.write_bytes(done.stdout)
    _, out, _ = call(*arguments, "csv")
    plain = list(csv.reader(io.StringIO(out)))
    assert len(plain) > 20
    assert through_calc(path) == [[cell.removeprefix("'") for cell in row] for row in plain]


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_a_sheet_that_the_program_saved_serves_as_a_list(
    call: Call, tmp_path: Path, ending: str
) -> None:
    rows = [(f"Straße {n}", "ja" if n % 2 else "nö") for n in range(20)]
    ours = tmp_path / "ours.csv"
    ours.write_text(csv_text(("reference", "team"), rows), "utf-8")
    assert len(through_calc(ours)) == 21  # also says when the program is missing
    theirs = tmp_path / "out" / f"ours.{ending}"
    subprocess.run(  # noqa: S603 - a fixed program and our own file
        [str(shutil.which("soffice")), f"-env:UserInstallation=file://{tmp_path}/profile",
         "--headless", "--infilter=CSV:44,34,76", "--convert-to",
         SAVED_AS if ending == "csv" else "xlsx", "--outdir", str(theirs.parent), str(ours)],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    drawn = [
        call("sample", path, "--size", "5", "--seed", "x", "--by", "team", "--format", "csv")
        for path in (ours, theirs)
    ]
    assert drawn[0] == drawn[1]
    assert drawn[0][0] == 0
