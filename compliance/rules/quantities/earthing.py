"""Worked-out values of a job's main earthing conductor: by the table, and by calculation."""

from __future__ import annotations

from compliance.electrical import cables, protection
from compliance.rules.quantities.binding import Found, Input, Quantity

# The conductor runs beside the tails and other cables, and so has the lower of the two
# factors of copper with 70 °C insulation.
BESIDE_CABLES = "copper in a cable of 70 °C"

QUANTITIES = (
    Quantity(
        owner="job",
        name="earthing_size_mm2",
        title="Size of the main earthing conductor by table",
        formula="size of the tails up to 16 mm²; 16 mm² up to 35 mm²; half of it above",
        inputs={"line_size_mm2": Input("size of the tails", "site.supply.tails_mm2")},
        calculate=protection.protective_size_mm2,
        source="bs-7671-2018-a2",
        clause="table 54.7",
        confidence="secondary",
        note="A smaller one is right where it is calculated. On a PME supply pme_bond_mm2 counts "
        "as well.",
    ),
    Quantity(
        owner="job",
        name="earthing_by_energy_mm2",
        title="Least main earthing conductor, from the let-through energy of the incoming device",
        formula="√(I²t) / k",
        inputs={
            "let_through_a2_s": Input(
                "let-through energy I²t of the incoming device", "site.supply.let_through_a2_s"
            ),
            "adiabatic_factor": Found(
                "factor k of copper beside other cables",
                lambda _, asked: asked.table("adiabatic_factor", BESIDE_CABLES),
                "limits.adiabatic_factor",
                ("adiabatic_factor",),
            ),
        },
        calculate=cables.adiabatic_size_by_energy_mm2,
        source="bs-7671-2018-a2",
        clause="543.1.3",
        confidence="secondary",
        note="For the fault current at the origin and the fuse or device that is there. A "
        "separate conductor apart from cables has a greater k and could be smaller.",
    ),
)
