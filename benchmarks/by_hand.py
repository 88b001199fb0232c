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

Found = list[tuple[int, tuple[View, ...], Outcome]]
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


def _missing(found: Found, numbers: range, items: Any, late: Outcome) -> bool:
    """Says once for each check that a collection is unknown or empty."""
    if items:
        return False
    outcome = NONE if items is not None else late
    for number in numbers:
        found.append((number, (), outcome))
    return True


def _unknown_for_all(parts: Any, today: date) -> Outcome:
    if not parts:
        return NOT_SHOWN
    for part in parts:
        if unknown_by(part.get("in_use"), today) is not NOT_DUE:
            return NOT_SHOWN
    return NOT_DUE


# -- strings ----------------------------------------------------------------------------


def _strings(found: Found, strings: Any, lowest_c: Any, today: date) -> None:
    if _missing(found, range(15), strings, NOT_SHOWN):
        return
    put = found.append
    for string in strings:
        about = (string,)
        part = string["part"]
        in_use = part.get("in_use")
        late = unknown_by(in_use, today)
        module = string.get("modules") or NOTHING
        in_series, parallel = string.get("in_series"), string.get("parallel")
        voc, slope = module.get("voc_v"), module.get("voc_coefficient_percent_per_k")
        system_v = None if in_series is None or voc is None else in_series * voc * 1.25
        cold_v = _cold_v(in_series, voc, slope, lowest_c)

        test = string.get("polarity")
        result = test.get("result") if test.__class__ is dict else None
        put((0, about, late if result is None else MET if result == "correct" else NOT_MET))

        test = string.get("insulation")
        if test.__class__ is not dict:
            test = NOTHING
        least = _insulation_megohm(system_v, _designed(string, today))
        positive, negative = test.get("positive_earth_megohm"), test.get("negative_earth_megohm")
        put((1, about, settled(_insulated(positive, least), late)))
        put((2, about, settled(_insulated(negative, least), late)))
        voltage, made = test.get("test_voltage_v"), test.get("on")
        if system_v is not None and system_v - 120.0 < -1e-9 * abs(system_v):
            put((3, about, NONE))
        elif voltage is None:
            put((3, about, late))
        elif voltage in (500.0, 1000.0):
            put((3, about, MET))
        else:
            put((3, about, NOT_MET if system_v is not None else late))
        put((4, about, settled(comes_by(made, in_use, today), late)))
        due = test["instrument"].get("calibration_due") if "instrument" in test else None
        put((5, about, settled(comes_by(made, due, today), late)))

        put((6, about, settled(_below(cold_v, module.get("max_system_voltage_v")), late)))
        inverter = string["input"].get("inverter") or NOTHING
        put((7, about, settled(_below(cold_v, inverter.get("max_input_v")), late)))

        test = string.get("open_circuit_voltage")
        if test.__class__ is not dict:
            test = NOTHING
        light, cell_c = test.get("irradiance_w_m2"), test.get("cell_c")
        expected_v = _expected_v(in_series, voc, slope, cell_c, light)
        put((8, about, settled(_as_expected(test.get("value_v"), expected_v), late)))
        put((9, about, settled(at_least(light, 200.0), late)))

        isolators = string.get("isolators")
        put((10, about, settled(_breaks_both(isolators), late)))
        current_a = _greatest_a(parallel, module.get("isc_a"))
        put((11, about, settled(_all_carry(isolators, "rated_a", current_a), late)))
        put((12, about, settled(_all_carry(isolators, "rated_v", cold_v), late)))

        if in_series is None or parallel is None:
            put((13, about, late))
        else:
            count = in_series * parallel
            put((13, about, MET if count - 40.0 <= 1e-9 * 40.0 else NOT_MET))
        put((14, about, MET if string.get("face") is not None else late))


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
    if _missing(found, range(15, 18), isolators, NOT_SHOWN):
        return
    for isolator in isolators:
        about = (isolator,)
        late = unknown_for(isolator, today)
        found.append((15, about, settled(isolator.get("lockable"), late)))
        found.append((16, about, settled(_any_label(isolator.get("labels")), late)))
        serves = isolator.get("serves")
        if serves is None:
            found.append((17, about, late))
            continue
        sure = unsure = 0
        for string in serves:
            parallel = string.get("parallel")
            if parallel is None:
                unsure += 1
            elif parallel >= 1.0:
                sure += 1
        worth = True if sure + unsure <= 2 else False if sure > 2 else None
        found.append((17, about, settled(worth, late)))


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
    if _missing(found, range(18, 28), circuits, NOT_SHOWN):
        return
    put = found.append
    earthing, nominal_v = supply.get("earthing"), supply.get("nominal_v")
    table_day = min(
        (_whole_day(d) for p in job.get("parts") or () if isinstance(d := p.get("designed"), date)),
        default=today,
    )
    for circuit in circuits:
        about = (circuit,)
        late = unknown_for(circuit, today)
        device = circuit["device"]
        rated = device.get("rated_a")
        rcds = circuit.get("rcd")
        protects = _rcd_protects(rcds)

        test = circuit.get("loop_impedance")
        zs = test.get("zs_ohm") if test.__class__ is dict else None
        kind = device.get("kind")
        if kind is not None and kind != "circuit-breaker":
            put((18, about, NONE))
            put((19, about, NONE))
        else:
            is_breaker = None if kind is None else True
            limit = _loop_limit(nominal_v, device.get("curve"), rated, table_day)
            put((18, about, _otherwise(is_breaker, at_most_about(zs, limit), protects, late)))
            cold = None if limit is None else 0.8 * limit
            put((19, about, _otherwise(is_breaker, at_most_about(zs, cold), protects, late)))
        if earthing is not None and earthing != "TT":
            put((20, about, NONE))
        else:
            is_tt = None if earthing is None else True
            put((20, about, _otherwise(is_tt, at_most(zs, 200.0), protects, late)))

        test = circuit.get("continuity")
        if test.__class__ is not dict:
            test = NOTHING
        result = test.get("result")
        put((21, about, late if result is None else MET if result == "continuous" else NOT_MET))
        put((22, about, settled(at_most(test.get("r1_r2_ohm"), 1.67), late)))

        power = (circuit.get("feeds") or NOTHING).get("rated_kw")
        if rated is None or nominal_v is None or power is None:
            put((23, about, late))
        else:
            watts, least = rated * nominal_v, power * 1000.0
            put((23, about, MET if least - watts <= 1e-9 * abs(watts) else NOT_MET))
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
    put = found.append
    if not rcds:
        about: tuple[View, ...] = (circuit,)
        outcome = NONE if rcds is not None else late
        for number in range(24, 28):
            put((number, about, outcome))
        return
    test = circuit.get("rcd_time")
    time = test.get("time_ms") if test.__class__ is dict else None
    for rcd in rcds:
        about = (circuit, rcd)
        late = unknown_for(rcd, today)
        kind, residual, delay = rcd.get("type"), rcd.get("residual_ma"), rcd.get("delay")
        put((24, about, late if kind is None else MET if kind in ("A", "F", "B") else NOT_MET))
        if delay == "delayed":
            put((25, about, NONE))
        elif residual is None:
            put((25, about, late))
        elif residual <= 30.0:
            put((25, about, MET))
        else:
            put((25, about, NOT_MET if delay is not None else late))
        if time is None or _designed(rcd, today) < FROM_RCD:
            put((26, about, late))
            put((27, about, late))
        elif delay is not None:
            put((26, about, settled(at_most(time, RCD_MOST_MS[delay]), late)))
            put((27, about, settled(at_least(time, RCD_LEAST_MS[delay]), late)))
        else:
            least, most = at_most(time, 300.0), at_most(time, 500.0)
            put((26, about, MET if least else NOT_MET if most is False else late))
            least, most = at_least(time, 0.0), at_least(time, 130.0)
            put((27, about, MET if most else NOT_MET if least is False else late))


# -- inverters, parts, the job ------------------------------------------------------------


def _inverters(found: Found, inverters: Any, today: date) -> None:
    if _missing(found, range(28, 31), inverters, NOT_SHOWN):
        return
    for inverter in inverters:
        about = (inverter,)
        late = unknown_for(inverter, today)
        strings = inverter.get("strings")
        found.append((28, about, settled(_few_modules(strings), late)))
        found.append((29, about, settled(_small_current(strings), late)))
        found.append((30, about, settled(_any_lockable(inverter.get("isolators")), late)))


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
    if _missing(found, range(31, 33), parts, NOT_SHOWN):
        return
    for part in parts:
        about = (part,)
        in_use, handed_over = part.get("in_use"), part.get("handed_over")
        late = unknown_by(in_use, today)
        worth = comes_by(part.get("designed"), part.get("started"), today)
        found.append((31, about, settled(worth, late)))
        kind = part.get("kind")
        if kind is not None and kind not in ("array", "inverter"):
            found.append((32, about, NONE))
            continue
        worth = _soon(in_use, handed_over, today)
        if worth is False and kind is None:
            worth = None
        found.append((32, about, settled(worth, late)))


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
    put = found.append
    late = _unknown_for_all(parts, today)
    labels = job.get("labels")
    put((33, EMPTY, settled(_two_supplies(labels), late)))
    put((34, EMPTY, settled(_cable_route(labels), late)))
    put((35, EMPTY, settled(_serials_differ(job.get("inverters")), late)))
    earthing, ze = supply.get("earthing"), supply.get("ze_ohm")
    if earthing is not None and earthing != "TN-C-S":
        put((36, EMPTY, NONE))
    else:
        worth = at_most(ze, 0.35)
        if worth is False and earthing is None:
            worth = None
        put((36, EMPTY, settled(worth, late)))
    put((37, EMPTY, settled(at_most(supply.get("prospective_fault_ka"), 16.0), late)))
    ends = False
    for visit in job.get("visits") or ():
        if visit["left"].get("dc_ends") == "insulated":
            ends = True
            break
    is_none = "visits" in job and not job["visits"]
    put((38, EMPTY, MET if ends else NOT_MET if is_none else late))
    arrays = sum(part.get("kind") == "array" for part in parts)
    open_kinds = sum(part.get("kind") is None for part in parts)
    if "parts" not in job or (not arrays and open_kinds):
        put((39, EMPTY, late))
    elif not arrays:
        put((39, EMPTY, NONE))
    else:
        put((39, EMPTY, NOT_DUE if late is NOT_DUE else JUDGE))


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
