"""What an installation is to its network, its year and its roof: capacity, yield, load."""

from __future__ import annotations

from collections.abc import Sequence

from compliance.electrical._validity import check_above_zero, check_between, check_count
from compliance.errors import OutOfRangeError

# Common practice: 700 to 1150 kWh/kW a year in the British Isles; no place on earth has
# more than about 2200.
LEAST_SPECIFIC_YIELD_KWH_PER_KW = 200.0
GREATEST_SPECIFIC_YIELD_KWH_PER_KW = 2500.0

# mis-3002 (memory): the sun-path chart has 84 segments, and each one shaded takes a hundredth.
CHART_SEGMENTS = 84

# Common practice: glass of 2 mm twice is 10 kg/m², heavy concrete tiles are under 60; a roof
# with more than 500 kg/m² is no roof of a house.
GREATEST_LOAD_KG_M2 = 500.0


def registered_capacity_kw(source_powers_kw: Sequence[float]) -> float:
    """Registered capacity on one phase: all sources of the premises that feed it.

    The plain sum of rated AC outputs, old and new, inverters of batteries included. A source
    of three phases counts with a third of its power on each.

    Args:
        source_powers_kw: Rated AC output of each source on the phase. [kW]

    Returns:
        Registered capacity on the phase. [kW]

    Raises:
        OutOfRangeError: If there is no source, or a power of ``source_powers_kw`` <= 0.

    References:
        erec-g98: capacity of all sources per phase (memory).

    Example:
        An inverter of 3 kW and a battery's of 2.4 kW.

        >>> registered_capacity_kw([3.0, 2.4])
        5.4
    """
    if not source_powers_kw:
        raise OutOfRangeError("number of source_powers_kw", 0, "1 or more")
    for power_kw in source_powers_kw:
        check_above_zero("source_powers_kw", power_kw)
    return sum(source_powers_kw)


def shade_factor(shaded_segments: float) -> float:
    """Share of the yield that the shading of a roof face leaves.

    ``1 - 0.01 × shaded segments`` of the sun-path chart. Things within 10 m count by the
    near-shade circle of the chart, which is drawn and not calculated.

    Args:
        shaded_segments: Segments of the chart that are touched by shade. [count]

    Returns:
        Shade factor. [count]

    Raises:
        OutOfRangeError: If ``shaded_segments`` is no whole number from 0 to 84.

    References:
        mis-3002: shade factor of the standard method (memory).

    Example:
        Eleven segments.

        >>> shade_factor(11)
        0.89
    """
    check_between("shaded_segments", shaded_segments, 0, CHART_SEGMENTS)
    if shaded_segments != int(shaded_segments):
        raise OutOfRangeError("shaded_segments", shaded_segments, "a whole number", 0.0)
    return 1 - shaded_segments / 100


def annual_yield_kwh(
    face_powers_kw: Sequence[float],
    specific_yields_kwh_per_kw: Sequence[float],
    shade_factors: Sequence[float],
) -> float:
    """Energy of a year by the standard method, summed over the faces of the roof.

    ``Σ power × specific yield × shade factor``. Guidance for the first year, no guarantee:
    sunshine differs from year to year. The specific yield is that of zone, slope and
    direction, from the scheme's own tables.

    Args:
        face_powers_kw: Rated power of the modules of each face at STC. [kW]
        specific_yields_kwh_per_kw: Tabulated yearly yield of each face. [kWh/kW]
        shade_factors: Shade factor of each face. [count]

    Returns:
        Energy of a year. [kWh]

    Raises:
        OutOfRangeError: If there is no face, a power of ``face_powers_kw`` <= 0, there is
            not one of ``specific_yields_kwh_per_kw`` and of ``shade_factors`` for each face,
            a specific yield is outside 200 to 2500 or a shade factor outside 0 to 1.

    References:
        mis-3002: standard estimation method (memory).

    Example:
        4 kW, 950 kWh/kW, shade factor 0.89.

        >>> round(annual_yield_kwh([4.0], [950.0], [0.89]), 6)
        3382.0
    """
    faces = len(face_powers_kw)
    if not faces:
        raise OutOfRangeError("number of face_powers_kw", 0, "1 or more")
    for name, given in (
        ("specific_yields_kwh_per_kw", specific_yields_kwh_per_kw),
        ("shade_factors", shade_factors),
    ):
        if len(given) != faces:
            raise OutOfRangeError(f"number of {name}", len(given), "one for each of face_powers_kw")
    total_kwh = 0.0
    for power_kw, yield_kwh_per_kw, factor in zip(
        face_powers_kw, specific_yields_kwh_per_kw, shade_factors, strict=True
    ):
        check_above_zero("face_powers_kw", power_kw)
        _check_yield(yield_kwh_per_kw)
        check_between("shade_factors", factor, 0, 1)
        total_kwh += power_kw * yield_kwh_per_kw * factor
    return total_kwh


def added_load_kg_m2(
    modules: float, module_mass_kg: float, mounting_mass_kg: float, covered_m2: float
) -> float:
    """Load that an array adds to the roof under it, spread over the area it covers.

    ``(modules × mass + mounting) / area``. Spread evenly: fixings bring it to the rafters in
    points, which this does not judge. Wind and snow are not in it.

    Args:
        modules: Modules on the face. [count]
        module_mass_kg: Mass of one module. [kg]
        mounting_mass_kg: Mass of rails, hooks, ballast and cables together. [kg]
        covered_m2: Area of the roof that the array covers. [m²]

    Returns:
        Added load. [kg/m²]

    Raises:
        OutOfRangeError: If ``modules`` is no whole number from 1, ``module_mass_kg``,
            ``mounting_mass_kg`` or ``covered_m2`` <= 0.

    References:
        common-practice: load of an array in outline (common practice).

    Example:
        Ten modules of 22 kg, 30 kg of mounting, 19.5 m².

        >>> round(added_load_kg_m2(10, 22.0, 30.0, 19.5), 2)
        12.82
    """
    check_count("modules", modules)
    check_above_zero("module_mass_kg", module_mass_kg)
    check_above_zero("mounting_mass_kg", mounting_mass_kg)
    check_above_zero("covered_m2", covered_m2)
    return (modules * module_mass_kg + mounting_mass_kg) / covered_m2


def load_change_percent(added_kg_m2: float, existing_kg_m2: float) -> float:
    """Change of a roof's dead load by an array, against what the roof carries now.

    ``added / existing × 100``. Above about 15 % a structural engineer has to look at the
    roof; below it somebody competent still looks at its condition.

    Args:
        added_kg_m2: Load that the array adds. [kg/m²]
        existing_kg_m2: Dead load of the roof now, covering and battens. [kg/m²]

    Returns:
        Change in percent. [%]

    Raises:
        OutOfRangeError: If ``added_kg_m2`` or ``existing_kg_m2`` is no number above 0 up to
            500.

    References:
        approved-document-a: change of load of a re-covered roof (memory).

    Example:
        12.8 kg/m² on concrete tiles of 55 kg/m² with their battens.

        >>> round(load_change_percent(12.8, 55.0), 1)
        23.3
    """
    check_above_zero("added_kg_m2", added_kg_m2)
    check_between("added_kg_m2", added_kg_m2, 0, GREATEST_LOAD_KG_M2)
    check_above_zero("existing_kg_m2", existing_kg_m2)
    check_between("existing_kg_m2", existing_kg_m2, 0, GREATEST_LOAD_KG_M2)
    return added_kg_m2 / existing_kg_m2 * 100


def _check_yield(kwh_per_kw: float) -> None:
    check_between(
        "specific_yields_kwh_per_kw",
        kwh_per_kw,
        LEAST_SPECIFIC_YIELD_KWH_PER_KW,
        GREATEST_SPECIFIC_YIELD_KWH_PER_KW,
    )


def capacity_current_a(registered_capacity_kw: float, nominal_voltage_v: float) -> float:
    """Current of a registered capacity in its line, which decides how a network is told.

    ``1000 × P / U0``. At nominal voltage and a power factor of 1, as the limit of 16 A and
    its 3.68 kW are printed.

    Args:
        registered_capacity_kw: Registered capacity on one phase. [kW]
        nominal_voltage_v: Nominal voltage line to neutral U0. [V]

    Returns:
        Current in that line. [A]

    Raises:
        OutOfRangeError: If ``registered_capacity_kw`` or ``nominal_voltage_v`` <= 0.

    References:
        erec-g98: 16 A a phase is 3.68 kW at 230 V (secondary).

    Example:
        5 kW on one phase.

        >>> round(capacity_current_a(5.0, 230.0), 2)
        21.74
    """
    check_above_zero("registered_capacity_kw", registered_capacity_kw)
    check_above_zero("nominal_voltage_v", nominal_voltage_v)
    return 1000 * registered_capacity_kw / nominal_voltage_v


def array_load_kg_m2(
    module_masses_kg: Sequence[float], module_areas_m2: Sequence[float], mounting_kg_m2: float
) -> float:
    """Load that an array adds to the roof under its modules, by their own area.

    ``greatest of mass / area + mounting``. Dead load only, spread evenly under the modules;
    wind, snow and the points where fixings bring it down are for a structural engineer.

    Args:
        module_masses_kg: Mass of one module of each type. [kg]
        module_areas_m2: Area of one module of each type. [m²]
        mounting_kg_m2: Mass of the mounting parts for each square metre. [kg/m²]

    Returns:
        Added load. [kg/m²]

    Raises:
        OutOfRangeError: If there is no type of module, the numbers differ, a value of
            ``module_masses_kg`` or ``module_areas_m2`` <= 0 or ``mounting_kg_m2`` is
            outside 0 to 500.

    References:
        common-practice: dead load spread over the covered area (common practice).

    Example:
        Modules of 21.5 kg and 1.95 m² on rails of 2 kg/m².

        >>> round(array_load_kg_m2([21.5], [1.95], 2.0), 2)
        13.03
    """
    if not module_masses_kg:
        raise OutOfRangeError("number of module_masses_kg", 0, "1 or more")
    if len(module_areas_m2) != len(module_masses_kg):
        right = "one for each of module_masses_kg"
        raise OutOfRangeError("number of module_areas_m2", len(module_areas_m2), right)
    for mass_kg, area_m2 in zip(module_masses_kg, module_areas_m2, strict=True):
        check_above_zero("module_masses_kg", mass_kg)
        check_above_zero("module_areas_m2", area_m2)
    check_between("mounting_kg_m2", mounting_kg_m2, 0, GREATEST_LOAD_KG_M2)
    each = zip(module_masses_kg, module_areas_m2, strict=True)
    return max(mass_kg / area_m2 for mass_kg, area_m2 in each) + mounting_kg_m2
