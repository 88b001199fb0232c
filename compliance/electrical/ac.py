"""AC side: earth fault loops that disconnect in time, and the current that an inverter gives."""

from __future__ import annotations

from compliance.electrical._validity import check_above_zero, check_between, check_count

# Memory: 5, 10 and 20 times In are the usual multiples of circuit-breakers. Below 1 a
# device would trip in normal use; above this bound nothing is made.
LEAST_TRIPPING_MULTIPLE = 1.0
GREATEST_TRIPPING_MULTIPLE = 50.0

# Memory: Cmin is 0.95 for a public supply in the UK and 0.90 where the voltage varies
# more; 1 leaves the supply's tolerance out, as the editions before 2015 did.
LEAST_CMIN = 0.9
GREATEST_CMIN = 1.0

# Memory: the public supply of a house has one phase, two or three.
GREATEST_PHASES = 3


def loop_impedance_limit_ohm(
    tripping_current_multiple: float,
    rated_current_a: float,
    nominal_voltage_v: float,
    cmin: float,
) -> float:
    """Greatest earth fault loop impedance at which a circuit-breaker still trips at once.

    ``Zs = U0 × Cmin / (multiple × In)``. Good for devices whose instantaneous trip is
    stated as a multiple of In, in TN systems; fuses need their time-current curve. The
    limit is for conductors at working temperature: a cold reading must lie below it.

    Args:
        tripping_current_multiple: Current of certain tripping in times In. [count]
        rated_current_a: Rated current In of the device. [A]
        nominal_voltage_v: Nominal voltage line to earth U0. [V]
        cmin: Least-voltage factor of the supply. [count]

    Returns:
        Greatest loop impedance. [Ω]

    Raises:
        OutOfRangeError: If ``tripping_current_multiple`` is outside 1 to 50,
            ``rated_current_a`` <= 0, ``nominal_voltage_v`` <= 0 or ``cmin`` outside
            0.9 to 1.

    References:
        bs-7671-2018-a2: Table 41.3, its formula and Cmin (secondary).
        iec-60898-1: multiples of instantaneous tripping (memory).

    Example:
        Breaker of characteristic B, 32 A, on 230 V.

        >>> round(loop_impedance_limit_ohm(5, 32.0, 230.0, 0.95), 4)
        1.3656
    """
    check_between(
        "tripping_current_multiple",
        tripping_current_multiple,
        LEAST_TRIPPING_MULTIPLE,
        GREATEST_TRIPPING_MULTIPLE,
    )
    check_above_zero("rated_current_a", rated_current_a)
    check_above_zero("nominal_voltage_v", nominal_voltage_v)
    check_between("cmin", cmin, LEAST_CMIN, GREATEST_CMIN)
    return nominal_voltage_v * cmin / (tripping_current_multiple * rated_current_a)


def touch_voltage_v(electrode_resistance_ohm: float, residual_operating_current_ma: float) -> float:
    """Voltage of earthed metal against earth at the current that trips the RCD, in TT.

    ``RA × IΔn``. Good for steady alternating fault currents up to IΔn. Compare this
    product with the limit, not RA with printed ohms: those are rounded up for some RCDs.

    Args:
        electrode_resistance_ohm: Electrode and its protective conductors, RA. [Ω]
        residual_operating_current_ma: Rated residual operating current IΔn. [mA]

    Returns:
        Touch voltage. [V]

    Raises:
        OutOfRangeError: If ``electrode_resistance_ohm`` <= 0 or
            ``residual_operating_current_ma`` <= 0.

    References:
        bs-7671-2018-a2: 411.5.3, RA × IΔn (secondary).

    Example:
        Electrode of 180 Ω behind an RCD of 30 mA.

        >>> round(touch_voltage_v(180.0, 30.0), 2)
        5.4
    """
    check_above_zero("electrode_resistance_ohm", electrode_resistance_ohm)
    check_above_zero("residual_operating_current_ma", residual_operating_current_ma)
    return electrode_resistance_ohm * residual_operating_current_ma / 1000


def summed_loop_impedance_ohm(external_ohm: float, line_and_protective_ohm: float) -> float:
    """Earth fault loop impedance of a circuit from its two halves, without a live test.

    ``Zs = Ze + (R1 + R2)``. Impedance of the supply and resistance of the circuit are
    added as plain numbers, which is never milder than their sum as phasors. Both are as
    measured, cold.

    Args:
        external_ohm: External loop impedance Ze at the origin. [Ω]
        line_and_protective_ohm: Line and protective conductor end to end, R1 + R2. [Ω]

    Returns:
        Loop impedance at the far end of the circuit. [Ω]

    Raises:
        OutOfRangeError: If ``external_ohm`` <= 0 or ``line_and_protective_ohm`` <= 0.

    References:
        bs-7671-2018-a2: 643.7.3, impedance by calculation (memory).

    Example:
        Worked example of a forum thread: 0.6 Ω and 0.36 Ω.

        >>> round(summed_loop_impedance_ohm(0.6, 0.36), 2)
        0.96
    """
    check_above_zero("external_ohm", external_ohm)
    check_above_zero("line_and_protective_ohm", line_and_protective_ohm)
    return external_ohm + line_and_protective_ohm


def output_current_a(rated_power_kw: float, phases: float, nominal_voltage_v: float) -> float:
    """Current in each line of an inverter that gives its rated power at nominal voltage.

    ``1000 × P / (phases × U0)``. Good for balanced phases at a power factor of 1; reactive
    power and low voltage raise it, for which the maker states a greatest output current.

    Args:
        rated_power_kw: Rated power of the inverter. [kW]
        phases: Phases it feeds. [count]
        nominal_voltage_v: Nominal voltage line to neutral U0. [V]

    Returns:
        Current in each line. [A]

    Raises:
        OutOfRangeError: If ``rated_power_kw`` <= 0, ``phases`` outside 1 to 3 or
            ``nominal_voltage_v`` <= 0.

    References:
        common-practice: power of balanced phases (common practice).

    Example:
        One phase of 3.68 kW at 230 V.

        >>> round(output_current_a(3.68, 1, 230.0), 2)
        16.0
    """
    check_above_zero("rated_power_kw", rated_power_kw)
    check_count("phases", phases)
    check_between("phases", phases, 1, GREATEST_PHASES)
    check_above_zero("nominal_voltage_v", nominal_voltage_v)
    return 1000 * rated_power_kw / (phases * nominal_voltage_v)


def design_current_a(maker_current_a: float, rated_output_a: float) -> float:
    """Current for which the circuit of an inverter is designed.

    The greater of the maker's greatest output current and of the one that its rated power
    makes. Lasts for hours on a bright day, so nothing is taken off for diversity. For the
    direction from the inverter; what one takes in to charge a battery is stated apart.

    Args:
        maker_current_a: Greatest output current by the maker. [A]
        rated_output_a: Output current at rated power. [A]

    Returns:
        Design current Ib. [A]

    Raises:
        OutOfRangeError: If ``maker_current_a`` or ``rated_output_a`` <= 0.

    References:
        common-practice: circuits of inverters carry their greatest current (common practice).

    Example:
        A maker that states 22.7 A for an inverter of 5 kW.

        >>> design_current_a(22.7, 21.74)
        22.7
    """
    check_above_zero("maker_current_a", maker_current_a)
    check_above_zero("rated_output_a", rated_output_a)
    return max(maker_current_a, rated_output_a)
