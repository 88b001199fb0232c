"""`compliance yields`: a firm's irradiance data in, the energy of twelve months out."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from compliance import cli

HEAD = "start,ghi_w_m2,dni_w_m2,dhi_w_m2,air_c,wind_m_s"
FACE = ("--latitude", "52", "--longitude", "-1", "--tilt", "35", "--azimuth", "180",
        "--power-coefficient", "-0.35", "--losses", "14")  # fmt: skip
Call = Callable[..., tuple[int, str, str]]


@pytest.fixture
def call(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Call:
    def run(*arguments: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["compliance", "yields", *arguments])
        with pytest.raises(SystemExit) as left:
            cli.main()
        said = capsys.readouterr()
        return int(left.value.code or 0), said.out, said.err

    return run


def _year(light: Path, *, without: str = "") -> Path:
    """An invented year of even days: 300 W/m² of grey sky from eight to four."""
    start = datetime(2025, 1, 1, tzinfo=UTC)
    lines = [HEAD]
    for hour in range(8760):
        at = start + timedelta(hours=hour)
        sky = 300 if 8 <= at.hour < 16 else 0
        text = f"{at:%Y-%m-%dT%H:%MZ}"
        if text != without:
            lines.append(f"{text},{sky},0,{sky},10,3")
    light.write_text("\n".join([*lines, ""]), encoding="utf-8")
    return light


def test_twelve_months_are_printed(call: Call, tmp_path: Path) -> None:
    code, out, err = call(str(_year(tmp_path / "light.csv")), *FACE)
    assert (code, err) == (0, "")
    head, *rows = out.splitlines()
    assert head == "month,kwh_per_kwp"
    assert [row.split(",")[0] for row in rows] == [str(month) for month in range(1, 13)]
    # An even sky of 300 W/m² on 35°: (1 + cos 35°)/2 of the sky and 0.2 · (1 - cos 35°)/2 of the
    # ground, 278.3 W/m²; a cell at 10 + 278.3 / (25 + 6.84 · 3) = 16.1 °C; 8 h, 31 days, 14 % lost.
    assert float(rows[0].split(",")[1]) == pytest.approx(61.2, abs=0.1)


def test_the_file_is_written_and_never_over_another(call: Call, tmp_path: Path) -> None:
    light, out = _year(tmp_path / "light.csv"), tmp_path / "months.csv"
    code, said, _ = call(str(light), *FACE, "--out", str(out))
    assert code == 0
    assert "an estimate" in said
    kept = out.read_text()
    assert kept.startswith("month,kwh_per_kwp\n1,")
    code, _, err = call(str(light), *FACE, "--out", str(out))
    assert code == 2
    assert "is there already" in err
    assert out.read_text() == kept


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("2025-01-01T00:00Z,x,0,0,10,3", '"x" is no number'),
        ("2025-01-01T00:00Z,2000,0,0,10,3", "2000 cannot be; from 0 to 1500"),
        ("2025-01-01T00:00Z,nan,0,0,10,3", "nan cannot be"),
        ("noon,0,0,0,10,3", '"noon" is no moment'),
        ("2025-01-01T00:00,0,0,0,10,3", "says no offset"),
    ],
)
def test_a_wrong_cell_is_named_with_its_line(
    call: Call, tmp_path: Path, row: str, said: str
) -> None:
    light = tmp_path / "light.csv"
    light.write_text(f"{HEAD}\n2025-01-01T01:00Z,0,0,0,10,3\n{row}\n", encoding="utf-8")
    code, _, err = call(str(light), *FACE)
    assert code == 2
    assert said in err
    assert f"{light}:3" in err


def test_a_month_that_is_not_whole_is_told(call: Call, tmp_path: Path) -> None:
    light = _year(tmp_path / "light.csv", without="2025-03-31T23:00Z")
    code, _, err = call(str(light), *FACE)
    assert code == 2
    assert "month 3 is whole in no year of the data: 743 of 744" in err


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (["2025-01-01T00:00Z", "2025-01-01T00:00Z"], "one twice"),
        (["2025-01-01T00:00Z", "2025-01-01T00:07Z"], "0:07:00; right is one of"),
        (["2025-01-01T00:00Z", "2025-06-01T01:00+01:00"], "changes its offset"),
    ],
)
def test_moments_that_are_no_series_are_refused(
    call: Call, tmp_path: Path, rows: list[str], said: str
) -> None:
    light = tmp_path / "light.csv"
    light.write_text("\n".join([HEAD, *(f"{at},0,0,0,10,3" for at in rows), ""]))
    code, _, err = call(str(light), *FACE)
    assert code == 2
    assert said in err


def test_without_the_extra_it_says_what_to_install(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pvlib", None)
    code, _, err = call(str(_year(tmp_path / "light.csv")), *FACE)
    assert code == 2
    assert "installation-evidence[irradiance]" in err
