"""What the component register receives: what was fitted, what approves it, what is still open.

Nothing is decided here; whether an approval was in force comes from the findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from compliance.documents.commissioning import NOT_SAID, Entry, firm, named, phrase, said, shown_by
from compliance.documents.data import day
from compliance.documents.gaps import gap_view
from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.rules.job import Job
from compliance.rules.language.explain import written
from compliance.rules.outcome import NO_PERMISSION, Finding, Outcome
from compliance.units import COUNT
from compliance.values import NotYet

SUBJECT = "component-"
"""How the names of rulesets about components begin, behind their jurisdiction."""

SERIALS_IN_A_ROW = 4


def component_values(job: Job) -> dict[str, Any]:
    """The values of `component-register.md.j2`."""
    checked = job.checked
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": said(job.view["site"], "address", ""),
        "firm": firm(job.view),
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
        "rulesets": [name for name in checked.rulesets if _is_about_components(name)],
        "dangers": [_danger(gap) for gap in _gaps(job) if gap.is_danger],
    }


def component_tables(job: Job) -> dict[str, Table]:
    """The tables of `component-register.md.j2`."""
    view = job.view
    rows: Mapping[str, Iterable[Sequence[str]]] = {
        "component-gaps": _open(job),
        "components": _components(view),
        "approvals": _approvals(job),
        "type-tests": _type_tests(view),
        "mountings": _mountings(view),
        "connector-pairs": _pairs(view),
        "reused": _reused(view),
        "notices": _notices(view),
        "serials": _serials(view),
    }
    return {name: shaped(name, table) for name, table in rows.items()}


# -- what is open -----------------------------------------------------------------------


def _is_about_components(ruleset: str) -> bool:
    return ruleset.partition("-")[2].startswith(SUBJECT)


def _gaps(job: Job) -> list[Finding]:
    return [gap for gap in job.checked.gaps if _is_about_components(gap.requirement.ruleset)]


def _danger(gap: Finding) -> str:
    return f"{gap.subject}: {gap.requirement.danger}"


def _open(job: Job) -> Iterator[tuple[str, ...]]:
    for gap in map(gap_view, _gaps(job)):
        settles = "; ".join(gap.supply) or gap.remedy
        outcome = f"{gap.outcome}, set aside" if gap.set_aside else gap.outcome
        yield gap.subject, f"{gap.title}: {outcome}", settles, gap.held_by, gap.holds_up


# -- what was fitted --------------------------------------------------------------------


def _components(view: Entry) -> Iterator[tuple[str, ...]]:
    for component in view.get("components", ()):
        name = component["~name"]
        yield (
            f"{name} ({component['category']})",
            made(component),
            said(component, "origin", "new or reused: not recorded"),
            _where(component),
            _serial(component),
            shown_by(view, name),
        )


def made(component: Entry | None) -> str:
    """Maker and model of a component."""
    if component is None:
        return NOT_SAID
    return " ".join(component[f] for f in ("maker", "model") if f in component) or NOT_SAID


def _where(component: Entry) -> str:
    """The part it belongs to, and what of the installation it is found in."""
    places = [component["part"]["~name"]] if "part" in component else ["part not recorded"]
    for string in component.get("strings", ()) if component["category"] == "module" else ():
        count = said(string, "in_series", "number not recorded")
        rows = string.get("parallel", 1)
        places.append(f"string {string['~name']}: {count}" + (f" × {rows:.0f}" * (rows != 1)))
    if component["category"] == "switch-disconnector":
        places += [
            f"{isolator['~name']}, {said(isolator, 'place', 'place not recorded')}"
            for isolator in component.get("isolators", ())
        ]
    return "; ".join(places)


def _serial(component: Entry) -> str:
    match component["category"]:
        case "module":
            serials = component.get("serials", ())
            return f"{len(serials)} listed below" if serials else NOT_SAID
        case "inverter" | "battery" | "charger":
            return said(component, "serial")
    return "known by type"


def _serials(view: Entry) -> Iterator[tuple[str, ...]]:
    for module in view.get("modules", ()):
        serials = module.get("serials", ())
        for start in range(0, len(serials), SERIALS_IN_A_ROW):
            some = serials[start : start + SERIALS_IN_A_ROW]
            numbers = f"{start + 1} to {start + len(some)}" if len(some) > 1 else f"{start + 1}"
            yield module["~name"], numbers, ", ".join(some)


# -- what approves it -------------------------------------------------------------------


def _approvals(job: Job) -> Iterator[tuple[str, ...]]:
    for component in job.view.get("components", ()):
        name = component["~name"]
        if not component.get("approval"):
            is_none = "approval" in component
            said_so = "no approval, as the record says" if is_none else NOT_SAID
            yield name, "none" if is_none else NOT_SAID, said_so, "", "", "none"
        for approval in component.get("approval", ()):
            yield (
                name,
                said(approval, "standard"),
                f"{said(approval, 'certificate', 'number not recorded')}, "
                f"{said(approval, 'scheme', 'giver not recorded')}",
                _validity(approval),
                _outcome(job, f"{name} / {approval['~name']}"),
                shown_by(job.view, name, kinds=("certificate",)),
            )


def _validity(approval: Entry) -> str:
    since = said(approval, "since")
    until = approval.get("until")
    if isinstance(until, NotYet):
        return f"from {since}, without an end"
    return f"from {since} until {NOT_SAID if until is None else written(until, COUNT)}"


def _outcome(job: Job, subject: str) -> str:
    """What the check found of an approval's day, in its own words."""
    found = [
        finding.outcome.value
        for finding in job.checked.findings
        if finding.subject == subject
        and _is_about_components(finding.requirement.ruleset)
        and finding.outcome is not Outcome.NOT_APPLICABLE
    ]
    return ", ".join(dict.fromkeys(found)) or "not checked"


def _type_tests(view: Entry) -> Iterator[tuple[str, ...]]:
    for inverter in view.get("inverters", ()):
        entry = inverter["type_test"]
        yield (
            f"{inverter['~name']}, {made(inverter)}",
            f"{said(entry, 'reference')}; {said(entry, 'status', 'status not recorded')}",
            f"{said(entry, 'capacity_kw')} / {said(inverter, 'rated_kw')}",
            f"{said(entry, 'firmware_family')} / {said(inverter, 'firmware_family')}",
            said(entry, "looked_up"),
        )


def _mountings(view: Entry) -> Iterator[tuple[str, ...]]:
    for mounting in view.get("mountings", ()):
        modules = ", ".join(m["~name"] for m in mounting.get("approved_for", ()))
        yield (
            f"{mounting['~name']}: {said(mounting, 'kind', 'kind not recorded')}",
            modules or NOT_SAID,
            f"{said(mounting, 'uplift_resistance_pa')} / {said(mounting, 'design_uplift_pa')}",
            _fire(mounting),
        )


def _fire(mounting: Entry) -> str:
    if "kind" in mounting and mounting["kind"] != "in-roof" and "fire_class" not in mounting:
        return "asked of in-roof kits only"
    return f"class {said(mounting, 'fire_class')}; {phrase(mounting, 'barrier_layer')}"


def _pairs(view: Entry) -> Iterator[tuple[str, ...]]:
    for pair in view.get("connector_pairs", ()):
        at = said(pair, "at", "place not recorded")
        pole = said(pair, "pole", "pole not recorded")
        yield (
            f"{pair['~name']}: string {pair['on']['~name']}, {pole}, {at}",
            made(pair.get("one")),
            made(pair.get("other")),
        )


# -- what it was and what is known of it ------------------------------------------------


def _reused(view: Entry) -> Iterator[tuple[str, ...]]:
    for component in view.get("components", ()):
        if component.get("origin") == "reused":
            check = component["reuse"]
            yield (
                component["~name"],
                said(component, "first_installed"),
                f"{named(check.get('by'))}, {said(check, 'on')}",
                f"{said(check, 'result')}: {said(check, 'grounds')}",
            )


def _notices(view: Entry) -> Iterator[tuple[str, ...]]:
    for component in view.get("components", ()):
        check = component["notices"]
        yield (
            f"{component['~name']}, {made(component)}",
            said(check, "checked"),
            said(check, "found") + (f": {check['notice']}" if "notice" in check else ""),
        )
