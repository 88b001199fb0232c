"""Readings brought to equal conditions, and how far their tolerances let them differ."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, hypot, log

from compliance.electrical._validity import check_above_zero, check_between
from compliance.electrical.cables import (
    COLD_C,
    COPPER_PER_K,
    GREATEST_CONDUCTOR_C,
    LEAST_CONDUCTOR_C,
)
from compliance.electrical.currents import expected_short_circuit_current_a
from compliance.electrical.dc import (
    GREATEST_CELL_C,
    GREATEST_IRRADIANCE_W_M2,
    IRRADIANCE_CORRECTION,
    LEAST_CELL_C,
    LEAST_IRRADIANCE_W_M2,
    STC_CELL_C,
    STC_IRRADIANCE_W_M2,
    expected_open_circuit_voltage_v,
)
from compliance.errors import OutOfRangeError

# Common practice: the nominal operating temperature is stated in 800 W/m² and air of 20 °C;
# datasheets show 40 to 50 °C, modules close to a roof more.
NOCT_IRRADIANCE_W_M2 = 800.0
NOCT_AIR_C = 20.0
LEAST_NOCT_C = 35.0
GREATEST_NOCT_C = 80.0
LEAST_AIR_C = -40.0
GREATEST_AIR_C = 55.0

# Common practice: cells are this much warmer than the back of an open-rack module, in full
# light; nothing is lost in the dark.
BACK_TO_CELL_K = 3.0


def voc_at_stc_v(
    measured_v: float,
    voc_coefficient_percent_per_k: float,
    cell_c: float,
    irradiance_w_m2: float,
) -> float:
    """Open-circuit voltage that a reading would be at STC, with the logarithmic light term.

    ``V / (1 + β/100 × (T - 25) + 0.06 × ln(G/1000))``. For crystalline silicon; a module or
    a whole string. Two readings of any days compare once both are brought here.

    Args:
        measured_v: Open-circuit voltage as read. [V]
        voc_coefficient_percent_per_k: Datasheet coefficient β, negative. [%/K]
        cell_c: Cell temperature during the reading, T. [°C]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Voltage at 25 °C and 1000 W/m². [V]

    Raises:
        OutOfRangeError: If ``measured_v`` <= 0, ``voc_coefficient_percent_per_k`` is
            outside -1 to -0.05, ``cell_c`` outside -40 to 90 or ``irradiance_w_m2``
            outside 200 to 1500.

    References:
        iec-60891: procedure 2 at no current, 2009 edition (secondary).

    Example:
        45.118 V at 650 W/m² and 38.5 °C; the module has 47.94 V.

        >>> round(voc_at_stc_v(45.118, -0.282, 38.5, 650.0), 2)
        48.2
    """
    check_above_zero("measured_v", measured_v)
    return measured_v / expected_open_circuit_voltage_v(
        1, 1, voc_coefficient_percent_per_k, cell_c, irradiance_w_m2
    )


def voc_at_stc_linear_v(
    measured_v: float, voc_coefficient_percent_per_k: float, cell_c: float
) -> float:
    """Open-circuit voltage that a reading would be at 25 °C, light left out.

    ``V / (1 + β/100 × (T - 25))``. Too low for readings in less than full light: by about
    2 % at 650 W/m². For comparison of readings in equal light.

    Args:
        measured_v: Open-circuit voltage as read. [V]
        voc_coefficient_percent_per_k: Datasheet coefficient β, negative. [%/K]
        cell_c: Cell temperature during the reading, T. [°C]

    Returns:
        Voltage at 25 °C in the light of the reading. [V]

    Raises:
        OutOfRangeError: If ``measured_v`` <= 0, ``voc_coefficient_percent_per_k`` is
            outside -1 to -0.05 or ``cell_c`` outside -40 to 90.

    References:
        iec-60891: temperature term at no current (secondary).

    Example:
        45.118 V at 38.5 °C.

        >>> round(voc_at_stc_linear_v(45.118, -0.282, 38.5), 2)
        46.9
    """
    check_above_zero("measured_v", measured_v)
    return measured_v / expected_open_circuit_voltage_v(
        1, 1, voc_coefficient_percent_per_k, cell_c, STC_IRRADIANCE_W_M2
    )


def isc_at_stc_a(
    measured_a: float,
    isc_coefficient_percent_per_k: float,
    cell_c: float,
    irradiance_w_m2: float,
) -> float:
    """Short-circuit current that a reading would be at STC.

    ``I × 1000/G / (1 + α/100 × (T - 25))``. For a module or strings in parallel; light on
    the back of bifacial modules stays in it.

    Args:
        measured_a: Short-circuit current as read. [A]
        isc_coefficient_percent_per_k: Datasheet coefficient α. [%/K]
        cell_c: Cell temperature during the reading, T. [°C]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Current at 25 °C and 1000 W/m². [A]

    Raises:
        OutOfRangeError: If ``measured_a`` <= 0, ``isc_coefficient_percent_per_k`` is
            outside -0.2 to 0.6, ``cell_c`` outside -40 to 90 or ``irradiance_w_m2``
            outside 200 to 1500.

    References:
        iec-60891: procedure 2 at no voltage (memory).

    Example:
        6.7641 A at 650 W/m² and 38.5 °C; the module has 10.35 A.

        >>> round(isc_at_stc_a(6.7641, 0.042, 38.5, 650.0), 2)
        10.35
    """
    check_above_zero("measured_a", measured_a)
    return measured_a / expected_short_circuit_current_a(
        1, 1, isc_coefficient_percent_per_k, cell_c, irradiance_w_m2
    )


def cell_from_voltage_c(
    measured_v: float,
    modules: float,
    module_voc_stc_v: float,
    voc_coefficient_percent_per_k: float,
    irradiance_w_m2: float,
) -> float:
    """Cell temperature at which a sound string would show the voltage that was read.

    ``25 + (V / (modules × Voc) - 1 - 0.06 × ln(G/1000)) × 100/β``. Against a thermometer on
    the back it shows a string that is not what it should be: 1 % of voltage is about 4 K.

    Args:
        measured_v: Open-circuit voltage as read. [V]
        modules: Modules in series in the string. [count]
        module_voc_stc_v: Open-circuit voltage of one module at STC. [V]
        voc_coefficient_percent_per_k: Datasheet coefficient β, negative. [%/K]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Cell temperature. [°C]

    Raises:
        OutOfRangeError: If ``measured_v`` <= 0 or belongs to no cell of -40 to 90 °C,
            ``modules`` is no whole number from 1, ``module_voc_stc_v`` <= 0,
            ``voc_coefficient_percent_per_k`` is outside -1 to -0.05 or
            ``irradiance_w_m2`` outside 200 to 1500.

    References:
        iec-60904-5: equivalent cell temperature from open-circuit voltage (memory).

    Example:
        The formula of the expected voltage, turned round.

        >>> round(cell_from_voltage_c(44.89, 1, 47.94, -0.282, 650.0), 1)
        38.4
    """
    check_above_zero("measured_v", measured_v)
    ends_v = [
        expected_open_circuit_voltage_v(
            modules, module_voc_stc_v, voc_coefficient_percent_per_k, cell_c, irradiance_w_m2
        )
        for cell_c in (GREATEST_CELL_C, LEAST_CELL_C)
    ]
    if not ends_v[0] <= measured_v <= ends_v[1]:
        right = f"that of cells of -40 to 90 °C, and between {ends_v[0]:.4g} and {ends_v[1]:.4g} V"
        raise OutOfRangeError("measured_v", measured_v, right, ends_v[0])
    light = IRRADIANCE_CORRECTION * log(irradiance_w_m2 / STC_IRRADIANCE_W_M2)
    share = measured_v / (modules * module_voc_stc_v)
    return STC_CELL_C + (share - 1 - light) * 100 / voc_coefficient_percent_per_k


def light_from_voltage_w_m2(
    measured_v: float,
    modules: float,
    module_voc_stc_v: float,
    voc_coefficient_percent_per_k: float,
    cell_c: float,
) -> float:
    """Light in which a sound string would show the voltage that was read.

    ``1000 × exp((V / (modules × Voc) - 1 - β/100 × (T - 25)) / 0.06)``. Voltage hardly
    depends on light, so the result is rough: 1 % of voltage is a sixth of the light.

    Args:
        measured_v: Open-circuit voltage as read. [V]
        modules: Modules in series in the string. [count]
        module_voc_stc_v: Open-circuit voltage of one module at STC. [V]
        voc_coefficient_percent_per_k: Datasheet coefficient β, negative. [%/K]
        cell_c: Cell temperature during the reading, T. [°C]

    Returns:
        Irradiance in the plane of the modules. [W/m²]

    Raises:
        OutOfRangeError: If ``measured_v`` <= 0 or belongs to no light of 200 to 1500 W/m²,
            ``modules`` is no whole number from 1, ``module_voc_stc_v`` <= 0,
            ``voc_coefficient_percent_per_k`` is outside -1 to -0.05 or ``cell_c`` outside
            -40 to 90.

    References:
        iec-60891: procedure 2 at no current, 2009 edition (secondary).

    Example:
        The formula of the expected voltage, turned round.

        >>> round(light_from_voltage_w_m2(44.876, 1, 47.94, -0.282, 38.5))
        650
    """
    check_above_zero("measured_v", measured_v)
    ends_v = [
        expected_open_circuit_voltage_v(
            modules, module_voc_stc_v, voc_coefficient_percent_per_k, cell_c, light
        )
        for light in (LEAST_IRRADIANCE_W_M2, GREATEST_IRRADIANCE_W_M2)
    ]
    if not ends_v[0] <= measured_v <= ends_v[1]:
        right = (
            f"that of light of 200 to 1500 W/m², and between {ends_v[0]:.4g} and {ends_v[1]:.4g} V"
        )
        raise OutOfRangeError("measured_v", measured_v, right, ends_v[0])
    warmth = voc_coefficient_percent_per_k / 100 * (cell_c - STC_CELL_C)
    share = measured_v / (modules * module_voc_stc_v)
    return STC_IRRADIANCE_W_M2 * exp((share - 1 - warmth) / IRRADIANCE_CORRECTION)


def cell_from_air_c(air_c: float, noct_c: float, irradiance_w_m2: float) -> float:
    """Cell temperature from the air's and the nominal operating temperature of the module.

    ``air + (NOCT - 20) × G / 800``. For modules in the open and little wind; on a roof they
    are warmer. An estimate of several kelvin: better a thermometer on the back.

    Args:
        air_c: Temperature of the air in the shade. [°C]
        noct_c: Nominal operating cell temperature of the datasheet. [°C]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Cell temperature. [°C]

    Raises:
        OutOfRangeError: If ``air_c`` is outside -40 to 55, ``noct_c`` outside 35 to 80 or
            ``irradiance_w_m2`` outside 0 to 1500.

    References:
        common-practice: cell temperature by NOCT (common practice).

    Example:
        800 W/m² and 20 °C are the conditions of NOCT itself.

        >>> cell_from_air_c(20.0, 45.0, 800.0)
        45.0
    """
    check_between("air_c", air_c, LEAST_AIR_C, GREATEST_AIR_C)
    check_between("noct_c", noct_c, LEAST_NOCT_C, GREATEST_NOCT_C)
    check_between("irradiance_w_m2", irradiance_w_m2, 0, GREATEST_IRRADIANCE_W_M2)
    return air_c + (noct_c - NOCT_AIR_C) * irradiance_w_m2 / NOCT_IRRADIANCE_W_M2


def cell_from_back_c(back_c: float, irradiance_w_m2: float) -> float:
    """Cell temperature from a thermometer on the back of a module.

    ``back + 3 K × G / 1000``. For modules that air can reach from behind; an insulated back
    is as warm as the cells.

    Args:
        back_c: Temperature on the back, behind a cell. [°C]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Cell temperature. [°C]

    Raises:
        OutOfRangeError: If ``back_c`` is outside -40 to 90 or ``irradiance_w_m2`` outside
            0 to 1500.

    References:
        common-practice: 3 K between back and cell in full light (common practice).

    Example:
        36.5 °C behind the module in 650 W/m².

        >>> round(cell_from_back_c(36.5, 650.0), 2)
        38.45
    """
    check_between("back_c", back_c, LEAST_CELL_C, GREATEST_CELL_C)
    check_between("irradiance_w_m2", irradiance_w_m2, 0, GREATEST_IRRADIANCE_W_M2)
    return back_c + BACK_TO_CELL_K * irradiance_w_m2 / STC_IRRADIANCE_W_M2


def resistance_at_20_ohm(measured_ohm: float, conductor_c: float) -> float:
    """Resistance that a copper conductor would have at 20 °C, from a reading.

    ``R / (1 + 0.00393 × (t - 20))``. Brings readings of two days, or a reading and a length
    from the tables, to one temperature.

    Args:
        measured_ohm: Resistance as read. [Ω]
        conductor_c: Temperature of the conductor during the reading. [°C]

    Returns:
        Resistance at 20 °C. [Ω]

    Raises:
        OutOfRangeError: If ``measured_ohm`` <= 0 or ``conductor_c`` is outside -40 to 250.

    References:
        iec-60228: resistance at 20 °C and its correction (secondary).

    Example:
        0.36 Ω on a cable at 8 °C.

        >>> round(resistance_at_20_ohm(0.36, 8.0), 4)
        0.3778
    """
    check_above_zero("measured_ohm", measured_ohm)
    check_between("conductor_c", conductor_c, LEAST_CONDUCTOR_C, GREATEST_CONDUCTOR_C)
    return measured_ohm / (1 + COPPER_PER_K * (conductor_c - COLD_C))


def combined_tolerance_percent(tolerances_percent: Sequence[float]) -> float:
    """How far a reading may lie off by meter, light, thermometer and module together.

    ``√Σ t²``. For sources of error that know nothing of each other. A thermometer's enters
    by what it makes of the voltage: 2 K at -0.3 %/K are 0.6 %.

    Args:
        tolerances_percent: Tolerance of each source of error. [%]

    Returns:
        Tolerance of the comparison. [%]

    Raises:
        OutOfRangeError: If there is no tolerance, or one is outside 0 to 100.

    References:
        jcgm-100: combination of independent contributions (memory).

    Example:
        A module of 3 % and an irradiance meter of 4 %.

        >>> combined_tolerance_percent([3.0, 4.0])
        5.0
    """
    if not tolerances_percent:
        raise OutOfRangeError("number of tolerances_percent", 0, "1 or more")
    for tolerance_percent in tolerances_percent:
        check_between("tolerances_percent", tolerance_percent, 0, 100)
    return hypot(*tolerances_percent)
