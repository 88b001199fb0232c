"""What a string off its expected voltage reads like, and where an earth fault lies in it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from compliance.electrical._validity import check_above_zero, check_between, check_count
from compliance.errors import OutOfRangeError

# Common practice: a module has three bypass diodes, and each is across a third of it.
BYPASSED_SHARE = 1 / 3

# Common practice: a string's voltage cannot be told better than 0.1 %; a tolerance above a
# quarter explains everything.
LEAST_TOLERANCE_PERCENT = 0.1
GREATEST_TOLERANCE_PERCENT = 25.0

# Common practice: a string that reads a tenth of what it should has no explanation here; ten
# times as much is a misplaced point.
GREATEST_RATIO = 10.0

# Common practice: low voltage ends at 1500 V, and no array of a building goes beyond.
GREATEST_POLE_V = 2000.0


_CHANGES = (
    ("as expected", 0.0),
    ("a third of one module bypassed", -BYPASSED_SHARE),
    ("two thirds of a module bypassed", -2 * BYPASSED_SHARE),
    ("one module fewer, or one bypassed whole", -1.0),
    ("one module reversed, or two fewer", -2.0),
    ("one module more", 1.0),
)
"""What each explanation adds to a string, in modules."""


class Explanation(NamedTuple):
    """One thing that a reading can be, the voltage it predicts and how far the reading is off."""

    words: str
    voltage_v: float
    off_percent: float

    def fits(self, tolerance_percent: float) -> bool:
        """Whether the reading lies within the tolerance of it."""
        return abs(self.off_percent) <= tolerance_percent

    @classmethod
    def ranked(
        cls,
        measured_v: float,
        expected_v: float,
        modules: float,
        tolerance_percent: float = LEAST_TOLERANCE_PERCENT,
    ) -> list[Explanation]:
        """Every explanation that leaves a voltage, the nearest first.

        Takes and refuses what `nearest_explanation_v` does.
        """
        _check_reading(measured_v, expected_v, modules, tolerance_percent)
        one_v = expected_v / modules
        every = []
        for words, change in _CHANGES:
            if modules + change > 0:
                predicted_v = expected_v + change * one_v
                every.append(cls(words, predicted_v, (measured_v / predicted_v - 1) * 100))
        every.sort(key=lambda one: abs(measured_v - one.voltage_v))
        return every


def nearest_explanation_v(
    measured_v: float, expected_v: float, modules: float, tolerance_percent: float
) -> float:
    """Voltage of the explanation that lies nearest to what was read on a string.

    ``expected × (modules ± what it takes away) / modules``: as expected, a third or two of a
    module bypassed, one module fewer or more, one reversed or two fewer. A ranking and no
    finding: where several lie within the tolerance the voltage alone cannot tell, and other
    light or another temperature than entered explains small differences as well.

    Args:
        measured_v: Open-circuit voltage as read. [V]
        expected_v: Voltage expected at the light and temperature of the reading. [V]
        modules: Modules in series in the string. [count]
        tolerance_percent: Tolerance of the comparison. [%]

    Returns:
        Voltage that the nearest explanation predicts. [V]

    Raises:
        OutOfRangeError: If ``measured_v`` or ``expected_v`` <= 0 or one is ten times the
            other, ``modules`` is no whole number from 1 or ``tolerance_percent`` is outside
            0.1 to 25.

    References:
        common-practice: voltages of modules in series add up (common practice).

    Example:
        Nine modules of 40 V that read 320 V.

        >>> round(nearest_explanation_v(320.0, 360.0, 9, 3.0), 1)
        320.0
    """
    _check_reading(measured_v, expected_v, modules, tolerance_percent)
    return Explanation.ranked(measured_v, expected_v, modules)[0].voltage_v


def nearest_expected_v(
    measured_v: float, expected_voltages_v: Sequence[float], tolerance_percent: float
) -> float:
    """Expected voltage of the string, or the module type, that a reading lies nearest to.

    The least difference of all given. A reading that fits another string's voltage and not
    its own says that two strings were swapped, or other modules fitted.

    Args:
        measured_v: Open-circuit voltage as read. [V]
        expected_voltages_v: Expected voltage of each string, or with each type. [V]
        tolerance_percent: Tolerance of the comparison. [%]

    Returns:
        Nearest of the expected voltages. [V]

    Raises:
        OutOfRangeError: If ``measured_v`` <= 0, ``tolerance_percent`` is outside 0.1 to 25,
            or there is no expected voltage, or one of ``expected_voltages_v`` <= 0.

    References:
        common-practice: readings compared with every string's expectation (common practice).

    Example:
        Strings of eight and of nine modules.

        >>> nearest_expected_v(321.0, [360.0, 320.0], 3.0)
        320.0
    """
    check_above_zero("measured_v", measured_v)
    if not expected_voltages_v:
        raise OutOfRangeError("number of expected_voltages_v", 0, "1 or more")
    for voltage_v in expected_voltages_v:
        check_above_zero("expected_voltages_v", voltage_v)
    _check_tolerance(tolerance_percent)
    return min(expected_voltages_v, key=lambda voltage_v: abs(voltage_v - measured_v))


def earth_fault_modules(
    positive_to_earth_v: float,
    negative_to_earth_v: float,
    string_voc_v: float,
    modules: float,
    tolerance_percent: float,
) -> float:
    """Modules between the negative end of a string and the earth fault in it.

    ``modules × V- / (V+ + V-)``, by size. For one fault of far less resistance than the
    meter, in a string that is disconnected from all else and steadily lit. Both voltages
    must add up to the string's: where they do not there is no such fault, and no place.

    Args:
        positive_to_earth_v: Positive pole to earth as the meter shows it. [V]
        negative_to_earth_v: Negative pole to earth as it shows it, with its minus. [V]
        string_voc_v: Voltage between the poles, read at the same time. [V]
        modules: Modules in series in the string. [count]
        tolerance_percent: Tolerance of the meter. [%]

    Returns:
        Modules from the negative end, 0 to all of them. [count]

    Raises:
        OutOfRangeError: If ``positive_to_earth_v`` is outside 0 to 2000,
            ``negative_to_earth_v`` outside -2000 to 0, ``string_voc_v`` <= 0, ``modules``
            is no whole number from 1, ``tolerance_percent`` is outside 0.1 to 25, or the
            two voltages to earth do not add up to ``string_voc_v`` within it.

    References:
        common-practice: an earth fault divides the string's voltage (common practice).

    Example:
        Nine modules of 40 V, earthed between the third and the fourth from the negative end.

        >>> round(earth_fault_modules(240.0, -120.0, 360.0, 9, 3.0), 6)
        3.0
    """
    check_above_zero("string_voc_v", string_voc_v)
    check_between("positive_to_earth_v", positive_to_earth_v, 0, GREATEST_POLE_V)
    check_between("negative_to_earth_v", negative_to_earth_v, -GREATEST_POLE_V, 0)
    check_count("modules", modules)
    _check_tolerance(tolerance_percent)
    across_v = positive_to_earth_v - negative_to_earth_v
    if abs(across_v - string_voc_v) > tolerance_percent / 100 * string_voc_v:
        right = (
            "such that both poles to earth add up to string_voc_v within the tolerance (else there "
            "is no low-resistance fault, or they were not read at one time)"
        )
        raise OutOfRangeError("positive_to_earth_v", positive_to_earth_v, right)
    return modules * -negative_to_earth_v / across_v


def earth_fault_reach_modules(
    positive_to_earth_v: float,
    negative_to_earth_v: float,
    string_voc_v: float,
    modules: float,
    tolerance_percent: float,
) -> float:
    """How far the place of an earth fault may be off, either way.

    ``2 × tolerance × modules × x × (1 - x)``, x its share of the string: both readings off
    by the tolerance, in opposite ways. Half a module or more: the voltages cannot tell
    which joint it is.

    Args:
        positive_to_earth_v: Positive pole to earth as the meter shows it. [V]
        negative_to_earth_v: Negative pole to earth as it shows it, with its minus. [V]
        string_voc_v: Voltage between the poles, read at the same time. [V]
        modules: Modules in series in the string. [count]
        tolerance_percent: Tolerance of the meter. [%]

    Returns:
        Modules that the place may be off. [count]

    Raises:
        OutOfRangeError: If ``positive_to_earth_v`` is outside 0 to 2000,
            ``negative_to_earth_v`` outside -2000 to 0, ``string_voc_v`` <= 0, ``modules``
            is no whole number from 1, ``tolerance_percent`` is outside 0.1 to 25, or the
            two voltages to earth do not add up to ``string_voc_v`` within it.

    References:
        common-practice: an earth fault divides the string's voltage (common practice).

    Example:
        Ten modules, the fault in the middle, a meter of 2 %.

        >>> earth_fault_reach_modules(200.0, -200.0, 400.0, 10, 2.0)
        0.1
    """
    place = earth_fault_modules(
        positive_to_earth_v, negative_to_earth_v, string_voc_v, modules, tolerance_percent
    )
    share = place / modules
    return 2 * tolerance_percent / 100 * modules * share * (1 - share)


def _check_reading(
    measured_v: float, expected_v: float, modules: float, tolerance_percent: float
) -> None:
    check_above_zero("expected_v", expected_v)
    check_above_zero("measured_v", measured_v)
    check_count("modules", modules)
    _check_tolerance(tolerance_percent)
    if not 1 / GREATEST_RATIO <= measured_v / expected_v <= GREATEST_RATIO:
        right = f"within {GREATEST_RATIO:g} times of expected_v"
        raise OutOfRangeError("measured_v", measured_v, right, expected_v)


def _check_tolerance(percent: float) -> None:
    check_between("tolerance_percent", percent, LEAST_TOLERANCE_PERCENT, GREATEST_TOLERANCE_PERCENT)
