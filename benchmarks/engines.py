"""The same checks in two general-purpose expression engines of the package index.

Each is given what its users would give it: plain nested data with the fields that a check
names, worked-out values and limits already looked up, a reading beyond range or not taken
as the text that a record holds. Preparing that is not timed. Both are optional.
"""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from benchmarks.adapter import Given, given
from benchmarks.checks import Check
from benchmarks.records import View
from compliance.rules.outcome import Outcome
from compliance.values import NotTaken, NotYet, Over, Under

INSTALL = "pip install -e '.[bench]'"
RAISED = "raised"

Test = Callable[[dict[str, Any]], Any]
Compile = Callable[[str], Test]


@dataclass(frozen=True, slots=True)
class Engine:
    """One general-purpose engine: how it compiles a text, and how a check is written for it."""

    name: str
    compile: Compile
    write: Callable[[str], str]
    written: dict[str, str | None]
    """What is written by hand, by id; None where the engine has no form for it."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """One compiled check on one subject."""

    number: int
    condition: Test | None
    must: Test
    data: dict[str, Any]
    expected: Outcome

    def outcome(self) -> str:
        """What the engine makes of it: met, not met, not applicable, or that it raised."""
        try:
            if self.condition is not None and not self.condition(self.data):
                return Outcome.NOT_APPLICABLE
            return Outcome.MET if self.must(self.data) is True else Outcome.NOT_MET
        except Exception:  # any: what it does with a missing value is what is measured
            return RAISED


def engines() -> Iterator[Engine | str]:
    """The engines that are installed; for one that is not, its name."""
    for module, made in (("cel", _cel), ("rule_engine", _rule_engine)):
        try:
            yield made(importlib.import_module(module))
        except ImportError:
            yield module


def prepared(
    engine: Engine, checks: Sequence[Check], jobs: Sequence[View], today: date
) -> tuple[list[Prepared], list[str]]:
    """Every check on every subject, ready to be timed, and the checks it has no form for."""
    compiled: dict[int, tuple[Test | None, Test]] = {}
    left_out = []
    for number, check in enumerate(checks):
        text = engine.written.get(check.id, " or ".join((check.must, *check.ways)))
        if not check.must or text is None:
            left_out.append(check.id)
            continue
        condition = engine.compile(engine.write(check.condition)) if check.condition else None
        compiled[number] = (condition, engine.compile(engine.write(text)))
    made = [
        Prepared(one.number, *compiled[one.number], _data(checks[one.number], one), one.outcome)
        for job in jobs
        for one in given(checks, job, today)
        if one.number in compiled
    ]
    return made, left_out


# -- the engines ------------------------------------------------------------------------


def _cel(module: Any) -> Engine:
    def compiled(text: str) -> Test:
        run: Test = module.compile(text).execute
        return run

    def write(text: str) -> str:
        return _common(text).replace(" and ", " && ").replace(" or ", " || ")

    protects = "circuit.rcd.exists(r, r.residual_ma <= 30)"
    return Engine("CEL (common-expression-language)", compiled, write, {
        "voltage-as-expected":
            "string.open_circuit_voltage.value_v - string.expected_voc_v <= "
            "0.01 * limits.voltage_agreement_percent * string.expected_voc_v and "
            "string.expected_voc_v - string.open_circuit_voltage.value_v <= "
            "0.01 * limits.voltage_agreement_percent * string.expected_voc_v",
        "isolator-breaks-both":
            "string.isolators.exists(i, i.breaks_positive >= 1 and i.breaks_negative >= 1)",
        "isolators-carry-current":
            "string.isolators.all(i, i.rated_a >= string.greatest_isc_a)",
        "isolators-break-voltage": "string.isolators.all(i, i.rated_v >= string.cold_voc_v)",
        "face-named": "has(string.face)",
        "isolator-labelled": "isolator.labels.exists(l, l.kind == 'dc isolator')",
        "isolator-not-shared": "size(isolator.serves.filter(s, s.parallel >= 1)) <= 2",
        "loop-impedance":
            f"circuit.loop_impedance.zs_ohm <= circuit.loop_limit_ohm or {protects}",
        "loop-impedance-cold":
            f"circuit.loop_impedance.zs_ohm <= 0.8 * circuit.loop_limit_ohm or {protects}",
        "electrode-with-rcd": f"circuit.loop_impedance.zs_ohm <= 200 or {protects}",
        "circuit-carries-inverter":
            "circuit.device.rated_a * site.supply.nominal_v >= circuit.feeds.rated_kw * 1000.0",
        "modules-on-inverter": None,
        "module-current": "inverter.strings.all(s, s.modules.isc_a <= 16)",
        "ac-isolator-lockable": "inverter.isolators.exists(i, i.lockable)",
        "handed-over-in-time": None,
        "two-supplies-label":
            "labels.exists(l, l.kind == 'two supplies' and l.place == 'origin')",
        "cable-route-labels":
            "labels.all(l, l.place != 'cable route' or l.kind == 'live in daylight')",
        "serials-differ":
            "inverters.all(a, size(inverters.filter(b, b.serial == a.serial)) == 1)",
        "ends-insulated": "visits.exists(v, v.left.dc_ends == 'insulated')",
    })  # fmt: skip


def _rule_engine(module: Any) -> Engine:
    context = module.Context(resolver=module.resolve_item)

    def compiled(text: str) -> Test:
        run: Test = module.Rule(text, context=context).matches
        return run

    protects = "$any([r.residual_ma <= 30 for r in circuit.rcd])"
    return Engine("rule-engine", compiled, _common, {
        "voltage-as-expected":
            "$abs(string.open_circuit_voltage.value_v - string.expected_voc_v) <= "
            "0.01 * limits.voltage_agreement_percent * string.expected_voc_v",
        "isolator-breaks-both":
            "$any([i.breaks_positive >= 1 and i.breaks_negative >= 1 for i in string.isolators])",
        "isolators-carry-current":
            "$all([i.rated_a >= string.greatest_isc_a for i in string.isolators])",
        "isolators-break-voltage":
            "$all([i.rated_v >= string.cold_voc_v for i in string.isolators])",
        "face-named": "string.face != ''",
        "isolator-labelled": "$any([l.kind == 'dc isolator' for l in isolator.labels])",
        "isolator-not-shared":
            "[s for s in isolator.serves if s.parallel >= 1].length <= 2",
        "loop-impedance":
            f"circuit.loop_impedance.zs_ohm <= circuit.loop_limit_ohm or {protects}",
        "loop-impedance-cold":
            f"circuit.loop_impedance.zs_ohm <= 0.8 * circuit.loop_limit_ohm or {protects}",
        "electrode-with-rcd": f"circuit.loop_impedance.zs_ohm <= 200 or {protects}",
        "circuit-carries-inverter":
            "circuit.device.rated_a * site.supply.nominal_v >= circuit.feeds.rated_kw * 1000.0",
        "modules-on-inverter":
            "$sum([s.in_series * s.parallel for s in inverter.strings]) <= 60",
        "module-current": "$max([s.modules.isc_a for s in inverter.strings]) <= 16",
        "ac-isolator-lockable": "$any([i.lockable for i in inverter.isolators])",
        "handed-over-in-time": None,
        "two-supplies-label":
            "$any([l.kind == 'two supplies' and l.place == 'origin' for l in labels])",
        "cable-route-labels":
            "$all([l.kind == 'live in daylight' for l in labels if l.place == 'cable route'])",
        "serials-differ": None,
        "ends-insulated": "$any([v.left.dc_ends == 'insulated' for v in visits])",
    })  # fmt: skip


def _common(text: str) -> str:
    """What both write alike: limits as names, lists in brackets."""
    text = re.sub(r"(limits\.\w+)\([^()]*\)", r"\1", text)
    return re.sub(r"in \(([^()]*)\)", r"in [\1]", text)


# -- the data ---------------------------------------------------------------------------


def _data(check: Check, one: Given) -> dict[str, Any]:
    texts = " ".join((check.must, check.condition, *check.ways))
    named = set(re.findall(r"[a-z][a-z0-9_]*", texts))
    data: dict[str, Any] = {name: _plain(entry, named, 3) for name, entry in one.names.items()}
    for name, value in one.job.items():
        if name in named and name not in data:
            data[name] = _plain(value, named, 3)
    for (name, quantity), value in one.worked.items():
        if quantity in named:
            data[name][quantity] = value
    data["limits"] = one.limits
    return data


def _plain(value: Any, named: set[str], depth: int) -> Any:
    match value:
        case dict():
            kept = {n: v for n, v in value.items() if n in named}
            deep = {n: v for n, v in kept.items() if depth > 0 or not isinstance(v, dict | list)}
            return {n: _plain(v, named, depth - 1) for n, v in deep.items()}
        case list():
            return [_plain(entry, named, depth - 1) for entry in value]
        case date():
            return value.isoformat()
        case NotTaken(reason):
            return f"not taken: {reason}"
        case NotYet():
            return "not yet"
        case Over(limit):
            return f"over {limit:g}"
        case Under(limit):
            return f"under {limit:g}"
    return value
