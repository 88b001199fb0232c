"""Voltages and currents of PV strings, from datasheet values and site conditions."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

from compliance.electrical._validity import check_above_zero, check_between, check_count
from compliance.errors import OutOfRangeError

# Common practice: standard test conditions, which datasheet values hold for.
STC_CELL_C = 25.0
STC_IRRADIANCE_W_M2 = 1000.0

# iec-62446-1, 6.7 (secondary): Voc at STC times this is compared with the steps of the
# insulation table. One fixed factor, whatever the site's temperatures.
SYSTEM_VOLTAGE_FACTOR = 1.25

# iec-62548 (memory): K_I, the least factor, for sunlight above 1000 W/m². Bifacial
# modules and bright surroundings need more; iec-62548-1 has an annex on it (secondary).
SHORT_CIRCUIT_CURRENT_FACTOR = 1.25

# iec-60891, procedure 2 of the 2009 edition (secondary): Voc grows by this fraction per
# e-fold of irradiance. 0.06 is the typical value that an instrument maker prints
# (secondary), and the middle of modules measured outdoors in tests/reference; modules
# differ by about ±0.02. Their own value is rarely on a datasheet, so we take the typical
# one: an uncertainty of about 1 % of Voc at 650 W/m² and 3 % at 200 W/m².
# Which reading: the 2009 edition adds the light term to the temperature term, the 2021
# edition also lets light scale the temperature term (memory). At 5 to 60 °C and 200 to
# 1000 W/m² they differ by up to 2 %; we chose the one whose formula could be checked.
IRRADIANCE_CORRECTION = 0.06

# Common practice: crystalline modules have -0.2 to -0.5 %/K. The bounds are wider than
# any module's and narrow enough to catch 1/K, mV/K or a lost sign.
STEEPEST_VOC_COEFFICIENT_PERCENT_PER_K = -1.0
FLATTEST_VOC_COEFFICIENT_PERCENT_PER_K = -0.05

# Common practice: where Voc is taken as a straight line of temperature. Compared with
# the single-diode model in tests/reference.
LEAST_CELL_C = -40.0
GREATEST_CELL_C = 90.0

# Common practice: in dimmer light compare strings with each other, not with a datasheet.
LEAST_IRRADIANCE_W_M2 = 200.0
# Common practice: cloud edges reach it for seconds; a meter that shows more is mistaken.
GREATEST_IRRADIANCE_W_M2 = 1500.0


def cold_open_circuit_voltage_v(
    modules: float,
    module_voc_stc_v: float,
    voc_coefficient_percent_per_k: float,
    lowest_cell_c: float,
) -> float:
    """Highest open-circuit voltage of a string, reached at its lowest cell temperature.

    ``modules × Voc,stc × (1 + β/100 × (Tmin - 25))``. Linear in temperature: good
    for crystalline silicon between -40 and 25 °C. Full light is assumed, the worst
    case. At -15 °C the single-diode model of nine modules in ten lies within 2 % of
    this, mostly above: a result just under an equipment's limit deserves a second look.

    Args:
        modules: Modules in series in the string. [count]
        module_voc_stc_v: Open-circuit voltage of one module at STC. [V]
        voc_coefficient_percent_per_k: Datasheet coefficient β, negative. [%/K]
        lowest_cell_c: Lowest cell temperature expected on the site. [°C]

    Returns:
        Open-circuit voltage of the whole string. [V]

    Raises:
        OutOfRangeError: If ``modules`` is no whole number from 1, ``module_voc_stc_v``
            <= 0, ``voc_coefficient_percent_per_k`` is outside -1 to -0.05 or
            ``lowest_cell_c`` is outside -40 to 25.

    References:
        iec-62548: string voltage at minimum temperature (secondary).

    Example:
        Worked example of a training page: 49.5 V, -0.28 %/K, -5 °C.

        >>> round(cold_open_circuit_voltage_v(1, 49.5, -0.28, -5.0), 2)
        53.66
    """
    _check_string(modules, module_voc_stc_v, voc_coefficient_percent_per_k)
    check_between("lowest_cell_c", lowest_cell_c, LEAST_CELL_C, STC_CELL_C)
    rise = voc_coefficient_percent_per_k / 100 * (lowest_cell_c - STC_CELL_C)
    return modules * module_voc_stc_v * (1 + rise)


def system_voltage_v(modules: float, module_voc_stc_v: float) -> float:
    """Voltage by which the row of the insulation table is chosen for a string.

    ``modules × Voc,stc × 1.25``. Only for choosing test voltage and limit of the
    insulation test; equipment is chosen by the cold open-circuit voltage.

    Args:
        modules: Modules in series in the string. [count]
        module_voc_stc_v: Open-circuit voltage of one module at STC. [V]

    Returns:
        System voltage of the string. [V]

    Raises:
        OutOfRangeError: If ``modules`` is no whole number from 1 or
            ``module_voc_stc_v`` <= 0.

    References:
        iec-62446-1: 6.7, choice of the test voltage (secondary).

    Example:
        Nine modules of 41.8 V.

        >>> round(system_voltage_v(9, 41.8), 2)
        470.25
    """
    check_count("modules", modules)
    check_above_zero("module_voc_stc_v", module_voc_stc_v)
    return modules * module_voc_stc_v * SYSTEM_VOLTAGE_FACTOR


def expected_open_circuit_voltage_v(
    modules: float,
    module_voc_stc_v: float,
    voc_coefficient_percent_per_k: float,
    cell_c: float,
    irradiance_w_m2: float,
) -> float:
    """Open-circuit voltage that a sound string shows at the measured light and temperature.

    ``modules × Voc,stc × (1 + β/100 × (T - 25) + a × ln(G/1000))`` with a = 0.06, the
    typical value. For crystalline silicon; takes 200 to 1500 W/m² and cells of -40 to
    90 °C. Within 5 % of the single-diode model at 200 to 1000 W/m² and 5 to 60 °C, of
    nine modules in ten within 3 %, in dim light mostly below it. So one failed bypass
    diode in a long string is better found by comparing like strings.

    Args:
        modules: Modules in series in the string. [count]
        module_voc_stc_v: Open-circuit voltage of one module at STC. [V]
        voc_coefficient_percent_per_k: Datasheet coefficient β, negative. [%/K]
        cell_c: Cell temperature during the reading, T. [°C]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Open-circuit voltage expected of the whole string. [V]

    Raises:
        OutOfRangeError: If ``modules`` is no whole number from 1, ``module_voc_stc_v``
            <= 0, ``voc_coefficient_percent_per_k`` is outside -1 to -0.05, ``cell_c``
            outside -40 to 90 or ``irradiance_w_m2`` outside 200 to 1500.

    References:
        iec-60891: procedure 2 at no current, 2009 edition (secondary).
        iec-62446-1: 6.4, measured compared with expected voltage (secondary).

    Example:
        One module of 47.94 V at 650 W/m² and 38.5 °C; the single-diode model of the
        same module gives 45.1 V.

        >>> round(expected_open_circuit_voltage_v(1, 47.94, -0.282, 38.5, 650.0), 1)
        44.9
    """
    _check_string(modules, module_voc_stc_v, voc_coefficient_percent_per_k)
    check_between("cell_c", cell_c, LEAST_CELL_C, GREATEST_CELL_C)
    check_between(
        "irradiance_w_m2", irradiance_w_m2, LEAST_IRRADIANCE_W_M2, GREATEST_IRRADIANCE_W_M2
    )
    warmth = voc_coefficient_percent_per_k / 100 * (cell_c - STC_CELL_C)
    light = IRRADIANCE_CORRECTION * log(irradiance_w_m2 / STC_IRRADIANCE_W_M2)
    return modules * module_voc_stc_v * (1 + warmth + light)


def spread_percent(open_circuit_voltages_v: Sequence[float]) -> float:
    """Spread among like strings: how far their lowest and highest voltages lie apart.

    ``(greatest - least) / mean × 100``. Only for strings with the same modules, the
    same number of them and the same direction, read one after the other in steady light.

    Args:
        open_circuit_voltages_v: One reading for each string, two or more. [V]

    Returns:
        Spread relative to the mean of the readings. [%]

    Raises:
        OutOfRangeError: If there are fewer than two readings, or one is <= 0.

    References:
        iec-62446-1: 6.4, like strings compared with each other (secondary).

    Example:
        Three strings, the last one low.

        >>> round(spread_percent([376.0, 375.0, 358.0]), 2)
        4.87
    """
    # "Agree within 5 %" can mean each string against the mean, or the two that differ
    # most. We take the two that differ most: never milder than the other reading.
    readings = len(open_circuit_voltages_v)
    if readings < 2:
        raise OutOfRangeError("number of open_circuit_voltages_v", readings, "2 or more")
    for voltage_v in open_circuit_voltages_v:
        check_above_zero("open_circuit_voltages_v", voltage_v)
    mean_v = sum(open_circuit_voltages_v) / readings
    return (max(open_circuit_voltages_v) - min(open_circuit_voltages_v)) / mean_v * 100


def greatest_short_circuit_current_a(parallel: float, module_isc_stc_a: float) -> float:
    """Greatest short-circuit current that strings in parallel can drive through a switch.

    ``parallel × Isc,stc × 1.25``. Good for modules that take light from the front only;
    light on the back or bright surroundings need a greater factor, which the maker's
    instructions give: then enter Isc,stc with that gain already in it.

    Args:
        parallel: Strings in parallel. [count]
        module_isc_stc_a: Short-circuit current of one module at STC. [A]

    Returns:
        Short-circuit current of all the strings together. [A]

    Raises:
        OutOfRangeError: If ``parallel`` is no whole number from 1 or
            ``module_isc_stc_a`` <= 0.

    References:
        iec-62548: ISC MAX with the least K_I (memory).
        bs-7671-2018-a2: 712, current that DC equipment is chosen for (memory).

    Example:
        Worked example of an instruction manual: 9.2 A.

        >>> greatest_short_circuit_current_a(1, 9.2)
        11.5
    """
    check_count("parallel", parallel)
    check_above_zero("module_isc_stc_a", module_isc_stc_a)
    return parallel * module_isc_stc_a * SHORT_CIRCUIT_CURRENT_FACTOR


def _check_string(
    modules: float, module_voc_stc_v: float, voc_coefficient_percent_per_k: float
) -> None:
    check_count("modules", modules)
    check_above_zero("module_voc_stc_v", module_voc_stc_v)
    check_between(
        "voc_coefficient_percent_per_k",
        voc_coefficient_percent_per_k,
        STEEPEST_VOC_COEFFICIENT_PERCENT_PER_K,
        FLATTEST_VOC_COEFFICIENT_PERCENT_PER_K,
    )
