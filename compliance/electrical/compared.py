"""Readings at equal conditions beside each other: of like strings, and of then and now."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum
from math import hypot, log
from statistics import median

from compliance.electrical._validity import check_above_zero, check_between
from compliance.electrical.currents import (
    GREATEST_ISC_COEFFICIENT_PERCENT_PER_K,
    LEAST_ISC_COEFFICIENT_PERCENT_PER_K,
    expected_operating_current_a,
)
from compliance.electrical.dc import (
    FLATTEST_VOC_COEFFICIENT_PERCENT_PER_K,
    GREATEST_CELL_C,
    GREATEST_IRRADIANCE_W_M2,
    IRRADIANCE_CORRECTION,
    LEAST_CELL_C,
    LEAST_IRRADIANCE_W_M2,
    STEEPEST_VOC_COEFFICIENT_PERCENT_PER_K,
)
from compliance.errors import OutOfRangeError

# Common practice: an instrument that may be off by more than a quarter tells nothing, nor
# does a thermometer that may be off by 20 K.
GREATEST_TOLERANCE_PERCENT = 25.0
GREATEST_CELL_OFF_K = 20.0

# Common practice: the light term of modules differs by this percent for each e-fold of light,
# and their temperature term by this percent a kelvin; nine in ten modules of the single-diode
# model stay within both together (tests/reference).
LIGHT_TERM_OFF_PERCENT = 2.25
TEMPERATURE_TERM_OFF_PERCENT_PER_K = 0.065

# Common practice: with one other string it cannot be told which of the two is odd.
FEWEST_OTHERS = 2


class Verdict(StrEnum):
    """What the readings of like strings tell of one of them."""

    ALIKE = "alike"
    ODD = "the odd one"
    CANNOT_TELL = "cannot tell"

    @classmethod
    def of(cls, readings: Sequence[float], tolerance_percent: float) -> tuple[Verdict, ...]:
        """The verdict on each of two readings or more, all at equal conditions.

        All are alike that lie within the tolerance; one that alone stands apart from every
        other is odd. Whatever else: nobody can tell.
        """
        if _spread(readings) <= tolerance_percent:
            return (cls.ALIKE,) * len(readings)
        is_odd = [
            len(readings) > FEWEST_OTHERS and odd_by_percent(own, rest, tolerance_percent) > 0
            for own, rest in _each_with_the_rest(readings)
        ]
        rest = [one for one, odd in zip(readings, is_odd, strict=True) if not odd]
        others = cls.ALIKE if _spread(rest) <= tolerance_percent else cls.CANNOT_TELL
        return tuple(cls.ODD if odd else others for odd in is_odd)


def voltage_tolerance_percent(
    meter_percent: float,
    light_percent: float,
    cell_k: float,
    voc_coefficient_percent_per_k: float,
    module_percent: float,
) -> float:
    """How far an open-circuit voltage brought to STC may lie off by what it was read with.

    ``√(meter² + (6 × ln(1 + light/100))² + (cell × β)² + module²)``: light enters a voltage
    by its logarithm alone. Two strings each differ by this; for one string read twice its
    modules are the same, and their tolerance is 0.

    Args:
        meter_percent: Tolerance of the voltmeter. [%]
        light_percent: Tolerance of the light meter. [%]
        cell_k: How far the cell temperature may be off. [K]
        voc_coefficient_percent_per_k: Datasheet coefficient β, negative. [%/K]
        module_percent: Tolerance of the modules' voltage. [%]

    Returns:
        Tolerance of the voltage at STC. [%]

    Raises:
        OutOfRangeError: If ``meter_percent``, ``light_percent`` or ``module_percent`` is
            outside 0 to 25, ``cell_k`` outside 0 to 20 or
            ``voc_coefficient_percent_per_k`` outside -1 to -0.05.

    References:
        jcgm-100: combination of independent contributions (memory).
        iec-60891: procedure 2 at no current, 2009 edition (secondary).

    Example:
        A meter of 1 %, light to 5 %, cells to 2 K, modules to 3 %.

        >>> round(voltage_tolerance_percent(1.0, 5.0, 2.0, -0.28, 3.0), 2)
        3.22
    """
    _check_tolerances(
        meter_percent=meter_percent, light_percent=light_percent, module_percent=module_percent
    )
    check_between("cell_k", cell_k, 0, GREATEST_CELL_OFF_K)
    check_between(
        "voc_coefficient_percent_per_k",
        voc_coefficient_percent_per_k,
        STEEPEST_VOC_COEFFICIENT_PERCENT_PER_K,
        FLATTEST_VOC_COEFFICIENT_PERCENT_PER_K,
    )
    by_light = 100 * IRRADIANCE_CORRECTION * log(1 + light_percent / 100)
    by_cell = cell_k * voc_coefficient_percent_per_k
    return hypot(meter_percent, by_light, by_cell, module_percent)


def conditions_percent(irradiances_w_m2: Sequence[float], cells_c: Sequence[float]) -> float:
    """How far apart sound voltages may come out once readings of several conditions are made equal.

    ``2.25 × ln(greatest G / least G) + 0.065 × (greatest T - least T)``: the formula takes the
    light term of a typical module and the datasheet's coefficient. Readings in one light and at
    one temperature lose nothing.

    Args:
        irradiances_w_m2: The light of each reading, G. [W/m²]
        cells_c: The cell temperature of each reading, T. [°C]

    Returns:
        Difference that says nothing. [%]

    Raises:
        OutOfRangeError: If there is no reading, one of ``irradiances_w_m2`` is outside 200 to
            1500 or one of ``cells_c`` outside -40 to 90.

    References:
        common-practice: spread of modules about the typical one (common practice).

    Example:
        One reading at 400 W/m² and 12 °C, one at 900 W/m² and 42 °C.

        >>> round(conditions_percent([400.0, 900.0], [12.0, 42.0]), 2)
        3.77
    """
    for name, values in (("irradiances_w_m2", irradiances_w_m2), ("cells_c", cells_c)):
        if not values:
            raise OutOfRangeError(f"number of {name}", 0, "1 or more")
    for light in irradiances_w_m2:
        check_between("irradiances_w_m2", light, LEAST_IRRADIANCE_W_M2, GREATEST_IRRADIANCE_W_M2)
    for cell in cells_c:
        check_between("cells_c", cell, LEAST_CELL_C, GREATEST_CELL_C)
    by_light = LIGHT_TERM_OFF_PERCENT * log(max(irradiances_w_m2) / min(irradiances_w_m2))
    return by_light + TEMPERATURE_TERM_OFF_PERCENT_PER_K * (max(cells_c) - min(cells_c))


def current_tolerance_percent(
    meter_percent: float,
    light_percent: float,
    cell_k: float,
    isc_coefficient_percent_per_k: float,
    module_percent: float,
) -> float:
    """How far a current brought to STC may lie off by what it was read with.

    ``√(meter² + light² + (cell × α)² + module²)``: a current follows the light, so the
    light meter weighs most.

    Args:
        meter_percent: Tolerance of the ammeter or clamp. [%]
        light_percent: Tolerance of the light meter. [%]
        cell_k: How far the cell temperature may be off. [K]
        isc_coefficient_percent_per_k: Datasheet coefficient α. [%/K]
        module_percent: Tolerance of the modules' current. [%]

    Returns:
        Tolerance of the current at STC. [%]

    Raises:
        OutOfRangeError: If ``meter_percent``, ``light_percent`` or ``module_percent`` is
            outside 0 to 25, ``cell_k`` outside 0 to 20 or
            ``isc_coefficient_percent_per_k`` outside -0.2 to 0.6.

    References:
        jcgm-100: combination of independent contributions (memory).
        iec-60891: procedure 2 at no voltage (memory).

    Example:
        A clamp of 3 % and a light meter of 4 %.

        >>> current_tolerance_percent(3.0, 4.0, 0.0, 0.05, 0.0)
        5.0
    """
    _check_tolerances(
        meter_percent=meter_percent, light_percent=light_percent, module_percent=module_percent
    )
    check_between("cell_k", cell_k, 0, GREATEST_CELL_OFF_K)
    check_between(
        "isc_coefficient_percent_per_k",
        isc_coefficient_percent_per_k,
        LEAST_ISC_COEFFICIENT_PERCENT_PER_K,
        GREATEST_ISC_COEFFICIENT_PERCENT_PER_K,
    )
    by_cell = cell_k * isc_coefficient_percent_per_k
    return hypot(meter_percent, light_percent, by_cell, module_percent)


def operating_at_full_light_a(measured_a: float, irradiance_w_m2: float) -> float:
    """Operating current that a reading would be at 1000 W/m².

    ``I × 1000/G``. Temperature is left out, which costs up to 4 %; holds while the inverter
    takes all that the light offers.

    Args:
        measured_a: Operating current as read. [A]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Current in full light. [A]

    Raises:
        OutOfRangeError: If ``measured_a`` <= 0 or ``irradiance_w_m2`` is outside 200 to 1500.

    References:
        iec-62446-1: 6.5.3, operating current of each string (secondary).

    Example:
        >>> operating_at_full_light_a(6.5, 650.0)
        10.0
    """
    check_above_zero("measured_a", measured_a)
    return measured_a / expected_operating_current_a(1, 1, irradiance_w_m2)


def change_percent(then: float, now: float) -> float:
    """By how much a reading differs from an earlier one, both brought to equal conditions.

    ``(now / then - 1) × 100``. It says something only beyond what both tolerances together
    explain.

    Args:
        then: The earlier reading, at equal conditions. [count]
        now: The later reading of the same, in the same unit. [count]

    Returns:
        Difference, positive where it grew. [%]

    Raises:
        OutOfRangeError: If ``then`` or ``now`` <= 0.

    References:
        common-practice: relative difference (common practice).

    Example:
        >>> round(change_percent(360.0, 351.0), 6)
        -2.5
    """
    check_above_zero("then", then)
    check_above_zero("now", now)
    return (now / then - 1) * 100


def apart_percent(own: float, others: Sequence[float]) -> float:
    """How far a reading stands apart from every reading of its like: from the nearest of them.

    ``least |own - other| / median of all × 100``. All of the same thing at equal conditions.

    Args:
        own: The reading. [count]
        others: The readings of the others, in the same unit. [count]

    Returns:
        Distance to the nearest other. [%]

    Raises:
        OutOfRangeError: If there is no other, or a reading <= 0.

    References:
        common-practice: like strings side by side (common practice).

    Example:
        A string of a module less beside two whole ones.

        >>> round(apart_percent(320.0, [360.0, 359.0]), 2)
        10.86
    """
    check_above_zero("own", own)
    if not others:
        raise OutOfRangeError("number of others", 0, "1 or more")
    for other in others:
        check_above_zero("others", other)
    return min(abs(own - other) for other in others) / median([own, *others]) * 100


def odd_by_percent(own: float, others: Sequence[float], tolerance_percent: float) -> float:
    """By how much a string alone among its like stands apart; 0 where it does not, or who can tell.

    Its distance to the nearest other, if that is more than the tolerance and no other string
    stands apart from all the rest. Two strings that differ, several that each stand apart,
    and strings that fall into groups cannot be told: then it is 0 for all of them.

    Args:
        own: The string's reading, at equal conditions. [count]
        others: The readings of the other strings, in the same unit. [count]
        tolerance_percent: How far two of them may differ by their tolerances. [%]

    Returns:
        Distance to the nearest other, or 0. [%]

    Raises:
        OutOfRangeError: If there are fewer than two others, a reading <= 0 or
            ``tolerance_percent`` is outside 0 to 25.

    References:
        common-practice: like strings side by side (common practice).

    Example:
        >>> round(odd_by_percent(320.0, [360.0, 359.0], 4.6), 2)
        10.86
        >>> odd_by_percent(360.0, [320.0, 359.0], 4.6)
        0.0
    """
    check_above_zero("own", own)
    if len(others) < FEWEST_OTHERS:
        raise OutOfRangeError("number of others", len(others), f"{FEWEST_OTHERS} or more")
    for other in others:
        check_above_zero("others", other)
    _check_tolerances(tolerance_percent=tolerance_percent)
    apart = [apart_percent(one, rest) for one, rest in _each_with_the_rest([own, *others])]
    is_alone = sum(distance > tolerance_percent for distance in apart) == 1
    return apart[0] if is_alone and apart[0] > tolerance_percent else 0.0


def _each_with_the_rest(readings: Sequence[float]) -> Iterator[tuple[float, list[float]]]:
    for n, own in enumerate(readings):
        yield own, [*readings[:n], *readings[n + 1 :]]


def _spread(readings: Sequence[float]) -> float:
    return (max(readings) - min(readings)) / median(readings) * 100


def _check_tolerances(**percents: float) -> None:
    for name, percent in percents.items():
        check_between(name, percent, 0, GREATEST_TOLERANCE_PERCENT)
