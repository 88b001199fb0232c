"""DC cables of strings: the current that they carry where they lie, and what may flow in them."""

from __future__ import annotations

from compliance.electrical._validity import check_above_zero, check_between
from compliance.errors import OutOfRangeError

# Common practice: from nothing, for a size below the table, to the largest cable that is made.
GREATEST_TABULATED_A = 5000.0

# Common practice: no factor of a table is less or greater; one in percent was entered as one
# in parts, or the other way round.
LEAST_SHARE_PERCENT = 5.0
GREATEST_SHARE_PERCENT = 150.0
LEAST_FACTOR = 0.05
GREATEST_FACTOR = 1.5


def dc_capacity_a(tabulated_current_a: float, heat_percent: float, grouping_factor: float) -> float:
    """Current that a DC cable of a string carries where it is hottest and closest to others.

    ``It × share / 100 × Cg``. The tabulated current is of the two poles of one string that
    touch, so that one string alone has Cg 1.

    Args:
        tabulated_current_a: Tabulated current It; 0 for a size that the table does not reach. [A]
        heat_percent: Share of it that is left where it is warmer than in the table. [%]
        grouping_factor: Factor Cg for the cables of other strings beside it. [count]

    Returns:
        Current-carrying capacity Iz. [A]

    Raises:
        OutOfRangeError: If ``tabulated_current_a`` is outside 0 to 5000, ``heat_percent``
            outside 5 to 150 or ``grouping_factor`` outside 0.05 to 1.5.

    References:
        en-50618: table A.3 and its ambient factors (memory).
        bs-7671-2018-a2: table 4C1, grouping (memory).

    Example:
        4 mm² under modules at 70 °C, beside another string.

        >>> round(dc_capacity_a(44.0, 92.0, 0.8), 2)
        32.38
    """
    check_between("tabulated_current_a", tabulated_current_a, 0, GREATEST_TABULATED_A)
    check_between("heat_percent", heat_percent, LEAST_SHARE_PERCENT, GREATEST_SHARE_PERCENT)
    check_between("grouping_factor", grouping_factor, LEAST_FACTOR, GREATEST_FACTOR)
    return tabulated_current_a * heat_percent / 100 * grouping_factor


def beside_current_a(input_current_a: float, own_current_a: float) -> float:
    """Current that the other strings of an input can drive through the cables of one.

    ``current of the input - current of the string``, both in strong light. It flows where the
    string has a fault; without fuses its cables must carry it. Nothing for a string alone.

    Args:
        input_current_a: Short-circuit current of all strings on the input. [A]
        own_current_a: Short-circuit current of the string itself. [A]

    Returns:
        Short-circuit current of the others. [A]

    Raises:
        OutOfRangeError: If ``own_current_a`` <= 0 or ``input_current_a`` is less than it.

    References:
        iec-62548: string cables without overcurrent protection (memory).

    Example:
        Three strings of 17.5 A on one input.

        >>> beside_current_a(52.5, 17.5)
        35.0
    """
    check_above_zero("own_current_a", own_current_a)
    check_above_zero("input_current_a", input_current_a)
    if input_current_a < own_current_a:
        raise OutOfRangeError("input_current_a", input_current_a, "no less than own_current_a")
    return input_current_a - own_current_a
