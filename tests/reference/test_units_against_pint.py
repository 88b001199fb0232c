"""Our table of units, and formulas with units in them, against pint.

The oracle works with quantities and converts by itself, so that a factor of a thousand that
we forget shows. Formulas are written here a second time, with units instead of suffixes.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pint
import pytest

from compliance.electrical import ac, cables, dc, parallel, protection, site
from compliance.units import UNITS, find

UREG = pint.UnitRegistry()
TIGHT = 1e-12
"""Both sides are the same few operations on floating-point numbers."""

WRITTEN = {
    "v": "volt", "mv": "millivolt", "kv": "kilovolt", "a": "ampere", "ma": "milliampere",
    "ka": "kiloampere", "ohm": "ohm", "milliohm": "milliohm", "megohm": "megaohm",
    "milliohm_per_m": "milliohm / meter", "mv_per_a_m": "millivolt / ampere / meter",
    "a2_s": "ampere ** 2 * second", "w": "watt", "kw": "kilowatt", "kwh": "kilowatt_hour",
    "kwh_per_kw": "kilowatt_hour / kilowatt", "w_m2": "watt / meter ** 2", "m": "meter",
    "mm": "millimeter", "mm2": "millimeter ** 2", "s": "second", "ms": "millisecond",
    "days": "day", "k": "kelvin", "percent": "percent", "percent_per_k": "percent / kelvin",
    "v_per_k": "volt / kelvin", "hz": "hertz", "pa": "pascal", "kg": "kilogram",
    "kg_m2": "kilogram / meter ** 2", "m2": "meter ** 2", "m_s": "meter / second",
    "kn": "kilonewton",
}  # fmt: skip
OURS_ALONE = {"months", "c", "deg", "per_km2_year"}
"""Counted by the calendar, a point on a scale, or kept apart on purpose from bare numbers."""


def of(value: float, unit: str) -> pint.Quantity:
    return UREG.Quantity(value, unit)


@pytest.mark.source(
    document="pint 0.25: its own registry of units and its conversions",
    table="34 units",
    confidence="opened",
)
def test_every_suffix_is_known_to_both() -> None:
    assert set(UNITS) == set(WRITTEN) | OURS_ALONE


@pytest.mark.source(
    document="pint 0.25: its own registry of units and its conversions",
    table="every pair of 34 units",
    confidence="opened",
)
def test_the_same_units_can_be_added_and_their_scales_agree() -> None:
    """Kilograms are a base unit of ours, since no rule turns a mass into a force."""
    for one, other in combinations(WRITTEN, 2):
        first, second = UREG.Unit(WRITTEN[one]), UREG.Unit(WRITTEN[other])
        fits = first.is_compatible_with(second)
        assert find(one).same_dimension(find(other)) == fits, f"{one} beside {other}"
        if fits:
            ratio = of(1, WRITTEN[one]).to(second).magnitude
            assert find(one).scale / find(other).scale == pytest.approx(ratio, rel=TIGHT)


Formula = tuple[str, Callable[[], float], Callable[[], pint.Quantity], str]
FORMULAS: list[Formula] = [
    ("loop impedance limit", lambda: ac.loop_impedance_limit_ohm(5, 32, 230, 0.95),
     lambda: of(230, "V") * 0.95 / (5 * of(32, "A")), "ohm"),
    ("touch voltage", lambda: ac.touch_voltage_v(166, 30),
     lambda: of(166, "ohm") * of(30, "mA"), "V"),
    ("output current", lambda: ac.output_current_a(5, 1, 230),
     lambda: of(5, "kW") / of(230, "V"), "A"),
    ("prospective current", lambda: protection.prospective_current_ka(230, 0.35, 1),
     lambda: of(230, "V") / of(0.35, "ohm"), "kA"),
    ("greatest electrode resistance", lambda: protection.greatest_electrode_ohm(50, 30),
     lambda: of(50, "V") / of(30, "mA"), "ohm"),
    ("parallel insulation", lambda: protection.parallel_insulation_megohm([2, 5, 10]),
     lambda: 1 / (1 / of(2, "megaohm") + 1 / of(5, "megaohm") + 1 / of(10, "megaohm")), "megaohm"),
    ("DC drop", lambda: cables.dc_drop_v(13.4, 9.5, 3.39),
     lambda: 2 * of(13.4, "A") * of(9.5, "m") * of(3.39, "milliohm / m"), "V"),
    ("AC drop", lambda: cables.ac_drop_v(22.7, 13, 7.3),
     lambda: of(22.7, "A") * of(13, "m") * of(7.3, "mV / A / m"), "V"),
    ("R1 + R2", lambda: cables.line_and_protective_ohm(13, 3.08, 7.41, 1),
     lambda: of(13, "m") * (of(3.08, "milliohm / m") + of(7.41, "milliohm / m")), "ohm"),
    ("adiabatic size", lambda: cables.adiabatic_size_mm2(900, 0.1, 115),
     lambda: (of(900, "A") ** 2 * of(100, "ms")) ** 0.5 / of(115, "A * s ** 0.5 / mm ** 2"),
     "mm ** 2"),
    ("adiabatic size by energy", lambda: cables.adiabatic_size_by_energy_mm2(12000, 115),
     lambda: of(12000, "A ** 2 * s") ** 0.5 / of(115, "A * s ** 0.5 / mm ** 2"), "mm ** 2"),
    ("power of an array", lambda: parallel.array_power_kw([9, 7], [440, 440]),
     lambda: 9 * of(440, "W") + 7 * of(440, "W"), "kW"),
    ("array against inverter", lambda: parallel.array_ratio_percent(7.04, 5),
     lambda: of(7040, "W") / of(5, "kW"), "percent"),
    ("added load", lambda: site.added_load_kg_m2(16, 21.5, 62, 31.2),
     lambda: (16 * of(21.5, "kg") + of(62, "kg")) / of(31.2, "m ** 2"), "kg / m ** 2"),
    ("yield of a year", lambda: site.annual_yield_kwh([3.96, 3.08], [880, 790], [0.96, 0.98]),
     lambda: of(3960, "W") * of(880, "kWh / kW") * 0.96
     + of(3080, "W") * of(790, "kWh / kW") * 0.98,
     "kWh"),
    ("voltage coefficient", lambda: dc.cold_open_circuit_voltage_v(9, 38.9, -0.25, -15),
     lambda: 9 * of(38.9, "V") * (1 + of(-0.25, "percent / K") * of(-40, "K")), "V"),
]  # fmt: skip


@pytest.mark.source(
    document="pint 0.25: its own registry of units and its conversions",
    table="formulas with their units",
    confidence="opened",
)
@pytest.mark.parametrize("formula", FORMULAS, ids=[f[0] for f in FORMULAS])
def test_a_formula_with_units_gives_the_same(formula: Formula) -> None:
    _, ours, theirs, unit = formula
    assert ours() == pytest.approx(theirs().to(unit).magnitude, rel=TIGHT)
