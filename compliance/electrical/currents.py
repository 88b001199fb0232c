"""Currents of PV strings, from datasheet values and the light they were read in."""

from __future__ import annotations

from collections.abc import Sequence

from compliance.electrical._validity import check_above_zero, check_between, check_count
from compliance.electrical.dc import (
    GREATEST_CELL_C,
    GREATEST_IRRADIANCE_W_M2,
    LEAST_CELL_C,
    LEAST_IRRADIANCE_W_M2,
    STC_CELL_C,
    STC_IRRADIANCE_W_M2,
)
from compliance.errors import OutOfRangeError

# Common practice: crystalline modules have 0.03 to 0.08 %/K. The bounds hold every module
# of pvlib's rating database (-0.14 to 0.53 %/K) and catch a coefficient in mA/K.
LEAST_ISC_COEFFICIENT_PERCENT_PER_K = -0.2
GREATEST_ISC_COEFFICIENT_PERCENT_PER_K = 0.6


def expected_short_circuit_current_a(
    parallel: float,
    module_isc_stc_a: float,
    isc_coefficient_percent_per_k: float,
    cell_c: float,
    irradiance_w_m2: float,
) -> float:
    """Short-circuit current that a sound string shows at the measured light and temperature.

    ``parallel × Isc,stc × G/1000 × (1 + α/100 × (T - 25))``. In proportion to the light
    in front of the modules; light on the back of bifacial ones comes on top. Takes 200
    to 1500 W/m². Of crystalline modules nine in ten lie within 1.5 % of the single-diode
    model at 5 to 60 °C, all within 6 %.

    Args:
        parallel: Equal rows of modules in parallel. [count]
        module_isc_stc_a: Short-circuit current of one module at STC. [A]
        isc_coefficient_percent_per_k: Datasheet coefficient α. [%/K]
        cell_c: Cell temperature during the reading, T. [°C]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Short-circuit current expected of the whole string. [A]

    Raises:
        OutOfRangeError: If ``parallel`` is no whole number from 1, ``module_isc_stc_a``
            <= 0, ``isc_coefficient_percent_per_k`` is outside -0.2 to 0.6, ``cell_c``
            outside -40 to 90 or ``irradiance_w_m2`` outside 200 to 1500.

    References:
        iec-60891: current in proportion to irradiance, with α (memory).
        iec-62446-1: 6.5.2, short-circuit current of each string (secondary).

    Example:
        One module of 10.35 A and 0.042 %/K at 650 W/m² and 38.5 °C; the single-diode
        model of the same module gives 6.764 A.

        >>> round(expected_short_circuit_current_a(1, 10.35, 0.042, 38.5, 650.0), 3)
        6.766
    """
    check_count("parallel", parallel)
    check_above_zero("module_isc_stc_a", module_isc_stc_a)
    check_between(
        "isc_coefficient_percent_per_k",
        isc_coefficient_percent_per_k,
        LEAST_ISC_COEFFICIENT_PERCENT_PER_K,
        GREATEST_ISC_COEFFICIENT_PERCENT_PER_K,
    )
    check_between("cell_c", cell_c, LEAST_CELL_C, GREATEST_CELL_C)
    warmth = isc_coefficient_percent_per_k / 100 * (cell_c - STC_CELL_C)
    return parallel * module_isc_stc_a * _share_of_full_light(irradiance_w_m2) * (1 + warmth)


def expected_operating_current_a(
    parallel: float, module_imp_stc_a: float, irradiance_w_m2: float
) -> float:
    """Current of a sound string whose inverter takes all the power that the light offers.

    ``parallel × Imp,stc × G/1000``. Temperature is left out: it moves the current of
    greatest power by less than 4 % between 5 and 60 °C, and datasheets give no
    coefficient. Takes 200 to 1500 W/m². An inverter that holds back, at its power limit
    or with a full battery, draws less.

    Args:
        parallel: Equal rows of modules in parallel. [count]
        module_imp_stc_a: Current of one module at greatest power, at STC. [A]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Operating current expected of the whole string. [A]

    Raises:
        OutOfRangeError: If ``parallel`` is no whole number from 1, ``module_imp_stc_a``
            <= 0 or ``irradiance_w_m2`` is outside 200 to 1500.

    References:
        iec-62446-1: 6.5.3, operating current of each string (secondary).

    Example:
        One row of modules of 9.76 A at 650 W/m²; the single-diode model of the same
        module, warm, gives 6.362 A.

        >>> round(expected_operating_current_a(1, 9.76, 650.0), 3)
        6.344
    """
    check_count("parallel", parallel)
    check_above_zero("module_imp_stc_a", module_imp_stc_a)
    return parallel * module_imp_stc_a * _share_of_full_light(irradiance_w_m2)


def current_spread_percent(currents_a: Sequence[float], irradiances_w_m2: Sequence[float]) -> float:
    """Spread of current among like strings, each reading set against its own light.

    ``(greatest - least) / mean × 100`` of ``current / G``. In steady light this is the
    spread of the readings themselves; in changing light, or on roofs that face different
    ways, the light read with each current takes the difference out.

    Args:
        currents_a: One reading for each string, two or more. [A]
        irradiances_w_m2: The irradiance read with each of them, in order. [W/m²]

    Returns:
        Spread relative to the mean. [%]

    Raises:
        OutOfRangeError: If there are fewer than two readings or not one irradiance for
            each, if an irradiance is outside 200 to 1500, or a current <= 0.

    References:
        iec-62446-1: 6.5, like strings compared in steady light (secondary); the way
            by an irradiance meter (memory).

    Example:
        The second string was read in a third less light.

        >>> round(current_spread_percent([9.0, 5.88], [900.0, 600.0]), 2)
        2.02
    """
    readings = len(currents_a)
    if readings < 2:
        raise OutOfRangeError("number of currents_a", readings, "2 or more")
    if len(irradiances_w_m2) != readings:
        right = f"{readings}, one for each current"
        raise OutOfRangeError("number of irradiances_w_m2", len(irradiances_w_m2), right)
    for current_a in currents_a:
        check_above_zero("currents_a", current_a)
    in_full_light_a = [
        current_a / _share_of_full_light(light, "irradiances_w_m2")
        for current_a, light in zip(currents_a, irradiances_w_m2, strict=True)
    ]
    mean_a = sum(in_full_light_a) / readings
    return (max(in_full_light_a) - min(in_full_light_a)) / mean_a * 100


def _share_of_full_light(irradiance_w_m2: float, name: str = "irradiance_w_m2") -> float:
    check_between(name, irradiance_w_m2, LEAST_IRRADIANCE_W_M2, GREATEST_IRRADIANCE_W_M2)
    return irradiance_w_m2 / STC_IRRADIANCE_W_M2
