"""What a record's connections make live, against every position of its switches.

The oracle is written from the record's own words, not from the wiring made of them.
Sources: common practice, no source; an inverter with island mode supplies its AC side by
itself, one without stops (loss of mains protection, ENA G98, from memory).
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from compliance.files.cache import NoCache
from compliance.record.opened import open_record
from compliance.rules.connections import connections, switched

SAMPLES = sorted(Path("sample_installs").glob("*/installation.yaml"))
HEAD = "record: installation/1\nreference: J\njurisdiction: GB-ENG\ntitle: invented\n"
SEPARATED = ("simple separation", "separate transformer")


def _view(folder: Path, text: str = "") -> dict[str, Any]:
    if text:
        (folder / "installation.yaml").write_text(HEAD + text, encoding="utf-8")
    return open_record(folder, NoCache(), today=date(2026, 11, 25), on=None).view


def positions(names: list[str]) -> Iterator[frozenset[str]]:
    assert len(names) <= 14, "too many switches to try every position"
    for count in range(len(names) + 1):
        yield from map(frozenset, itertools.combinations(names, count))


def _parts(isolators: list[Any], opened: frozenset[str]) -> bool:
    """Whether a way through some switches is open: every one of them, and there are some."""
    return bool(isolators) and all(i["~name"] in opened and switched(i) for i in isolators)


def oracle(view: dict[str, Any], opened: frozenset[str]) -> dict[str, set[str]]:
    """Sources at the boards and at both sides of each inverter, worked to a fixed point."""
    inverters = {i["~name"]: i for i in view.get("inverters", ())}
    at = {"boards": set[str]()} | {f"{s} {n}": set[str]() for n in inverters for s in ("ac", "dc")}
    for string in view.get("strings", ()):
        at[f"roof {string['~name']}"] = {f"array {string['~name']} in daylight"}
    for _ in range(40):
        if not _parts(view.get("supply_isolators", []), opened):
            at["boards"].add("network")
        if "inverters" not in view:  # silence is no statement that there is none
            at["boards"].add("inverter that is not recorded")
        for name, inverter in inverters.items():
            ac, dc = at[f"ac {name}"], at[f"dc {name}"]
            ends = [s["input"] for s in view.get("strings", ())] + view.get("batteries", [])
            if not any(end.get("inverter", inverter)["~name"] == name for end in ends):
                dc.add(f"array or battery on {name}, not recorded")
            for string in view.get("strings", ()):
                mine = string["input"].get("inverter", inverter)["~name"] == name
                roof = at[f"roof {string['~name']}"]
                if mine and not _parts(string.get("isolators", []), opened):
                    dc |= roof
                    roof |= dc
            batteries = [
                b for b in view.get("batteries", ())
                if b.get("inverter", inverter)["~name"] == name
            ]  # fmt: skip
            for battery in batteries:  # one that may be on any inverter joins them
                cells = at.setdefault(f"cells {battery['~name']}", set())
                cells.add(f"battery {battery['~name']}")
                dc |= cells
                cells |= dc
            if inverter.get("island_mode") is not False:
                ac |= dc
            if not _parts(inverter.get("isolators", []), opened):
                at["boards"] |= ac
                ac |= at["boards"]
            if batteries or inverter.get("keeps_dc_out") not in SEPARATED:
                dc |= ac
        for charger in view.get("chargers", ()):
            if charger.get("vehicle_gives_back") is not False:
                at["boards"].add(f"car at {charger['~name']}")
    return at


def _agrees(view: dict[str, Any]) -> None:
    """Every source that the oracle finds is found, and every promised freeing holds."""
    found = connections(view).wiring
    names = [i["~name"] for i in view.get("isolators", ())]
    words = {"boards": "boards of the house"}
    for inverter in view.get("inverters", ()):
        name = inverter["~name"]
        words |= {f"ac {name}": f"AC terminals of {name}", f"dc {name}": f"DC terminals of {name}"}
    for string in view.get("strings", ()):
        words[f"roof {string['~name']}"] = f"modules and cables of {string['~name']}"
    for battery in view.get("batteries", ()) if view.get("inverters") else ():
        words[f"cells {battery['~name']}"] = f"terminals of battery {battery['~name']}"
    least = {place: found.freed_by(terminal) for place, terminal in words.items()}
    for opened in positions(names):
        live, expected = found.live(opened), oracle(view, opened)
        for place, terminal in words.items():
            assert live[terminal] == expected[place], (sorted(opened), terminal)
            promised = any(some <= opened for some in least[place])
            assert promised == (not expected[place]), (sorted(opened), terminal)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.parent.name)
def test_each_sample_agrees_in_every_position(path: Path) -> None:
    _agrees(_view(path.parent))


def _drawn(made: random.Random) -> str:
    """A record with one or two inverters and any of strings, switches, battery and charger."""
    one = made.choice
    inverters = [f"i{n}" for n in range(one((1, 2)))]
    lines = ["components:"]
    for name in inverters:
        island, kept = one(("yes", "no", "")), one((*SEPARATED, "nothing", ""))
        said = ["category: inverter"]
        said += [f"island_mode: {island}"] if island else []
        said += [f"keeps_dc_out: {kept}"] if kept else []
        lines.append(f"  {name}: {{{', '.join(said)}}}")
    for n in range(one((0, 1, 2))):
        on = one((f", inverter: {one(inverters)}", ""))
        lines.append(f"  b{n}: {{category: battery{on}}}")
    if one((True, False)):
        gives = one((", vehicle_gives_back: yes", ", vehicle_gives_back: no", ""))
        lines.append(f"  car: {{category: charger{gives}}}")
    strings = [f"S{n}" for n in range(one((1, 2, 3)))]
    lines.append("strings:")
    for name in strings:
        on = f"input: {{inverter: {one(inverters)}}}" if one((True, True, False)) else "face: south"
        lines.append(f"  {name}: {{{on}}}")
    return "\n".join([*lines, *_switches(made, strings, inverters)]) + "\n"


def _switches(made: random.Random, strings: list[str], inverters: list[str]) -> list[str]:
    lines = []
    for n in range(made.randint(0, 3)):
        serves = ", ".join(made.sample(strings, made.randint(1, len(strings))))
        poles = made.choice(("breaks_positive: 1, breaks_negative: 1", "breaks_positive: 1"))
        lines.append(f"  dc{n}: {{side: dc, serves: [{serves}], {poles}}}")
    ends = made.choice((", opens: all lines and neutral", ", opens: all lines", ""))
    for n in range(made.randint(0, 3)):
        lines.append(f"  ac{n}: {{side: ac, serves: {made.choice(inverters)}{ends}}}")
    for n in range(made.randint(0, 2)):
        lines.append(f"  main{n}: {{side: supply, opens: all lines and neutral}}")
    return ["isolators:", *lines] if lines else ["isolators: none"]


@pytest.mark.parametrize("seed", range(120))
def test_drawn_records_agree_in_every_position(seed: int, tmp_path: Path) -> None:
    _agrees(_view(tmp_path, _drawn(random.Random(seed))))


def test_a_battery_with_an_island_keeps_the_boards_live_behind_the_main_switch(
    tmp_path: Path,
) -> None:
    view = _view(tmp_path, """\
components:
  i1: {category: inverter, island_mode: yes, keeps_dc_out: simple separation}
  i2: {category: inverter, island_mode: no, keeps_dc_out: simple separation}
  b1: {category: battery, inverter: i1}
strings: {S1: {input: {inverter: i2}}}
isolators:
  main: {side: supply, opens: all lines and neutral}
  ac1: {side: ac, serves: i1, opens: all lines and neutral}
  ac2: {side: ac, serves: i2, opens: all lines and neutral}
  dc1: {side: dc, serves: S1, breaks_positive: 1, breaks_negative: 1}
""")  # fmt: skip
    found = connections(view).wiring
    assert found.live(frozenset({"main"}))["AC terminals of i2"] == {"battery b1"}
    assert found.freed_by("boards of the house") == (frozenset({"ac1", "main"}),)
    assert found.freed_by("AC terminals of i1") == ()
    assert found.freed_by("modules and cables of S1") == ()
    assert found.freed_by("DC terminals of i2") == (frozenset({"dc1"}),)


def test_what_the_record_does_not_say_is_treated_as_live(tmp_path: Path) -> None:
    found = connections(_view(tmp_path, "components: {i1: {category: inverter}}\n"))
    assert found.wiring.freed_by("boards of the house") == ()
    assert found.wiring.live()["DC terminals of i1"] >= {
        "network", "array or battery on i1, not recorded",
    }  # fmt: skip
    assert any("island mode is not recorded" in said for said in found.assumptions)
    assert any("a separate backup output is not in this list" in s for s in found.assumptions)


def test_a_battery_part_that_shows_no_battery_counts_as_one(tmp_path: Path) -> None:
    text = "parts: {store: {kind: battery}}\ncomponents: {i1: {category: inverter}}\n"
    found = connections(_view(tmp_path, text))
    assert "battery store" in found.wiring.live()["DC terminals of i1"]
