"""`compliance live`: what each terminal is reached by, what frees it, and what was assumed.

What is expected is written from the samples' purpose and from what people in the trade know
of such a house, not from the output.
Source: common practice, no source; an inverter without island mode stops without the network
(ENA G98, from memory), one with it goes on.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from compliance.cli.live import NOTICE

SAMPLES = Path(__file__).parents[2] / "sample_installs"
ISLAND = SAMPLES / "two-inverters-island"
BUNGALOW = SAMPLES / "bungalow-two-faces"
BARE = "record: installation/1\nreference: J-1\njurisdiction: GB-ENG\ntitle: An invented job\n"
BOARDS = "boards of the house"
SUPPLY = "supply cables, meter and incoming side of the main switch"
HYBRID, PLAIN = "AC terminals of inv-hybrid", "AC terminals of inv-plain"
NONE_FREES = "no switch of the record frees it"
Called = tuple[int, str, str]
Call = Callable[..., Called]


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    (tmp_path / "installation.yaml").write_text(BARE, "utf-8")
    return tmp_path


def _read(call: Call, job: Path, *arguments: str) -> dict[str, Any]:
    code, out, err = call("live", str(job), "--format", "json", *arguments)
    assert (code, err) == (0, "")
    data: dict[str, Any] = json.loads(out)
    return data


def _rows(data: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {row["terminal"]: row for row in data["terminals"]}


def _now(call: Call, job: Path, *opened: str) -> dict[str, set[str]]:
    data = _read(call, job, "--open", ",".join(opened))
    return {terminal: set(row["live_now"]) for terminal, row in _rows(data).items()}


# -- island mode --------------------------------------------------------------------------

KEPT_LIVE = {"battery store-5", "array S1 in daylight"}


def test_the_main_switch_alone_leaves_the_boards_live_in_an_island(call: Call) -> None:
    now = _now(call, ISLAND, "main")
    assert now[BOARDS] == now[HYBRID] == now[PLAIN] == KEPT_LIVE
    assert now[SUPPLY] == {"network"}


@pytest.mark.parametrize(
    "more", [("ac-plain",), ("ac-plain", "dc-plain"), ("dc-hybrid", "ac-plain", "dc-plain")]
)
def test_no_other_switch_but_the_hybrids_own_helps(call: Call, more: tuple[str, ...]) -> None:
    assert "battery store-5" in _now(call, ISLAND, "main", *more)[BOARDS]


def test_the_main_switch_and_the_hybrids_isolator_free_the_boards(call: Call) -> None:
    now = _now(call, ISLAND, "main", "ac-hybrid")
    assert now[BOARDS] == now[PLAIN] == set()
    assert now[HYBRID] == KEPT_LIVE
    rows = _rows(_read(call, ISLAND))
    assert rows[BOARDS]["freed_by"] == [["ac-hybrid", "main"]]
    assert sorted(rows[PLAIN]["freed_by"]) == [["ac-hybrid", "main"], ["ac-plain"]]


@pytest.mark.parametrize(
    "terminal",
    [
        HYBRID,
        "DC terminals of inv-hybrid",
        "terminals of battery store-5",
        "modules and cables of S1",
        "modules and cables of S2",
        SUPPLY,
    ],
)
def test_what_no_switch_frees_is_live_with_every_switch_open(call: Call, terminal: str) -> None:
    every = ("main", "ac-hybrid", "ac-plain", "dc-hybrid", "dc-plain")
    assert _now(call, ISLAND, *every)[terminal]
    assert _rows(_read(call, ISLAND))[terminal]["freed_by"] == []


def test_without_an_island_the_main_switch_frees_the_boards(call: Call) -> None:
    rows = _rows(_read(call, BUNGALOW))
    assert rows[BOARDS]["freed_by"] == [["main"]]
    assert rows["AC terminals of inv-5"]["freed_by"] == [["ac1"], ["main"]]
    assert rows["modules and cables of S1"]["freed_by"] == []
    now = _now(call, BUNGALOW, "main")
    assert now[BOARDS] == now["AC terminals of inv-5"] == set()
    assert now["DC terminals of inv-5"] == {"array S1 in daylight", "array S2 in daylight"}


# -- the forms ----------------------------------------------------------------------------


@pytest.mark.parametrize("job", [ISLAND, BUNGALOW], ids=lambda p: p.name)
def test_the_text_says_what_the_json_holds(call: Call, job: Path) -> None:
    data = _read(call, job, "--open", "main")
    code, out, err = call("live", str(job), "--open", "main")
    assert (code, err) == (0, "")
    assert out.startswith("Switches open: main\n")
    blocks = dict(block.split("\n", 1) for block in out.strip().split("\n\n")[1:-2])
    assert list(blocks) == [row["terminal"] for row in data["terminals"]]
    for row in data["terminals"]:
        now, can, freed = blocks[row["terminal"]].splitlines()
        said = ", ".join(row["live_now"]) or "nothing on record; prove it dead"
        assert now == f"    reached now by: {said}"
        assert can == f"    can be reached by: {', '.join(row['sources'])}"
        sets = "; or ".join(" and ".join(some) for some in row["freed_by"])
        assert freed == f"    freed by opening: {sets or NONE_FREES}"


def test_the_json_holds_its_format_its_notice_and_the_position(call: Call) -> None:
    data = _read(call, ISLAND, "--open", " main , ac-plain,")
    assert list(data) == ["format", "notice", "open", "terminals", "assumptions"]
    assert (data["format"], data["notice"]) == (1, NOTICE)
    assert data["open"] == ["ac-plain", "main"]


@pytest.mark.parametrize("job", [ISLAND, BUNGALOW], ids=lambda p: p.name)
def test_each_assumption_is_printed_before_the_notice_which_comes_last(
    call: Call, job: Path
) -> None:
    assumptions = _read(call, job)["assumptions"]
    _, out, _ = call("live", str(job))
    assert assumptions
    _, after = out.split("\nTaken for granted:\n")
    assert after == "".join(f"- {said}\n" for said in assumptions) + f"\n{NOTICE}\n"
    assert "no permission to work" in NOTICE


def test_the_assumptions_of_an_island_name_what_the_record_cannot_show(call: Call) -> None:
    said = _read(call, ISLAND)["assumptions"]
    for name, words in (
        ("inv-hybrid", "backup output is not in this list"),
        ("inv-plain", "recorded without island mode"),
        ("inv-plain", "feeds too"),
        ("inv-plain", "treated as live from the AC side"),
        ("store-5", "no switch of the record parts it from its inverter"),
    ):
        assert [s for s in said if s.startswith(f"{name}: ") and words in s], (name, words)


# -- a bare record and wrong calls --------------------------------------------------------


def test_of_a_bare_record_everything_is_taken_for_live(call: Call, bare: Path) -> None:
    data = _read(call, bare)
    rows = _rows(data)
    assert set(rows) == {SUPPLY, BOARDS}
    assert rows[BOARDS]["live_now"] == ["inverter that is not recorded", "network"]
    assert not any(row["freed_by"] for row in rows.values())
    assert len(data["assumptions"]) == 2
    _, out, _ = call("live", str(bare))
    assert out.startswith("Switches open: none\n")
    assert out.count(NONE_FREES) == 2


def test_a_switch_that_is_not_there_is_named_with_those_that_are(call: Call) -> None:
    code, out, err = call("live", str(ISLAND), "--open", "main,ac-hybird")
    assert (code, out) == (2, "")
    assert 'no switch "ac-hybird" is shown to open every conductor' in err
    assert "there is: ac-hybrid, ac-plain, dc-hybrid, dc-plain, main" in err


def test_of_a_bare_record_no_switch_can_be_open(call: Call, bare: Path) -> None:
    code, out, err = call("live", str(bare), "--open", "main")
    assert (code, out) == (2, "")
    assert "there is: none" in err


def test_a_switch_that_leaves_a_conductor_joined_cannot_be_called_open(
    call: Call, bare: Path
) -> None:
    switch = "isolators: {main: {side: supply, opens: all lines}}\n"
    (bare / "installation.yaml").write_text(BARE + switch, "utf-8")
    code, _, err = call("live", str(bare), "--open", "main")
    assert code == 2
    assert 'no switch "main" is shown to open every conductor; there is: none' in err


def test_a_folder_without_a_record_and_a_wrong_record_end_with_two(
    call: Call, tmp_path: Path, bare: Path
) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    assert call("live", str(empty))[:2] == (2, "")
    (bare / "installation.yaml").write_text(
        BARE + "isolators: {ac1: {side: ac, serves: none}}\n", "utf-8"
    )
    code, out, err = call("live", str(bare))
    assert (code, out) == (2, "")
    assert "isolators.ac1.serves" in err
    assert "record.names-nothing" in err
