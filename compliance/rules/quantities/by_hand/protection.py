"""By hand: fault currents, cold loop limits, electrodes, boards, insulation, earthing sizes."""

from __future__ import annotations

from compliance.electrical import ac, protection
from compliance.rules.quantities.by_hand.entry import ByHand, Told, given, several
from compliance.units import find, rounded, shown

OHM = find("limit_ohm")
NOMINAL = given("nominal voltage to earth")
LOOP = {
    "tripping_current_multiple": given("tripping multiple of the curve", "tripping_multiple"),
    "rated_current_a": given("rated current of the device, listed or not"),
    "nominal_voltage_v": NOMINAL,
    "cmin": given("voltage factor Cmin", "voltage_factor"),
    "cold_share_percent": given("share for cold conductors", "cold_reading_percent"),
}


def _both_roundings(cold_share_percent: float, **device: float) -> Told:
    """The limit itself and the guidance as books print it, beside the exact guidance."""
    limit = ac.loop_impedance_limit_ohm(**device)
    lines = (("the limit itself, above which it fails", rounded(limit, OHM)),)
    if limit < protection.LEAST_PRINTED_LIMIT_OHM:
        return (*lines, ("as printed, from the rounded limit", "two decimals say too little"))
    printed = protection.cold_loop_limit_as_printed_ohm(
        **device, cold_share_percent=cold_share_percent
    )
    return (*lines, ("as printed, from the rounded limit", shown(printed, OHM)))


QUANTITIES = (
    ByHand(
        name="cold_loop_guidance_ohm",
        title="Loop impedance that a cold reading should stay below",
        formula="share / 100 × nominal voltage × Cmin / (tripping multiple × rated current)",
        inputs=LOOP,
        calculate=protection.cold_loop_limit_ohm,
        source="bs-7671-2018-a2",
        clause="Appendix 3",
        confidence="secondary",
        note="Guidance, no limit. Nothing fails between the exact and the printed figure, and a "
        "reading above both fails only above the limit itself. Where an RCD disconnects, the "
        "loop is judged by the RCD.",
        also=_both_roundings,
    ),
    ByHand(
        name="cold_loop_guidance_printed_ohm",
        title="The same guidance as books print it",
        formula="share / 100 × limit rounded to 0.01 Ω, rounded again",
        inputs=LOOP,
        calculate=protection.cold_loop_limit_as_printed_ohm,
        source="bs-7671-2018-a2",
        clause="Appendix 3",
        confidence="secondary",
    ),
    ByHand(
        name="prospective_ka",
        title="Prospective fault current",
        formula="nominal voltage / loop impedance / 1000; twice that for three phases",
        inputs={
            "nominal_voltage_v": NOMINAL,
            "loop_ohm": given("loop impedance, to neutral or to earth"),
            "phases": given("phases of the supply"),
        },
        calculate=protection.prospective_current_ka,
        source="bs-7671-2018-a2",
        clause="434.1",
        confidence="memory",
        note="Take the lower impedance of the two, as read at the device.",
    ),
    ByHand(
        name="greatest_electrode_ohm",
        title="Greatest resistance of an earth electrode behind an RCD",
        formula="1000 × touch voltage limit / rated residual current",
        inputs={
            "touch_limit_v": given("greatest touch voltage", "fault_touch_limit_v"),
            "residual_operating_current_ma": given("rated residual current of the RCD"),
        },
        calculate=protection.greatest_electrode_ohm,
        source="bs-7671-2018-a2",
        clause="411.5.3",
        confidence="secondary",
        note="Above 200 Ω an electrode may not stay what it was when it was measured.",
    ),
    ByHand(
        name="parallel_insulation_megohm",
        title="Insulation resistance of circuits measured together",
        formula="1 / sum of 1 / resistance",
        inputs={"resistances_megohm": several("insulation resistance of each circuit")},
        calculate=protection.parallel_insulation_megohm,
        source="common-practice",
        clause="",
        confidence="common practice",
    ),
)
