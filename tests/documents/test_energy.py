"""The energy estimate: the year, its months by the firm's table, and tables that are none."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from compliance.documents.content import load_template
from compliance.documents.energy import energy_tables, energy_values, has_panels, shared_out
from compliance.documents.monthly_yields import MonthlyYieldsError, read_monthly_yields
from compliance.documents.tree import Table, text_runs
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.rules.job import Job, open_job

SAMPLES = Path(__file__).parents[2] / "sample_installs"
DAY = date(2026, 11, 20)
HEAD = "record: installation/2\nreference: R-1\njurisdiction: GB-ENG\ntitle: A job (invented)\n"
ROWS = [f"{month},{month * 10}" for month in range(1, 13)]
WHOLE = "\n".join(["month,kwh_per_kwp", *ROWS, ""])


@pytest.fixture(scope="module")
def bungalow() -> Job:
    return open_job(SAMPLES / "bungalow-two-faces", rulesets_folder(), today=DAY)


def _figures(table: Table) -> list[float]:
    cells = [str(cell) for row in table.rows for cell in row]
    return [float(c.removesuffix(" kWh").replace(",", "")) for c in cells if c.endswith(" kWh")]


@pytest.mark.source(
    document="The scheme's standard method: power x specific yield x shade factor",
    table="4.0 kW, as process.md of the shared reference prints the formula",
    confidence="from memory",
)
def test_strings_add_up_to_the_year(bungalow: Job) -> None:
    """S1: 9 modules of 440 W, 880 kWh/kW, 4 of 84 segments shaded; S2: 7, 790, 2."""
    modules = {module["~name"]: module for module in bungalow.view["modules"]}
    power_kw = modules["mod-440"]["vmp_v"] * modules["mod-440"]["imp_a"] / 1000
    by_hand = power_kw * (9 * 880 * 0.96 + 7 * 790 * 0.98)
    year = energy_values(bungalow)["year"]
    assert year == f"{by_hand:,.0f} kWh"
    of_strings = _figures(energy_tables(bungalow)["energy-strings"])
    assert sum(of_strings) == pytest.approx(by_hand, abs=1)


def test_months_add_up_to_the_year_and_name_their_source(bungalow: Job) -> None:
    values = energy_values(bungalow)
    *months, year = _figures(energy_tables(bungalow)["energy-months"])
    assert len(months) == 12
    assert sum(months) == pytest.approx(year, abs=6)
    assert f"{year:,.0f} kWh" == values["year"]
    assert "Invented" in values["months_source"]


def test_months_keep_the_proportions_of_the_table() -> None:
    shares = shared_out(780.0, tuple(float(month) for month in range(1, 13)))
    assert shares == pytest.approx([10.0 * month for month in range(1, 13)])


def test_without_a_table_no_month_is_estimated(tmp_path: Path) -> None:
    job = _job(tmp_path, "strings: {S1: {part: roof}}\nparts: {roof: {kind: array}}\n")
    values, tables = energy_values(job), energy_tables(job)
    text = " ".join(text_runs(_rendered(job)))
    assert values["year"] == "not recorded"
    assert not tables["energy-months"].rows
    assert "no month is estimated" in text


def test_a_table_whose_file_is_gone_counts_as_none(tmp_path: Path) -> None:
    shutil.copytree(SAMPLES / "bungalow-two-faces", tmp_path / "job")
    (tmp_path / "job" / "evidence" / "monthly-yields.csv").unlink()
    job = open_job(tmp_path / "job", rulesets_folder(), today=DAY)
    assert energy_values(job)["has_months"] is False
    assert not energy_tables(job)["energy-months"].rows


def test_a_job_without_strings_has_nothing_to_estimate(tmp_path: Path) -> None:
    assert not has_panels(_job(tmp_path, "strings: none\n").view)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("month;kwh\n1;2\n", ':1\n  its first line is "month;kwh"; right is month,kwh_per_kwp'),
        (WHOLE.replace("5,50\n", ""), "month 5 is missing; every month once, 1 to 12"),
        (WHOLE + "5,50\n", ":14\n  month 5 stands twice"),
        (WHOLE.replace("3,30", "3,x"), ':4  kwh_per_kwp\n  "x" is no number; from 0 to 300'),
        (WHOLE.replace("3,30", "3,nan"), "nan cannot be; from 0 to 300"),
        (WHOLE.replace("3,30", "3,-1"), "-1 cannot be; from 0 to 300"),
        (WHOLE.replace("3,30", "3.5,30"), ":4  month\n  3.5 is no month"),
        (WHOLE.replace("3,30", "13,30"), "13 cannot be; from 1 to 12"),
        (WHOLE.replace("3,30", "3,30,1"), "has 3 cells; right are 2"),
        (
            "string,month,kwh_per_kwp\nS9,1,3\n",
            ':2  string\n  "S9" is no string of the record; it has S1, S2',
        ),
        ("string,month,kwh_per_kwp\n,1,3\n", '"" is no string of the record'),
        (
            "\n".join(["string,month,kwh_per_kwp", *(f"S1,{row}" for row in ROWS), ""]),
            "month 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 of string S2 is missing",
        ),
        (
            "\n".join(["month,kwh_per_kwp", *(f"{month},0" for month in range(1, 13))]),
            "S1 gives nothing all year",
        ),
        ("x" * 300_000, "is larger than 262,144 bytes"),
    ],
)
def test_what_is_no_table_is_told_with_its_line(tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "months.csv").write_text(text, "utf-8")
    with pytest.raises(MonthlyYieldsError) as refused:
        read_monthly_yields(tmp_path, "months.csv", ["S1", "S2"])
    assert said in str(refused.value)
    assert str(tmp_path / "months.csv") in str(refused.value)


def test_bytes_that_are_no_text_are_told(tmp_path: Path) -> None:
    (tmp_path / "months.csv").write_bytes(b"month,kwh_per_kwp\n1,\xff\n")
    with pytest.raises(MonthlyYieldsError, match="is not text in UTF-8"):
        read_monthly_yields(tmp_path, "months.csv", ["S1"])


def test_one_table_does_for_all_strings_and_columns_come_in_any_order(tmp_path: Path) -> None:
    rows = [f"{month * 10}, {month}" for month in range(12, 0, -1)]
    (tmp_path / "months.csv").write_text("\n".join(["kwh_per_kwp,month", "", *rows]), "utf-8-sig")
    found = read_monthly_yields(tmp_path, "months.csv", ["S1", "S2"])
    assert found == {name: tuple(10.0 * m for m in range(1, 13)) for name in ("S1", "S2")}


def _job(folder: Path, text: str) -> Job:
    (folder / "installation.yaml").write_text(HEAD + text, "utf-8")
    return open_job(folder, rulesets_folder(), today=DAY)


def _rendered(job: Job):  # type: ignore[no-untyped-def]
    template = load_template(templates_folder() / "energy-estimate.md.j2")
    return template.render(energy_values(job), energy_tables(job))
