"""Cables: resistance, volt drop, current they carry, the circuit's loop, adiabatic size."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from compliance.electrical._validity import check_above_zero, check_between
from compliance.errors import OutOfRangeError

# iec-60228 (secondary): resistances are stated at 20 °C; copper changes by this fraction
# of that for each kelvin. Tables of the wiring regulations take 0.004, hence 1.20 at 70 °C.
COLD_C = 20.0
COPPER_PER_K = 0.00393

# Common practice: from winter nights to the short-circuit temperature of PV cable, 250 °C.
LEAST_CONDUCTOR_C = -40.0
GREATEST_CONDUCTOR_C = 250.0

# bs-7671-2018-a2, appendix 4 (memory): correction factors run from 0.1 or so to 1.3.
LEAST_FACTOR = 0.05
GREATEST_FACTOR = 1.5

# Common practice: 1.00 for conductors as read, 1.20 at 70 °C, 1.28 at 90 °C.
LEAST_TEMPERATURE_FACTOR = 0.9
GREATEST_TEMPERATURE_FACTOR = 1.5

# bs-7671-2018-a2, 543.1.3 (memory): from 0.1 s to 5 s; below it the let-through energy of
# the device counts, above it heat leaves the conductor.
LEAST_TIME_S = 0.1
GREATEST_TIME_S = 5.0

# bs-7671-2018-a2, tables 54.2 to 54.6 (memory): 46 for armour to 228 for bare copper.
LEAST_ADIABATIC_FACTOR = 20.0
GREATEST_ADIABATIC_FACTOR = 250.0


def conductor_resistance_milliohm_per_m(cold_milliohm_per_m: float, conductor_c: float) -> float:
    """Resistance of a copper conductor at a temperature, from its resistance at 20 °C.

    ``r20 × (1 + 0.00393 × (t - 20))``. Good for copper, plain or tinned.

    Args:
        cold_milliohm_per_m: Resistance at 20 °C. [mΩ/m]
        conductor_c: Temperature of the conductor. [°C]

    Returns:
        Resistance at that temperature. [mΩ/m]

    Raises:
        OutOfRangeError: If ``cold_milliohm_per_m`` <= 0 or ``conductor_c`` is outside -40
            to 250.

    References:
        iec-60228: resistance at 20 °C and its correction (secondary).

    Example:
        6 mm² of solid copper at 70 °C.

        >>> round(conductor_resistance_milliohm_per_m(3.08, 70.0), 3)
        3.685
    """
    check_above_zero("cold_milliohm_per_m", cold_milliohm_per_m)
    check_between("conductor_c", conductor_c, LEAST_CONDUCTOR_C, GREATEST_CONDUCTOR_C)
    return cold_milliohm_per_m * (1 + COPPER_PER_K * (conductor_c - COLD_C))


def dc_drop_v(current_a: float, route_m: float, conductor_milliohm_per_m: float) -> float:
    """Voltage lost on a DC cable, there and back.

    ``2 × I × length × r / 1000``. r is that of one conductor, at its working temperature.

    Args:
        current_a: Current of the string or array. [A]
        route_m: Length of the route, one way. [m]
        conductor_milliohm_per_m: Resistance of one conductor. [mΩ/m]

    Returns:
        Voltage lost on both conductors. [V]

    Raises:
        OutOfRangeError: If ``current_a``, ``route_m`` or ``conductor_milliohm_per_m`` <= 0.

    References:
        gb-microgeneration-practice: loss of DC cables at greatest power (secondary).

    Example:
        9.76 A over 20 m of 4 mm² flexible tinned copper.

        >>> round(dc_drop_v(9.76, 20.0, 5.09), 3)
        1.987
    """
    check_above_zero("current_a", current_a)
    check_above_zero("route_m", route_m)
    check_above_zero("conductor_milliohm_per_m", conductor_milliohm_per_m)
    return 2 * current_a * route_m * conductor_milliohm_per_m / 1000


def string_drop_v(
    current_a: float, routes_m: Sequence[float], conductors_milliohm_per_m: Sequence[float]
) -> float:
    """Voltage lost on all DC cables of a string, each pole with its own length and size.

    ``I × Σ (length × r) / 1000``. r is that of each conductor, at its working temperature.

    Args:
        current_a: Current of the string at greatest power. [A]
        routes_m: Length of each cable. [m]
        conductors_milliohm_per_m: Resistance of each cable's conductor. [mΩ/m]

    Returns:
        Voltage lost on all of them. [V]

    Raises:
        OutOfRangeError: If ``current_a`` <= 0, there is no cable, a value of ``routes_m`` or
            ``conductors_milliohm_per_m`` <= 0, or their numbers differ.

    References:
        gb-microgeneration-practice: loss of DC cables at greatest power (secondary).

    Example:
        9.76 A, both poles over 20 m of 4 mm² flexible tinned copper.

        >>> round(string_drop_v(9.76, [20.0, 20.0], [5.09, 5.09]), 3)
        1.987
    """
    check_above_zero("current_a", current_a)
    if not routes_m:
        raise OutOfRangeError("number of routes_m", 0, "1 or more")
    if len(routes_m) != len(conductors_milliohm_per_m):
        right = f"{len(routes_m)}, one for each cable"
        raise OutOfRangeError(
            "number of conductors_milliohm_per_m", len(conductors_milliohm_per_m), right
        )
    for route_m, resistance in zip(routes_m, conductors_milliohm_per_m, strict=True):
        check_above_zero("routes_m", route_m)
        check_above_zero("conductors_milliohm_per_m", resistance)
    each = zip(routes_m, conductors_milliohm_per_m, strict=True)
    return current_a * sum(route_m * resistance for route_m, resistance in each) / 1000


def ac_drop_v(current_a: float, length_m: float, drop_mv_per_a_m: float) -> float:
    """Voltage lost, or gained by a source, along an AC cable.

    ``mV/A/m × I × length / 1000``. The tabulated drop holds for the whole circuit at the
    conductors' greatest temperature: cooler ones lose less.

    Args:
        current_a: Design current Ib. [A]
        length_m: Length of the cable. [m]
        drop_mv_per_a_m: Tabulated drop of the cable. [mV/(A·m)]

    Returns:
        Voltage drop, or rise. [V]

    Raises:
        OutOfRangeError: If ``current_a``, ``length_m`` or ``drop_mv_per_a_m`` <= 0.

    References:
        bs-7671-2018-a2: Appendix 4, tabulated volt drop (secondary).

    Example:
        Worked example of a guide: 4 mm², 25 A, 16 m.

        >>> round(ac_drop_v(25.0, 16.0, 11.0), 2)
        4.4
    """
    check_above_zero("current_a", current_a)
    check_above_zero("length_m", length_m)
    check_above_zero("drop_mv_per_a_m", drop_mv_per_a_m)
    return drop_mv_per_a_m * current_a * length_m / 1000


def drop_percent(drop_v: float, at_v: float) -> float:
    """Volt drop against the voltage that it is lost from.

    ``drop / voltage × 100``. DC: against the voltage at greatest power; AC: against the
    nominal voltage. Refused where more is lost than there is.

    Args:
        drop_v: Voltage drop. [V]
        at_v: Voltage of the circuit. [V]

    Returns:
        Drop in percent. [%]

    Raises:
        OutOfRangeError: If ``at_v`` <= 0 or ``drop_v`` <= 0 or greater than ``at_v``.

    References:
        bs-7671-2018-a2: Appendix 4, limits in percent of nominal voltage (secondary).

    Example:
        Worked example of a guide: 4.4 V of 240 V.

        >>> round(drop_percent(4.4, 240.0), 2)
        1.83
    """
    check_above_zero("drop_v", drop_v)
    check_above_zero("at_v", at_v)
    if drop_v > at_v:
        raise OutOfRangeError("drop_v", drop_v, f"no more than at_v, {at_v:g} V", at_v)
    return drop_v / at_v * 100


def corrected_capacity_a(
    tabulated_current_a: float,
    ambient_factor: float,
    grouping_factor: float,
    insulation_factor: float,
) -> float:
    """Current that a cable carries where it lies, from its tabulated current.

    ``It × Ca × Cg × Ci``. Each factor is 1 where its condition is that of the table. A
    method of the table that has the insulation in it takes Ci 1.

    Args:
        tabulated_current_a: Tabulated current It of size and method. [A]
        ambient_factor: Factor Ca for the surrounding temperature. [count]
        grouping_factor: Factor Cg for loaded cables beside it. [count]
        insulation_factor: Factor Ci for thermal insulation. [count]

    Returns:
        Current-carrying capacity Iz. [A]

    Raises:
        OutOfRangeError: If ``tabulated_current_a`` <= 0 or ``ambient_factor``,
            ``grouping_factor`` or ``insulation_factor`` is outside 0.05 to 1.5.

    References:
        bs-7671-2018-a2: Appendix 4, correction factors (secondary).

    Example:
        27 A at 35 °C, one circuit, no insulation.

        >>> round(corrected_capacity_a(27.0, 0.94, 1.0, 1.0), 2)
        25.38
    """
    check_above_zero("tabulated_current_a", tabulated_current_a)
    check_between("ambient_factor", ambient_factor, LEAST_FACTOR, GREATEST_FACTOR)
    check_between("grouping_factor", grouping_factor, LEAST_FACTOR, GREATEST_FACTOR)
    check_between("insulation_factor", insulation_factor, LEAST_FACTOR, GREATEST_FACTOR)
    return tabulated_current_a * ambient_factor * grouping_factor * insulation_factor


def needed_tabulated_a(
    rated_current_a: float,
    ambient_factor: float,
    grouping_factor: float,
    insulation_factor: float,
) -> float:
    """Tabulated current that a cable needs, for a device and the place where it lies.

    ``In / (Ca × Cg × Ci)``. Choose a size whose tabulated current is no less. For circuit-
    breakers; rewirable fuses need a factor more, which is not in it.

    Args:
        rated_current_a: Rated current In of the protective device. [A]
        ambient_factor: Factor Ca for the surrounding temperature. [count]
        grouping_factor: Factor Cg for loaded cables beside it. [count]
        insulation_factor: Factor Ci for thermal insulation. [count]

    Returns:
        Least tabulated current It. [A]

    Raises:
        OutOfRangeError: If ``rated_current_a`` <= 0 or ``ambient_factor``,
            ``grouping_factor`` or ``insulation_factor`` is outside 0.05 to 1.5.

    References:
        bs-7671-2018-a2: Appendix 4, choice of cable size (secondary).

    Example:
        Worked example of a forum thread: 32 A, Cg 0.90, Ca 1.03.

        >>> round(needed_tabulated_a(32.0, 1.03, 0.90, 1.0), 2)
        34.52
    """
    check_above_zero("rated_current_a", rated_current_a)
    return rated_current_a / corrected_capacity_a(
        1, ambient_factor, grouping_factor, insulation_factor
    )


def line_and_protective_ohm(
    length_m: float,
    line_milliohm_per_m: float,
    protective_milliohm_per_m: float,
    temperature_factor: float,
) -> float:
    """Resistance of line and protective conductor of a circuit, from its length and sizes.

    ``length × (r1 + r2) × factor / 1000``. Factor 1 for comparison with a reading at 20 °C;
    1.20 at 70 °C, for a designed circuit in use.

    Args:
        length_m: Length of the circuit to its far end. [m]
        line_milliohm_per_m: Resistance of the line conductor at 20 °C. [mΩ/m]
        protective_milliohm_per_m: Resistance of the protective conductor at 20 °C. [mΩ/m]
        temperature_factor: Factor for the conductors' temperature. [count]

    Returns:
        Resistance R1 + R2. [Ω]

    Raises:
        OutOfRangeError: If ``length_m``, ``line_milliohm_per_m`` or
            ``protective_milliohm_per_m`` <= 0 or ``temperature_factor`` is outside 0.9 to
            1.5.

    References:
        iec-60228: resistance at 20 °C (secondary).
        bs-7671-2018-a2: factor of 1.20 at 70 °C (secondary).

    Example:
        Worked example of a forum thread: 10 m of 1.5/1.0 mm² at 70 °C.

        >>> round(line_and_protective_ohm(10.0, 12.1, 18.1, 1.2), 2)
        0.36
    """
    check_above_zero("length_m", length_m)
    check_above_zero("line_milliohm_per_m", line_milliohm_per_m)
    check_above_zero("protective_milliohm_per_m", protective_milliohm_per_m)
    check_between(
        "temperature_factor",
        temperature_factor,
        LEAST_TEMPERATURE_FACTOR,
        GREATEST_TEMPERATURE_FACTOR,
    )
    both = line_milliohm_per_m + protective_milliohm_per_m
    return length_m * both * temperature_factor / 1000


def adiabatic_size_mm2(fault_current_a: float, time_s: float, adiabatic_factor: float) -> float:
    """Least size of a protective conductor that a fault does not overheat.

    ``I × √t / k``. From 0.1 to 5 s; for quicker devices use the let-through energy. Take the
    worst fault along the circuit: the nearest may have the greatest I²t, or the farthest.

    Args:
        fault_current_a: Earth fault current I. [A]
        time_s: Time in which the device disconnects, t. [s]
        adiabatic_factor: Factor k of conductor and insulation, in A·√s/mm². [count]

    Returns:
        Least size. [mm²]

    Raises:
        OutOfRangeError: If ``fault_current_a`` <= 0, ``time_s`` is outside 0.1 to 5 or
            ``adiabatic_factor`` outside 20 to 250.

    References:
        bs-7671-2018-a2: 543.1.3 (secondary).

    Example:
        Worked example of a handbook: 200 A for 0.4 s, k 115.

        >>> round(adiabatic_size_mm2(200.0, 0.4, 115.0), 2)
        1.1
    """
    check_above_zero("fault_current_a", fault_current_a)
    check_between("time_s", time_s, LEAST_TIME_S, GREATEST_TIME_S)
    _check_adiabatic_factor(adiabatic_factor)
    return fault_current_a * sqrt(time_s) / adiabatic_factor


def adiabatic_size_by_energy_mm2(let_through_a2_s: float, adiabatic_factor: float) -> float:
    """Least size of a protective conductor, from the energy that a quick device lets through.

    ``√(I²t) / k``. The energy is the maker's, at the fault current of the place.

    Args:
        let_through_a2_s: Let-through energy I²t of the device. [A²s]
        adiabatic_factor: Factor k of conductor and insulation, in A·√s/mm². [count]

    Returns:
        Least size. [mm²]

    Raises:
        OutOfRangeError: If ``let_through_a2_s`` <= 0 or ``adiabatic_factor`` is outside 20
            to 250.

    References:
        bs-7671-2018-a2: 543.1.3 (secondary).

    Example:
        A circuit-breaker that lets 15 000 A²s through, k 115.

        >>> round(adiabatic_size_by_energy_mm2(15000.0, 115.0), 3)
        1.065
    """
    check_above_zero("let_through_a2_s", let_through_a2_s)
    _check_adiabatic_factor(adiabatic_factor)
    return sqrt(let_through_a2_s) / adiabatic_factor


def _check_adiabatic_factor(factor: float) -> None:
    check_between("adiabatic_factor", factor, LEAST_ADIABATIC_FACTOR, GREATEST_ADIABATIC_FACTOR)
