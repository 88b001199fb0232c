"""Worked-out values of the design of an AC circuit: current, cable, drop, loop, fault."""

from __future__ import annotations

from functools import partial
from math import sqrt

from compliance.electrical import ac, cables, protection
from compliance.rules.quantities.binding import Asked, Entry, Found, Input, Quantity, walk
from compliance.rules.quantities.lookups import Looked, at_size, beyond, warmer

INSULATION = ".cable.insulation"
METHOD = ".cable.method"
SIZE = ".cable.size_mm2"
THERMOPLASTIC = "70 °C thermoplastic"
FLAT_CABLE = {
    "method A": "flat_cable_a_a",
    "method C": "flat_cable_c_a",
    "method 100": "flat_cable_100_a",
    "method 101": "flat_cable_101_a",
    "method 102": "flat_cable_102_a",
    "method 103": "flat_cable_103_a",
    "surrounded by insulation": "flat_cable_c_a",
}
TABULATED = tuple(dict.fromkeys(FLAT_CABLE.values()))
# At its greatest temperature a conductor has this factor on its resistance, and this k.
FACTOR = {THERMOPLASTIC: "at 70 °C", "90 °C thermosetting": "at 90 °C"}
K = {
    THERMOPLASTIC: "copper in a cable of 70 °C",
    "90 °C thermosetting": "copper in a cable of 90 °C thermosetting",
}
AMBIENT = {THERMOPLASTIC: "ambient_70_factor", "90 °C thermosetting": "ambient_90_factor"}
DROP = {THERMOPLASTIC: "drop_70_mv_per_a_m", "90 °C thermosetting": "drop_90_mv_per_a_m"}
THREE_PHASE_DROP = {THERMOPLASTIC: "drop_70_three_phase_mv_per_a_m"}
COPPER = "copper_milliohm_per_m"


def _tabulated(entry: Entry, asked: Asked) -> Looked:
    """The tabulated current, of a flat cable by its method or as the designer took it."""
    method, lacking = walk(METHOD, entry, asked)
    if lacking:
        return None, lacking
    if method not in FLAT_CABLE:
        return walk(".cable.tabulated_a", entry, asked)
    insulation, lacking = walk(INSULATION, entry, asked)
    if lacking:
        return None, lacking
    if insulation != THERMOPLASTIC:
        return None, beyond(METHOD, "another table for a cable of 90 °C")
    return at_size(FLAT_CABLE[method], SIZE, entry, asked)


def _surrounded(entry: Entry, asked: Asked) -> Looked:
    """The factor for insulation all around; the tables of the other methods have it in them."""
    method, lacking = walk(METHOD, entry, asked)
    if lacking:
        return None, lacking
    if method != "surrounded by insulation":
        return 1.0, ()
    return asked.table("insulation_factor", "more than half a metre")


def _ambient(entry: Entry, asked: Asked) -> Looked:
    insulation, lacking = walk(INSULATION, entry, asked)
    if lacking:
        return None, lacking
    return warmer(AMBIENT[insulation], ".cable.ambient_c", entry, asked)


def _by_insulation(table: str, words: dict[str, str], entry: Entry, asked: Asked) -> Looked:
    insulation, lacking = walk(INSULATION, entry, asked)
    return (None, lacking) if lacking else asked.table(table, words[insulation])


def _drop(entry: Entry, asked: Asked) -> Looked:
    """The tabulated drop, by what the conductors bear and on how many phases they feed."""
    insulation, lacking = walk(INSULATION, entry, asked)
    phases, more = walk(".feeds.phases", entry, asked)
    if lacking or more:
        return None, lacking + more
    tables = DROP if phases == 1 else THREE_PHASE_DROP
    if insulation not in tables:
        return None, beyond(INSULATION, f"{THERMOPLASTIC} where three phases are fed")
    return at_size(tables[insulation], SIZE, entry, asked)


def _between_conductors(entry: Entry, asked: Asked) -> Looked:
    """The voltage that a drop is a share of: to neutral, or between lines of three phases."""
    phases, lacking = walk(".feeds.phases", entry, asked)
    nominal, more = walk("site.supply.nominal_v", entry, asked)
    if lacking or more:
        return None, lacking + more
    return nominal * (1 if phases == 1 else sqrt(3)), ()


def _resistance(path: str, words: str) -> Found:
    return Found(words, partial(at_size, COPPER, path), path, (COPPER,), (path,))


LENGTH = Input("length of the cable", ".length_m")
LINE = _resistance(SIZE, "line conductor at 20 °C")
PROTECTIVE = _resistance(".cable.protective_mm2", "protective conductor at 20 °C")
COLD = Found(
    "factor at 20 °C",
    lambda _, asked: asked.table("resistance_factor", "at 20 °C"),
    "limits.resistance_factor",
    ("resistance_factor",),
)
WARM = Found(
    "factor for warm conductors",
    partial(_by_insulation, "resistance_factor", FACTOR),
    INSULATION,
    ("resistance_factor",),
    (INSULATION,),
)

QUANTITIES = (
    Quantity(
        owner="circuit",
        name="design_current_a",
        title="Current for which the circuit of an inverter is designed",
        formula="greater of the maker's greatest output current and that at rated power",
        inputs={
            "maker_current_a": Input("greatest output current", ".feeds.max_output_a"),
            "rated_output_a": Input("output current at rated power", ".feeds.rated_output_a"),
        },
        calculate=ac.design_current_a,
        source="common-practice",
        clause="",
        confidence="common practice",
    ),
    Quantity(
        owner="circuit",
        name="cable_capacity_a",
        title="Current that the cable of a circuit carries where it lies",
        formula="It × Ca × Cg × Ci",
        inputs={
            "tabulated_current_a": Found(
                "tabulated current It", _tabulated, METHOD, TABULATED, (SIZE, METHOD)
            ),
            "ambient_factor": Found(
                "factor Ca for the surroundings", _ambient, ".cable.ambient_c",
                tuple(AMBIENT.values()), (".cable.ambient_c",),
            ),
            "grouping_factor": Found(
                "factor Cg for loaded cables beside it",
                partial(at_size, "grouping_factor", ".cable.grouped"),
                ".cable.grouped",
                ("grouping_factor",),
            ),
            "insulation_factor": Found(
                "factor Ci for thermal insulation", _surrounded, METHOD, ("insulation_factor",)
            ),
        },
        calculate=cables.corrected_capacity_a,
        source="bs-7671-2018-a2",
        clause="Appendix 4",
        confidence="secondary",
        note="A factor is 1 where its condition is that of the table. By hand, enter what the "
        "tables say; the tabulated current of any other cable comes from its own table.",
    ),
    Quantity(
        owner="circuit",
        name="ac_drop_v",
        title="Volt drop of an AC cable, or rise from a source",
        formula="mV/(A·m) × current × length / 1000",
        inputs={
            "current_a": Input("design current", ".design_current_a"),
            "length_m": LENGTH,
            "drop_mv_per_a_m": Found(
                "tabulated drop of the cable", _drop, SIZE,
                (*DROP.values(), *THREE_PHASE_DROP.values()), (SIZE, INSULATION),
            ),
        },
        calculate=cables.ac_drop_v,
        source="bs-7671-2018-a2",
        clause="Appendix 4",
        confidence="secondary",
        note="Of this circuit alone: the tails and the supply before the board add theirs.",
    ),
    Quantity(
        owner="circuit",
        name="ac_drop_percent",
        title="Volt drop of an AC cable, or rise from a source, in percent",
        formula="drop / voltage × 100",
        inputs={
            "drop_v": Input("volt drop", ".ac_drop_v"),
            "at_v": Found(
                "voltage between the conductors", _between_conductors, "site.supply.nominal_v"
            ),
        },
        calculate=cables.drop_percent,
        source="bs-7671-2018-a2",
        clause="Appendix 4",
        confidence="secondary",
    ),
    Quantity(
        owner="circuit",
        name="expected_r1_r2_ohm",
        title="Resistance R1 + R2 to be expected of the cold cable",
        formula="length × (r1 + r2) × temperature factor / 1000",
        inputs={
            "length_m": LENGTH,
            "line_milliohm_per_m": LINE,
            "protective_milliohm_per_m": PROTECTIVE,
            "temperature_factor": COLD,
        },
        calculate=cables.line_and_protective_ohm,
        source="iec-60228",
        clause="",
        confidence="secondary",
        note="The cable alone: each joint and the leads of the meter add a little.",
    ),
    Quantity(
        owner="circuit",
        name="warm_r1_r2_ohm",
        title="Resistance R1 + R2 of the cable with warm conductors",
        formula="length × (r1 + r2) × temperature factor / 1000",
        inputs={
            "length_m": LENGTH,
            "line_milliohm_per_m": LINE,
            "protective_milliohm_per_m": PROTECTIVE,
            "temperature_factor": WARM,
        },
        calculate=cables.line_and_protective_ohm,
        source="iec-60228",
        clause="",
        confidence="secondary",
    ),
    Quantity(
        owner="circuit",
        name="warm_loop_ohm",
        title="Earth fault loop impedance with warm conductors, as designed",
        formula="Ze + (R1 + R2)",
        inputs={
            "external_ohm": Input("external loop impedance Ze", "site.supply.ze_ohm"),
            "line_and_protective_ohm": Input("R1 + R2, warm", ".warm_r1_r2_ohm"),
        },
        calculate=ac.summed_loop_impedance_ohm,
        source="bs-7671-2018-a2",
        clause="411.4.4",
        confidence="memory",
    ),
    Quantity(
        owner="circuit",
        name="breaking_share_percent",
        title="Fault current against the breaking capacity of a device",
        formula="prospective fault current / breaking capacity × 100",
        inputs={
            "prospective_ka": Input("prospective fault current", ".fault_current.value_ka"),
            "breaking_capacity_ka": Input("rated breaking capacity", ".device.breaking_ka"),
        },
        calculate=protection.breaking_share_percent,
        source="bs-7671-2018-a2",
        clause="434.5.1",
        confidence="memory",
        note="Above 100 % only a device before it, as its maker states, can make up for it.",
    ),
    Quantity(
        owner="circuit",
        name="adiabatic_by_energy_mm2",
        title="Least protective conductor, from the let-through energy of the device",
        formula="√(I²t) / k",
        inputs={
            "let_through_a2_s": Input(
                "let-through energy I²t of the device", ".device.let_through_a2_s"
            ),
            "adiabatic_factor": Found(
                "factor k",
                partial(_by_insulation, "adiabatic_factor", K),
                INSULATION,
                ("adiabatic_factor",),
                (INSULATION,),
            ),
        },
        calculate=cables.adiabatic_size_by_energy_mm2,
        source="bs-7671-2018-a2",
        clause="543.1.3",
        confidence="secondary",
        note="For devices that open in less than 0.1 s. For a protective conductor that is a "
        "core of the cable; armour and separate conductors have another k.",
    ),
    Quantity(
        owner="circuit",
        name="protective_size_mm2",
        title="Size of a protective or earthing conductor by table",
        formula="line size up to 16 mm²; 16 mm² up to 35 mm²; half the line size above",
        inputs={"line_size_mm2": Input("size of the line conductor", SIZE)},
        calculate=protection.protective_size_mm2,
        source="bs-7671-2018-a2",
        clause="table 54.7",
        confidence="secondary",
        note="Take the next made size up. A smaller conductor is right where it is calculated. "
        "PME: see also pme_bond_mm2.",
    ),
)  # fmt: skip
