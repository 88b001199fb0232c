"""What the generated function works out itself is what the quantity gives, to the last bit."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from rules.small import TODAY, shipped
from rules.test_design_section_5 import worth

from compliance.rules.language.calculation import Calculation, Given, Shortcuts
from compliance.rules.language.compile import decider
from compliance.rules.language.kinds import Many, Number
from compliance.rules.language.nodes import Path, Stated
from compliance.rules.language.ruling import Clause
from compliance.rules.outcome import Outcome
from compliance.rules.quantities import CALCULATIONS, QUANTITIES
from compliance.rules.world import RecordWorld
from compliance.values import NotTaken, Over, Unknown

NUMBERS = (1.0, 2.0, 9.0, 20.0, 230.0, 500.0, -0.28, -10.0, 1e9)
SILENCE = (None, NotTaken("rain"), Over(200.0), 3)
USUAL = {
    "voc_coefficient_percent_per_k": -0.28, "isc_coefficient_percent_per_k": 0.05,
    "cell_c": 30.0, "lowest_cell_c": -10.0, "irradiance_w_m2": 700.0, "phases": 1.0,
}  # fmt: skip
TABLES = shipped().rules.tables
WORDS = {
    given.table: tuple(TABLES.editions(given.table)[-1].words)
    for calculation in CALCULATIONS.values()
    for given in calculation.given
    if given.table
}
LOOP = (("entry", Path("", ("entries",), Many("thing"), "job")),)


def _filled(calculation: Calculation, values: dict[Given, Any]) -> dict[str, Any]:
    """A record with one entry, or none for what is of the job, that holds the inputs."""
    entry: dict[str, Any] = {"~name": "E"}
    parts = [{"~name": "P", "designed": date(2026, 1, 1)}]
    job = {"~name": "job", "entries": [entry], "parts": parts}
    for given in calculation.given:
        held = job if given.is_of_job else entry
        for step in given.steps[:-1]:
            held = held.setdefault(step, {})
        if given.steps:
            held[given.steps[-1]] = values[given]
    return job


def _cases(calculation: Calculation) -> Iterator[dict[Given, Any]]:
    """Each input in turn through every number, word and silence, the others as is usual."""
    usual: dict[Given, Any] = {}
    for given in calculation.given:
        word = next(iter(WORDS.get(given.table, ())), "")
        usual[given] = word if given.table else USUAL.get((given.steps or ("",))[-1], 2.0)
    for changed in calculation.given:
        words = (*WORDS.get(changed.table, ()), None)
        for value in words if changed.table else (usual[changed], *NUMBERS, *SILENCE):
            yield usual | {changed: value}


@pytest.mark.parametrize("key", sorted(CALCULATIONS))
def test_a_value_worked_out_in_line_is_that_of_its_quantity(key: tuple[str, str]) -> None:
    owner, name = key
    is_of_job = owner == "job"
    path = Path("" if is_of_job else "entry", (name,), Number(is_worked=True), owner)
    clause = Clause(() if is_of_job else LOOP, None, Stated(path))
    decide = decider([clause], Shortcuts(CALCULATIONS, tables_by="designed"))
    known = 0
    for values in _cases(CALCULATIONS[key]):
        job = _filled(CALCULATIONS[key], values)
        entry = job if is_of_job else job["entries"][0]
        right = QUANTITIES[key].value(entry, RecordWorld(job, TODAY, TABLES, {}))
        world = RecordWorld(job, TODAY, TABLES, {})
        ((_, _, (outcome,)),) = decide(world, world.day, reasons=True)
        is_known = not isinstance(right, Unknown)
        known += is_known
        assert outcome is (Outcome.MET if is_known else Outcome.NOT_SHOWN), values
        assert not is_known or world.worked_out[id(entry), name] == right, values
    assert known


def test_what_rests_on_gathered_or_worked_out_values_is_asked_of_the_world() -> None:
    assert ("string", "cold_voc_v") in CALCULATIONS
    assert ("string", "like_strings") not in CALCULATIONS
    assert ("circuit", "summed_fault_touch_v") not in CALCULATIONS


def test_nothing_times_an_unknown_is_nothing_and_anything_else_is_unknown() -> None:
    assert worth("0 * thing.deep_v <= 0").value is True
    assert worth("thing.deep_v * 0 <= 0").value is True
    assert worth("2 * thing.deep_v <= 0").value is None
