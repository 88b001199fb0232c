"""The walk-round sheet: what a record claims, in the order of a walk, with room for what is seen.

For whoever samples finished jobs. It says only what is on record; whether that meets the
requirements stands in the gap report.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from compliance.documents.commissioning import (
    Entry,
    firm,
    fixed_to,
    quoted,
    rcd_of,
    readings,
    said,
    several,
    shown_by,
)
from compliance.documents.components import made
from compliance.documents.data import day
from compliance.documents.forms import both_forms, rendered
from compliance.documents.live import dangers, listed
from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.rules.job import Job
from compliance.rules.outcome import NO_PERMISSION

NAME = "walk-round-sheet"

Row = tuple[str, str, str, str]
AT_SUPPLY = ("origin", "meter", "board")
AT_INVERTER = ("inverter", "isolator")
ON_ROUTE = ("junction", "cable route")
REPEATED = ("open-circuit voltage", "loop impedance", "rcd time", "rcd button")
"""Tests that can be made again without taking anything apart (common practice, no source)."""


def walk_sheet(job: Job, templates: Path) -> dict[str, bytes]:
    """The walk-round sheet in both forms, by the names of their files.

    Raises:
        DocumentError: If a text of the record can't be printed whole and literal.
    """
    given = walk_values(job), walk_tables(job)
    return both_forms(rendered(job, NAME, given, templates), job, NAME)


def walk_values(job: Job) -> dict[str, Any]:
    """The values of `walk-round-sheet.md.j2`."""
    view, checked = job.view, job.checked
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": said(view["site"], "address", ""),
        "firm": firm(view),
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
        "dangers": list(dangers(checked.gaps)),
        "open": sum(1 for gap in checked.gaps if gap.is_open),
    }


def walk_tables(job: Job) -> dict[str, Table]:
    """The tables of `walk-round-sheet.md.j2`."""
    view, wanted = job.view, job.wanted()
    stations: Mapping[str, Iterator[Row]] = {
        "walk-supply": _supply(view),
        "walk-inverters": _inverters(view),
        "walk-route": _route(view),
        "walk-roof": _roof(view),
    }
    subjects = [*view.get("strings", ()), *view.get("circuits", ())]
    again = ((*row[:4], "") for row in readings(subjects, wanted, kinds=REPEATED))
    tables = {name: shaped(name, rows) for name, rows in stations.items()}
    return {**tables, "walk-readings": shaped("walk-readings", again)}


# -- stations ---------------------------------------------------------------------------


def _row(what: str, claim: str, view: Entry, *names: str) -> Row:
    return what, claim or "not recorded", shown_by(view, *names), ""


def _supply(view: Entry) -> Iterator[Row]:
    supply = view["site"]["supply"]
    yield _row("Supply", several(supply, "phases", "earthing", "ze_ohm", "meter"), view, "job")
    for isolator in view.get("supply_isolators", ()):
        yield _switch(isolator, view)
    for circuit in view.get("circuits", ()):
        feeds = circuit.get("feeds", {}).get("~name", "what it feeds is not recorded")
        device = several(circuit["device"], "kind", "curve", "rated_a", "breaking_ka")
        claim = f"{said(circuit, 'board')}; to {feeds}; {device or 'no device on record'}"
        yield _row(f"Circuit {circuit['~name']}", claim + rcd_of(circuit), view, circuit["~name"])
    yield from _surge(view, "ac")
    yield from _labels(view, AT_SUPPLY)


def _inverters(view: Entry) -> Iterator[Row]:
    for category in ("inverter", "battery", "charger"):
        for one in view.get("components", ()):
            if one["category"] == category:
                serial = f"{made(one)}, serial {said(one, 'serial')}"
                yield _row(f"{category.capitalize()} {one['~name']}", serial, view, one["~name"])
    for side in ("ac_isolators", "dc_isolators"):
        for isolator in view.get(side, ()):
            yield _switch(isolator, view)
    yield from _surge(view, "dc")
    yield from _labels(view, AT_INVERTER)


def _route(view: Entry) -> Iterator[Row]:
    for cable in view.get("cables", ()):
        claim = several(cable, "mark_at_array", "mark_at_inverter", "sleeve_at_array",
                        "sleeve_at_inverter", "containment", "label_spacing_m")  # fmt: skip
        yield _row(f"DC cable {cable['~name']}", claim, view, cable["~name"])
    for junction in view.get("junctions", ()):
        place = said(junction, "place")
        yield _row(f"Box {junction['~name']}", place, view, junction["~name"])
    yield from _labels(view, ON_ROUTE)


def _roof(view: Entry) -> Iterator[Row]:
    for string in view.get("strings", ()):
        claim = several(string, "in_series", "parallel", "face")
        claim += f"; {made(string.get('modules'))}"
        yield _row(f"String {string['~name']}", claim.lstrip("; "), view, string["~name"])
    for one in view.get("components", ()):
        if one["category"] == "mounting":
            yield _row(f"Mounting {one['~name']}", made(one), view, one["~name"])


def _switch(isolator: Entry, view: Entry) -> Row:
    parts = [said(isolator, "place"), several(isolator, "reached", "lockable", "network_terminals")]
    served = isolator.get("serves", {"~name": "the house"})
    whose = listed(s["~name"] for s in (served if isinstance(served, list) else [served]))
    claim = "; ".join(x for x in (f"for {whose}", *parts) if x)
    return _row(f"Switch {isolator['~name']}", claim, view, isolator["~name"])


def _surge(view: Entry, side: str) -> Iterator[Row]:
    for device in view.get("surge", ()):
        if device["side"] == side:
            claim = several(device, "place", "type", "indicator")
            yield _row(f"Surge device {device['~name']}", claim, view, device["~name"])


def _labels(view: Entry, places: tuple[str, ...]) -> Iterator[Row]:
    for label in view.get("labels", ()):
        if label.get("place") in places:
            at = next(iter(fixed_to(label)), label["place"])
            claim = f"{said(label, 'kind')}: {quoted(label)}"
            yield _row(f"Label at {at}", claim, view, label["~name"], at)
