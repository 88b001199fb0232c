"""Protection of AC circuits: fault currents, cold loop limits, electrodes, boards, insulation."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from compliance.electrical._validity import check_above_zero, check_between
from compliance.electrical.ac import loop_impedance_limit_ohm
from compliance.errors import OutOfRangeError

# Common practice: the fault between three phases is taken as twice that of one phase to
# neutral, which is never milder than the factor of 1.73 for equal impedances.
THREE_PHASE_FACTOR = 2.0
PHASES = (1.0, 3.0)

# Common practice: 80 % for readings on cold conductors; none is taken below half.
LEAST_COLD_SHARE_PERCENT = 50.0
GREATEST_COLD_SHARE_PERCENT = 100.0

# Common practice: printed tables of loop impedance have two decimals.
PRINTED_OHM = Decimal("0.01")
LEAST_PRINTED_LIMIT_OHM = 0.1

# bs-7671-2018-a2, 411.5.3 (memory): 50 V; 25 V in some special places. Extra-low voltage
# ends at 120 V.
LEAST_TOUCH_V = 12.0
GREATEST_TOUCH_V = 120.0

# bs-7671-2018-a2, table 54.7 (memory): up to the first size the line conductor's own, up to
# the second the first, above it half of the line conductor's.
EQUAL_UP_TO_MM2 = 16.0
HALVED_FROM_MM2 = 35.0

# bs-7671-2018-a2, 544.1.1 (secondary): half the earthing conductor, and no less and no more
# than these of copper.
LEAST_BOND_MM2 = 6.0
GREATEST_BOND_MM2 = 25.0

# Common practice: from meter tails of a flat to the largest conductors that are made.
LEAST_SIZE_MM2 = 0.5
GREATEST_SIZE_MM2 = 1000.0


def prospective_current_ka(nominal_voltage_v: float, loop_ohm: float, phases: float) -> float:
    """Prospective fault current from a loop impedance, for the breaking capacity of devices.

    ``U0 / Z / 1000``, and twice that where three phases meet. Without allowance for a high
    supply voltage or for the resistance of the fault; read at the origin it is the greatest.

    Args:
        nominal_voltage_v: Nominal voltage line to earth U0. [V]
        loop_ohm: Loop impedance line to neutral, or line to earth. [Ω]
        phases: Phases of the supply, 1 or 3. [count]

    Returns:
        Prospective fault current. [kA]

    Raises:
        OutOfRangeError: If ``nominal_voltage_v`` or ``loop_ohm`` <= 0 or ``phases`` is not
            1 or 3.

    References:
        bs-7671-2018-a2: 434.1, fault current by calculation (memory).
        common-practice: twice the current of one phase for three (common practice).

    Example:
        Worked example of a handbook: 230 V over 1.15 Ω.

        >>> round(prospective_current_ka(230.0, 1.15, 1), 3)
        0.2
    """
    check_above_zero("nominal_voltage_v", nominal_voltage_v)
    check_above_zero("loop_ohm", loop_ohm)
    if isinstance(phases, bool) or phases not in PHASES:
        raise OutOfRangeError("phases", phases, "1 or 3", 1.0)
    factor = 1 if phases == 1 else THREE_PHASE_FACTOR
    return factor * nominal_voltage_v / loop_ohm / 1000


def breaking_share_percent(prospective_ka: float, breaking_capacity_ka: float) -> float:
    """How much of a device's breaking capacity the fault current of its place takes up.

    ``Ipf / Icn × 100``. Above 100 % the device is not enough by itself; a device before it
    may still protect it, as its maker states.

    Args:
        prospective_ka: Prospective fault current where the device stands. [kA]
        breaking_capacity_ka: Rated breaking capacity of the device. [kA]

    Returns:
        Fault current in percent of the breaking capacity. [%]

    Raises:
        OutOfRangeError: If ``prospective_ka`` or ``breaking_capacity_ka`` <= 0.

    References:
        bs-7671-2018-a2: 434.5.1, breaking capacity (memory).

    Example:
        1.5 kA at a device of 6 kA.

        >>> breaking_share_percent(1.5, 6.0)
        25.0
    """
    check_above_zero("prospective_ka", prospective_ka)
    check_above_zero("breaking_capacity_ka", breaking_capacity_ka)
    return prospective_ka / breaking_capacity_ka * 100


def cold_loop_limit_ohm(
    tripping_current_multiple: float,
    rated_current_a: float,
    nominal_voltage_v: float,
    cmin: float,
    cold_share_percent: float,
) -> float:
    """Loop impedance that a reading on cold conductors should stay below; guidance, no limit.

    ``share × U0 × Cmin / (multiple × In)``, from the exact limit. For any rating, listed or
    not. A reading between this and the limit itself is no failure.

    Args:
        tripping_current_multiple: Current of certain tripping in times In. [count]
        rated_current_a: Rated current In of the device. [A]
        nominal_voltage_v: Nominal voltage line to earth U0. [V]
        cmin: Least-voltage factor of the supply. [count]
        cold_share_percent: Share of the limit for cold conductors. [%]

    Returns:
        Guidance for a cold reading, exact. [Ω]

    Raises:
        OutOfRangeError: If ``tripping_current_multiple`` is outside 1 to 50,
            ``rated_current_a`` <= 0, ``nominal_voltage_v`` <= 0, ``cmin`` outside 0.9 to 1
            or ``cold_share_percent`` outside 50 to 100.

    References:
        bs-7671-2018-a2: Appendix 3, 80 % of the tabulated values (secondary).

    Example:
        Breaker of characteristic B, 32 A, on 230 V.

        >>> round(cold_loop_limit_ohm(5, 32.0, 230.0, 0.95, 80.0), 4)
        1.0925
    """
    limit_ohm = loop_impedance_limit_ohm(
        tripping_current_multiple, rated_current_a, nominal_voltage_v, cmin
    )
    return limit_ohm * _cold_share(cold_share_percent)


def cold_loop_limit_as_printed_ohm(
    tripping_current_multiple: float,
    rated_current_a: float,
    nominal_voltage_v: float,
    cmin: float,
    cold_share_percent: float,
) -> float:
    """The same guidance the way books print it: from the rounded limit, and rounded again.

    Both to two decimals, halves upwards. May lie 0.01 Ω beside the exact one: nothing fails
    in between. Refused where the limit is under 0.1 Ω and two decimals say too little.

    Args:
        tripping_current_multiple: Current of certain tripping in times In. [count]
        rated_current_a: Rated current In of the device. [A]
        nominal_voltage_v: Nominal voltage line to earth U0. [V]
        cmin: Least-voltage factor of the supply. [count]
        cold_share_percent: Share of the limit for cold conductors. [%]

    Returns:
        Guidance for a cold reading, as printed. [Ω]

    Raises:
        OutOfRangeError: If ``tripping_current_multiple`` is outside 1 to 50,
            ``rated_current_a`` <= 0 or so great that the limit is under 0.1 Ω,
            ``nominal_voltage_v`` <= 0, ``cmin`` outside 0.9 to 1 or ``cold_share_percent``
            outside 50 to 100.

    References:
        bs-7671-2018-a2: Appendix 3, 80 % of the tabulated values (secondary).

    Example:
        Breaker of characteristic B, 32 A, on 230 V.

        >>> cold_loop_limit_as_printed_ohm(5, 32.0, 230.0, 0.95, 80.0)
        1.1
    """
    limit_ohm = loop_impedance_limit_ohm(
        tripping_current_multiple, rated_current_a, nominal_voltage_v, cmin
    )
    share = _cold_share(cold_share_percent)
    if limit_ohm < LEAST_PRINTED_LIMIT_OHM:
        right = "small enough for a limit of 0.1 Ω or more"
        raise OutOfRangeError("rated_current_a", rated_current_a, right)
    return _printed(share * _printed(limit_ohm))


def greatest_electrode_ohm(touch_limit_v: float, residual_operating_current_ma: float) -> float:
    """Greatest resistance of an earth electrode that an RCD still makes safe, in TT.

    ``1000 × touch voltage limit / IΔn``. Compare the product and not printed ohms, which are
    rounded up. Electrodes above 200 Ω may not stay what they were when measured.

    Args:
        touch_limit_v: Greatest touch voltage. [V]
        residual_operating_current_ma: Rated residual operating current IΔn. [mA]

    Returns:
        Greatest resistance RA. [Ω]

    Raises:
        OutOfRangeError: If ``touch_limit_v`` is outside 12 to 120 or
            ``residual_operating_current_ma`` <= 0.

    References:
        bs-7671-2018-a2: 411.5.3, RA × IΔn (secondary).

    Example:
        50 V and an RCD of 30 mA.

        >>> round(greatest_electrode_ohm(50.0, 30.0))
        1667
    """
    check_between("touch_limit_v", touch_limit_v, LEAST_TOUCH_V, GREATEST_TOUCH_V)
    check_above_zero("residual_operating_current_ma", residual_operating_current_ma)
    return 1000 * touch_limit_v / residual_operating_current_ma


def board_current_a(incoming_rated_a: float, source_currents_a: Sequence[float]) -> float:
    """Current that a board's bars can carry with sources behind its incoming device.

    ``In + Σ Ig``: what the incoming device lets through and what the sources add. The bars,
    and any switch that carries both, need that rating.

    Args:
        incoming_rated_a: Rated current of the device before the board. [A]
        source_currents_a: Greatest output current of each source on the board. [A]

    Returns:
        Least rating of the bars. [A]

    Raises:
        OutOfRangeError: If ``incoming_rated_a`` <= 0, there is no source, or a current of
            ``source_currents_a`` <= 0.

    References:
        bs-7671-2018-a2: 551.7.2, rating of conductors and assemblies (memory).

    Example:
        A fuse of 80 A and one inverter of 16 A.

        >>> board_current_a(80.0, [16.0])
        96.0
    """
    check_above_zero("incoming_rated_a", incoming_rated_a)
    if not source_currents_a:
        raise OutOfRangeError("number of source_currents_a", 0, "1 or more")
    for current_a in source_currents_a:
        check_above_zero("source_currents_a", current_a)
    return incoming_rated_a + sum(source_currents_a)


def parallel_insulation_megohm(resistances_megohm: Sequence[float]) -> float:
    """Insulation resistance of circuits that are measured together.

    ``1 / Σ (1/R)``. Less than the least of them: a board that reads low may hold circuits
    that each pass.

    Args:
        resistances_megohm: Insulation resistance of each circuit. [MΩ]

    Returns:
        Resistance of all of them together. [MΩ]

    Raises:
        OutOfRangeError: If there is no resistance, or one of ``resistances_megohm`` <= 0.

    References:
        common-practice: resistances in parallel (common practice).

    Example:
        Worked example of a study page.

        >>> round(parallel_insulation_megohm([5.0, 20.0, 10.0, 20.0, 2.0]), 2)
        1.11
    """
    if not resistances_megohm:
        raise OutOfRangeError("number of resistances_megohm", 0, "1 or more")
    for resistance in resistances_megohm:
        check_above_zero("resistances_megohm", resistance)
    return 1 / sum(1 / resistance for resistance in resistances_megohm)


def protective_size_mm2(line_size_mm2: float) -> float:
    """Size of a protective or earthing conductor by table, where nothing is calculated.

    The line conductor's own up to 16 mm², 16 mm² up to 35 mm², half above that; the next
    made size up. For the same metal. A supply that earths its neutral many times asks for
    more of main bonds.

    Args:
        line_size_mm2: Size of the line conductor. [mm²]

    Returns:
        Least size of the protective conductor. [mm²]

    Raises:
        OutOfRangeError: If ``line_size_mm2`` is outside 0.5 to 1000.

    References:
        bs-7671-2018-a2: table 54.7 (secondary).

    Example:
        Tails of 25 mm².

        >>> protective_size_mm2(25.0)
        16.0
    """
    check_between("line_size_mm2", line_size_mm2, LEAST_SIZE_MM2, GREATEST_SIZE_MM2)
    if line_size_mm2 <= EQUAL_UP_TO_MM2:
        return line_size_mm2
    if line_size_mm2 <= HALVED_FROM_MM2:
        return EQUAL_UP_TO_MM2
    return line_size_mm2 / 2


def main_bond_mm2(earthing_conductor_mm2: float) -> float:
    """Size of a main bond where the supply's neutral is not earthed along its way.

    Half the earthing conductor, no less than 6 and no more than 25 mm² of copper; the next
    made size up. Where it is (PME), a table by the supply's neutral asks for more.

    Args:
        earthing_conductor_mm2: Size that the earthing conductor needs. [mm²]

    Returns:
        Least size of the bond. [mm²]

    Raises:
        OutOfRangeError: If ``earthing_conductor_mm2`` is outside 0.5 to 1000.

    References:
        bs-7671-2018-a2: 544.1.1 (secondary).

    Example:
        An earthing conductor of 16 mm².

        >>> main_bond_mm2(16.0)
        8.0
    """
    check_between(
        "earthing_conductor_mm2", earthing_conductor_mm2, LEAST_SIZE_MM2, GREATEST_SIZE_MM2
    )
    return min(max(earthing_conductor_mm2 / 2, LEAST_BOND_MM2), GREATEST_BOND_MM2)


def _cold_share(percent: float) -> float:
    check_between(
        "cold_share_percent", percent, LEAST_COLD_SHARE_PERCENT, GREATEST_COLD_SHARE_PERCENT
    )
    return percent / 100


def _printed(ohm: float) -> float:
    """As a table prints it; what binary fractions leave behind the twelfth digit counts not."""
    return float(Decimal(f"{ohm:.12g}").quantize(PRINTED_OHM, ROUND_HALF_UP))
