"""Strings and units side by side: reverse current, string fuses, branch currents, array ratio."""

from __future__ import annotations

from collections.abc import Sequence

from compliance.electrical._validity import check_above_zero, check_between, check_count
from compliance.errors import OutOfRangeError

# iec-62548 (secondary): 1 in the plain form; bs-7671-2018-a2, 712.433 (memory): K_I of 1.25
# or more, as for every other current of strong light.
LEAST_LIGHT_FACTOR = 1.0
GREATEST_LIGHT_FACTOR = 2.0

# iec-62548 (secondary): 1.5 and 2.4; bs-7671-2018-a2, 712.433 (memory): 1.1 × 1.25.
LEAST_FUSE_FACTOR = 1.0
GREATEST_FUSE_FACTOR = 3.0

# Common practice: no array is ten times its inverter, nor a tenth; W and kW were mixed.
MOST_UNEQUAL = 10.0


def reverse_current_a(parallel: float, module_isc_stc_a: float, light_factor: float) -> float:
    """Current that the other strings drive backwards through a string with a fault.

    ``(strings - 1) × factor × Isc,stc``. Where it is greater than the fuse rating that the
    module's maker allows, each string needs overcurrent protection. Without fuses a string
    cable must carry it as well. Nothing for a single string.

    Args:
        parallel: Strings in parallel on one input. [count]
        module_isc_stc_a: Short-circuit current of one module at STC. [A]
        light_factor: Factor for strong light of the published form chosen. [count]

    Returns:
        Greatest reverse current. [A]

    Raises:
        OutOfRangeError: If ``parallel`` is no whole number from 1, ``module_isc_stc_a``
            <= 0 or ``light_factor`` is outside 1 to 2.

    References:
        iec-62548: need of string overcurrent protection (secondary).
        bs-7671-2018-a2: 712.433, the same with ISC MAX (memory).

    Example:
        Worked example of a page on fuses: two strings of 12.28 A.

        >>> reverse_current_a(2, 12.28, 1.0)
        12.28
    """
    check_count("parallel", parallel)
    check_above_zero("module_isc_stc_a", module_isc_stc_a)
    check_between("light_factor", light_factor, LEAST_LIGHT_FACTOR, GREATEST_LIGHT_FACTOR)
    return (parallel - 1) * light_factor * module_isc_stc_a


def least_string_fuse_a(module_isc_stc_a: float, fuse_factor: float) -> float:
    """Least rating of a string fuse that does not age in ordinary sunshine.

    ``factor × Isc,stc``. One published form says more than 1.5 times Isc, the other at
    least 1.1 times ISC MAX, which is 1.375 times Isc where K_I is 1.25.

    Args:
        module_isc_stc_a: Short-circuit current of one module at STC. [A]
        fuse_factor: Least factor of the published form chosen. [count]

    Returns:
        Least rated current In. [A]

    Raises:
        OutOfRangeError: If ``module_isc_stc_a`` <= 0 or ``fuse_factor`` is outside 1 to 3.

    References:
        iec-62548: rating of string fuses (secondary).
        bs-7671-2018-a2: 712.433, rating of string fuses (memory).

    Example:
        A module of 9.2 A by the first form.

        >>> round(least_string_fuse_a(9.2, 1.5), 6)
        13.8
    """
    check_above_zero("module_isc_stc_a", module_isc_stc_a)
    check_between("fuse_factor", fuse_factor, LEAST_FUSE_FACTOR, GREATEST_FUSE_FACTOR)
    return module_isc_stc_a * fuse_factor


def greatest_string_fuse_a(
    module_isc_stc_a: float, fuse_factor: float, module_fuse_limit_a: float
) -> float:
    """Greatest rating of a string fuse that still protects the modules.

    ``least of factor × Isc,stc and the module maker's own limit``. The other published form
    has the maker's limit alone. Where the result lies below the least rating there is no
    fuse that fits: fewer strings to an input is the way out.

    Args:
        module_isc_stc_a: Short-circuit current of one module at STC. [A]
        fuse_factor: Greatest factor of the published form. [count]
        module_fuse_limit_a: Greatest fuse rating that the module's maker allows. [A]

    Returns:
        Greatest rated current In. [A]

    Raises:
        OutOfRangeError: If ``module_isc_stc_a`` <= 0, ``fuse_factor`` is outside 1 to 3
            or ``module_fuse_limit_a`` <= 0.

    References:
        iec-62548: rating of string fuses (secondary).

    Example:
        A module of 9.2 A with a limit of 20 A: 2.4 times Isc would be 22 A.

        >>> greatest_string_fuse_a(9.2, 2.4, 20.0)
        20.0
    """
    check_above_zero("module_isc_stc_a", module_isc_stc_a)
    check_between("fuse_factor", fuse_factor, LEAST_FUSE_FACTOR, GREATEST_FUSE_FACTOR)
    check_above_zero("module_fuse_limit_a", module_fuse_limit_a)
    return min(module_isc_stc_a * fuse_factor, module_fuse_limit_a)


def branch_current_a(microinverters: float, microinverter_current_a: float) -> float:
    """Current at the head of a branch of microinverters.

    ``microinverters × greatest output current of one``. Lasts for hours: the device of the
    branch is rated for it without allowance for diversity.

    Args:
        microinverters: Microinverters on the branch. [count]
        microinverter_current_a: Greatest output current of one. [A]

    Returns:
        Current of the whole branch. [A]

    Raises:
        OutOfRangeError: If ``microinverters`` is no whole number from 1 or
            ``microinverter_current_a`` <= 0.

    References:
        common-practice: currents of one phase add up (common practice).

    Example:
        Ten of 1.6 A.

        >>> branch_current_a(10, 1.6)
        16.0
    """
    check_count("microinverters", microinverters)
    check_above_zero("microinverter_current_a", microinverter_current_a)
    return microinverters * microinverter_current_a


def array_ratio_percent(array_kw: float, inverter_kw: float) -> float:
    """Rated power of an array against the rated output of its inverter.

    ``array / inverter × 100``. Usual are 100 to 130 %; no standard limits it, the inverter's
    maker states the greatest array. Refused beyond 1000 %, where one of the two is in watts.

    Args:
        array_kw: Rated DC power of the array at STC. [kW]
        inverter_kw: Rated AC output of the inverter. [kW]

    Returns:
        Array in percent of the inverter. [%]

    Raises:
        OutOfRangeError: If ``array_kw`` or ``inverter_kw`` <= 0, or one is more than ten
            times the other.

    References:
        common-practice: ratio of array to inverter (common practice).

    Example:
        4.6 kW of modules on 3.68 kW.

        >>> round(array_ratio_percent(4.6, 3.68), 6)
        125.0
    """
    check_above_zero("array_kw", array_kw)
    check_above_zero("inverter_kw", inverter_kw)
    share = array_kw / inverter_kw * 100
    if not 100 / MOST_UNEQUAL <= share <= 100 * MOST_UNEQUAL:
        right = f"within {MOST_UNEQUAL:g} times of inverter_kw"
        raise OutOfRangeError("array_kw", array_kw, right, inverter_kw)
    return share


def input_short_circuit_a(short_circuit_currents_a: Sequence[float]) -> float:
    """Short-circuit current of all strings on one input of an inverter, in strong light.

    The plain sum. The input's greatest short-circuit current must be no less: its greatest
    working current is another figure.

    Args:
        short_circuit_currents_a: Greatest short-circuit current of each string. [A]

    Returns:
        Current of the whole input. [A]

    Raises:
        OutOfRangeError: If there is no string, or a value of ``short_circuit_currents_a``
            <= 0.

    References:
        common-practice: currents of parallel strings add up (common practice).

    Example:
        Two strings of 17.6 A.

        >>> input_short_circuit_a([17.6, 17.6])
        35.2
    """
    if not short_circuit_currents_a:
        raise OutOfRangeError("number of short_circuit_currents_a", 0, "1 or more")
    for current_a in short_circuit_currents_a:
        check_above_zero("short_circuit_currents_a", current_a)
    return sum(short_circuit_currents_a)


def array_power_kw(modules: Sequence[float], module_powers_w: Sequence[float]) -> float:
    """Rated power of all strings of an inverter at STC.

    ``Σ (modules × Vmp × Imp) / 1000``. The power on a module's plate is that product,
    rounded and within the maker's tolerance.

    Args:
        modules: Modules of each string. [count]
        module_powers_w: Power of one module of each string at STC. [W]

    Returns:
        Rated power of the array. [kW]

    Raises:
        OutOfRangeError: If there is no string, the numbers differ, a number of ``modules``
            is no whole number from 1 or a power of ``module_powers_w`` <= 0.

    References:
        common-practice: powers of modules add up (common practice).

    Example:
        Nine and seven modules of 440 W.

        >>> array_power_kw([9, 7], [440.0, 440.0])
        7.04
    """
    if not modules:
        raise OutOfRangeError("number of modules", 0, "1 or more")
    if len(modules) != len(module_powers_w):
        right = f"{len(modules)}, one for each string"
        raise OutOfRangeError("number of module_powers_w", len(module_powers_w), right)
    for number, power_w in zip(modules, module_powers_w, strict=True):
        check_count("modules", number)
        check_above_zero("module_powers_w", power_w)
    each = zip(modules, module_powers_w, strict=True)
    return sum(number * power_w for number, power_w in each) / 1000
