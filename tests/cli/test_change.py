"""`set` and `reading`: one change through the real command line, and what is said of it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from compliance.rules.outcome import NO_PERMISSION

SAMPLE = Path(__file__).parents[2] / "sample_installs" / "terrace-eight-faults"
Call = Callable[..., tuple[int, str, str]]


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return shutil.copytree(SAMPLE, tmp_path / "job")


def _lines(job: Path) -> list[str]:
    return (job / "installation.yaml").read_text("utf-8").splitlines()


def test_a_reading_is_added_with_its_limit_and_what_it_settled(call: Call, job: Path) -> None:
    before = _lines(job)
    code, out, _ = call(
        "reading", job, "S2", "insulation", "IR+=over 200", "IR-=38", "by=rowan", "on=2026-11-09",
        "instrument=pv-tester", "test_voltage_v=500",
    )  # fmt: skip
    assert code == 0
    assert "negative earth: 38 MΩ; right: at least 1 MΩ" in out
    assert "Insulation resistance of each string, each pole to earth: not shown -> met" in out
    assert NO_PERMISSION in out
    after = _lines(job)
    start = next(n for n, line in enumerate(after) if line not in before or line != before[n])
    assert after[start : start + 8] == [
        "  - test: insulation", "    of: S2", "    on: 2026-11-09", "    by: rowan",
        "    instrument: pv-tester", "    test_voltage_v: 500",
        "    positive_earth_megohm: over 200", "    negative_earth_megohm: 38",
    ]  # fmt: skip
    assert after[:start] + after[start + 8 :] == before
    assert call("check", job)[0] == 1


def test_a_failed_reading_says_danger(call: Call, job: Path) -> None:
    _, out, _ = call("reading", job, "S2", "insulation", "IR-=0.2", "IR+=3", "on=2026-11-09")
    assert "negative earth: 0.2 MΩ; right: at least 1 MΩ" in out
    assert "-> not met" in out
    assert "DANGER: Leave the string's isolator open" in out


def test_a_value_is_set_by_the_name_the_trade_uses(call: Call, job: Path) -> None:
    code, out, _ = call("set", job, "site.supply.Ze", "0.35")
    assert (code, out.splitlines()[0]) == (0, "site.supply.ze_ohm: 0.35")
    assert "    ze_ohm: 0.35" in _lines(job)
    (kept,) = (job / "history").iterdir()
    assert kept.read_bytes() == (SAMPLE / "installation.yaml").read_bytes()
    code, out, _ = call("set", job, "tests[5].positive_earth_megohm", "over 200")
    assert "Insulation resistance of each string, each pole to earth: not met -> " in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("set", "site.supply.ze_om", "1"), 'Did you mean "ze_ohm"?'),
        (("set", "site.supply.ze_ohm", "12 V"), "has a unit in it"),
        (("set", "site.supply.ze_ohm", "tbc"), "tbc"),
        (("set", "site.supply", "1"), "is a group of values; name one value in it"),
        (("set", "tests[40].on", "2026-11-09"), "tests[18] for a new one"),
        (("set", "components.new-one.voc_v", "40"), "say first of which kind"),
        (("set", "..", "1"), "is no path"),
        (("set", "title", ""), "says"),
        (("reading", "S2", "insulatoin", "IR-=1"), 'Did you mean "insulation"?'),
        (("reading", "S9", "insulation", "IR-=1"), "not in this record. Tests are of: strings S1"),
        (("reading", "C9", "Zs=1"), "circuits C7; inverter inv-4; isolators dc1, dc2, ac1, main."),
        (("reading", "C9", "Zs=1"), "compliance set JOB circuits.C9.device.rated_a 16"),
        (("reading", "rowan", "polarity", "result=correct"), 'no test is made of "rowan". Tests'),
        (("reading", "C7", "Ze=0.2"), "compliance set JOB site.supply.ze_ohm VALUE"),
        (("reading", "S2", "Zs=1"), "Tests of S2: insulation, polarity, open-circuit voltage"),
        (("reading", "S2", "IR=40"), "may mean positive_earth_megohm or negative_earth_megohm"),
        (("reading", "S2", "current", "value_a=3"), "short-circuit current or operating current"),
        (
            ("reading", "C7", "by=rowan"),
            "say which test of C7 it is: continuity, circuit insulation",
        ),
        (("reading", "S2", "insulation", "Zs=1"), '"Zs" in "insulation" is not known here'),
        (("reading", "S2", "insulation", "IR-"), "write it as KEY=VALUE"),
        (("reading", "S2", "insulation", "IR-=1", "on=2026-11-01"), "2026-11-01"),
    ],
)
def test_what_cannot_be_written_is_told_and_nothing_is_saved(
    call: Call, job: Path, arguments: tuple[str, ...], said: str
) -> None:
    command, *rest = arguments
    code, out, err = call(command, job, *rest)
    assert code == 2, out
    assert said in err
    assert (job / "installation.yaml").read_bytes() == (SAMPLE / "installation.yaml").read_bytes()
    assert not (job / "history").exists()


@pytest.mark.parametrize(
    ("words", "entry"),
    [
        (("C7", "polarity", "result=correct"), ("circuit polarity", "result: correct")),
        (("C7", "insulation", "IR=41"), ("circuit insulation", "live_earth_megohm: 41")),
        (("C7", "Zs=0.38"), ("loop impedance", "zs_ohm: 0.38")),
        (("C7", "zs", "zs=0.38"), ("loop impedance", "zs_ohm: 0.38")),
        (("C7", "loop", "Zs=0.38"), ("loop impedance", "zs_ohm: 0.38")),
        (("C7", "R1+R2=0.2"), ("continuity", "r1_r2_ohm: 0.2")),
        (("C7", "PFC=1.3"), ("fault current", "value_ka: 1.3")),
        (("C7", "RCD=24"), ("rcd time", "time_ms: 24")),
        (("C7", "RCD", "trip=24"), ("rcd time", "time_ms: 24")),
        (("C7", "rcd_button", "result=opened"), ("rcd button", "result: opened")),
        (("S2", "Voc=341"), ("open-circuit voltage", "value_v: 341")),
        (("S2", "by=rowan", "isc=8.1"), ("short-circuit current", "value_a: 8.1")),
        (("S2", "IR-=38"), ("insulation", "negative_earth_megohm: 38")),
        (("S2", "polarity", "result=correct"), ("polarity", "result: correct")),
        (("inv-4", "mains", "result=stopped"), ("loss of mains", "result: stopped")),
        (("roof-array", "continuity", "result=continuous"),
         ("frame continuity", "result: continuous")),
    ],
)  # fmt: skip
def test_a_test_is_named_in_the_words_of_its_subject_or_by_its_reading(
    call: Call, job: Path, words: tuple[str, ...], entry: tuple[str, str]
) -> None:
    code, out, err = call("reading", job, *words, "on=2026-11-10")
    assert code == 0, err
    assert out.startswith(f"{entry[0]} of {words[0]}, 2026-11-10")
    tests = [line.strip() for line in _lines(job)]
    start = len(tests) - tests[::-1].index(f"- test: {entry[0]}") - 1
    assert entry[1] in tests[start : start + 6]


def test_a_reading_after_the_day_of_the_check_is_not_told_as_judged(call: Call, job: Path) -> None:
    """The sample is closed on 2026-11-10; a reading of today counts for a later check only."""
    _, out, _ = call("reading", job, "S1", "IR+=0.1", "IR-=0.1")
    assert "of a day after 2026-11-10, the day that this check is of: not judged yet" in out
    assert "right:" not in out.partition("saved")[0]


def test_a_record_broken_by_hand_is_not_changed(call: Call, job: Path) -> None:
    record = job / "installation.yaml"
    record.write_text(record.read_text("utf-8") + "  broken: [\n", "utf-8")
    broken = record.read_bytes()
    code, _, err = call("set", job, "site.supply.ze_ohm", "0.3")
    assert code == 2
    assert "installation.yaml:" in err
    assert record.read_bytes() == broken


def test_a_new_entry_of_a_list_begins_with_its_first_value(call: Call, job: Path) -> None:
    record = job / "installation.yaml"
    visits = record.read_text("utf-8").count("    who:")
    assert call("set", job, f"visits[{visits + 1}].on", "2026-11-10")[0] == 0
    assert call("set", job, f"visits[{visits + 1}].left.told_by", "rowan")[0] == 0
    code, _, err = call("set", job, f"visits[{visits + 2}].left.told_by", "rowan")
    assert code == 2
    assert f"visits[{visits + 2}].on" in err
    written = "  - on: 2026-11-10\n    left:\n      told_by: rowan\n"
    assert written in record.read_text("utf-8")


def test_what_is_planned_only_can_be_written_before_anybody_speaks_for_it(
    call: Call, tmp_path: Path
) -> None:
    job, like = tmp_path / "new", SAMPLE.with_name("bungalow-two-faces")
    assert call("new", job, "--answers", "1,1,2,1,1,1", "--like", like)[0] == 0
    assert call("set", job, "visits[1].on", "2026-11-10")[0] == 0
    code, out, _ = call("set", job, "isolators.main.place", "hall cupboard")
    assert (code, out.splitlines()[0]) == (0, "isolators.main.place: hall cupboard")
    code, out, _ = call("reading", job, "main", "switching", "result=opens and closes")
    assert code == 0
    assert "main is planned only: not judged until somebody speaks for the batch as-built" in out
    assert "place: hall cupboard" in (job / "installation.yaml").read_text("utf-8")
