"""What the visit sheet receives: what a visit has to bring home, from the rules and the record.

Nothing is decided here and no list is kept: photos, tests, labels and tools are those that
the requirements name which are still open. Only the order of the tests is ours.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any, get_args

from compliance.documents.commissioning import Entry, firm, said
from compliance.documents.data import day
from compliance.documents.forms import both_forms, rendered
from compliance.documents.live import listed
from compliance.documents.tables import RATINGS_A, shaped
from compliance.documents.tree import Table
from compliance.record.installation import AnyTest
from compliance.record.kinds import Reference
from compliance.record.shape import fields
from compliance.rules.asked import Asked
from compliance.rules.hidden import HIDES
from compliance.rules.job import Job
from compliance.rules.language.explain import plain_name
from compliance.rules.language.nodes import paths_in
from compliance.rules.outcome import NO_PERMISSION, Finding, HoldsUp, Outcome
from compliance.rules.points import PRINTED, whole_day
from compliance.rules.rule import Rule
from compliance.units import COUNT, Unit, find

NAME = "visit-sheet"
KINDS = {model.type_name(): model.tag for model in get_args(get_args(AnyTest)[0])}
"""The kinds of test: the name of each model, and what the record calls it."""
KINDS_READ = {kind.back for model in get_args(get_args(AnyTest)[0])
              if isinstance(kind := fields(model)["of"].kind, Reference)}  # fmt: skip
"""What rules call the latest test of each kind, read at its subject."""
_WHAT_FOR = re.compile(r", | (?:with|that|for|rated|of) ")

STAGES: Mapping[str, tuple[str, ...]] = {
    "dead-tests": ("continuity", "frame_continuity", "circuit_insulation", "circuit_polarity"),
    "string-tests": ("insulation", "polarity", "open_circuit_voltage", "short_circuit_current"),
    "live-tests": ("loop_impedance", "fault_current", "rcd_time", "rcd_button", "switching",
                   "operating_current", "loss_of_mains"),
}  # fmt: skip
"""Dead before live, after BS 7671 part 6 (from memory); strings are never dead in the light."""

_LINE = "_" * 7
_BY_INSTALLER = "installer"
CURVES = ("B", "C", "D")
_POINTS = tuple(PRINTED)

_OLD_ARRAY = {
    "earns a tariff": "The old array earns a tariff. Photograph its plates, meter and meter "
    "reading before anything is touched, and change nothing of it until whoever pays the tariff "
    "has agreed in writing.",
    "earns no tariff": "There is an old array, live whenever light falls on it. Find and mark its "
    "cables and switches first, and photograph its plates before anything is touched.",
}


def visit_sheet(job: Job, templates: Path, visit: date | None = None) -> dict[str, bytes]:
    """The visit sheet in both forms, by the names of their files.

    Args:
        job: The checked job.
        templates: The templates folder.
        visit: The day of the visit, if it has one.

    Raises:
        DocumentError: If a text of the record can't be printed whole and literal.
    """
    document = rendered(job, NAME, (visit_values(job, visit), visit_tables(job)), templates)
    return both_forms(document, job, f"{NAME}-{visit.isoformat()}" if visit else NAME)


def visit_values(job: Job, visit: date | None = None) -> dict[str, Any]:
    """The values of `visit-sheet.md.j2`; `visit` is the day of it, if it has one."""
    checked, view = job.checked, job.view
    plan = view["plan"]
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": said(view["site"], "address", ""),
        "firm": firm(view),
        "on": day(checked.on),
        "visit": _visit(view, visit),
        "old_array": _OLD_ARRAY.get(plan.get("old_array", ""), ""),
        "no_permission": NO_PERMISSION,
        "bring": list(_bring(job)),
        "lacking": "; ".join(_lacking(job)),
        "labels": list(_labels(job)),
        "said_with": list(_said_with(job)),
        "old_labels": list(_old_labels(job)),
        "leaving": list(_leaving(job, visit)),
        "others": listed(_others(job)),
    }


def visit_tables(job: Job) -> dict[str, Table]:
    """The tables of `visit-sheet.md.j2`."""
    asked: dict[tuple[str, str, str], list[Asked]] = {}
    for value in job.asked(KINDS):
        asked.setdefault((value.kind, value.field, value.subject), []).append(value)
    tests = {
        stage: shaped(stage, (row for kind in kinds for row in _rows(kind, asked)))
        for stage, kinds in STAGES.items()
    }
    loop = shaped("loop-limits", _loop_limits(job))
    return {"photos": shaped("photos", _photos(job)), **tests, "loop-limits": loop}


def _visit(view: Entry, visit: date | None) -> str:
    planned = view["plan"].get("visits")
    many = f", of {planned:.0f} planned" if planned else ""
    return (f"on {day(visit)}" if visit else "the next one") + many


# -- open requirements --------------------------------------------------------------------


def _is_open(finding: Finding) -> bool:
    return finding.outcome not in (Outcome.MET, Outcome.NOT_APPLICABLE)


def _grouped(job: Job, wanted: Callable[[Rule], bool]) -> list[list[Finding]]:
    """The open findings of those requirements that are wanted, one group a requirement."""
    chosen = {rule.requirement.id for rule in job.rules.rules if wanted(rule)}
    groups: dict[str, list[Finding]] = {}
    for finding in job.checked.findings:
        if finding.requirement.id in chosen and _is_open(finding):
            groups.setdefault(finding.requirement.id, []).append(finding)
    return list(groups.values())


def _subjects(gaps: Iterable[Finding]) -> str:
    """What gaps are of, by its own name: of `S1 / S1+` that is the cable."""
    return listed(gap.subject.rpartition(" / ")[2] for gap in gaps if gap.subject != "job")


def _line(gaps: Sequence[Finding]) -> str:
    subjects = _subjects(gaps)
    return gaps[0].requirement.title + (f": {subjects}" if subjects else "")


def _is_about_labels(rule: Rule) -> bool:
    """Whether a requirement loops over the labels that were fitted, or asks what is on them."""
    sources = [source for _, source in rule.clause.loops]
    if rule.clause.must is not None:
        sources += paths_in(rule.clause.must)
    return any(source.steps[-1:] == ("labels",) for source in sources)


# -- what one person says of everything ---------------------------------------------------


def _said_with(job: Job) -> Iterator[str]:
    """What a person says with each batch in the firm's words, so that it is looked at first."""
    for batch, words in job.opened.would_say.items():
        for field, value in words.items():
            yield f"{batch}, {plain_name(field)}: {value}"


# -- photos -------------------------------------------------------------------------------


def _is_seen_once(rule: Rule) -> bool:
    """Whether a photo is asked for, or nobody can look again once it is covered or out of reach."""
    requirement = rule.requirement
    if _is_about_labels(rule):
        return False  # its line among the labels says that it wants a photo
    is_hidden = requirement.before in HIDES and requirement.held_by == _BY_INSTALLER
    return is_hidden or "photo" in rule.wording.evidence


def _photos(job: Job) -> Iterator[tuple[str, ...]]:
    """A row for each point after which something cannot be seen again: a line for each photo."""
    points: dict[str, list[str]] = {}
    groups = _grouped(job, _is_seen_once)
    for gaps in sorted(groups, key=lambda group: _POINTS.index(group[0].requirement.before)):
        points.setdefault(gaps[0].requirement.before, []).append(f"– {_line(gaps)}")
    for point, lines in points.items():
        yield point, "\n".join(lines), ""


# -- tests --------------------------------------------------------------------------------


def _rows(
    kind: str, asked: Mapping[tuple[str, str, str], Sequence[Asked]]
) -> Iterator[tuple[str, ...]]:
    """A row for each value of a kind of test; subjects with the same limit share it."""
    alike: dict[tuple[str, str], list[str]] = {}
    for (of, field, subject), values in sorted(asked.items(), key=lambda item: item[0][2]):
        if of == kind:
            alike.setdefault((field, _right(values)), []).append(subject)
    for (field, right), subjects in alike.items():
        yield f"{KINDS[kind]}: {plain_name(field)}", _blanks(subjects, find(field)), right


def _blanks(subjects: Sequence[str], unit: Unit) -> str:
    """A line to write on for each subject, two side by side, with room between the rows."""
    symbol = "" if unit is COUNT else f" {unit.symbol}"
    line = _LINE if len(subjects) > 1 else 2 * _LINE
    blanks = [f"{subject} {line}{symbol}" for subject in subjects]
    pairs = [blanks[n : n + 2] for n in range(0, len(blanks), 2)]
    return "\n\n".join("; ".join(pair) for pair in pairs)


def _lacking(job: Job) -> Iterator[str]:
    """What the record would have to say for each limit to be one figure, by kind of test."""
    lacking: dict[str, dict[str, None]] = {}
    for value in job.asked(KINDS):
        if value.depends:
            lacking.setdefault(KINDS[value.kind], {}).update(dict.fromkeys(value.depends))
    alike: dict[str, list[str]] = {}
    for kind, names in lacking.items():
        alike.setdefault(listed(names), []).append(kind)
    for what, kinds in alike.items():
        yield f"{listed(kinds)}: {what}"


def _right(values: Sequence[Asked]) -> str:
    """What would be right, and when it is asked for."""
    rights = "; ".join(dict.fromkeys(value.right for value in values))
    only_if = "".join(f"if {value.only_if}: " for value in values[:1] if value.only_if)
    return f"{only_if}{rights}"


def _loop_limits(job: Job) -> Iterator[tuple[str, ...]]:
    """The loop impedance limit for each curve and usual rating, while a circuit lacks its own."""
    circuits = [
        circuit
        for circuit in job.view.get("circuits", ())
        if not {"curve", "rated_a"} <= circuit["device"].keys()
    ]
    for curve in CURVES if circuits else ():
        row = [curve]
        for rated in RATINGS_A:
            device = {"kind": "circuit-breaker", "curve": curve, "rated_a": float(rated)}
            limit = job.worked("loop_limit_ohm", {**circuits[0], "device": device})
            row.append("not known" if limit is None else f"{limit:.2f}")
        yield tuple(row)


# -- labels, tools, leaving -----------------------------------------------------------------


def _labels(job: Job) -> Iterator[str]:
    photos = {rule.requirement.id for rule in job.rules.rules if "photo" in rule.wording.evidence}
    for gaps in _grouped(job, _is_about_labels):
        yield _line(gaps) + (" (with a photo)" if gaps[0].requirement.id in photos else "")


def _old_labels(job: Job) -> Iterator[str]:
    for old in job.view.get("old_labels", ()):
        what = f"{old['~name']}: {said(old, 'wording', 'words not recorded')}"
        yield f"{what}; now {said(old, 'now', 'not said')}"


def _bring(job: Job) -> Iterator[str]:
    """Each thing to take along on one line: first to test with, then to label with, then the rest.

    What several requirements want of one thing stands behind its name.
    """
    of = {rule.requirement.id: rule for rule in job.rules.rules}
    groups = _grouped(job, lambda rule: rule.requirement.held_by == _BY_INSTALLER)
    wanted = [gaps[0].requirement for gaps in groups if gaps[0].requirement.bring]
    wanted.sort(key=lambda requirement: _use(of[requirement.id]))
    things = dict.fromkeys(thing for r in wanted for thing in r.bring.split("; "))
    alike: dict[str, list[str]] = {}
    for thing in things:
        if not _is_in(thing, things):
            alike.setdefault(_name_of(thing).removesuffix("s"), []).append(thing)
    for some in alike.values():
        said = (thing.removeprefix(_name_of(thing)).lstrip(", ") for thing in some)
        name = max(map(_name_of, some))  # "labels" rather than "label"
        yield some[0] if len(some) == 1 else f"{name}: {'; '.join(filter(None, said))}"


def _name_of(thing: str) -> str:
    """What a thing to bring is called, without what it has to be able to do."""
    return _WHAT_FOR.split(thing, maxsplit=1)[0]


def _use(rule: Rule) -> int:
    """What a thing is for: 0 to test with, 1 to label with, 2 for anything else."""
    if _is_about_labels(rule):
        return 1
    paths = paths_in(rule.clause.must) if rule.clause.must is not None else ()
    return 0 if any(set(path.steps) & KINDS_READ for path in paths) else 2


def _is_in(thing: str, others: Iterable[str]) -> bool:
    """Whether another thing to bring names all of this one, and more."""
    parts = set(thing.split(", "))
    return any(parts < set(other.split(", ")) for other in others)


def _leaving(job: Job, visit: date | None) -> Iterator[str]:
    """What must be true before leaving; of a visit on record, what is still open of it."""
    recorded = [v for v in job.view.get("visits", ()) if visit and whole_day(v["on"]) == visit]
    names = {v["~name"] for v in recorded}
    for rule in job.rules.rules:
        requirement = rule.requirement
        if requirement.holds_up is not HoldsUp.LEAVING:
            continue
        of = [f for f in job.checked.findings if f.requirement.id == requirement.id]
        if not names or any(f.subject in names and _is_open(f) for f in of):
            yield requirement.title


def _others(job: Job) -> Iterator[str]:
    """How many requirements wait for each of those who are not on site."""
    held: dict[str, int] = {}
    for gaps in _grouped(job, lambda rule: rule.requirement.held_by != _BY_INSTALLER):
        holder = gaps[0].requirement.held_by
        held[holder] = held.get(holder, 0) + 1
    for holder, count in held.items():
        yield f"{holder} ({count})"
