"""A jurisdiction's word list: what is printed for each field that a need can name."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from compliance.files.resources import rulesets_folder
from compliance.files.yaml import parse_yaml
from compliance.record.entry import Group
from compliance.record.installation import Installation
from compliance.record.kinds import FigureKind, ReadingKind
from compliance.record.meant import TESTS
from compliance.record.shape import fields
from compliance.record.words import load_aliases, load_printed, spoken_in, usual_tests_in
from compliance.rules.job import open_job
from compliance.rules.language.explain import PRINTED, Printed, plain_name
from compliance.rules.quantities import QUANTITIES
from compliance.units import COUNT, find

SAMPLE = Path(__file__).parents[2] / "sample_installs" / "bungalow-two-faces"
NOUNS = {
    "V": ("voltage", "Voc", "value"), "kV": ("withstand", "level"),
    "A": ("current", "Isc", "Imp", "value"), "kA": ("current", "capacity", "value"),
    "mA": ("current",), "Ω": ("Ze", "Zs", "R1 + R2", "resistance"), "MΩ": ("earth", "resistance"),
    "kW": ("power", "capacity"), "kWh": ("energy", "reading", "generation"),
    "m": ("length", "spacing"), "mm²": ("size",), "ms": ("time",), "s": ("time",),
    "W/m²": ("irradiance",), "°C": ("temperature",), "Pa": ("pressure",), "%/K": ("coefficient",),
    "/(km²·year)": ("flashes",), "°": ("latitude", "longitude", "azimuth", "tilt"),
    "A²s": ("energy",),
    "kg": ("mass",), "kWh/kW": ("yield",), "m²": ("area",), "kg/m²": ("mass", "load"),
}  # fmt: skip
"""What a quantity in each unit is called; from memory of how the trade speaks."""


def _figures(model: type[Group], seen: set[type[Group]]) -> Iterator[str]:
    if model in seen:
        return
    seen.add(model)
    for name, shape in fields(model).items():
        if isinstance(shape.kind, FigureKind | ReadingKind):
            yield name
        for inner in [*shape.entries, *([shape.section] if shape.section else [])]:
            yield from _figures(inner, seen)


FIGURES = sorted(set(_figures(Installation, set())))


@pytest.fixture(autouse=True)
def _in_great_britain() -> None:
    PRINTED.set(Printed(load_printed(rulesets_folder(), "gb")))


@pytest.mark.parametrize("name", [n for n in FIGURES if find(n) is not COUNT])
def test_a_figure_is_printed_as_the_quantity_it_is(name: str) -> None:
    said = plain_name(name)
    assert any(noun in said for noun in NOUNS[find(name).symbol]), f"{name} is printed as {said}"


@pytest.mark.parametrize("name", FIGURES)
def test_no_printed_name_ends_in_a_symbol_of_a_unit_or_an_underscore(name: str) -> None:
    said = plain_name(name)
    assert "_" not in said
    assert said.split()[-1] not in ("v", "a", "ka", "ohm", "megohm", "kw", "pa", "mm2", "ms")


def test_every_printed_word_is_of_a_field_or_a_quantity_that_exists() -> None:
    known = {name for _, name in QUANTITIES}
    known |= {n for model in _models(Installation, set()) for n in fields(model)}
    assert set(load_printed(rulesets_folder(), "gb")) <= known


def _models(model: type[Group], seen: set[type[Group]]) -> set[type[Group]]:
    if model not in seen:
        seen.add(model)
        for shape in fields(model).values():
            for inner in [*shape.entries, *([shape.section] if shape.section else [])]:
                _models(inner, seen)
    return seen


def test_the_aliases_of_issue_6_are_there() -> None:
    known = load_aliases(rulesets_folder(), "gb")
    assert {"Ze", "Zs", "R1+R2", "IR", "Voc", "Isc", "PFC"} <= set(known)


def test_an_opened_job_is_told_in_the_words_of_its_place() -> None:
    PRINTED.set(Printed())
    assert plain_name("ze_ohm") == "Ze"
    open_job(SAMPLE, rulesets_folder(), today=date(2026, 11, 25))
    assert plain_name("ze_ohm") == "external loop impedance Ze"
    assert plain_name("operator") == "network operator (DNO)"


def test_a_jurisdiction_without_a_list_prints_the_names_themselves(tmp_path: Path) -> None:
    assert load_printed(tmp_path, "xx") == {}
    assert load_aliases(tmp_path, "xx") == {}


def test_what_a_name_usually_means_is_a_test_that_there_is() -> None:
    tree = parse_yaml(b"jurisdiction: GB-ENG\n", name="x")
    usual = usual_tests_in(tree)
    assert usual["Isc"] == ["short-circuit current"]
    assert {tag for tags in usual.values() for tag in tags} <= set(TESTS)
    assert set(usual) <= set(spoken_in(tree))
    assert usual_tests_in(parse_yaml(b"jurisdiction: ../gb\n", name="x")) == {}
