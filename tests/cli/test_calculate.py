"""`compliance calculate`: by hand what a check works out, with the same working."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from compliance import cli
from compliance.files.resources import rulesets_folder
from compliance.rules.by_hand import NO_PERMISSION, Desk
from compliance.rules.job import Job, open_job
from compliance.rules.outcome import Working
from compliance.rules.quantities import QUANTITIES, Quantity
from compliance.rules.quantities.by_hand import BY_HAND
from compliance.rules.ruleset import load_rules
from compliance.rules.world import RecordWorld

SAMPLES = sorted(
    p.parent for p in (Path(__file__).parents[2] / "sample_installs").glob("*/installation.yaml")
)
RULES = load_rules(rulesets_folder(), "gb")
DESK = Desk(RULES.tables, RULES.titles, date(2026, 11, 10))
CALCULATED = [*(q for q in QUANTITIES.values() if q.is_printed), *BY_HAND]
COLD = ("cold_voc_v", "modules=9", "module_voc_stc_v=38.9",
        "voc_coefficient_percent_per_k=-0.25", "lowest_cell_c=-15")  # fmt: skip
Call = Callable[..., tuple[int, str, str]]


@pytest.fixture
def call(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Call:
    """Calls `compliance calculate` in this process; gives exit code, output and errors."""

    def run(*arguments: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["compliance", "calculate", *arguments])
        with pytest.raises(SystemExit) as left:
            cli.main()
        out, err = capsys.readouterr()
        return int(left.value.code or 0), out, err

    return run


def told(out: str) -> str:
    """Text without its line breaks."""
    return " ".join(out.split())


# -- the same as in a check ---------------------------------------------------------------


def _entries(job: Job) -> dict[str, Any]:
    every = [e for held in job.view.values() if isinstance(held, list) for e in held]
    return {str(e["~name"]): e for e in every if isinstance(e, dict)} | {"job": job.view}


def _typed(quantity: Quantity, working: Working, job: Job) -> list[str]:
    """The inputs of a working, as a person would type the record's numbers."""
    world = RecordWorld(job.view, job.checked.on, job.rules.tables, job.seen)
    arguments, needs = quantity._arguments(_entries(job)[working.subject], world)
    assert not needs
    numbers = {n: v if isinstance(v, tuple) else (v,) for n, v in arguments.items()}
    return [f"{name}={','.join(f'{v:.12g}' for v in some)}" for name, some in numbers.items()]


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.name)
def test_each_quantity_by_hand_is_what_the_working_of_a_sample_shows(
    sample: Path, call: Call
) -> None:
    job = open_job(sample, rulesets_folder(), today=date(2026, 11, 25))
    by_name = {q.name: q for q in CALCULATED}
    assert bool(job.checked.workings) is (sample.name != "first-notes-only")  # it has no figures
    for working in job.checked.workings:
        typed = _typed(by_name[working.quantity], working, job)
        code, out, _ = call(working.quantity, *typed, "--format", "json")
        assert code == 0
        by_hand = json.loads(out)["working"]
        in_check = json.loads(json.dumps(asdict(working)))
        in_check["inputs"] = [
            [given.words, value]  # beside them a check says what a table was asked for
            for given, (words, value) in zip(
                by_name[working.quantity].inputs.values(), working.inputs, strict=True
            )
            if words == given.words or words.startswith(f"{given.words} (")
        ]
        assert {**by_hand, "subject": working.subject} == in_check
        assert by_hand["subject"] == "by hand"
        _, text, _ = call(working.quantity, *typed)
        assert f"{working.quantity} = {working.result}" in told(text)
        for words, value in in_check["inputs"]:
            assert f"{words}: {value}" in told(text)


def test_the_samples_show_every_quantity_of_strings_and_circuit_breakers() -> None:
    jobs = [open_job(s, rulesets_folder(), today=date(2026, 11, 25)) for s in SAMPLES]
    seen = {working.quantity for job in jobs for working in job.checked.workings}
    assert seen >= {"cold_voc_v", "greatest_isc_a", "system_voltage_v", "expected_voc_v",
                    "voc_spread_percent", "loop_limit_ohm"}  # fmt: skip


@pytest.mark.parametrize("quantity", CALCULATED, ids=lambda q: q.name)
def test_each_quantity_says_of_each_input_what_it_is(quantity: Quantity) -> None:
    (sheet,) = [s for s in DESK.sheets() if s.name == quantity.name]
    assert [i.name for i in sheet.inputs] == list(quantity.inputs)
    assert all(i.words for i in sheet.inputs)
    assert sheet.source is not None
    assert sheet.source.confidence
    assert sheet.source.title, "its document is not in the register"


@pytest.mark.parametrize(
    ("name", "valid"),
    [
        ("cold_voc_v", {
            "modules": "a whole number from 1 to 10000",
            "module_voc_stc_v": "above 0 V",
            "voc_coefficient_percent_per_k": "from -1 to -0.05 %/K",
            "lowest_cell_c": "from -40 to 25 °C",
        }),
        ("voc_spread_percent", {"open_circuit_voltages_v": "2 or more, each above 0 V"}),
        ("loop_limit_ohm", {
            "tripping_current_multiple": "from 1 to 50",
            "rated_current_a": "above 0 A",
            "nominal_voltage_v": "above 0 V",
            "cmin": "from 0.9 to 1",
        }),
        ("insulation_megohm", {"system_voltage_v": "0 V or more"}),
        ("tripping_multiple", {"curve": "one of B, C, D"}),
        ("voltage_factor", {}),
    ],
)  # fmt: skip
def test_each_input_is_told_with_the_range_that_the_calculation_takes(
    name: str, valid: dict[str, str]
) -> None:
    (sheet,) = [s for s in DESK.sheets() if s.name == name]
    assert {i.name: i.valid for i in sheet.inputs} == valid


# -- worked by hand -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "value", "unit"),
    [
        # 9 × 38.9 × (1 + -0.25/100 × (-15 - 25)), arithmetic by hand
        (COLD, 385.11, "V"),
        # 230 × 0.95 / (5 × 32), arithmetic by hand
        (("loop_limit_ohm", "nominal_voltage_v=230", "cmin=0.95", "tripping_current_multiple=5",
          "rated_current_a=32"), 1.365625, "Ω"),
        # (310.2 - 309.8) / 310 × 100, arithmetic by hand
        (("voc_spread_percent", "open_circuit_voltages_v=310.2,309.8"), 0.129032258, "%"),
        (("voc_spread_percent", "open_circuit_voltages_v=310.2, 309.8"), 0.129032258, "%"),
    ],
)  # fmt: skip
def test_a_value_is_worked_out(
    call: Call, arguments: tuple[str, ...], value: float, unit: str
) -> None:
    code, out, err = call(*arguments, "--format", "json")
    assert (code, err) == (0, "")
    data = json.loads(out)
    assert data["format"] == 1
    assert data["notice"] == NO_PERMISSION
    assert data["value"] == pytest.approx(value, rel=1e-6)
    assert data["unit"] == unit


def test_the_text_shows_formula_inputs_ranges_source_note_and_who_decides(call: Call) -> None:
    code, out, _ = call(*COLD)
    assert code == 0
    for words in (
        "modules × Voc × (1 + β / 100 × (lowest cell temperature - 25))",
        "lowest cell temperature of the site: -15 °C (lowest_cell_c; from -40 to 25 °C)",
        "cold_voc_v = 385.1 V",
        "Source: iec-62548 (secondary), Photovoltaic (PV) arrays",
        "Note: A result just under a limit deserves a second look",
        NO_PERMISSION,
    ):
        assert words in told(out), words


READS_LIKE = ("reads_like_v", "expected_v=360", "modules=9")
EARTH = ("earth_fault_modules", "string_voc_v=360", "modules=9")


@pytest.mark.parametrize(
    ("arguments", "lines"),
    [
        # 360 × 8/9 = 320; 360 × (1 - 2/27) = 333.3, by hand
        ((*READS_LIKE, "measured_v=322", "tolerance_percent=3"),
         ["one module fewer, or one bypassed whole: 320 V, off by 0.6 %, fits",
          "two thirds of a module bypassed: 333.3 V, off by -3.4 %, does not fit",
          "within the tolerance: only one module fewer, or one bypassed whole"]),
        ((*READS_LIKE, "measured_v=322", "tolerance_percent=5"),
         ["cannot tell between: one module fewer, or one bypassed whole; two thirds of a module"]),
        ((*READS_LIKE, "measured_v=200", "tolerance_percent=5"),
         ["within the tolerance: none of them; look further"]),
        (("reads_like_other_v", "measured_v=321", "expected_voltages_v=360,320",
          "tolerance_percent=3"),
         ["1: 360 V: off by -10.8 %, does not fit", "2: 320 V: off by 0.3 %, fits",
          "within the tolerance: only 2"]),
        ((*EARTH, "positive_to_earth_v=240", "negative_to_earth_v=-120", "tolerance_percent=2"),
         ["earth_fault_modules = 3", "between module 3 and module 4"]),
        ((*EARTH, "positive_to_earth_v=220", "negative_to_earth_v=-140", "tolerance_percent=2"),
         ["earth_fault_modules = 3.5", "inside module 4"]),
        ((*EARTH, "positive_to_earth_v=360", "negative_to_earth_v=0", "tolerance_percent=2"),
         ["at the negative end"]),
        ((*EARTH, "positive_to_earth_v=0", "negative_to_earth_v=-360", "tolerance_percent=2"),
         ["at the positive end"]),
        ((*EARTH, "positive_to_earth_v=180", "negative_to_earth_v=-180", "tolerance_percent=20"),
         ["cannot tell: from 3.6 to 5.4 modules"]),
        (("cold_loop_guidance_ohm", "nominal_voltage_v=230", "cmin=0.95", "rated_current_a=32",
          "tripping_current_multiple=5", "cold_share_percent=80"),
         ["cold_loop_guidance_ohm = 1.093 Ω", "above which it fails: 1.366 Ω",
          "as printed, from the rounded limit: 1.1 Ω"]),
        (("cold_loop_guidance_ohm", "nominal_voltage_v=230", "cmin=0.95", "rated_current_a=125",
          "tripping_current_multiple=20", "cold_share_percent=80"),
         ["two decimals say too little"]),
    ],
)  # fmt: skip
def test_beside_its_value_it_tells_what_else_there_is_to_know(
    call: Call, arguments: tuple[str, ...], lines: list[str]
) -> None:
    code, out, err = call(*arguments)
    assert (code, err) == (0, "")
    assert [line for line in lines if line not in told(out)] == []
    _, data, _ = call(*arguments, "--format", "json")
    also = told(" ".join(f"{words}: {value}" for words, value in json.loads(data)["also"]))
    assert [line for line in lines if " = " not in line and line not in also] == []


def test_no_rule_can_ask_for_what_is_worked_out_by_hand_only() -> None:
    assert {q.name for q in BY_HAND}.isdisjoint(name for _, name in QUANTITIES)
    assert {q.name for q in BY_HAND}.isdisjoint(RULES.tables.titles)
    assert len({q.name for q in BY_HAND}) == len(BY_HAND)


@pytest.mark.parametrize("quantity", BY_HAND, ids=lambda q: q.name)
def test_a_limit_that_an_input_points_to_is_there(quantity: Quantity) -> None:
    (sheet,) = [s for s in DESK.sheets() if s.name == quantity.name]
    assert {i.table for i in sheet.inputs if i.table} <= set(RULES.tables.titles)


# -- limits -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "result"),
    [
        (("insulation_megohm", "system_voltage_v=470"), "1 MΩ"),
        (("insulation_megohm", "system_voltage_v=119.9"), "0.5 MΩ"),
        (("insulation_megohm", "system_voltage_v=120"), "1 MΩ"),
        (("tripping_multiple", "curve=C"), "10"),
        (("rcd_most_ms", "delay=general"), "300 ms"),
        (("voltage_factor",), "0.95"),
    ],
)  # what the limit tables say, with their own sources and confidence
def test_a_limit_gives_the_value_in_force_with_its_source(
    call: Call, arguments: tuple[str, ...], result: str
) -> None:
    code, out, _ = call(*arguments, "--on", "2026-11-10")
    assert code == 0
    assert f"{arguments[0]} = {result}" in told(out)
    assert "limit table, as in force on 2026-11-10" in told(out)
    assert "Source: " in out
    assert NO_PERMISSION in told(out)


def test_a_day_before_the_first_edition_has_no_limit(call: Call) -> None:
    code, _, err = call("insulation_megohm", "system_voltage_v=470", "--on", "2015-12-31")
    assert code == 2
    assert "the first is from 2016-01-01" in err
    code, _, _ = call("insulation_megohm", "system_voltage_v=470", "--on", "2016-01-01")
    assert code == 0


# -- the list -----------------------------------------------------------------------------


def test_the_list_shows_each_with_title_unit_source_and_inputs(call: Call) -> None:
    code, out, err = call("--list")
    assert (code, err) == (0, "")
    for quantity in CALCULATED:
        assert f"{quantity.name}: {quantity.title}" in told(out)
        for name, given in quantity.inputs.items():
            assert f"{name}: {given.words}" in told(out)
    for name, title in RULES.tables.titles.items():
        assert f"{name}: {title}" in told(out)
    assert "tripping multiple of the curve, from 1 to 50, from the limit tripping_multiple" in told(
        out
    )


def test_the_list_as_json_holds_the_same(call: Call) -> None:
    _, out, _ = call("--list", "--format", "json")
    data = json.loads(out)
    assert data["format"] == 1
    names = [found["name"] for found in data["calculations"]]
    assert names == [q.name for q in CALCULATED] + list(RULES.tables.titles)
    cold = data["calculations"][names.index("cold_voc_v")]
    assert cold["unit"] == "V"
    assert cold["source"]["confidence"] == "secondary"
    assert cold["inputs"][3]["valid"] == "from -40 to 25 °C"


# -- calls that cannot be used ------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "--list shows all there is"),
        (("cold_voc",), 'Did you mean "cold_voc_v"?'),
        (("like_strings", "counted=3"), "is counted in a record"),
        (("--list", "cold_voc_v"), 'leave "cold_voc_v" out'),
        (COLD[:-1], "cold_voc_v needs lowest_cell_c=..., lowest cell temperature of the site, "
                    "in °C, from -40 to 25 °C"),
        ((*COLD, "modlues=9"), 'has no input "modlues". Did you mean "modules"?'),
        ((*COLD, "modules=9"), '"modules" is given twice'),
        ((*COLD[:-1], "lowest_cell_c"), "lowest_cell_c=..."),
        ((*COLD[:-1], "lowest_cell_c=-15 C"), "this field is in °C"),
        ((*COLD[:-1], "lowest_cell_c=-15,0"), "is not a plain number in °C"),
        ((*COLD[:-1], "lowest_cell_c="), "is not a plain number in °C"),
        ((*COLD[:-1], "lowest_cell_c=nan"), "is not a plain number in °C"),
        ((*COLD[:-1], "lowest_cell_c=over 200"), "write the figure itself"),
        ((*COLD[:-1], "lowest_cell_c=-41"), "lowest_cell_c is -41; it must be from -40 to 25 °C"),
        (("cold_voc_v", "modules=9.5", *COLD[2:]), "it must be a whole number from 1"),
        (("voc_spread_percent", "open_circuit_voltages_v=310.2"), "it must be 2 or more"),
        (("voc_spread_percent", "open_circuit_voltages_v=310.2,"), "is not a plain number in V"),
        (("voc_spread_percent", "open_circuit_voltages_v=310.2 V,309.8"), "has a unit in it"),
        (("tripping_multiple", "curve=E"), "Known here: B, C, D"),
        (("insulation_megohm", "system_voltage_v=-1"), "it must be 0 V or more"),
        (("insulation_megohm",), "needs system_voltage_v=..., 1.25 times"),
        (("voltage_factor", "curve=B"), "It takes none."),
        (("cold_voc_v", "--jurisdiction", "xx"), 'there are no rulesets for "xx"'),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_told_with_its_unit_and_range(
    call: Call, arguments: tuple[str, ...], words: str
) -> None:
    code, out, err = call(*arguments)
    assert (code, out) == (2, "")
    assert words in told(err), err


def test_everything_wrong_is_told_at_once(call: Call) -> None:
    code, _, err = call("cold_voc_v", "modlues=9", "module_voc_stc_v=38.9 V")
    assert code == 2
    assert '"modlues"' in err
    assert "module_voc_stc_v, open-circuit voltage of one module at STC, in V, above 0 V" in err
    assert err.count("needs ") == 3
