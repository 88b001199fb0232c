"""A string against the window of its inverter: hot and cold voltage, how many modules fit."""

from __future__ import annotations

from math import ceil, floor

from compliance.electrical._validity import check_above_zero, check_between, check_count
from compliance.electrical.dc import (
    GREATEST_CELL_C,
    LEAST_CELL_C,
    STC_CELL_C,
    cold_open_circuit_voltage_v,
    greatest_short_circuit_current_a,
)
from compliance.errors import OutOfRangeError

# Common practice: crystalline modules have -0.25 to -0.55 %/K for the voltage of greatest
# power. The bounds hold every module of pvlib's outdoor database that is crystalline, and
# catch 1/K, mV/K or a lost sign.
STEEPEST_VMP_COEFFICIENT_PERCENT_PER_K = -1.0
FLATTEST_VMP_COEFFICIENT_PERCENT_PER_K = -0.05

# Common practice: the same bounds for one module in V/K, from the smallest panels of 5 V
# to the largest of 200 V; a coefficient in mV/K is beyond them.
STEEPEST_VOLTAGE_COEFFICIENT_V_PER_K = -2.0
FLATTEST_VOLTAGE_COEFFICIENT_V_PER_K = -0.0025

# gb-microgeneration-practice (memory): 1.15 for crystalline modules; iec-62548 (memory):
# 1.2 where the coefficient is not known. Colder sites take up to about 1.3.
LEAST_COLD_FACTOR = 1.0
GREATEST_COLD_FACTOR = 1.5

# Common practice: makers of optimisers state 1 V each in standby; no more than a module's.
GREATEST_STANDBY_V = 60.0


def hot_string_voltage_v(
    modules: float,
    module_vmp_stc_v: float,
    vmp_coefficient_percent_per_k: float,
    highest_cell_c: float,
) -> float:
    """Working voltage of a string at its highest cell temperature, in full light.

    ``modules × Vmp,stc × (1 + γ/100 × (Tmax - 25))``. γ is the coefficient of the voltage
    of greatest power; the one of Voc is flatter and makes the result too high. Good for
    crystalline silicon between 25 and 90 °C. In dim light the voltage is lower still.

    Args:
        modules: Modules in series in the string. [count]
        module_vmp_stc_v: Voltage of one module at greatest power, STC. [V]
        vmp_coefficient_percent_per_k: Coefficient γ of that voltage, negative. [%/K]
        highest_cell_c: Highest cell temperature expected on the site. [°C]

    Returns:
        Voltage of the whole string at greatest power. [V]

    Raises:
        OutOfRangeError: If ``modules`` is no whole number from 1, ``module_vmp_stc_v``
            <= 0, ``vmp_coefficient_percent_per_k`` is outside -1 to -0.05 or
            ``highest_cell_c`` outside 25 to 90.

    References:
        common-practice: string voltage at the highest temperature (common practice).

    Example:
        Ten modules of 38.9 V, -0.35 %/K, cells at 70 °C.

        >>> round(hot_string_voltage_v(10, 38.9, -0.35, 70.0), 1)
        327.7
    """
    check_count("modules", modules)
    check_above_zero("module_vmp_stc_v", module_vmp_stc_v)
    check_between(
        "vmp_coefficient_percent_per_k",
        vmp_coefficient_percent_per_k,
        STEEPEST_VMP_COEFFICIENT_PERCENT_PER_K,
        FLATTEST_VMP_COEFFICIENT_PERCENT_PER_K,
    )
    check_between("highest_cell_c", highest_cell_c, STC_CELL_C, GREATEST_CELL_C)
    fall = vmp_coefficient_percent_per_k / 100 * (highest_cell_c - STC_CELL_C)
    return modules * module_vmp_stc_v * (1 + fall)


def cold_working_voltage_v(
    modules: float,
    module_vmp_stc_v: float,
    vmp_coefficient_percent_per_k: float,
    lowest_cell_c: float,
) -> float:
    """Working voltage of a string at its lowest cell temperature, in full light.

    ``modules × Vmp,stc × (1 + γ/100 × (Tmin - 25))``, the same line as in the heat. Good for
    crystalline silicon between -40 and 25 °C. Always below the open-circuit voltage in the
    cold, which has a limit of its own.

    Args:
        modules: Modules in series in the string. [count]
        module_vmp_stc_v: Voltage of one module at greatest power, STC. [V]
        vmp_coefficient_percent_per_k: Coefficient γ of that voltage, negative. [%/K]
        lowest_cell_c: Lowest cell temperature expected on the site. [°C]

    Returns:
        Voltage of the whole string at greatest power. [V]

    Raises:
        OutOfRangeError: If ``modules`` is no whole number from 1, ``module_vmp_stc_v``
            <= 0, ``vmp_coefficient_percent_per_k`` is outside -1 to -0.05 or
            ``lowest_cell_c`` outside -40 to 25.

    References:
        common-practice: string voltage at the lowest temperature (common practice).

    Example:
        Ten modules of 38.9 V, -0.35 %/K, cells at -15 °C.

        >>> round(cold_working_voltage_v(10, 38.9, -0.35, -15.0), 1)
        443.5
    """
    check_count("modules", modules)
    check_above_zero("module_vmp_stc_v", module_vmp_stc_v)
    check_between(
        "vmp_coefficient_percent_per_k",
        vmp_coefficient_percent_per_k,
        STEEPEST_VMP_COEFFICIENT_PERCENT_PER_K,
        FLATTEST_VMP_COEFFICIENT_PERCENT_PER_K,
    )
    check_between("lowest_cell_c", lowest_cell_c, LEAST_CELL_C, STC_CELL_C)
    rise = vmp_coefficient_percent_per_k / 100 * (lowest_cell_c - STC_CELL_C)
    return modules * module_vmp_stc_v * (1 + rise)


def string_voltage_by_volts_v(
    modules: float,
    module_voltage_stc_v: float,
    voltage_coefficient_v_per_k: float,
    cell_c: float,
) -> float:
    """Voltage of a string at a cell temperature, from a coefficient in volts per kelvin.

    ``modules × (V,stc + β × (T - 25))``. For Voc in the cold or Vmp in the heat, with the
    coefficient of that same voltage. Good for crystalline silicon between -40 and 90 °C.

    Args:
        modules: Modules in series in the string. [count]
        module_voltage_stc_v: Voc or Vmp of one module at STC. [V]
        voltage_coefficient_v_per_k: Coefficient of that voltage, of one module. [V/K]
        cell_c: Cell temperature, T. [°C]

    Returns:
        Voltage of the whole string. [V]

    Raises:
        OutOfRangeError: If ``modules`` is no whole number from 1, ``module_voltage_stc_v``
            <= 0, ``voltage_coefficient_v_per_k`` is outside -2 to -0.0025 or steeper than
            1 % of the voltage, or ``cell_c`` outside -40 to 90.

    References:
        iec-62548: string voltage at minimum temperature (secondary).

    Example:
        Worked example of a training note: 45.8 V, -0.13 V/K, 0 °C.

        >>> round(string_voltage_by_volts_v(1, 45.8, -0.13, 0.0), 2)
        49.05
    """
    check_count("modules", modules)
    check_above_zero("module_voltage_stc_v", module_voltage_stc_v)
    check_between(
        "voltage_coefficient_v_per_k",
        voltage_coefficient_v_per_k,
        STEEPEST_VOLTAGE_COEFFICIENT_V_PER_K,
        FLATTEST_VOLTAGE_COEFFICIENT_V_PER_K,
    )
    check_between("cell_c", cell_c, LEAST_CELL_C, GREATEST_CELL_C)
    if voltage_coefficient_v_per_k * 100 < -module_voltage_stc_v:
        right = "no steeper than 1 % of module_voltage_stc_v"
        raise OutOfRangeError("voltage_coefficient_v_per_k", voltage_coefficient_v_per_k, right)
    return modules * (module_voltage_stc_v + voltage_coefficient_v_per_k * (cell_c - STC_CELL_C))


def cold_voltage_by_factor_v(modules: float, module_voc_stc_v: float, cold_factor: float) -> float:
    """Highest open-circuit voltage of a string by a fixed factor instead of a coefficient.

    ``modules × Voc,stc × factor``. For modules whose coefficient is not known. A factor
    belongs to a lowest temperature: 1.15 holds to -15 °C for up to -0.375 %/K.

    Args:
        modules: Modules in series in the string. [count]
        module_voc_stc_v: Open-circuit voltage of one module at STC. [V]
        cold_factor: Factor of the method chosen. [count]

    Returns:
        Open-circuit voltage of the whole string. [V]

    Raises:
        OutOfRangeError: If ``modules`` is no whole number from 1, ``module_voc_stc_v``
            <= 0 or ``cold_factor`` is outside 1 to 1.5.

    References:
        gb-microgeneration-practice: factor for crystalline modules (memory).
        iec-62548: K_U (memory).

    Example:
        Ten modules of 40 V by the trade guide's 1.15.

        >>> round(cold_voltage_by_factor_v(10, 40.0, 1.15), 6)
        460.0
    """
    check_count("modules", modules)
    check_above_zero("module_voc_stc_v", module_voc_stc_v)
    check_between("cold_factor", cold_factor, LEAST_COLD_FACTOR, GREATEST_COLD_FACTOR)
    return modules * module_voc_stc_v * cold_factor


def most_modules(
    greatest_voltage_v: float,
    module_voc_stc_v: float,
    voc_coefficient_percent_per_k: float,
    lowest_cell_c: float,
) -> float:
    """Most modules in series whose voltage in the cold stays within a limit.

    ``greatest voltage / cold Voc of one module``, rounded down; 0 says that not even one
    fits. The limit is the lower of the inverter's and the modules' own.

    Args:
        greatest_voltage_v: Greatest voltage of the inverter or of the modules. [V]
        module_voc_stc_v: Open-circuit voltage of one module at STC. [V]
        voc_coefficient_percent_per_k: Datasheet coefficient β, negative. [%/K]
        lowest_cell_c: Lowest cell temperature expected on the site. [°C]

    Returns:
        Modules in series, at most. [count]

    Raises:
        OutOfRangeError: If ``greatest_voltage_v`` <= 0, ``module_voc_stc_v`` <= 0,
            ``voc_coefficient_percent_per_k`` is outside -1 to -0.05 or ``lowest_cell_c``
            outside -40 to 25.

    References:
        iec-62548: string voltage at minimum temperature (secondary).

    Example:
        Worked example of a training page: 49.5 V, -0.28 %/K, -5 °C, 1000 V.

        >>> most_modules(1000.0, 49.5, -0.28, -5.0)
        18.0
    """
    check_above_zero("greatest_voltage_v", greatest_voltage_v)
    one_v = cold_open_circuit_voltage_v(
        1, module_voc_stc_v, voc_coefficient_percent_per_k, lowest_cell_c
    )
    return float(floor(greatest_voltage_v / one_v))


def least_modules(
    least_voltage_v: float,
    module_vmp_stc_v: float,
    vmp_coefficient_percent_per_k: float,
    highest_cell_c: float,
) -> float:
    """Fewest modules in series whose voltage in the heat still reaches a limit.

    ``least voltage / hot Vmp of one module``, rounded up. The limit is the lower end of the
    window in which the inverter finds the greatest power.

    Args:
        least_voltage_v: Lower end of the inverter's window. [V]
        module_vmp_stc_v: Voltage of one module at greatest power, STC. [V]
        vmp_coefficient_percent_per_k: Coefficient γ of that voltage, negative. [%/K]
        highest_cell_c: Highest cell temperature expected on the site. [°C]

    Returns:
        Modules in series, at least. [count]

    Raises:
        OutOfRangeError: If ``least_voltage_v`` <= 0, ``module_vmp_stc_v`` <= 0,
            ``vmp_coefficient_percent_per_k`` is outside -1 to -0.05 or ``highest_cell_c``
            outside 25 to 90.

    References:
        common-practice: string voltage at the highest temperature (common practice).

    Example:
        A window from 140 V, modules of 33 V and -0.35 %/K, cells at 80 °C.

        >>> least_modules(140.0, 33.0, -0.35, 80.0)
        6.0
    """
    check_above_zero("least_voltage_v", least_voltage_v)
    one_v = hot_string_voltage_v(1, module_vmp_stc_v, vmp_coefficient_percent_per_k, highest_cell_c)
    return float(ceil(least_voltage_v / one_v))


def most_parallel_strings(input_isc_limit_a: float, module_isc_stc_a: float) -> float:
    """Most equal strings that one input of an inverter takes by its short-circuit limit.

    ``limit / (1.25 × Isc,stc)``, rounded down; 0 says that not even one fits. The limit is
    the input's greatest short-circuit current, not its greatest working current.

    Args:
        input_isc_limit_a: Greatest short-circuit current of the input. [A]
        module_isc_stc_a: Short-circuit current of one module at STC. [A]

    Returns:
        Strings in parallel, at most. [count]

    Raises:
        OutOfRangeError: If ``input_isc_limit_a`` <= 0 or ``module_isc_stc_a`` <= 0.

    References:
        iec-62548: ISC MAX with the least K_I (memory).

    Example:
        An input of 30 A and modules of 13.9 A: two would give 34.75 A.

        >>> most_parallel_strings(30.0, 13.9)
        1.0
    """
    check_above_zero("input_isc_limit_a", input_isc_limit_a)
    return float(floor(input_isc_limit_a / greatest_short_circuit_current_a(1, module_isc_stc_a)))


def standby_voltage_v(optimisers: float, optimiser_standby_v: float) -> float:
    """Voltage of a string of optimisers that wait for their inverter.

    ``optimisers × standby voltage``. Each needs some light on its module; makers state a
    tolerance of a tenth. A string that shows much more is not in standby: it is live.

    Args:
        optimisers: Optimisers in series in the string. [count]
        optimiser_standby_v: What the maker states of one in standby. [V]

    Returns:
        Voltage of the whole string. [V]

    Raises:
        OutOfRangeError: If ``optimisers`` is no whole number from 1 or
            ``optimiser_standby_v`` is outside 0 to 60.

    References:
        common-practice: 1 V for each optimiser, as makers' manuals say (common practice).

    Example:
        Twelve optimisers of 1 V.

        >>> standby_voltage_v(12, 1.0)
        12.0
    """
    check_count("optimisers", optimisers)
    check_between("optimiser_standby_v", optimiser_standby_v, 0, GREATEST_STANDBY_V)
    return optimisers * optimiser_standby_v
