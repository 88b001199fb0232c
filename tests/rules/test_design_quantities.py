"""Worked-out values of designs: what stands beside what, and what a table does not list."""

from __future__ import annotations

import pytest
from rules.small import check, one, only

from compliance.rules.outcome import Finding, Outcome

MODULE = (
    "components:\n  m: {category: module, isc_a: 14, imp_a: 13, vmp_v: 33}\n"
    "  i: {category: inverter, rated_kw: 3.68, phases: 1, max_output_a: 16}\n"
    "  j: {category: inverter, rated_kw: 5, phases: 1, max_output_a: 22}\n"
)
CABLE = "insulation: 70 °C thermoplastic, size_mm2: 6, method: method C, ambient_c: 30, grouped: 1"


def _found(must: str, record: str, subject: str = "S1", loop: str = "string in strings") -> Finding:
    asked = one(f"for: {loop}\nbefore: use\nmust: {must}")
    return next(f for f in check(asked, record).findings if f.subject == subject)


def _needs(finding: Finding) -> set[str]:
    assert finding.outcome is Outcome.NOT_SHOWN
    return {need.path for need in finding.needs}


def _strings(one_input: str, other_input: str) -> str:
    return MODULE + (
        f"strings:\n  S1: {{modules: m, in_series: 8, parallel: 1, input: {{{one_input}}}}}\n"
        f"  S2: {{modules: m, in_series: 8, parallel: 2, input: {{{other_input}}}}}\n"
    )


@pytest.mark.parametrize(
    ("one_input", "other_input", "amperes"),
    [
        ("inverter: i, tracker: 1", "inverter: i, tracker: 1", 52.5),
        ("inverter: i, tracker: 1", "inverter: i, tracker: 2", 17.5),
        ("inverter: i, tracker: 1", "inverter: j, tracker: 1", 17.5),
        ("inverter: i", "inverter: j", 17.5),
        ("tracker: 1", "tracker: 2", 17.5),
    ],
)
def test_strings_on_one_input_add_up(one_input: str, other_input: str, amperes: float) -> None:
    record = _strings(one_input, other_input)
    at_it = f"{amperes} >= string.input_isc_a and string.input_isc_a >= {amperes}"
    assert _found(at_it, record).outcome is Outcome.MET


@pytest.mark.parametrize(
    ("one_input", "other_input", "needs"),
    [
        ("inverter: i", "inverter: i, tracker: 1", {"string.input.tracker"}),
        ("inverter: i, tracker: 1", "inverter: i", {"strings[S2].input.tracker"}),
        ("inverter: i, tracker: 1", "tracker: 1", {"strings[S2].input.inverter"}),
    ],
)
def test_a_string_that_may_share_an_input_is_asked_for_it(
    one_input: str, other_input: str, needs: set[str]
) -> None:
    record = _strings(one_input, other_input)
    assert _needs(_found("string.input_isc_a <= 20", record)) == needs


def test_a_single_string_is_not_asked_which_input_it_is_on() -> None:
    record = MODULE + "strings: {S1: {modules: m, in_series: 8, parallel: 1}}\n"
    assert _found("string.input_isc_a <= 17.5", record).outcome is Outcome.MET


def _circuit(cable: str, more: str = "") -> str:
    return MODULE + f"circuits: {{C1: {{feeds: i, cable: {{{cable}}}{more}}}}}\n"


@pytest.mark.parametrize(
    ("cable", "amperes"),
    [
        (CABLE, 47),
        (CABLE.replace("method C", "method 101"), 27),
        (CABLE.replace("method C", "surrounded by insulation"), 23.5),
        (CABLE.replace("ambient_c: 30", "ambient_c: 30.1"), 44.18),
        (CABLE.replace("ambient_c: 30", "ambient_c: -5"), 48.41),
        (CABLE.replace("grouped: 1", "grouped: 3"), 32.9),
        ("insulation: 90 °C thermosetting, method: another table, tabulated_a: 60, ambient_c: 35,"
         " grouped: 1", 57.6),
    ],
)  # fmt: skip
def test_a_cable_carries_what_its_table_and_its_place_say(cable: str, amperes: float) -> None:
    """By hand from the printed tables: 47 × 0.94, 47 × 1.03, 47 × 0.7, 60 × 0.96."""
    must = f"circuit.cable_capacity_a >= {amperes} and circuit.cable_capacity_a <= {amperes}"
    found = _found(must, _circuit(cable), "C1", "circuit in circuits")
    assert found.outcome is Outcome.MET


@pytest.mark.parametrize(
    ("cable", "path", "reason"),
    [
        (CABLE.replace("size_mm2: 6", "size_mm2: 5"), "size_mm2", "one of 1, 1.5, 2.5, 4"),
        (CABLE.replace("ambient_c: 30", "ambient_c: 51"), "ambient_c", "no more than 50 °C"),
        (CABLE.replace("grouped: 1", "grouped: 10"), "grouped", "one of 1, 2"),
        (CABLE.replace("70 °C thermoplastic", "90 °C thermosetting"), "method", "another table"),
        (CABLE.replace("method C", "another table"), "tabulated_a", "missing"),
    ],
)
def test_what_no_table_lists_is_unknown_and_says_what_it_lists(
    cable: str, path: str, reason: str
) -> None:
    found = _found("circuit.cable_capacity_a >= 1", _circuit(cable), "C1", "circuit in circuits")
    assert found.outcome is Outcome.NOT_SHOWN
    (need,) = found.needs
    assert need.path == f"circuit.cable.{path}"
    assert reason in need.reason


def test_three_phases_have_no_table_for_hotter_cables_here() -> None:
    record = _circuit(CABLE.replace("70 °C thermoplastic", "90 °C thermosetting"), ", length_m: 9")
    record = record.replace("rated_kw: 3.68, phases: 1", "rated_kw: 11.04, phases: 3")
    record += "site: {supply: {nominal_v: 230}}\n"
    found = _found("circuit.ac_drop_percent <= 1", record, "C1", "circuit in circuits")
    assert _needs(found) == {"circuit.cable.insulation"}


SITE = "site: {{existing: {{sources_kw: {there}}}, supply: {{phases: {phases}, nominal_v: 230}}}}\n"


@pytest.mark.parametrize(
    ("there", "phases", "lines", "kilowatts"),
    [
        (0, 1, ("", ""), 8.68),
        (2, 1, (", line: L1", ", line: L2"), 10.68),  # there is but one line
        (0, 3, (", line: L1", ", line: L1"), 8.68),
        (0, 3, (", line: L1", ", line: L3"), 5),
        (1, 3, (", line: L1", ", line: L3"), 6),
    ],
)
def test_a_capacity_is_that_of_the_fullest_line(
    there: float, phases: int, lines: tuple[str, str], kilowatts: float
) -> None:
    record = MODULE.replace("rated_kw: 3.68", f"rated_kw: 3.68{lines[0]}")
    record = record.replace("rated_kw: 5", f"rated_kw: 5{lines[1]}")
    record += SITE.format(there=there, phases=phases)
    must = f"registered_capacity_kw >= {kilowatts} and registered_capacity_kw <= {kilowatts}"
    assert only(check(one(f"before: use\nmust: {must}"), record)).outcome is Outcome.MET


def test_two_inverters_of_one_phase_are_asked_for_their_lines() -> None:
    record = MODULE + SITE.format(there=0, phases=3)
    found = only(check(one("before: use\nmust: registered_capacity_kw <= 5"), record))
    assert _needs(found) == {"components[i].line", "components[j].line"}


def test_the_load_is_that_of_the_heaviest_modules_and_kit_of_the_part() -> None:
    record = (
        "parts: {roof: {kind: array}, barn: {kind: array}}\n"
        "components:\n"
        "  m: {category: module, part: roof, mass_kg: 20, area_m2: 2}\n"
        "  n: {category: module, part: barn, mass_kg: 30, area_m2: 2}\n"
        "  k: {category: mounting, part: roof, mass_kg_m2: 2.5}\n"
        "  l: {category: mounting, part: barn, mass_kg_m2: 9}\n"
        "strings: {S1: {part: roof, modules: m}, S2: {part: barn, modules: n}}\n"
    )
    must = "part.array_load_kg_m2 >= 12.5 and part.array_load_kg_m2 <= 12.5"
    assert _found(must, record, "roof", "part in parts").outcome is Outcome.MET
    bare = record.replace("  k: {category: mounting, part: roof, mass_kg_m2: 2.5}\n", "")
    assert _needs(_found(must, bare, "roof", "part in parts")) == {"components"}


@pytest.mark.parametrize(
    ("parallel", "shown"), [("parallel: 1, ", set()), ("parallel: 3, ", {"S1"}), ("", {"S1"})]
)
def test_the_range_of_a_fuse_is_shown_unless_a_string_is_surely_alone(
    parallel: str, shown: set[str]
) -> None:
    record = MODULE + f"strings: {{S1: {{modules: m, {parallel}in_series: 8}}}}\n"
    asked = one("for: string in strings\nbefore: use\nmust: string.in_series >= 1")
    workings = check(asked, record).workings
    assert {w.subject for w in workings if w.quantity == "least_string_fuse_a"} == shown


@pytest.mark.parametrize(("there", "volts", "path"), [(2, 0, "nominal_v"), (-2, 230, "sources_kw")])
def test_a_figure_that_cannot_be_is_named_and_not_divided_by(
    there: float, volts: float, path: str
) -> None:
    record = MODULE + (
        f"site: {{existing: {{sources_kw: {there}}}, supply: {{fuse_a: 60, nominal_v: {volts}}}}}\n"
    )
    found = only(check(one("before: use\nmust: board_current_a <= 100"), record))
    assert found.outcome is Outcome.NOT_SHOWN
    assert [need.path.rpartition(".")[2] for need in found.needs] == [path]
