"""The forty checks as a good engineer would write them by hand for one purpose: speed.

One pass over each collection, each value read once, plain comparisons where nothing but a
figure can stand, small functions where a reading may be beyond the meter's range. Gives
the same six outcomes as the rule language on the same view, in `numbers` of `CHECKS`.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from benchmarks.records import View
from compliance.electrical.ac import loop_impedance_limit_ohm
from compliance.electrical.dc import (
    cold_open_circuit_voltage_v,
    expected_open_circuit_voltage_v,
    greatest_short_circuit_current_a,
    system_voltage_v,
)
from compliance.errors import OutOfRangeError
from compliance.rules.outcome import Outcome
from compliance.values import NotYet, Over, Partly, Under

MET = Outcome.MET
NOT_MET = Outcome.NOT_MET
NOT_SHOWN = Outcome.NOT_SHOWN
NOT_DUE = Outcome.NOT_DUE
NONE = Outcome.NOT_APPLICABLE
JUDGE = Outcome.FOR_JUDGEMENT

Found = list[tuple[tuple[int, ...], tuple[View, ...], tuple[Outcome, ...]]]
"""Subject by subject, as the engine answers: numbers of checks, entries, outcomes."""
NOTHING: dict[str, Any] = {}
EMPTY: tuple[View, ...] = ()

FROM_INSULATION = date(2016, 1, 1)
FROM_FACTOR = date(2015, 1, 1)
FROM_TRIPPING = date(1990, 1, 1)
FROM_RCD = date(2008, 1, 1)
MULTIPLES = {"B": 5.0, "C": 10.0, "D": 20.0}
RCD_MOST_MS = {"general": 300.0, "delayed": 500.0}
RCD_LEAST_MS = {"general": 0.0, "delayed": 130.0}
CMIN = 0.95

# The numbers of the checks of each sort of subject; below, `o3` is the outcome of number 3.
STRING, ISOLATOR, CIRCUIT = tuple(range(15)), (15, 16, 17), (18, 19, 20, 21, 22, 23)
RCD, INVERTER, PART = (24, 25, 26, 27), (28, 29, 30), (31, 32)
JOB = (33, 34, 35, 36, 37, 38, 39)


def outcomes(job: View, today: date) -> Found:
    """Every check on every subject of a record."""
    found: Found = []
    site = job["site"]
    supply = site["supply"]
    parts = job.get("parts")
    _strings(found, job.get("strings"), site.get("lowest_cell_c"), today)
    _isolators(found, job.get("dc_isolators"), today)
    _circuits(found, job, supply, today)
    _inverters(found, job.get("inverters"), today)
    _parts(found, parts, today)
    _whole_job(found, job, supply, parts or (), today)
    return found


# -- what a value can answer ------------------------------------------------------------


def settled(worth: bool | None, late: Outcome) -> Outcome:
    """The outcome of a condition; `late` is what an unknown becomes for this subject."""
    return MET if worth is True else NOT_MET if worth is False else late


def at_least(value: Any, limit: float) -> bool | None:
    """Whether a reading is at least a limit, both read."""
    kind = value.__class__
    if kind is float:
        return bool(value >= limit)
    if kind is Over:
        return True if value.limit >= limit else None
    if kind is Under:
        return False if value.limit <= limit else None
    return None


def at_most(value: Any, limit: float) -> bool | None:
    """Whether a reading is at most a limit, both read."""
    kind = value.__class__
    if kind is float:
        return bool(value <= limit)
    if kind is Under:
        return True if value.limit <= limit else None
    if kind is Over:
        return False if value.limit >= limit else None
    return None


def at_most_about(value: Any, limit: float | None) -> bool | None:
    """Whether a reading is at most a limit that was worked out."""
    if limit is None:
        return None
    kind = value.__class__
    if kind is float:
        return bool(value - limit <= 1e-9 * abs(limit))
    if kind is Under:
        return True if value.limit <= limit else None
    if kind is Over:
        return False if value.limit >= limit else None
    return None


def comes_by(first: Any, last: Any, today: date) -> bool | None:
    """Whether a day is on or before another; not yet is after today."""
    if first is None or last is None:
        return None
    if first.__class__ is NotYet or last.__class__ is NotYet:
        if first.__class__ is NotYet and isinstance(last, date):
            return False if last.toordinal() <= today.toordinal() else None
        if last.__class__ is NotYet and isinstance(first, date):
            return True if first.toordinal() <= today.toordinal() else None
        return None
    if first.__class__ is last.__class__:
        return bool(first <= last)
    return bool(first.toordinal() <= last.toordinal())


def unknown_for(entry: View | None, today: date) -> Outcome:
    """What an unknown is for an entry: not shown, or not due while its part is not in use."""
    if entry is None:
        return NOT_SHOWN
    own = entry.get("in_use")
    return unknown_by(entry.get("part", NOTHING).get("in_use") if own is None else own, today)


def unknown_by(in_use: Any, today: date) -> Outcome:
    """What an unknown is where something comes into use on this day."""
    if in_use is None:
        return NOT_SHOWN
    if in_use.__class__ is NotYet or _whole_day(in_use) > today:
        return NOT_DUE
    return NOT_SHOWN


def _whole_day(moment: date) -> date:
    return moment.date() if isinstance(moment, datetime) else moment


def _designed(entry: View, today: date) -> date:
    day = entry["part"].get("designed") if "part" in entry else None
    return _whole_day(day) if isinstance(day, date) else today


def _missing(found: Found, numbers: tuple[int, ...], items: Any, late: Outcome) -> bool:
    """Says of each check that a collection is unknown or empty."""
    if items:
        return False
    outcome = NONE if items is not None else late
    found.append((numbers, (), (outcome,) * len(numbers)))
    return True


def unknown_for_all(parts: Any, today: date) -> Outcome:
    if not parts:
        return NOT_SHOWN
    for part in parts:
        if unknown_by(part.get("in_use"), today) is not NOT_DUE:
            return NOT_SHOWN
    return NOT_DUE


# -- strings ----------------------------------------------------------------------------


def _strings(found: Found, strings: Any, lowest_c: Any, today: date) -> None:
    if _missing(found, STRING, strings, NOT_SHOWN):
        return
    for string in strings:
        part = string["part"]
        in_use = part.get("in_use")
        late = unknown_by(in_use, today)
        module = string.get("modules") or NOTHING
        in_series, parallel = string.get("in_series"), string.get("parallel")
        voc, slope = module.get("voc_v"), module.get("voc_coefficient_percent_per_k")
        system_v = _system_v(in_series, voc)
        cold_v = _cold_v(in_series, voc, slope, lowest_c)

        test = string.get("polarity")
        result = test.get("result") if test.__class__ is dict else None
        o0 = late if result is None else MET if result == "correct" else NOT_MET

        test = string.get("insulation")
        if test.__class__ is not dict:
            test = NOTHING
        least = _insulation_megohm(system_v, _designed(string, today))
        positive, negative = test.get("positive_earth_megohm"), test.get("negative_earth_megohm")
        o1 = settled(_insulated(positive, least), late)
        o2 = settled(_insulated(negative, least), late)
        voltage, made = test.get("test_voltage_v"), test.get("on")
        if system_v is not None and system_v - 120.0 < -1e-9 * abs(system_v):
            o3 = NONE
        elif voltage is None:
            o3 = late
        elif voltage in (500.0, 1000.0):
            o3 = MET
        else:
            o3 = NOT_MET if system_v is not None else late
        o4 = settled(comes_by(made, in_use, today), late)
        due = test["instrument"].get("calibration_due") if "instrument" in test else None
        o5 = settled(comes_by(made, due, today), late)

        o6 = settled(_below(cold_v, module.get("max_system_voltage_v")), late)
        inverter = string["input"].get("inverter") or NOTHING
        o7 = settled(_below(cold_v, inverter.get("max_input_v")), late)

        test = string.get("open_circuit_voltage")
        if test.__class__ is not dict:
            test = NOTHING
        light, cell_c = test.get("irradiance_w_m2"), test.get("cell_c")
        expected_v = _expected_v(in_series, voc, slope, cell_c, light)
        o8 = settled(_as_expected(test.get("value_v"), expected_v), late)
        o9 = settled(at_least(light, 200.0), late)

        isolators = string.get("isolators")
        o10 = settled(_breaks_both(isolators), late)
        current_a = _greatest_a(parallel, module.get("isc_a"))
        o11 = settled(_all_carry(isolators, "rated_a", current_a), late)
        o12 = settled(_all_carry(isolators, "rated_v", cold_v), late)

        if in_series is None or parallel is None:
            o13 = late
        else:
            count = in_series * parallel
            o13 = MET if count - 40.0 <= 1e-9 * 40.0 else NOT_MET
        o14 = MET if string.get("face") is not None else late
        found.append(
            (STRING, (string,),
             (o0, o1, o2, o3, o4, o5, o6, o7, o8, o9, o10, o11, o12, o13, o14))
        )  # fmt: skip


def _system_v(in_series: Any, voc: Any) -> float | None:
    if in_series is None or voc is None:
        return None
    try:
        return system_voltage_v(in_series, voc)
    except OutOfRangeError:
        return None


def _cold_v(in_series: Any, voc: Any, slope: Any, lowest_c: Any) -> float | None:
    if in_series is None or voc is None or slope is None or lowest_c is None:
        return None
    try:
        return cold_open_circuit_voltage_v(in_series, voc, slope, lowest_c)
    except OutOfRangeError:
        return None


def _expected_v(in_series: Any, voc: Any, slope: Any, cell_c: Any, light: Any) -> float | None:
    if in_series is None or voc is None or slope is None:
        return None
    if cell_c.__class__ is not float or light.__class__ is not float:
        return None
    try:
        return expected_open_circuit_voltage_v(in_series, voc, slope, cell_c, light)
    except OutOfRangeError:
        return None


def _greatest_a(parallel: Any, isc: Any) -> float | None:
    if parallel is None or isc is None:
        return None
    try:
        return greatest_short_circuit_current_a(parallel, isc)
    except OutOfRangeError:
        return None


def _insulation_megohm(system_v: float | None, day: date) -> tuple[float, float] | None:
    """The least and greatest limit that could apply; None before there was one."""
    if day < FROM_INSULATION:
        return None
    if system_v is None:
        return (0.5, 1.0)
    return (0.5, 0.5) if system_v < 120.0 else (1.0, 1.0)


def _insulated(value: Any, limits: tuple[float, float] | None) -> bool | None:
    if limits is None or value is None:
        return None
    least, most = limits
    if value.__class__ is float and least != most:
        return True if value >= most else False if value < least else None
    return at_least(value, most if value.__class__ is Over else least)


def _below(worked: float | None, limit: float | None) -> bool | None:
    if worked is None or limit is None:
        return None
    return worked - limit <= 1e-9 * abs(limit)


def _as_expected(value: Any, expected: float | None) -> bool | None:
    if value is None or expected is None:
        return None
    allowed = 5.0 * 0.01 * expected
    if value.__class__ is float:
        return bool(abs(value - expected) - allowed <= 1e-9 * allowed)
    if value.__class__ is Over:
        return False if value.limit - expected >= allowed else None
    if value.__class__ is Under:
        return False if expected - value.limit >= allowed else None
    return None


def _breaks_both(isolators: Any) -> bool | None:
    if isolators is None:
        return None
    worth: bool | None = False
    for isolator in isolators:
        positive, negative = isolator.get("breaks_positive"), isolator.get("breaks_negative")
        if positive is not None and negative is not None:
            if positive >= 1.0 and negative >= 1.0:
                return True
        elif not (positive is not None and positive < 1.0) and not (
            negative is not None and negative < 1.0
        ):
            worth = None
    return worth


def _all_carry(isolators: Any, field: str, least: float | None) -> bool | None:
    if isolators is None:
        return None
    worth: bool | None = True
    for isolator in isolators:
        rated = isolator.get(field)
        if rated is None or least is None:
            worth = None
        elif least - rated > 1e-9 * abs(rated):
            return False
    return worth


# -- isolators --------------------------------------------------------------------------


def _isolators(found: Found, isolators: Any, today: date) -> None:
    if _missing(found, ISOLATOR, isolators, NOT_SHOWN):
        return
    for isolator in isolators:
        late = unknown_for(isolator, today)
        o15 = settled(isolator.get("lockable"), late)
        o16 = settled(_any_label(isolator.get("labels")), late)
        o17 = settled(_not_shared(isolator.get("serves")), late)
        found.append((ISOLATOR, (isolator,), (o15, o16, o17)))


def _not_shared(serves: Any) -> bool | None:
    if serves is None:
        return None
    sure = unsure = 0
    for string in serves:
        parallel = string.get("parallel")
        if parallel is None:
            unsure += 1
        elif parallel >= 1.0:
            sure += 1
    return True if sure + unsure <= 2 else False if sure > 2 else None


def _any_label(labels: Any) -> bool | None:
    if labels is None:
        return None
    worth: bool | None = False
    for label in labels:
        kind = label.get("kind")
        if kind == "dc isolator":
            return True
        if kind is None:
            worth = None
    return None if worth is False and labels.__class__ is Partly else worth


# -- circuits ---------------------------------------------------------------------------


def _circuits(found: Found, job: View, supply: View, today: date) -> None:
    circuits: Any = job.get("circuits")
    if _missing(found, CIRCUIT + RCD, circuits, NOT_SHOWN):
        return
    earthing, nominal_v = supply.get("earthing"), supply.get("nominal_v")
    table_day = min(
        (_whole_day(d) for p in job.get("parts") or () if isinstance(d := p.get("designed"), date)),
        default=today,
    )
    for circuit in circuits:
        late = unknown_for(circuit, today)
        device = circuit["device"]
        rated = device.get("rated_a")
        rcds = circuit.get("rcd")
        protects = _rcd_protects(rcds)

        test = circuit.get("loop_impedance")
        zs = test.get("zs_ohm") if test.__class__ is dict else None
        kind = device.get("kind")
        if kind is not None and kind != "circuit-breaker":
            o18 = o19 = NONE
        else:
            is_breaker = None if kind is None else True
            limit = _loop_limit(nominal_v, device.get("curve"), rated, table_day)
            o18 = _otherwise(is_breaker, at_most_about(zs, limit), protects, late)
            cold = None if limit is None else 0.8 * limit
            o19 = _otherwise(is_breaker, at_most_about(zs, cold), protects, late)
        if earthing is not None and earthing != "TT":
            o20 = NONE
        else:
            is_tt = None if earthing is None else True
            o20 = _otherwise(is_tt, at_most(zs, 200.0), protects, late)

        test = circuit.get("continuity")
        if test.__class__ is not dict:
            test = NOTHING
        result = test.get("result")
        o21 = late if result is None else MET if result == "continuous" else NOT_MET
        o22 = settled(at_most(test.get("r1_r2_ohm"), 1.67), late)

        power = (circuit.get("feeds") or NOTHING).get("rated_kw")
        if rated is None or nominal_v is None or power is None:
            o23 = late
        else:
            watts, least = rated * nominal_v, power * 1000.0
            o23 = MET if least - watts <= 1e-9 * abs(watts) else NOT_MET
        found.append((CIRCUIT, (circuit,), (o18, o19, o20, o21, o22, o23)))
        _rcds(found, circuit, rcds, late, today)


def _loop_limit(nominal_v: Any, curve: Any, rated: Any, day: date) -> float | None:
    if nominal_v is None or curve is None or rated is None or day < FROM_FACTOR:
        return None
    try:
        return loop_impedance_limit_ohm(MULTIPLES[curve], rated, nominal_v, CMIN)
    except OutOfRangeError:
        return None


def _rcd_protects(rcds: Any) -> bool | None:
    if rcds is None:
        return None
    worth: bool | None = False
    for rcd in rcds:
        residual = rcd.get("residual_ma")
        if residual is None:
            worth = None
        elif residual <= 30.0:
            return True
    return worth


def _otherwise(
    applies: bool | None, worth: bool | None, way: bool | None, late: Outcome
) -> Outcome:
    """A condition that another way may stand in for where it is unknown."""
    if worth is None:
        worth = way
    if worth is True:
        return MET
    return NOT_MET if worth is False and applies else late


def _rcds(found: Found, circuit: View, rcds: Any, late: Outcome, today: date) -> None:
    if not rcds:
        outcome = NONE if rcds is not None else late
        found.append((RCD, (circuit,), (outcome,) * 4))
        return
    test = circuit.get("rcd_time")
    time = test.get("time_ms") if test.__class__ is dict else None
    for rcd in rcds:
        late = unknown_for(rcd, today)
        kind, residual, delay = rcd.get("type"), rcd.get("residual_ma"), rcd.get("delay")
        o24 = late if kind is None else MET if kind in ("A", "F", "B") else NOT_MET
        if delay == "delayed":
            o25 = NONE
        elif residual is None:
            o25 = late
        elif residual <= 30.0:
            o25 = MET
        else:
            o25 = NOT_MET if delay is not None else late
        if time is None or _designed(rcd, today) < FROM_RCD:
            o26 = o27 = late
        elif delay is not None:
            o26 = settled(at_most(time, RCD_MOST_MS[delay]), late)
            o27 = settled(at_least(time, RCD_LEAST_MS[delay]), late)
        else:
            least, most = at_most(time, 300.0), at_most(time, 500.0)
            o26 = MET if least else NOT_MET if most is False else late
            least, most = at_least(time, 0.0), at_least(time, 130.0)
            o27 = MET if most else NOT_MET if least is False else late
        found.append((RCD, (circuit, rcd), (o24, o25, o26, o27)))


# -- inverters, parts, the job ------------------------------------------------------------


def _inverters(found: Found, inverters: Any, today: date) -> None:
    if _missing(found, INVERTER, inverters, NOT_SHOWN):
        return
    for inverter in inverters:
        late = unknown_for(inverter, today)
        strings = inverter.get("strings")
        o28 = settled(_few_modules(strings), late)
        o29 = settled(_small_current(strings), late)
        o30 = settled(_any_lockable(inverter.get("isolators")), late)
        found.append((INVERTER, (inverter,), (o28, o29, o30)))


def _few_modules(strings: Any) -> bool | None:
    if strings is None or (strings.__class__ is Partly and strings.perhaps):
        return None
    total = 0.0
    for string in strings:
        in_series, parallel = string.get("in_series"), string.get("parallel")
        if in_series is None or parallel is None:
            return None
        total += in_series * parallel
    return total - 60.0 <= 1e-9 * 60.0


def _small_current(strings: Any) -> bool | None:
    if strings is None:
        return None
    worth: bool | None = None if strings.__class__ is Partly and strings.perhaps else True
    for string in strings:
        isc = (string.get("modules") or NOTHING).get("isc_a")
        if isc is None:
            worth = None
        elif isc - 16.0 > 1e-9 * 16.0:
            return False if strings.__class__ is list else None
    return worth


def _any_lockable(isolators: Any) -> bool | None:
    if isolators is None:
        return None
    worth: bool | None = False
    for isolator in isolators:
        lockable = isolator.get("lockable")
        if lockable:
            return True
        if lockable is None:
            worth = None
    return worth


def _parts(found: Found, parts: Any, today: date) -> None:
    if _missing(found, PART, parts, NOT_SHOWN):
        return
    for part in parts:
        in_use, handed_over = part.get("in_use"), part.get("handed_over")
        late = unknown_by(in_use, today)
        o31 = settled(comes_by(part.get("designed"), part.get("started"), today), late)
        kind = part.get("kind")
        if kind is not None and kind not in ("array", "inverter"):
            o32 = NONE
        else:
            worth = _soon(in_use, handed_over, today)
            if worth is False and kind is None:
                worth = None
            o32 = settled(worth, late)
        found.append((PART, (part,), (o31, o32)))


def _soon(first: Any, last: Any, today: date) -> bool | None:
    """Whether 28 days or fewer lie between two days."""
    if isinstance(first, date) and isinstance(last, date):
        return last.toordinal() - first.toordinal() <= 28
    if isinstance(first, date) and last.__class__ is NotYet:
        return False if today.toordinal() - first.toordinal() >= 28 else None
    if first.__class__ is NotYet and isinstance(last, date):
        return True if last.toordinal() - today.toordinal() <= 28 else None
    return None


def _whole_job(found: Found, job: View, supply: View, parts: Any, today: date) -> None:
    late = unknown_for_all(parts, today)
    labels = job.get("labels")
    o33 = settled(_two_supplies(labels), late)
    o34 = settled(_cable_route(labels), late)
    o35 = settled(_serials_differ(job.get("inverters")), late)
    earthing, ze = supply.get("earthing"), supply.get("ze_ohm")
    if earthing is not None and earthing != "TN-C-S":
        o36 = NONE
    else:
        worth = at_most(ze, 0.35)
        if worth is False and earthing is None:
            worth = None
        o36 = settled(worth, late)
    o37 = settled(at_most(supply.get("prospective_fault_ka"), 16.0), late)
    ends = False
    for visit in job.get("visits") or ():
        if visit["left"].get("dc_ends") == "insulated":
            ends = True
            break
    is_none = "visits" in job and not job["visits"]
    o38 = MET if ends else NOT_MET if is_none else late
    arrays = sum(part.get("kind") == "array" for part in parts)
    open_kinds = sum(part.get("kind") is None for part in parts)
    if "parts" not in job or (not arrays and open_kinds):
        o39 = late
    elif not arrays:
        o39 = NONE
    else:
        o39 = NOT_DUE if late is NOT_DUE else JUDGE
    found.append((JOB, EMPTY, (o33, o34, o35, o36, o37, o38, o39)))


def _two_supplies(labels: Any) -> bool | None:
    if labels is None:
        return None
    worth: bool | None = False
    for label in labels:
        kind, place = label.get("kind"), label.get("place")
        if kind == "two supplies" and place == "origin":
            return True
        if kind in (None, "two supplies") and place in (None, "origin"):
            worth = None
    return worth


def _cable_route(labels: Any) -> bool | None:
    if labels is None:
        return None
    worth: bool | None = True
    for label in labels:
        kind, place = label.get("kind"), label.get("place")
        if kind == "live in daylight" or (place is not None and place != "cable route"):
            continue
        if kind is not None and place is not None:
            return False
        worth = None
    return worth


def _serials_differ(inverters: Any) -> bool | None:
    if inverters is None:
        return None
    serials = [i.get("serial") for i in inverters]
    known = [s for s in serials if s is not None]
    if len(set(known)) < len(known):
        return False
    return None if len(known) < len(serials) and len(serials) > 1 else True
