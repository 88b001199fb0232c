"""What the commissioning and test report receives: the record's facts as rows of text.

Nothing is decided here; what would be right of a reading comes from the findings.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import astuple
from datetime import date
from typing import Any

from compliance.documents.data import day, working_views
from compliance.documents.gaps import alike
from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.evidence import Seen
from compliance.record.evidence import EVIDENCE_KINDS
from compliance.rules.job import Job
from compliance.rules.language.explain import plain_name, written
from compliance.rules.outcome import NO_PERMISSION, Finding
from compliance.rules.points import whole_day
from compliance.rules.wanted import Wanted
from compliance.units import COUNT, find
from compliance.values import NotTaken

Entry = Mapping[str, Any]

NOT_SAID = "not recorded"
_SO_OR_NOT = {
    "both_ways": ("for current both ways", "for current one way only"),
    "barrier_layer": ("with a barrier layer", "without a barrier layer"),
    "built_in": ("built into the inverter", "apart from the inverter"),
    "circuits_behind_rcds": ("each circuit behind an RCD", "a circuit behind no RCD"),
    "island_mode": ("can run as an island", "cannot run as an island"),
    "lasting": ("lasting", "not lasting"),
    "lockable": ("lockable", "not lockable"),
    "plugs_beside": ("plug connectors beside it", "no plug connectors beside it"),
    "used_outdoors": ("for a car outdoors", "for a car indoors only"),
    "vehicle_gives_back": ("a car can give back", "a car only takes"),
}
STRING = ("in_series", "parallel", "face", "yield_kwh_per_kw", "shaded_segments")
CABLE = ("insulation", "size_mm2", "protective_mm2", "method", "tabulated_a", "ambient_c",
         "grouped")  # fmt: skip
NO_READINGS = frozenset({"test", "batch", "on", "by", "instrument", "known", "after", "of",
                         "not_taken", "part"})  # fmt: skip


def commissioning_values(job: Job) -> dict[str, Any]:
    """The values of `commissioning-test-report.md.j2`."""
    checked = job.checked
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": said(job.view["site"], "address", ""),
        "firm": firm(job.view),
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
        "rulesets": (*checked.rulesets, *checked.uncovered),
        "open_gaps": list(_open_gaps(checked.gaps)),
        "not_taken": list(_not_taken(job)),
        "has_like_strings": bool(job.like_strings()),
        "has_then_and_now": bool(job.then_and_now()),
        "workings": working_views(checked.workings),
    }


def commissioning_tables(job: Job) -> dict[str, Table]:
    """The tables of `commissioning-test-report.md.j2`."""
    view, wanted = job.view, job.wanted()
    rows: Mapping[str, Iterable[Sequence[str]]] = {
        "system": _system(view),
        "part-dates": _part_dates(view),
        "visits": _visits(view),
        "people": _people(view),
        "instruments": _instruments(view),
        "string-readings": readings(view.get("strings", ()), wanted),
        "circuit-readings": readings(view.get("circuits", ()), wanted),
        "equipment-readings": readings(equipment(view), wanted),
        "like-strings": [astuple(one) for one in job.like_strings()],
        "then-and-now": [astuple(one) for one in job.then_and_now()],
        "alterations": _alterations(view),
        "isolators": _isolators(view),
        "labels": _labels(view),
        "departures": _departures(view),
        "evidence": _evidence(job),
    }
    return {name: shaped(name, table) for name, table in rows.items()}


def firm(view: Entry) -> str:
    """The firm with what it is reached by, on one line."""
    organisation = view["organisation"]
    known = [organisation.get(field) for field in ("name", "address", "phone")]
    return ", ".join(text for text in known if text)


def said(entry: Entry, field: str, otherwise: str = NOT_SAID) -> str:
    """A field as people read it, with its unit; or that it is not recorded."""
    value = entry.get(field)
    return otherwise if value is None else written(value, find(field))


def named(entry: Entry | None) -> str:
    """A person or thing by its name."""
    return NOT_SAID if entry is None else str(entry.get("name", entry["~name"]))


def shown_by(view: Entry, *names: str, kinds: Container[str] = EVIDENCE_KINDS) -> str:
    """The short names of the evidence of some kinds about any of these entries."""
    items = [
        item["~name"]
        for item in view.get("evidence", ())
        if set(names) & set(item["about"]) and item["kind"] in kinds
    ]
    return ", ".join(items) or "none"


def _open_gaps(gaps: Iterable[Finding]) -> Iterator[str]:
    for gap, subjects in alike(gap for gap in gaps if gap.holds_something_up):
        yield f"{gap.title}: {', '.join(subjects)} ({gap.outcome}), holds up {gap.holds_up}"


# -- tables -----------------------------------------------------------------------------


def _system(view: Entry) -> Iterator[tuple[str, str]]:
    yield "Customer", said(view["customer"], "name")
    if "designed_to" in view:
        yield "Designed to", ", ".join(view["designed_to"])
    supply = view["site"]["supply"]
    yield "Supply", several(supply, "phases", "nominal_v", "earthing", "ze_ohm",
                            "prospective_fault_ka", "fuse_a", "demand_a", "neutral_mm2",
                            "tails_mm2", "earthing_mm2")  # fmt: skip
    yield from _bonds_and_board(view)
    for component in view.get("components", ()):
        made = " ".join(component.get(f, "") for f in ("maker", "model")).strip()
        figures = [f for f in component if f not in ("maker", "model", "category", "part")]
        yield (
            f"{component['category'].capitalize()} {component['~name']}",
            "; ".join(x for x in (made or NOT_SAID, several(component, *figures)) if x),
        )
    for string in view.get("strings", ()):
        modules = string.get("modules", {}).get("~name", NOT_SAID)
        inverter = string["input"].get("inverter", {}).get("~name", NOT_SAID)
        tracker = said(string["input"], "tracker")
        yield (
            f"String {string['~name']}",
            f"modules {modules}; {several(string, *STRING)}; "
            f"to {inverter}, input {tracker}{fuse_of(string)}",
        )
    for junction in view.get("junctions", ()):
        yield f"Junction {junction['~name']}", said(junction, "place")
    for circuit in view.get("circuits", ()):
        feeds = circuit.get("feeds", {}).get("~name", NOT_SAID)
        way = "to" if circuit.get("feeds", {}).get("category") == "charger" else "from"
        device = several(circuit["device"], "kind", "curve", "rated_a", "breaking_ka", "both_ways")
        faults = f"; earth faults disconnected by {said(circuit, 'disconnected_by')}"
        cable = "; ".join(
            x for x in (several(circuit["cable"], *CABLE), several(circuit, "length_m")) if x
        )
        yield (
            f"Circuit {circuit['~name']}",
            f"{said(circuit, 'board')}; {way} {feeds}; {device}"
            + rcd_of(circuit)
            + faults
            + (f"; cable {cable}" if cable else "; cable not recorded"),
        )
    for inverter in view.get("inverters", ()):
        if inverter.get("island_mode"):
            said_of = several(inverter["island"], *inverter["island"])
            yield f"{inverter['~name']}, without the network", said_of or NOT_SAID
    for charger in view.get("chargers", ()):
        yield (
            f"{charger['~name']}, neutral and earth of the supply broken",
            several(charger["open_pen"], *charger["open_pen"]) or NOT_SAID,
        )
    yield from _surge_and_cables(view)
    yield from _found_before(view)


def _bonds_and_board(view: Entry) -> Iterator[tuple[str, str]]:
    """What the supply is bonded to, the board, and what the network operator agreed to."""
    if "bonds" in view:
        told = [f"{bond['~name']} {said(bond, 'size_mm2')}" for bond in view["bonds"]]
        yield "Main bonds", ", ".join(told) or "none"
    site = view["site"]
    board = several(site["board"], "rated_a", "sources")
    if board:
        yield "Board", board
    if "capacity_kw" in site["agreement"]:
        agreed = several(site["agreement"], "capacity_kw", "on", "export_kw")
        yield "Network operator agreed", agreed
    for limiter in view.get("export_limiters", ()):
        shown = several(limiter, "set_kw", "tried", "without_signal")
        yield f"Export limiter {limiter['~name']}", shown or NOT_SAID
    for part in view.get("parts", ()):
        roof = several(part, "structure", "roof_dead_kg_m2")
        if roof:
            yield f"Roof under {part['~name']}", roof


def _found_before(view: Entry) -> Iterator[tuple[str, str]]:
    """What was there before the work: materials that it disturbed, an array that earns a tariff."""
    for material in view.get("disturbed", ()):
        yield (
            f"Material disturbed, {material['~name']}",
            f"{said(material, 'what')}; asbestos: {said(material, 'asbestos')}"
            + "".join(f"; {f}: {material[f]}" for f in ("sample", "plan") if f in material),
        )
    for old in view.get("tariffs", ()):
        yield (
            f"Tariff paid for {said(old, 'array')}",
            f"by {said(old, 'licensee')}, told {said(old, 'told_on')}; generation meter "
            f"{said(old, 'generation_meter')}, {said(old, 'generation_kwh')} on "
            f"{said(old, 'read_on')}",
        )


def _surge_and_cables(view: Entry) -> Iterator[tuple[str, str]]:
    for device in view.get("surge", ()):
        yield (
            f"Surge device {device['~name']} ({device['side'].upper()})",
            several(device, "place", "type", "continuous_v", "protection_level_kv", "indicator")
            or NOT_SAID,
        )
    for cable in view.get("cables", ()):
        yield (
            f"DC cable {cable['~name']}",
            f"{cable['pole']} of {cable['serves']['~name']}; "
            + several(cable, "designation", "size_mm2", "rated_v", "run", "route_m",
                      "containment", "mark_at_array", "mark_at_inverter"),
        )  # fmt: skip


def fuse_of(string: Entry) -> str:
    """The fuses of a string, where the record says whether it has any."""
    if "fuse" not in string:
        return ""
    return f"; fuse {several(string['fuse'][0], 'rated_a')}" if string["fuse"] else "; no fuse"


def rcd_of(circuit: Entry) -> str:
    if "rcd" not in circuit:
        return "; RCD not recorded"
    if not circuit["rcd"]:
        return "; no RCD"
    return "; RCD " + several(circuit["rcd"][0], "type", "residual_ma", "delay", "both_ways")


def equipment(view: Entry) -> Iterator[Entry]:
    """What is tested besides strings and circuits: frames by their part, inverters, isolators."""
    yield from view.get("parts", ())
    yield from view.get("inverters", ())
    yield from view.get("isolators", ())


def several(entry: Entry, *fields: str) -> str:
    """Several fields as `name value`, those that are recorded."""
    kept = [f for f in fields if entry.get(f) is not None and not f.startswith("~")
            and not isinstance(entry[f], dict | list | tuple)]  # fmt: skip
    return ", ".join(phrase(entry, f) for f in kept)


def phrase(entry: Entry, field: str) -> str:
    """`rated 5 kW`; what is so or not is said in words instead of yes or no."""
    if field in _SO_OR_NOT and entry.get(field).__class__ is bool:
        return _SO_OR_NOT[field][not entry[field]]
    return f"{plain_name(field)} {said(entry, field)}"


def _part_dates(view: Entry) -> Iterator[tuple[str, ...]]:
    for part in view.get("parts", ()):
        dates = [_day(part.get(f)) for f in ("agreed", "designed", "started", "covered", "in_use",
                                             "handed_over")]  # fmt: skip
        yield (f"{part['~name']} ({part['kind']})", *dates)


def _day(moment: Any) -> str:
    return NOT_SAID if moment is None else written(moment, COUNT)


def _visits(view: Entry) -> Iterator[tuple[str, ...]]:
    for visit in view.get("visits", ()):
        left = visit["left"]
        told = f"; told: {left['told']}" if "told" in left else "; nobody recorded as told"
        told += f", by {named(left['told_by'])}" if "told_by" in left else ""
        state = several(left, "work", "roof", "openings", "ladders")
        yield (
            said(visit, "on"),
            ", ".join(named(p) for p in visit.get("who", ())) or NOT_SAID,
            said(visit, "done"),
            f"DC ends: {said(left, 'dc_ends')}{f'; {state}' if state else ''}{told}",
        )


def _people(view: Entry) -> Iterator[tuple[str, ...]]:
    for person in view.get("people", ()):
        made: dict[str, list[str]] = {}
        for test in view.get("tests", ()):
            if test.get("by") is person:
                made.setdefault(_test_name(test), []).append(test["~subject"]["~name"])
        yield (
            named(person),
            said(person, "role"),
            said(person, "competence"),
            "; ".join(f"{k} of {', '.join(dict.fromkeys(of))}" for k, of in made.items()) or "none",
        )


def _instruments(view: Entry) -> Iterator[tuple[str, ...]]:
    for instrument in view.get("instruments", ()):
        used = [_test_name(t) for t in view.get("tests", ()) if t.get("instrument") is instrument]
        yield (
            f"{instrument['~name']}: {said(instrument, 'kind')}",
            f"{said(instrument, 'serial')}; "
            + (several(instrument, "rated_v", "overvoltage_category") or "ratings not recorded"),
            f"calibration until {said(instrument, 'calibration_due')}" + _checks(instrument),
            ", ".join(dict.fromkeys(used)) or "nothing",
        )


def _checks(instrument: Entry) -> str:
    """The accuracy checks of an instrument, each with its day and what came out."""
    checks = [
        f"{said(check, 'on')} {said(check, 'result')}, against {said(check, 'against')}"
        for check in instrument.get("checks", ())
    ]
    return f"; checked {'; '.join(checks)}" if checks else ""


def readings(
    subjects: Iterable[Entry],
    wanted: Wanted,
    on: date | None = None,
    kinds: Container[str] | None = None,
) -> Iterator[tuple[str, ...]]:
    """Every reading on some entries; of one day, of some kinds of test where that is given."""
    for subject in subjects:
        for test in _tests_of(subject):
            if on is not None and ("on" not in test or whole_day(test["on"]) != on):
                continue
            if kinds is not None and test["test"] not in kinds:
                continue
            for field in [f for f in test if f not in NO_READINGS and not f.startswith("~")]:
                yield (
                    subject["~name"],
                    _reading_of(test, field),
                    said(test, field),
                    wanted.get((id(test), field), "no limit"),
                    _by(test),
                )


def _test_name(test: Entry) -> str:
    return plain_name(test["test"].replace(" ", "_"))


def _reading_of(test: Entry, field: str) -> str:
    """`RCD time`; the part of the test only where it has more than one."""
    name, part = _test_name(test), plain_name(field)
    return name if part in ("result", "value") or name.endswith(f" {part}") else f"{name}, {part}"


def _alterations(view: Entry) -> Iterator[tuple[str, ...]]:
    for alteration in view.get("alterations", ()):
        yield (
            f"{alteration['altered']} {alteration['of']['~name']}",
            said(alteration, "on"),
            said(alteration, "what"),
        )


def _tests_of(subject: Entry) -> Iterator[Entry]:
    """Every test of a subject, repeated ones too, in the order they were made."""
    for value in subject.values():
        if isinstance(value, dict) and value.get("~subject") is subject:
            yield from value.get("~earlier", ())
            yield value


def _by(test: Entry) -> str:
    parts = [
        test["instrument"]["~name"] if "instrument" in test else _without_instrument(test),
        named(test.get("by")),
        said(test, "on"),
    ]
    if "after" in test:
        parts.append(f"after: {test['after']}")
    return ", ".join(parts)


def _without_instrument(test: Entry) -> str:
    return "by eye" if test["known"] == "seen" else "no instrument recorded"


def _not_taken(job: Job) -> Iterator[str]:
    view = job.view
    for subjects in (view.get("strings", ()), view.get("circuits", ()), equipment(view)):
        for subject in subjects:
            for name, value in subject.items():
                if isinstance(value, NotTaken):
                    yield f"{plain_name(name)} of {subject['~name']}: {value.reason}"
            for test in _tests_of(subject):
                for field, value in test.items():
                    if isinstance(value, NotTaken):
                        what = f"{_reading_of(test, field)}, of {subject['~name']}"
                        yield f"{what}: {value.reason}"


def _isolators(view: Entry) -> Iterator[tuple[str, ...]]:
    for isolator in view.get("isolators", ()):
        figures = several(isolator, "breaks_positive", "breaks_negative", "rated_v", "rated_a",
                          "rated_breaks", "utilisation_category", "opens", "network_terminals",
                          "built_in", "plugs_beside", "reached", "lockable")  # fmt: skip
        yield (
            f"{isolator['~name']} ({plain_name(isolator['side'])})",
            said(isolator, "place"),
            "; ".join(x for x in (f"for {_served(isolator)}", figures) if x),
            shown_by(view, isolator["~name"]),
        )


def _served(isolator: Entry) -> str:
    serves = isolator.get("serves", {"~name": "the supply of the house"})
    return ", ".join(e["~name"] for e in (serves if isinstance(serves, list) else [serves]))


def _labels(view: Entry) -> Iterator[tuple[str, ...]]:
    for label in view.get("labels", ()):
        form = several(label, "live_terminals", "readable", "lasting", "language")
        yield (
            said(label, "kind"),
            " ".join([said(label, "place"), *fixed_to(label)]),
            "; ".join(x for x in (quoted(label), form) if x),
            shown_by(view, label["~name"], *fixed_to(label), kinds=("photo",)),
        )
    for old in view.get("old_labels", ()):
        yield (
            "label from before",
            " ".join([said(old, "place"), *fixed_to(old)]),
            f"{quoted(old)}; {said(old, 'now', 'not recorded what became of it')}",
            shown_by(view, old["~name"]),
        )


def fixed_to(label: Entry) -> list[str]:
    """What a label stands at, by name."""
    return [label[field]["~name"] for field in ("marks", "inverter", "junction", "circuit")
            if field in label]  # fmt: skip


def quoted(label: Entry) -> str:
    return f"“{label['wording']}”" if "wording" in label else NOT_SAID


def _departures(view: Entry) -> Iterator[tuple[str, ...]]:
    for departure in view.get("departures", ()):
        yield (
            departure["requirement"],
            departure.get("subject", "the job"),
            f"{named(departure['by'])} ({departure['role']}), {said(departure, 'on')}, "
            f"evidence {departure['evidence']['~name']}",
            departure["grounds"],
        )


def _evidence(job: Job) -> Iterator[tuple[str, ...]]:
    for item in job.view.get("evidence", ()):
        seen = job.seen[item["~name"]]
        if not seen.is_whole:
            shows = f"does not count: {seen.fault}"
        else:
            shows = said(item, "shows", "nobody states what it shows")
        yield (
            f"{item['~name']} ({item['kind']})",
            shows,
            ", ".join(item["about"]),
            f"{named(item.get('by'))}, {when(item, seen)}",
            seen.sha256[:12] or "no file",
        )


def when(item: Entry, seen: Seen) -> str:
    """When a piece of evidence was made, and who says so."""
    if "on" in item:
        return f"{said(item, 'on')} (as stated)"
    if seen.taken is not None:
        return f"{written(seen.taken, COUNT)} (as the file says)"
    return "no date"
