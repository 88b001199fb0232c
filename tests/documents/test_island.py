"""The shutdown sheet of a house that goes on without the network: no main switch makes it dead.

Source: common practice, no source; an inverter in island mode supplies the board by itself.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from compliance.documents.shutdown import shutdown_tables, shutdown_values
from compliance.files.resources import rulesets_folder
from compliance.rules.job import Job, open_job

SAMPLE = Path(__file__).parents[2] / "sample_installs" / "two-inverters-island"
DAY = date(2026, 11, 24)
HEAD = "record: installation/1\nreference: J\njurisdiction: GB-ENG\ntitle: invented\n"
MAIN = "  main: {side: supply, opens: all lines and neutral}\n"


def _job(folder: Path) -> Job:
    return open_job(folder, rulesets_folder(), today=DAY, on=DAY)


def _written(folder: Path, inverters: str, isolators: str) -> Job:
    text = f"{HEAD}components:\n{inverters}isolators:\n{isolators}"
    (folder / "installation.yaml").write_text(text, "utf-8")
    return _job(folder)


def _last_step(job: Job) -> str:
    return [str(row[3]) for row in shutdown_tables(job)["switch-steps"].rows][-1]


def _live(job: Job) -> str:
    return "\n".join(shutdown_values(job)["live"])


@pytest.fixture(scope="module")
def island() -> Job:
    return _job(SAMPLE)


def test_the_main_switch_is_not_said_to_switch_off_such_a_house(island: Job) -> None:
    said = _last_step(island)
    assert "whole house" not in said
    assert said.startswith("Parts the house from the network")
    assert "inv-hybrid until ac-hybrid is open too" in said
    assert "inv-plain" not in said


def test_the_boards_and_the_other_isolator_stay_live_until_the_hybrid_is_parted(
    island: Job,
) -> None:
    live = _live(island).splitlines()
    kept = "from inv-hybrid until ac-hybrid is open too"
    boards = [line for line in live if line.startswith("The boards of the house")]
    assert len(boards) == 1
    assert kept in boards[0]
    sides = {name: line for line in live for name in ("ac-hybrid", "ac-plain")
             if f"terminals of {name} " in line}  # fmt: skip
    assert kept in sides["ac-plain"]
    assert kept not in sides["ac-hybrid"], "its network side is the board's, not the inverter's"


def test_the_battery_is_among_what_stays_live(island: Job) -> None:
    (told,) = [line for line in _live(island).splitlines() if "terminals of battery" in line]
    assert "terminals of battery store-5: live from battery store-5" in told


def test_the_order_on_site_that_leaves_an_inverter_out_is_asked_about(island: Job) -> None:
    order = [str(row[1]) for row in shutdown_tables(island)["switch-steps"].rows]
    assert order == ["ac-hybrid", "dc-hybrid", "ac-plain", "dc-plain", "main"]
    (said,) = [u for u in shutdown_values(island)["unsaid"] if "another order" in u]
    assert "label-shutdown on site" in said
    assert "(ac-hybrid, dc-hybrid, main)" in said


@pytest.mark.parametrize("mode", ["", ", island_mode: yes"])
def test_where_no_switch_is_shown_to_part_it_none_is_named(mode: str, tmp_path: Path) -> None:
    inverters = f"  i1: {{category: inverter{mode}}}\n"
    for isolators in (MAIN, f"  ac1: {{side: ac, serves: i1, opens: all lines}}\n{MAIN}"):
        job = _written(tmp_path, inverters, isolators)
        assert "i1, which no switch of the record parts from the house" in _last_step(job)
        assert "ac1 is open too" not in _last_step(job) + _live(job)
        (told,) = [
            line for line in _live(job).splitlines() if "boards of the house" in line.lower()
        ]
        assert "live from" in told or "live in daylight" in told


def test_two_switches_beside_each_other_must_both_be_open(tmp_path: Path) -> None:
    ac = ", serves: i1, opens: all lines and neutral}\n"
    isolators = f"  ac1: {{side: ac{ac}  ac2: {{side: ac{ac}{MAIN}"
    job = _written(tmp_path, "  i1: {category: inverter, island_mode: yes}\n", isolators)
    assert "i1 until ac1 and ac2 are open too" in _last_step(job)


def test_without_island_mode_the_main_switch_switches_off_the_house(tmp_path: Path) -> None:
    job = _written(tmp_path, "  i1: {category: inverter, island_mode: no}\n", MAIN)
    assert _last_step(job) == "Switches off the whole house."
    assert "The boards of the house" not in _live(job)


def test_of_two_switches_one_that_leaves_a_conductor_joined_frees_nothing(tmp_path: Path) -> None:
    isolators = (
        "  ac1: {side: ac, serves: i1, opens: all lines and neutral}\n"
        f"  ac2: {{side: ac, serves: i1, opens: all lines}}\n{MAIN}"
    )
    job = _written(tmp_path, "  i1: {category: inverter, island_mode: yes}\n", isolators)
    assert "i1, which no switch of the record parts from the house" in _last_step(job)


def test_a_car_and_inverters_that_nobody_recorded_can_keep_the_house_live(tmp_path: Path) -> None:
    plain = "  i1: {category: inverter, island_mode: no}\n"
    for gives, is_said in ((", vehicle_gives_back: yes", True), ("", True),
                           (", vehicle_gives_back: no", False)):  # fmt: skip
        job = _written(tmp_path, f"{plain}  car: {{category: charger{gives}}}\n", MAIN)
        assert ("from a car at car" in _last_step(job)) is is_said
    (tmp_path / "installation.yaml").write_text(f"{HEAD}isolators:\n{MAIN}", "utf-8")
    assert "from an inverter that is not recorded" in _last_step(_job(tmp_path))
