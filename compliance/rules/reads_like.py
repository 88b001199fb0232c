"""What a string that is not what it should be reads like; told beside a finding, never deciding.

A ranking with the voltages that it predicts: where several lie within the tolerance it says
that the voltage cannot tell.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from compliance.errors import OutOfRangeError
from compliance.rules.language.nodes import Node, paths_in
from compliance.rules.quantities.binding import Asked
from compliance.rules.quantities.by_hand import faults

Entry = Mapping[str, Any]

MOST_TOLD = 3
EXPECTED = "expected_voc_v"
TOLERANCE = "expected_voc_tolerance_percent"
NO_FINDING = "A ranking and no finding; other light or another temperature shifts it."


@dataclass(frozen=True, slots=True)
class Reads:
    """What a condition reads of which one can say what it reads like."""

    voltage: bool
    insulation: bool

    @classmethod
    def of(cls, must: Node | None) -> Reads:
        """What a condition reads."""
        read = set() if must is None else {path.steps for path in paths_in(must)}
        return cls((EXPECTED,) in read, any(steps[:1] == ("insulation",) for steps in read))


def reads_like(reads: Reads, entry: Entry, asked: Asked) -> str:
    """What the readings of a string read like that a condition found wrong; else nothing.

    Args:
        reads: What the condition reads that is not met.
        entry: What it is not met for.
        asked: The record, for worked-out values and limits.
    """
    told: list[str] = []
    if reads.voltage:
        told += [*_voltage(entry, asked), *_other_string(entry, asked)]
        told += [NO_FINDING] if told else []
    if reads.insulation:
        told += _place(entry, asked)
    return " ".join(told)


def _voltage(entry: Entry, asked: Asked) -> Iterator[str]:
    """The nearest explanations of the voltage with what each predicts, and what can be told."""
    measured, expected, modules = _read(entry), _worked(EXPECTED, entry, asked), _modules(entry)
    tolerance = _worked(TOLERANCE, entry, asked)
    if measured is None or expected is None or modules is None or tolerance is None:
        return
    try:
        *lines, (said, verdict) = faults.ranked(measured, expected, modules, tolerance, MOST_TOLD)
    except OutOfRangeError:
        return
    nearest = "; ".join(f"{words} ({figures})" for words, figures in lines)
    yield f"Reads like, the nearest first: {nearest}. {said.capitalize()}: {verdict}."


def _other_string(entry: Entry, asked: Asked) -> Iterator[str]:
    """The strings whose expected voltage it fits, where it does not fit its own."""
    measured, tolerance = _read(entry), _worked(TOLERANCE, entry, asked)
    own = _worked(EXPECTED, entry, asked)
    if measured is None or tolerance is None or _fits(measured, own, tolerance):
        return
    fitting = [
        other["~name"]
        for other in asked.job.get("strings", ())
        if other is not entry and _fits(measured, _worked(EXPECTED, other, asked), tolerance)
    ]
    if fitting:
        yield f"It fits what is expected of {', '.join(fitting)}: two strings may be exchanged."


def _fits(measured_v: float, expected_v: float | None, tolerance_percent: float) -> bool:
    if expected_v is None:
        return False
    return abs(measured_v / expected_v - 1) * 100 <= tolerance_percent


def _place(entry: Entry, asked: Asked) -> Iterator[str]:
    """Where in the string an earth fault lies, if each pole was read to earth."""
    test = entry.get("open_circuit_voltage")
    poles = ("positive_to_earth_v", "negative_to_earth_v")
    if not isinstance(test, dict) or not all(isinstance(test.get(p), float) for p in poles):
        return
    measured, modules = _read(entry), _modules(entry)
    tolerance, _ = asked.table("voltmeter_percent", None)
    if measured is None or modules is None or tolerance is None:
        return
    reading = {pole: test[pole] for pole in poles}
    try:
        lines = faults.place(
            **reading, string_voc_v=measured, modules=modules, tolerance_percent=tolerance
        )
    except OutOfRangeError:
        yield (
            "Its poles to earth do not add up to its voltage: they show no place of one fault of "
            "low resistance."
        )
        return
    _, (words, where) = lines
    yield f"By its poles to earth an earth fault lies {where} ({words})."


def _read(entry: Entry) -> float | None:
    test = entry.get("open_circuit_voltage")
    value = test.get("value_v") if isinstance(test, dict) else None
    return value if isinstance(value, float) and value > 0 else None


def _modules(entry: Entry) -> float | None:
    modules = entry.get("in_series")
    return modules if isinstance(modules, float) else None


def _worked(name: str, entry: Entry, asked: Asked) -> float | None:
    value = asked.worked(name, entry)
    return value if isinstance(value, float) else None
