"""Eleven of the checks by hand with the same findings: every field of them, word for word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from benchmarks import by_hand
from benchmarks.by_hand import NONE, NOTHING, at_least, at_most, settled, unknown_by
from benchmarks.records import View
from compliance.rules.outcome import Fact, Finding, Need, Outcome, Requirement
from compliance.units import UNITS, Unit, rounded, shown
from compliance.values import NotTaken, Over, Under

WITH_REASONS = (
    "polarity", "insulation-positive", "insulation-negative", "light-enough",
    "isolator-lockable", "continuity", "conductor-resistance", "rcd-type", "rcd-residual",
    "earthing-resistance", "fault-current",
)  # fmt: skip

Reasons = tuple[tuple[Fact, ...], tuple[Need, ...]]
Asked = Mapping[str, Requirement]
"""The requirements by id: what findings are of, the same for everybody who makes them."""

MET, NOT_MET = Outcome.MET, Outcome.NOT_MET
NO_REASONS: Reasons = ((), ())
MEGOHM, OHM, W_M2 = UNITS["megohm"], UNITS["ohm"], UNITS["w_m2"]
MA, KA = UNITS["ma"], UNITS["ka"]
NO_DAY = (
    "The record does not say when this part was designed; the edition in force on the day of "
    "the check was used."
)


def findings(job: View, today: date, asked: Asked) -> list[Finding]:
    """The findings of the eleven checks on every subject of a record."""
    found: list[Finding] = []
    of_job = _Subject(found, asked, today, "job", "", job.get("parts", ()))
    _strings(job.get("strings"), of_job)
    _isolators(job.get("dc_isolators"), of_job)
    _circuits(job.get("circuits"), of_job)
    _supply(job, of_job)
    return found


class _Subject:
    """What the findings of one subject have in common."""

    __slots__ = ("_asked", "_found", "late", "name", "part", "point", "remark", "today")

    def __init__(
        self, found: list[Finding], asked: Asked, today: date, name: str, part: str,
        parts: Sequence[View],
    ) -> None:  # fmt: skip
        self._found, self._asked, self.today = found, asked, today
        self.name, self.part = name, part
        if len(parts) == 1:  # its own, as of every subject but the job
            (own,) = parts
            in_use, designed = own.get("in_use"), own.get("designed")
            self.late = unknown_by(in_use, today)
            self.point = in_use if in_use.__class__ is date else None
            self.remark = "" if designed.__class__ is date else NO_DAY
        else:
            self.late = by_hand.unknown_for_all(parts, today)
            days = [part.get("in_use") for part in parts]
            self.point = min((day for day in days if day.__class__ is date), default=None)
            is_dated = any(part.get("designed").__class__ is date for part in parts)
            self.remark = "" if is_dated else NO_DAY

    def another(self, entry: View, name: str = "") -> _Subject:
        """An entry of the same record; its name, if it is not its own."""
        part, name = entry["part"], name or entry["~name"]
        return _Subject(self._found, self._asked, self.today, name, part["~name"], (part,))

    def tell(self, check: str, outcome: Outcome, reasons: Reasons, known: str = "document") -> None:
        facts, needs = reasons
        requirement = self._asked[check]
        if outcome is NONE:
            self._found.append(Finding(requirement, self.name, self.part, NONE))
            return
        point = None if outcome is MET else self.point
        self._found.append(
            Finding(
                requirement, self.name, self.part, outcome, facts, needs, (), point, known, "", "",
                self.remark,
            )
        )  # fmt: skip


# -- reasons ----------------------------------------------------------------------------


def _need(path: str, reason: str, what: str, unit: Unit | None = None) -> Need:
    in_unit = f", in {unit.symbol}" if unit else ""
    if reason == "missing":
        return Need(path, reason, what + in_unit)
    if reason.startswith("not taken"):
        return Need(path, reason, f"{what}{in_unit} ({reason})")
    return Need(
        path, reason, f"{what}{in_unit}, read with a meter that reaches the limit ({reason})"
    )


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


def _test(
    of: _Subject, root: str, test: Any, name: str, words: str
) -> tuple[View, tuple[Need, ...], str]:
    """The test as a dict, what is lacking if there is none, and how its finding is known."""
    if test.__class__ is dict:
        return test, (), test["known"]
    reason = "missing" if test is None else f"not taken: {test.reason}"
    return NOTHING, (_need(f"{root}.{name}", reason, f"the {words} test of {of.name}"),), "document"


# -- the checks -------------------------------------------------------------------------


def _nothing(of: _Subject, names: tuple[str, ...], items: Any, path: str, what: str) -> None:
    """Says of each check that a collection is unknown or empty."""
    needs = (Need(path, "missing", what),) if items is None else ()
    for name in names:
        of.tell(name, NONE if items is not None else of.late, ((), needs), "")


def _strings(strings: Any, of_job: _Subject) -> None:
    if not strings:
        names = ("polarity", "insulation-positive", "insulation-negative", "light-enough")
        _nothing(
            of_job, names, strings, "strings", 'strings of the job, or "none" if there are none'
        )
        return
    for string in strings:
        of = of_job.another(string)
        _word(of, "polarity", string.get("polarity"), "correct", "string")
        test, lacking, known = _test(
            of, "string", string.get("insulation"), "insulation", "insulation"
        )
        limits, limit_needs = _insulation(string, of.today)
        for pole in ("positive", "negative"):
            field = f"{pole}_earth_megohm"
            value = test.get(field)
            worth = by_hand._insulated(value, limits)
            if worth is True:
                reasons = NO_REASONS
            elif worth is False:
                reasons = ((_insulation_fact(pole, value, limits),), ())
            elif lacking or value.__class__ is float:
                reasons = ((), (*lacking, *limit_needs))
            else:
                need = _need(
                    f"string.insulation.{field}", _why_unknown(value, MEGOHM),
                    f"the insulation test of {of.name}: {pole} earth", MEGOHM,
                )  # fmt: skip
                reasons = ((), (need, *limit_needs))
            of.tell(f"insulation-{pole}", settled(worth, of.late), reasons, known)
        test, lacking, known = _test(
            of, "string", string.get("open_circuit_voltage"), "open_circuit_voltage",
            "open circuit voltage",
        )  # fmt: skip
        light = test.get("irradiance_w_m2")
        of.tell("light-enough", *_read(
            of.late, light, at_least(light, 200.0), lacking, W_M2, 200.0, "at least", "little",
            "open circuit voltage irradiance", "string.open_circuit_voltage.irradiance_w_m2",
            f"the open circuit voltage test of {of.name}: irradiance",
        ), known)  # fmt: skip


def _insulation_fact(pole: str, value: Any, limits: tuple[float, float] | None) -> Fact:
    what, found = f"insulation {pole} earth", _found(value, MEGOHM)
    if limits is None or limits[0] != limits[1]:
        return Fact(what, found, "at least 0.5 MΩ to 1 MΩ (limit: insulation)")
    right = f"at least {shown(limits[0], MEGOHM)} (limit: insulation)"
    return Fact(what, found, right, _margin(value, limits[0], MEGOHM, "little"))


def _insulation(string: View, today: date) -> tuple[tuple[float, float] | None, tuple[Need, ...]]:
    name, in_series, module = string["~name"], string.get("in_series"), string.get("modules")
    needs = []
    if in_series is None:
        needs.append(Need("string.in_series", "missing", f"in series of {name}"))
    if module is None:
        needs.append(Need("string.modules", "missing", f"modules of {name}"))
    elif "voc_v" not in module:
        missing = f"Voc of {module['~name']}, in V"
        needs.append(Need("string.modules.voc_v", "missing", missing))
    system_v = None if needs or module is None else in_series * module["voc_v"] * 1.25
    return by_hand._insulation_megohm(system_v, by_hand._designed(string, today)), tuple(needs)


def _word(of: _Subject, check: str, test: Any, right: str, root: str) -> None:
    test, lacking, known = _test(of, root, test, check, check)
    result = test.get("result")
    if result is None:
        what = f"the {check} test of {of.name}: result"
        need = lacking or (_need(f"{root}.{check}.result", "missing", what),)
        of.tell(check, of.late, ((), need), known)
    elif result == right:
        of.tell(check, MET, NO_REASONS, known)
    else:
        of.tell(check, NOT_MET, ((Fact(f"{check} result", result, right),), ()), known)


def _read(
    late: Outcome, value: Any, worth: bool | None, lacking: tuple[Need, ...], unit: Unit,
    limit: float, at: str, word: str, words: str, path: str, what: str,
) -> tuple[Outcome, Reasons]:  # fmt: skip
    if worth is True:
        return MET, NO_REASONS
    if worth is False:
        right = f"{at} {shown(limit, unit)}"
        fact = Fact(words, _found(value, unit), right, _margin(value, limit, unit, word))
        return NOT_MET, ((fact,), ())
    return late, ((), lacking or (_need(path, _why_unknown(value, unit), what, unit),))


def _isolators(isolators: Any, of_job: _Subject) -> None:
    if not isolators:
        what = 'DC isolators of the job, or "none" if there are none'
        _nothing(of_job, ("isolator-lockable",), isolators, "dc_isolators", what)
        return
    for isolator in isolators:
        of, lockable = of_job.another(isolator), isolator.get("lockable")
        if lockable is None:
            need = Need("isolator.lockable", "missing", f"lockable of {of.name}")
            of.tell("isolator-lockable", of.late, ((), (need,)))
        elif lockable:
            of.tell("isolator-lockable", MET, NO_REASONS)
        else:
            of.tell("isolator-lockable", NOT_MET, ((Fact("lockable", "no", "yes"),), ()))


def _circuits(circuits: Any, of_job: _Subject) -> None:
    if not circuits:
        names = ("continuity", "conductor-resistance", "rcd-type", "rcd-residual")
        what = 'circuits of the job, or "none" if there are none'
        _nothing(of_job, names, circuits, "circuits", what)
        return
    for circuit in circuits:
        of = of_job.another(circuit)
        test = circuit.get("continuity")
        _word(of, "continuity", test, "continuous", "circuit")
        test, lacking, known = _test(of, "circuit", test, "continuity", "continuity")
        value = test.get("r1_r2_ohm")
        of.tell("conductor-resistance", *_read(
            of.late, value, at_most(value, 1.67), lacking, OHM, 1.67, "at most", "much",
            "continuity R1 + R2", "circuit.continuity.r1_r2_ohm",
            f"the continuity test of {of.name}: R1 + R2",
        ), known)  # fmt: skip
        rcds = circuit.get("rcd")
        if not rcds:
            _nothing(of, ("rcd-type", "rcd-residual"), rcds, "circuit.rcd", f"RCD of {of.name}")
        for rcd in rcds or ():
            name = f"{of.name} / {rcd['~name']}"
            _rcd(of_job.another(rcd, name), rcd)


def _rcd(of: _Subject, rcd: View) -> None:
    own = rcd["~name"]
    kind, residual, delay = rcd.get("type"), rcd.get("residual_ma"), rcd.get("delay")
    if kind is None:
        of.tell("rcd-type", of.late, ((), (Need("rcd.type", "missing", f"type of {own}"),)))
    elif kind in ("A", "F", "B"):
        of.tell("rcd-type", MET, NO_REASONS)
    else:
        of.tell("rcd-type", NOT_MET, ((Fact("type", kind, "one of A, F, B"),), ()))
    if delay == "delayed":
        of.tell("rcd-residual", NONE, NO_REASONS)
        return
    needs: tuple[Need, ...] = ()
    if delay is None:
        needs = (Need("rcd.delay", "missing", f"delay of {own}"),)
    if residual is None:
        needs += (Need("rcd.residual_ma", "missing", f"residual of {own}, in mA"),)
        of.tell("rcd-residual", of.late, ((), needs))
    elif residual <= 30.0:
        of.tell("rcd-residual", MET, NO_REASONS)
    else:
        right = f"at most {shown(30.0, MA)}"
        fact = Fact("residual", shown(residual, MA), right, _margin(residual, 30.0, MA, "much"))
        of.tell("rcd-residual", NOT_MET if delay is not None else of.late, ((fact,), needs))


def _supply(job: View, of: _Subject) -> None:
    supply = job["site"]["supply"]
    earthing, ze = supply.get("earthing"), supply.get("ze_ohm")
    if earthing is not None and earthing != "TN-C-S":
        of.tell("earthing-resistance", NONE, NO_REASONS)
    else:
        outcome, (facts, needs) = _read(
            of.late, ze, at_most(ze, 0.35), (), OHM, 0.35, "at most", "much",
            "site supply Ze", "site.supply.ze_ohm", "supply Ze of the site",
        )  # fmt: skip
        if earthing is None and outcome is not MET:
            what = "supply earthing of the site"
            needs, outcome = (Need("site.supply.earthing", "missing", what), *needs), of.late
        of.tell("earthing-resistance", outcome, (facts, needs))
    fault = supply.get("prospective_fault_ka")
    of.tell("fault-current", *_read(
        of.late, fault, at_most(fault, 16.0), (), KA, 16.0, "at most", "much",
        "site supply prospective fault", "site.supply.prospective_fault_ka",
        "supply prospective fault of the site",
    ))  # fmt: skip
