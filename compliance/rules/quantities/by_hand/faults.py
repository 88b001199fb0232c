"""By hand: what a string off its expected voltage reads like, and where an earth fault lies."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor

from compliance.electrical import string_faults
from compliance.electrical.string_faults import Explanation
from compliance.rules.quantities.by_hand.entry import ByHand, Told, given, several
from compliance.units import find, rounded

VOLTS, PERCENT, COUNT = find("v"), find("percent"), find("modules")
TOLERANCE = given("tolerance of the comparison, as combined_tolerance_percent gives it")
READ_V = given("open-circuit voltage as read")
EARTH = {
    "positive_to_earth_v": given("positive pole to earth, as the meter shows it"),
    "negative_to_earth_v": given("negative pole to earth, with its minus"),
    "string_voc_v": given("voltage between the poles"),
    "modules": given("modules in series"),
    "tolerance_percent": given("tolerance of the meter"),
}
HALF_A_MODULE = 0.5


def _off(percent: float, tolerance_percent: float) -> str:
    told = "fits" if abs(percent) <= tolerance_percent else "does not fit"
    return f"off by {rounded(round(percent, 1), PERCENT)}, {told}"


def ranked(
    measured_v: float,
    expected_v: float,
    modules: float,
    tolerance_percent: float,
    most: int | None = None,
) -> Told:
    """Each explanation with its voltage, the nearest first, and whether voltage alone tells.

    Args:
        measured_v: Open-circuit voltage as read. [V]
        expected_v: Voltage expected at the light and temperature of the reading. [V]
        modules: Modules in series in the string. [count]
        tolerance_percent: Tolerance of the comparison. [%]
        most: How many are told; all of them if left out.

    Raises:
        OutOfRangeError: For what `nearest_explanation_v` refuses.
    """
    found = Explanation.ranked(measured_v, expected_v, modules, tolerance_percent)
    lines = tuple(
        (e.words, f"{rounded(e.voltage_v, VOLTS)}, {_off(e.off_percent, tolerance_percent)}")
        for e in found[:most]
    )
    return (*lines, _verdict([e.words for e in found if e.fits(tolerance_percent)]))


def _nearest(
    measured_v: float, expected_voltages_v: Sequence[float], tolerance_percent: float
) -> Told:
    """How far the reading is off each of the expected voltages."""
    lines: list[tuple[str, str]] = []
    fitting: list[str] = []
    for number, voltage_v in enumerate(expected_voltages_v, start=1):
        percent = (measured_v / voltage_v - 1) * 100
        lines.append((f"{number}: {rounded(voltage_v, VOLTS)}", _off(percent, tolerance_percent)))
        fitting += [str(number)] if abs(percent) <= tolerance_percent else []
    return (*lines, _verdict(fitting))


def _verdict(fitting: list[str]) -> tuple[str, str]:
    match fitting:
        case []:
            return "within the tolerance", "none of them; look further"
        case [only]:
            return "within the tolerance", f"only {only}"
        case _:
            return "cannot tell between", "; ".join(fitting)


def place(**reading: float) -> Told:
    """The joint or module that it points to, or that the voltages cannot tell.

    Raises:
        OutOfRangeError: For what `earth_fault_modules` refuses.
    """
    counted = string_faults.earth_fault_modules(**reading)
    reach = string_faults.earth_fault_reach_modules(**reading)
    off = ("may be off, either way, by", f"{rounded(reach, COUNT)} modules")
    if reach >= HALF_A_MODULE:
        low, high = max(0.0, counted - reach), min(reading["modules"], counted + reach)
        told = f"cannot tell: from {rounded(low, COUNT)} to {rounded(high, COUNT)} modules"
        return off, ("place, counted from the negative end", told)
    return off, ("place, counted from the negative end", _where(counted, reach, reading["modules"]))


def _where(place: float, reach: float, modules: float) -> str:
    """The joint that it lies at, or the module that it lies in."""
    joint = round(place)
    if abs(place - joint) > reach and reach > 0:
        return f"inside module {floor(place) + 1}"
    ends = {0: "at the negative end", int(modules): "at the positive end"}
    return ends.get(joint, f"between module {joint} and module {joint + 1}")


QUANTITIES = (
    ByHand(
        name="reads_like_v",
        title="Nearest explanation of a string's voltage",
        formula="expected × (modules ± what is missing, bypassed, reversed or added) / modules",
        inputs={
            "measured_v": READ_V,
            "expected_v": given("voltage expected at the light and temperature of the reading"),
            "modules": given("modules in series, as designed"),
            "tolerance_percent": TOLERANCE,
        },
        calculate=string_faults.nearest_explanation_v,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="A ranking and no finding. Other light or another temperature explains small "
        "differences too: see light_from_voltage_w_m2 and cell_from_voltage_c.",
        also=ranked,
    ),
    ByHand(
        name="reads_like_other_v",
        title="Nearest of other strings' or other module types' expected voltages",
        formula="least difference of all given",
        inputs={
            "measured_v": READ_V,
            "expected_voltages_v": several("expected voltage of each, its own among them"),
            "tolerance_percent": TOLERANCE,
        },
        calculate=string_faults.nearest_expected_v,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="A reading that fits another string and not its own: two strings may be swapped.",
        also=_nearest,
    ),
    ByHand(
        name="earth_fault_modules",
        title="Modules between the negative end of a string and its earth fault",
        formula="modules × V- / (V+ + V-), by size",
        inputs=EARTH,
        calculate=string_faults.earth_fault_modules,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="For one fault of low resistance in a string that nothing else is connected to. "
        "A frame may be live: a competent person measures, with a meter rated for it.",
        also=place,
    ),
    ByHand(
        name="earth_fault_reach_modules",
        title="How far the place of an earth fault may be off",
        formula="2 × tolerance / 100 × modules × share × (1 - share)",
        inputs=EARTH,
        calculate=string_faults.earth_fault_reach_modules,
        source="common-practice",
        clause="",
        confidence="common practice",
    ),
)
