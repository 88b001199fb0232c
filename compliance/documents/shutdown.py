"""What the isolation and shutdown sheet receives: the switches in the order to open them.

AC side first, so that the inverter stops and no current flows when the DC side opens; the
supply of the house last. Made from the record's own switches, strings, inverters and
circuits; what the record does not say stands on the sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from compliance.documents.commissioning import firm, said
from compliance.documents.data import day
from compliance.documents.live import dangers, faces, kept_live_by, listed, live_afterwards
from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.rules.job import Job
from compliance.rules.labels_due import switching_order
from compliance.rules.outcome import Finding

Entry = Mapping[str, Any]

# From memory: the number of the emergency services, by the first part of the jurisdiction.
EMERGENCY_NUMBERS = {"GB": "999"}
NOT_ON_RECORD = "the record does not say where"


def shutdown_values(job: Job) -> dict[str, Any]:
    """The values of `isolation-shutdown-sheet.md.j2`."""
    view, checked = job.view, job.checked
    return {
        "address": said(view["site"], "address", ""),
        "on": day(checked.on),
        "installer": firm(view),
        "operator": said(view["site"]["supply"], "operator", ""),
        "emergency": emergency_number(view),
        "dangers": list(dangers(_at_switches(view, checked.gaps))),
        "live": list(live_afterwards(view, checked.workings)),
        "unsaid": list(_unsaid(view)),
    }


def emergency_number(view: Entry) -> str:
    """Whom to call in danger, where the job is."""
    country = view["jurisdiction"].partition("-")[0]
    return EMERGENCY_NUMBERS.get(country, "the emergency services")


def shutdown_tables(job: Job) -> dict[str, Table]:
    """The tables of `isolation-shutdown-sheet.md.j2`."""
    return {"switch-steps": shaped("switch-steps", _steps(job))}


# -- the steps --------------------------------------------------------------------------


def _steps(job: Job) -> Iterator[Sequence[str]]:
    dangerous = {_switch_of(gap) for gap in _at_switches(job.view, job.checked.gaps)}
    for number, isolator in enumerate(switching_order(job.view), 1):
        name, does = isolator["~name"], _does(isolator, job.view)
        does += " Mind the danger above." if name in dangerous else ""
        yield str(number), name, _where(isolator), does


def _where(isolator: Entry) -> str:
    place = isolator.get("place", NOT_ON_RECORD)
    place += ", part of the inverter's case" if isolator.get("built_in") else ""
    reached = isolator.get("reached", "from the floor")
    return place if reached == "from the floor" else f"{place}; reached {reached}"


def _does(isolator: Entry, view: Entry) -> str:
    if isolator["side"] == "supply":
        kept = "; from ".join(kept_live_by(view))
        parts = f"Parts the house from the network; it can stay live from {kept}."
        return parts if kept else "Switches off the whole house."
    if isolator["side"] == "ac":
        inverter = isolator["serves"]
        stops = inverter.get("island_mode") is False
        then = "it stops." if stops else "it may go on by itself."
        return f"Parts {inverter['~name']} from the house; {then}"
    return f"Parts {faces(isolator['serves'])} from the inverter."


def _at_switches(view: Entry, gaps: Iterable[Finding]) -> list[Finding]:
    """The gaps that make a switch dangerous to use."""
    switches = {isolator["~name"] for isolator in view.get("isolators", ())}
    return [gap for gap in gaps if gap.is_danger and _switch_of(gap) in switches]


def _switch_of(gap: Finding) -> str:
    return gap.subject.rpartition(" / ")[2]


# -- what is not on record --------------------------------------------------------------


def _unsaid(view: Entry) -> Iterator[str]:
    """What a reader of the sheet would look for and the record does not say."""
    yield from _unsaid_of_equipment(view)
    if "isolators" not in view:
        yield "which switches there are"
    elif not view.get("supply_isolators"):
        yield "which is the main switch of the house"
    nowhere = [i["~name"] for i in view.get("isolators", ()) if "place" not in i]
    if nowhere:
        yield f"where {listed(nowhere)} can be found"
    no_way = [i["~name"] for i in view.get("isolators", ()) if "reached" not in i]
    if no_way:
        yield f"how {listed(no_way)} can be reached"
    if "phone" not in view["organisation"]:
        yield "the installer's telephone number"
    if "operator" not in view["site"]["supply"]:
        yield "the network operator's telephone number"
    yield from _other_orders(view)


def _unsaid_of_equipment(view: Entry) -> Iterator[str]:
    if "inverters" not in view:
        yield "which inverters there are"
    if "strings" not in view:
        yield "which strings of modules there are"
    bare = [i["~name"] for i in view.get("inverters", ()) if not i.get("isolators")]
    if bare:
        yield f"which switch parts {listed(bare)} from the house"
    for part in view.get("parts", ()):
        if part["kind"] == "battery":
            yield f"how the battery ({part['~name']}) is switched off; it stays live by itself"


def _other_orders(view: Entry) -> Iterator[str]:
    """Where an order displayed on site differs from this sheet's."""
    ours = [isolator["~name"] for isolator in switching_order(view)]
    for label in view.get("labels", ()):
        if label.get("kind") != "shutdown order" or "names" not in label:
            continue
        displayed = [isolator["~name"] for isolator in label["names"]]
        if displayed != ours:
            yield (
                f"why {label['~name']} on site gives another order ({', '.join(displayed)}); ask "
                "the installer"
            )
