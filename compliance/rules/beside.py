"""Readings beside each other at equal conditions: like strings, and one string then and now.

Nothing is decided here. What differs by no more than its tolerances is told as that, and
where nobody can tell which string is odd, that is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from statistics import median
from typing import Any

from compliance.electrical.compared import (
    Verdict,
    change_percent,
    conditions_percent,
    current_tolerance_percent,
    operating_at_full_light_a,
    voltage_tolerance_percent,
)
from compliance.electrical.measured import (
    combined_tolerance_percent,
    isc_at_stc_a,
    voc_at_stc_v,
)
from compliance.errors import OutOfRangeError
from compliance.rules.points import whole_day
from compliance.rules.quantities.binding import Asked
from compliance.rules.quantities.compared import like_on_inverter
from compliance.units import find, rounded, shown

Entry = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Beside:
    """One string among its like: what it read, that at equal conditions, and how it compares."""

    subject: str
    reading: str
    read: str
    equal: str
    off: str
    """How far it is off the middle one, and how far two of them may differ."""
    told: str


@dataclass(frozen=True, slots=True)
class ThenAndNow:
    """Two readings of one thing at two dates, both brought to equal conditions."""

    subject: str
    reading: str
    then: str
    now: str
    change: str
    told: str


@dataclass(frozen=True, slots=True)
class _Kind:
    """One kind of reading that can be brought to equal conditions."""

    words: str
    test: str
    field: str
    stated: tuple[str, ...]
    """The other fields of the test that go in."""
    equal: Callable[[Entry, Entry], float]
    """The reading of a test on a string at equal conditions; raises for what cannot be."""
    tolerances: Callable[[Sequence[Entry], Entry, Asked], list[float]]
    """What may set two readings of one string apart; its modules are the same in both."""
    quantity: str = ""
    pair: str = ""


def like_strings(asked: Asked) -> Iterator[Beside]:
    """Every string that has its like on the same inverter, by kind of reading."""
    strings = asked.job.get("strings", ())
    for kind in _KINDS:
        told: set[int] = set()
        for string in strings if kind.quantity else ():
            if id(string) in told:
                continue
            group = [string, *like_on_inverter(string, strings)]
            told |= {id(one) for one in group}
            yield from _group(kind, group, asked)


def _group(kind: _Kind, group: list[Entry], asked: Asked) -> Iterator[Beside]:
    at_stc = [(one, asked.worked(kind.quantity, one)) for one in group]
    known = [(one, value) for one, value in at_stc if isinstance(value, float)]
    tolerance = asked.worked(kind.pair, group[0])
    if len(known) < 2 or not isinstance(tolerance, float):
        return
    middle = median(value for _, value in known)
    verdicts = Verdict.of([value for _, value in known], tolerance)
    for (string, value), told in zip(known, verdicts, strict=True):
        off = _percent((value / middle - 1) * 100)
        yield Beside(
            string["~name"],
            kind.words,
            _conditions(string[kind.test], kind),
            rounded(value, find(kind.field)),
            f"{off}; two may differ by {_percent(tolerance)}",
            told.value,
        )


def then_and_now(asked: Asked) -> Iterator[ThenAndNow]:
    """Each later reading of a string beside the one before it, and the last beside the first."""
    for string in asked.job.get("strings", ()):
        for kind in _KINDS:
            made = list(_made(kind, string))
            pairs = list(pairwise(made))
            pairs += [(made[0], made[-1])] if len(made) > 2 else []
            for earlier, later in pairs:
                if whole_day(earlier["on"]) != whole_day(later["on"]):
                    yield from _change(kind, string, earlier, later, asked)


def _made(kind: _Kind, string: Entry) -> Iterator[Entry]:
    """The dated tests of one kind whose reading and conditions are plain numbers."""
    latest = string.get(kind.test)
    if not isinstance(latest, dict):
        return
    for test in (*latest.get("~earlier", ()), latest):
        figures = (test.get(name) for name in (kind.field, *kind.stated))
        if isinstance(test.get("on"), date) and all(isinstance(f, float) for f in figures):
            yield test


def _change(
    kind: _Kind, string: Entry, earlier: Entry, later: Entry, asked: Asked
) -> Iterator[ThenAndNow]:
    try:
        then, now = (kind.equal(test, string) for test in (earlier, later))
        change = change_percent(then, now)
        tolerances = kind.tolerances((earlier, later), string, asked)
    except (OutOfRangeError, KeyError):
        return  # what cannot be brought to equal conditions has nothing to stand beside
    allowed = combined_tolerance_percent(tolerances)
    is_within = abs(change) <= allowed
    yield ThenAndNow(
        string["~name"],
        kind.words,
        _dated(earlier, then, kind),
        _dated(later, now, kind),
        _percent(change),
        f"{'within' if is_within else 'more than'} the {_percent(allowed)} that "
        "two readings may differ by",
    )


def _dated(test: Entry, equal: float, kind: _Kind) -> str:
    day = whole_day(test["on"]).isoformat()
    return f"{day}: {_conditions(test, kind)}; made equal {rounded(equal, find(kind.field))}"


def _conditions(test: Entry, kind: _Kind) -> str:
    """The reading and what it was read in."""
    return ", ".join(shown(test[name], find(name)) for name in (kind.field, *kind.stated))


def _percent(value: float) -> str:
    """A percentage to a tenth, which is finer than any tolerance here."""
    return shown(round(value, 1), find("percent"))


def _limit(name: str, asked: Asked) -> float:
    value, _ = asked.table(name, None)
    if value is None:
        raise KeyError(name)
    return value


def _voltage_tolerances(tests: Sequence[Entry], string: Entry, asked: Asked) -> list[float]:
    single = voltage_tolerance_percent(
        _limit("voltmeter_percent", asked),
        _limit("light_meter_percent", asked),
        _limit("cell_thermometer_k", asked),
        string["modules"]["voc_coefficient_percent_per_k"],
        module_percent=0,
    )
    between = conditions_percent(
        [test["irradiance_w_m2"] for test in tests], [test["cell_c"] for test in tests]
    )
    return [single, single, between]


def _current_tolerances(tests: Sequence[Entry], string: Entry, asked: Asked) -> list[float]:
    single = current_tolerance_percent(
        _limit("ammeter_percent", asked),
        _limit("light_meter_percent", asked),
        _limit("cell_thermometer_k", asked),
        string["modules"]["isc_coefficient_percent_per_k"],
        module_percent=0,
    )
    return [single, single]


def _operating_tolerances(tests: Sequence[Entry], string: Entry, asked: Asked) -> list[float]:
    single = [_limit(name, asked) for name in ("ammeter_percent", "light_meter_percent")]
    return [*single, *single, _limit("operating_temperature_percent", asked)]


def _voltage(test: Entry, string: Entry) -> float:
    coefficient = string["modules"]["voc_coefficient_percent_per_k"]
    return voc_at_stc_v(test["value_v"], coefficient, test["cell_c"], test["irradiance_w_m2"])


def _current(test: Entry, string: Entry) -> float:
    coefficient = string["modules"]["isc_coefficient_percent_per_k"]
    return isc_at_stc_a(test["value_a"], coefficient, test["cell_c"], test["irradiance_w_m2"])


def _operating(test: Entry, string: Entry) -> float:
    return operating_at_full_light_a(test["value_a"], test["irradiance_w_m2"])


_KINDS = (
    _Kind("open-circuit voltage", "open_circuit_voltage", "value_v",
          ("irradiance_w_m2", "cell_c"), _voltage, _voltage_tolerances,
          "read_voc_stc_v", "voc_pair_tolerance_percent"),
    _Kind("short-circuit current", "short_circuit_current", "value_a",
          ("irradiance_w_m2", "cell_c"), _current, _current_tolerances,
          "read_isc_stc_a", "isc_pair_tolerance_percent"),
    _Kind("operating current", "operating_current", "value_a",
          ("irradiance_w_m2",), _operating, _operating_tolerances),
)  # fmt: skip
