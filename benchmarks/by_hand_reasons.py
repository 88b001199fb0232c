"""Eleven of the checks by hand with the same reasons: facts, needs, sentences word for word."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from benchmarks import by_hand
from benchmarks.by_hand import NONE, NOTHING, at_least, at_most, settled, unknown_by, unknown_for
from benchmarks.records import View
from compliance.rules.outcome import Outcome
from compliance.units import UNITS, Unit, rounded, shown
from compliance.values import NotTaken, Over, Under

WITH_REASONS = (
    "polarity", "insulation-positive", "insulation-negative", "light-enough",
    "isolator-lockable", "continuity", "conductor-resistance", "rcd-type", "rcd-residual",
    "earthing-resistance", "fault-current",
)  # fmt: skip

Texts = tuple[str, ...]
Reasons = tuple[tuple[Texts, ...], tuple[Texts, ...]]
"""Facts (what, found, right, margin) and needs (path, reason, sentence)."""
Told = tuple[str, str, Outcome, Reasons]

MET, NOT_MET, NOT_SHOWN = Outcome.MET, Outcome.NOT_MET, Outcome.NOT_SHOWN
NO_REASONS: Reasons = ((), ())
MEGOHM, OHM, W_M2, MS = UNITS["megohm"], UNITS["ohm"], UNITS["w_m2"], UNITS["ms"]
MA, KA = UNITS["ma"], UNITS["ka"]


def findings(job: View, today: date) -> list[Told]:
    """The eleven checks on every subject of a record: id, subject, outcome, reasons."""
    return list(_findings(job, today))


def _findings(job: View, today: date) -> Iterator[Told]:
    yield from _strings(job.get("strings"), today)
    yield from _isolators(job.get("dc_isolators"), today)
    yield from _circuits(job.get("circuits"), today)
    yield from _supply(job, today)


# -- reasons ----------------------------------------------------------------------------


def _need(path: str, reason: str, what: str, unit: Unit | None = None) -> Texts:
    in_unit = f", in {unit.symbol}" if unit else ""
    if reason == "missing":
        return path, reason, what + in_unit
    if reason.startswith("not taken"):
        return path, reason, f"{what}{in_unit} ({reason})"
    return path, reason, f"{what}{in_unit}, read with a meter that reaches the limit ({reason})"


def _why_unknown(value: Any, unit: Unit) -> str:
    if value.__class__ is NotTaken:
        return f"not taken: {value.reason}"
    if value.__class__ is Over:
        return f"beyond range: a reading above {shown(value.limit, unit)}"
    if value.__class__ is Under:
        return f"beyond range: a reading below {shown(value.limit, unit)}"
    return "missing"


def _found(value: Any, unit: Unit) -> str:
    if value.__class__ is float:
        return shown(value, unit)
    return f"{'over' if value.__class__ is Over else 'under'} {shown(value.limit, unit)}"


def _margin(value: Any, limit: float, unit: Unit, word: str) -> str:
    if value.__class__ is not float:
        return ""
    size = abs(value - limit)
    return f"{rounded(size, unit)} too {word}" if size else ""


def _test_unknown(
    subject: str, root: str, test: Any, name: str, words: str
) -> tuple[View, tuple[Texts, ...]]:
    """The test as a dict, and what is lacking if there is none."""
    if test.__class__ is dict:
        return test, ()
    reason = "missing" if test is None else f"not taken: {test.reason}"
    return NOTHING, (_need(f"{root}.{name}", reason, f"the {words} test of {subject}"),)


def _reading(
    test: Any, field: str, worth: bool | None, late: Outcome, fact: Texts, need: Texts
) -> tuple[Outcome, Reasons]:
    """A reading's outcome: its fact if it fails, its need if it is unknown."""
    if worth is True:
        return MET, NO_REASONS
    if worth is False:
        return NOT_MET, ((fact,), ())
    return late, ((), (need,))


# -- the checks -------------------------------------------------------------------------


def _nothing(names: tuple[str, ...], items: Any, late: Outcome, path: str) -> Iterator[Told]:
    needs: tuple[Texts, ...] = ()
    if items is None:
        words = path.replace("_", " ").replace("dc ", "DC ")
        needs = ((path, "missing", f'{words} of the job, or "none" if there are none'),)
    for name in names:
        yield name, "job", NONE if items is not None else late, ((), needs)


def _strings(strings: Any, today: date) -> Iterator[Told]:
    names = ("polarity", "insulation-positive", "insulation-negative", "light-enough")
    if not strings:
        yield from _nothing(names, strings, NOT_SHOWN, "strings")
        return
    for string in strings:
        name = string["~name"]
        late = unknown_by(string["part"].get("in_use"), today)
        yield _word(name, "polarity", string.get("polarity"), "correct", late, "polarity", "string")
        test, lacking = _test_unknown(
            name, "string", string.get("insulation"), "insulation", "insulation"
        )
        limits, limit_needs = _insulation(string, today)
        for pole in ("positive", "negative"):
            field = f"{pole}_earth_megohm"
            value = test.get(field)
            worth = by_hand._insulated(value, limits)
            if worth is True:
                yield f"insulation-{pole}", name, MET, NO_REASONS
            elif worth is False:
                least = f"{shown(limits[0], MEGOHM)}" if limits else ""
                fact = (
                    f"insulation {pole} earth", _found(value, MEGOHM),
                    f"at least {least} (limit: insulation)"
                    if limits and limits[0] == limits[1] else
                    "at least 0.5 MΩ to 1 MΩ (limit: insulation)",
                    _margin(value, limits[0], MEGOHM, "little")
                    if limits and limits[0] == limits[1] else "",
                )  # fmt: skip
                yield f"insulation-{pole}", name, NOT_MET, ((fact,), ())
            else:
                own: tuple[Texts, ...] = ()
                if lacking:
                    own = lacking
                elif value.__class__ is not float:
                    own = (
                        _need(
                            f"string.insulation.{field}", _why_unknown(value, MEGOHM),
                            f"the insulation test of {name}: {pole} earth", MEGOHM,
                        ),
                    )  # fmt: skip
                yield f"insulation-{pole}", name, late, ((), (*own, *limit_needs))
        test, lacking = _test_unknown(
            name, "string", string.get("open_circuit_voltage"), "open_circuit_voltage",
            "open circuit voltage",
        )  # fmt: skip
        light = test.get("irradiance_w_m2")
        yield "light-enough", name, *_read(
            light, at_least(light, 200.0), late, lacking, W_M2, 200.0, "at least", "little",
            "open circuit voltage irradiance", "string.open_circuit_voltage.irradiance_w_m2",
            f"the open circuit voltage test of {name}: irradiance",
        )  # fmt: skip


def _insulation(string: View, today: date) -> tuple[tuple[float, float] | None, tuple[Texts, ...]]:
    name, in_series, module = string["~name"], string.get("in_series"), string.get("modules")
    needs = []
    if in_series is None:
        needs.append(("string.in_series", "missing", f"in series of {name}"))
    if module is None:
        needs.append(("string.modules", "missing", f"modules of {name}"))
    elif "voc_v" not in module:
        missing = f"Voc of {module['~name']}, in V"
        needs.append(("string.modules.voc_v", "missing", missing))
    system_v = None if needs or module is None else in_series * module["voc_v"] * 1.25
    return by_hand._insulation_megohm(system_v, by_hand._designed(string, today)), tuple(needs)


def _word(
    name: str, check: str, test: Any, right: str, late: Outcome, words: str, root: str
) -> Told:
    test, lacking = _test_unknown(name, root, test, check, words)
    result = test.get("result")
    if result is None:
        need = lacking or (
            _need(f"{root}.{check}.result", "missing", f"the {words} test of {name}: result"),
        )
        return check, name, late, ((), need)
    if result == right:
        return check, name, MET, NO_REASONS
    return check, name, NOT_MET, (((f"{words} result", result, right, ""),), ())


def _read(
    value: Any, worth: bool | None, late: Outcome, lacking: tuple[Texts, ...], unit: Unit,
    limit: float, at: str, word: str, words: str, path: str, what: str,
) -> tuple[Outcome, Reasons]:  # fmt: skip
    if worth is True:
        return MET, NO_REASONS
    if worth is False:
        right = f"{at} {shown(limit, unit)}"
        fact = (words, _found(value, unit), right, _margin(value, limit, unit, word))
        return NOT_MET, ((fact,), ())
    return late, ((), lacking or (_need(path, _why_unknown(value, unit), what, unit),))


def _isolators(isolators: Any, today: date) -> Iterator[Told]:
    if not isolators:
        yield from _nothing(("isolator-lockable",), isolators, NOT_SHOWN, "dc_isolators")
        return
    for isolator in isolators:
        name, lockable = isolator["~name"], isolator.get("lockable")
        outcome = settled(lockable, unknown_for(isolator, today))
        facts: tuple[Texts, ...] = (("lockable", "no", "yes", ""),) if lockable is False else ()
        needs = (("isolator.lockable", "missing", f"lockable of {name}"),)
        yield "isolator-lockable", name, outcome, (facts, needs if lockable is None else ())


def _circuits(circuits: Any, today: date) -> Iterator[Told]:
    names = ("continuity", "conductor-resistance", "rcd-type", "rcd-residual")
    if not circuits:
        yield from _nothing(names, circuits, NOT_SHOWN, "circuits")
        return
    for circuit in circuits:
        name = circuit["~name"]
        late = unknown_for(circuit, today)
        test = circuit.get("continuity")
        yield _word(name, "continuity", test, "continuous", late, "continuity", "circuit")
        test, lacking = _test_unknown(name, "circuit", test, "continuity", "continuity")
        value = test.get("r1_r2_ohm")
        yield "conductor-resistance", name, *_read(
            value, at_most(value, 1.67), late, lacking, OHM, 1.67, "at most", "much",
            "continuity R1 + R2", "circuit.continuity.r1_r2_ohm",
            f"the continuity test of {name}: R1 + R2",
        )  # fmt: skip
        rcds = circuit.get("rcd")
        if not rcds:
            lacking = () if rcds is not None else (
                ("circuit.rcd", "missing", f"RCD of {name}"),
            )  # fmt: skip
            for check in ("rcd-type", "rcd-residual"):
                yield check, name, NONE if rcds is not None else late, ((), lacking)
        for rcd in rcds or ():
            yield from _rcd(f"{name} / {rcd['~name']}", rcd, unknown_for(rcd, today))


def _rcd(name: str, rcd: View, late: Outcome) -> Iterator[Told]:
    own = rcd["~name"]
    kind, residual, delay = rcd.get("type"), rcd.get("residual_ma"), rcd.get("delay")
    if kind is None:
        yield "rcd-type", name, late, ((), (("rcd.type", "missing", f"type of {own}"),))
    elif kind in ("A", "F", "B"):
        yield "rcd-type", name, MET, NO_REASONS
    else:
        yield "rcd-type", name, NOT_MET, ((("type", kind, "one of A, F, B", ""),), ())
    if delay == "delayed":
        yield "rcd-residual", name, NONE, NO_REASONS
        return
    needs: tuple[Texts, ...] = ()
    if delay is None:
        needs = (("rcd.delay", "missing", f"delay of {own}"),)
    if residual is None:
        needs += (("rcd.residual_ma", "missing", f"residual of {own}, in mA"),)
        yield "rcd-residual", name, late, ((), needs)
    elif residual <= 30.0:
        yield "rcd-residual", name, MET, NO_REASONS
    else:
        margin = _margin(residual, 30.0, MA, "much")
        fact = ("residual", shown(residual, MA), f"at most {shown(30.0, MA)}", margin)
        yield "rcd-residual", name, NOT_MET if delay is not None else late, ((fact,), needs)


def _supply(job: View, today: date) -> Iterator[Told]:
    supply = job["site"]["supply"]
    late = by_hand._unknown_for_all(job.get("parts"), today)
    earthing, ze = supply.get("earthing"), supply.get("ze_ohm")
    if earthing is not None and earthing != "TN-C-S":
        yield "earthing-resistance", "job", NONE, NO_REASONS
    else:
        outcome, (facts, needs) = _read(
            ze, at_most(ze, 0.35), late, (), OHM, 0.35, "at most", "much",
            "site supply Ze", "site.supply.ze_ohm", "supply Ze of the site",
        )  # fmt: skip
        if earthing is None and outcome is not MET:
            what = "supply earthing of the site"
            needs, outcome = (("site.supply.earthing", "missing", what), *needs), late
        yield "earthing-resistance", "job", outcome, (facts, needs)
    fault = supply.get("prospective_fault_ka")
    yield "fault-current", "job", *_read(
        fault, at_most(fault, 16.0), late, (), KA, 16.0, "at most", "much",
        "site supply prospective fault", "site.supply.prospective_fault_ka",
        "supply prospective fault of the site",
    )  # fmt: skip
