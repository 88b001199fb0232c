"""Forty requirements in the rule language, over the project's own vocabulary.

Made for measuring: the figures are plausible, but nobody's rules. Between them they use
words, readings, dates, every form over collections, complete and so-far lists, limits,
worked-out values, arithmetic, units of two scales, other ways and conditions.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Check:
    """One requirement: `must` empty for a question to a competent person."""

    id: str
    loops: tuple[str, ...]
    must: str
    condition: str = ""
    ways: tuple[str, ...] = ()


STRING = ("string in strings",)
ISOLATOR = ("isolator in dc_isolators",)
CIRCUIT = ("circuit in circuits",)
RCD = ("circuit in circuits", "rcd in circuit.rcd")
INVERTER = ("inverter in inverters",)
PART = ("part in parts",)
RCD_PROTECTS = "any(r.residual_ma <= 30 for r in circuit.rcd)"

CHECKS = (
    # every string
    Check("polarity", STRING, "string.polarity.result == 'correct'"),
    Check("insulation-positive", STRING, "string.insulation.positive_earth_megohm"
          " >= limits.insulation_megohm(string.system_voltage_v)"),
    Check("insulation-negative", STRING, "string.insulation.negative_earth_megohm"
          " >= limits.insulation_megohm(string.system_voltage_v)"),
    Check("insulation-test-voltage", STRING, "string.insulation.test_voltage_v in (500, 1000)",
          "string.system_voltage_v >= 120"),
    Check("insulation-before-use", STRING, "string.insulation.on <= string.part.in_use"),
    Check("insulation-calibrated", STRING,
          "string.insulation.instrument.calibration_due >= string.insulation.on"),
    Check("cold-voltage-modules", STRING, "string.cold_voc_v"
          " <= string.modules.max_system_voltage_v"),
    Check("cold-voltage-inverter", STRING,
          "string.cold_voc_v <= string.input.inverter.max_input_v"),
    Check("voltage-as-expected", STRING,
          "abs(string.open_circuit_voltage.value_v - string.expected_voc_v)"
          " <= limits.voltage_agreement_percent() * string.expected_voc_v"),
    Check("light-enough", STRING, "string.open_circuit_voltage.irradiance_w_m2 >= 200"),
    Check("isolator-breaks-both", STRING,
          "any(i.breaks_positive >= 1 and i.breaks_negative >= 1 for i in string.isolators)"),
    Check("isolators-carry-current", STRING,
          "all(i.rated_a >= string.greatest_isc_a for i in string.isolators)"),
    Check("isolators-break-voltage", STRING,
          "all(i.rated_v >= string.cold_voc_v for i in string.isolators)"),
    Check("modules-counted", STRING, "string.in_series * string.parallel <= 40"),
    Check("face-named", STRING, "stated(string.face)"),
    # every DC isolator
    Check("isolator-lockable", ISOLATOR, "isolator.lockable"),
    Check("isolator-labelled", ISOLATOR, "any(l.kind == 'dc isolator' for l in isolator.labels)"),
    Check("isolator-not-shared", ISOLATOR, "count(s.parallel >= 1 for s in isolator.serves) <= 2"),
    # every circuit
    Check("loop-impedance", CIRCUIT, "circuit.loop_impedance.zs_ohm <= circuit.loop_limit_ohm",
          "circuit.device.kind == 'circuit-breaker'", (RCD_PROTECTS,)),
    Check("loop-impedance-cold", CIRCUIT,
          "circuit.loop_impedance.zs_ohm <= 0.8 * circuit.loop_limit_ohm",
          "circuit.device.kind == 'circuit-breaker'", (RCD_PROTECTS,)),
    Check("electrode-with-rcd", CIRCUIT, "circuit.loop_impedance.zs_ohm <= 200",
          "site.supply.earthing == 'TT'", (RCD_PROTECTS,)),
    Check("continuity", CIRCUIT, "circuit.continuity.result == 'continuous'"),
    Check("conductor-resistance", CIRCUIT, "circuit.continuity.r1_r2_ohm <= 1.67"),
    Check("circuit-carries-inverter", CIRCUIT,
          "circuit.device.rated_a * site.supply.nominal_v >= circuit.feeds.rated_kw"),
    # every RCD of every circuit
    Check("rcd-type", RCD, "rcd.type in ('A', 'F', 'B')"),
    Check("rcd-residual", RCD, "rcd.residual_ma <= 30", "rcd.delay != 'delayed'"),
    Check("rcd-opens-in-time", RCD, "circuit.rcd_time.time_ms <= limits.rcd_most_ms(rcd.delay)"),
    Check("rcd-not-too-soon", RCD, "circuit.rcd_time.time_ms >= limits.rcd_least_ms(rcd.delay)"),
    # every inverter
    Check("modules-on-inverter", INVERTER,
          "sum(s.in_series * s.parallel for s in inverter.strings) <= 60"),
    Check("module-current", INVERTER, "max(s.modules.isc_a for s in inverter.strings) <= 16"),
    Check("ac-isolator-lockable", INVERTER, "any(i.lockable for i in inverter.isolators)"),
    # every part
    Check("designed-before-start", PART, "part.designed <= part.started"),
    Check("handed-over-in-time", PART, "days(part.in_use, part.handed_over) <= 28",
          "part.kind in ('array', 'inverter')"),
    # the whole job
    Check("two-supplies-label", (),
          "any(l.kind == 'two supplies' and l.place == 'origin' for l in labels)"),
    Check("cable-route-labels", (), "all(l.kind == 'live in daylight' for l in labels"
          " if l.place == 'cable route')"),
    Check("serials-differ", (), "unique(i.serial for i in inverters)"),
    Check("earthing-resistance", (), "site.supply.ze_ohm <= 0.35",
          "site.supply.earthing == 'TN-C-S'"),
    Check("fault-current", (), "site.supply.prospective_fault_ka <= 16"),
    Check("ends-insulated", (), "any(v.left.dc_ends == 'insulated' for v in visits)"),
    Check("layout-judged", (), "", "count(p.kind == 'array' for p in parts) >= 1"),
)  # fmt: skip
