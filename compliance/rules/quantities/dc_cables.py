"""Worked-out values of the DC cables of strings: what they carry, what may flow in them."""

from __future__ import annotations

from functools import partial

from compliance.electrical import dc_cables
from compliance.rules.quantities.binding import Found, Input, Quantity
from compliance.rules.quantities.lookups import at_number, at_size

QUANTITIES = (
    Quantity(
        owner="cable",
        name="dc_capacity_a",
        title="Current that a DC cable carries where it lies",
        formula="It × share at 70 °C / 100 × Cg",
        inputs={
            "tabulated_current_a": Found(
                "tabulated current It of both poles touching",
                partial(at_number, "pv_cable_current_a", ".size_mm2"),
                ".size_mm2",
                ("pv_cable_current_a",),
                (".size_mm2",),
            ),
            "heat_percent": Input("share left at 70 °C", "limits.pv_cable_heat_percent"),
            "grouping_factor": Found(
                "factor Cg for the cables of strings beside it",
                partial(at_size, "grouping_factor", ".grouped"),
                ".grouped",
                ("grouping_factor",),
                (".grouped",),
            ),
        },
        calculate=dc_cables.dc_capacity_a,
        source="en-50618",
        clause="table A.3",
        confidence="memory",
        note="Every string cable begins under its modules, so the heat there counts for all of "
        "it. For cables made for PV; the maker's own figures may be greater.",
    ),
    Quantity(
        owner="string",
        name="beside_isc_a",
        title="Current that the other strings of an input can drive through a string's cables",
        formula="current of the input - current of the string",
        inputs={
            "input_current_a": Input("short-circuit current of the input", ".input_isc_a"),
            "own_current_a": Input("short-circuit current of the string", ".greatest_isc_a"),
        },
        calculate=dc_cables.beside_current_a,
        source="iec-62548",
        clause="",
        confidence="memory",
        note="With the factor 1.25 for strong light in it. A fuse in each pole keeps it off the "
        "cables of a string of one row.",
    ),
)
