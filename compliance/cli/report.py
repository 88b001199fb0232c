"""Findings as text for a terminal, and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import date

from compliance.cli.wrapping import wrapped
from compliance.evidence import Seen
from compliance.rules.outcome import (
    NO_PERMISSION,
    STOPS,
    Checked,
    Finding,
    Outcome,
    Requirement,
    findings_data,
)
from compliance.rules.supply_list import supply_list

HELD = {what: f"Holds up {text}" for what, text in STOPS.items()}


NOTHING: Mapping[str, str] = {}


def as_json(checked: Checked, only_planned: Mapping[str, str] = NOTHING) -> str:
    """The findings as JSON, in one shape whatever else was asked for."""
    planned = [{"name": name, "batch": batch} for name, batch in only_planned.items()]
    data = {**findings_data(checked), "planned": planned}
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)


def printed(
    checked: Checked,
    seen: Mapping[str, Seen] | None = None,
    only_planned: Mapping[str, str] = NOTHING,
) -> str:
    """Everything: danger, what is held up and who can close it, what to supply, the rest.

    `seen` is what was found on opening the evidence files: what is wrong of them is told.
    `only_planned` is what nobody speaks for yet, with its batch.
    """
    lines = head(checked)
    gaps = [gap for gap in checked.gaps if gap.is_open]
    lines += dangers(gaps, everything=True)
    for what, title in HELD.items():
        held = [g for g in gaps if g.requirement.holds_up is what and not g.is_danger]
        if held:
            lines += ["", f"{title} ({len(held)})", *in_full(held)]
    lines += closed(checked, everything=True)
    lines += files(seen or {})
    lines += questions(checked, everything=True)
    lines += supply_first(gaps, None)
    lines += _rest(checked)
    lines += planned(only_planned)
    return "\n".join([*lines, *foot(checked, everything=True)])


def is_last_chance(finding: Finding, day: date) -> bool:
    """Whether something is still to be shown whose point of no return is passed on that day."""
    is_open = finding.is_open or finding.outcome is Outcome.NOT_DUE
    return is_open and not finding.is_danger and finding.point == day


def closed(checked: Checked, everything: bool) -> list[str]:
    """What was set aside or ended since, and the word where nothing is held up."""
    lines: list[str] = []
    aside = [f for f in checked.findings if f.set_aside]
    ended = [f for f in checked.findings if f.ended]
    for title, some in (("Set aside", aside), ("Ended since", ended)):
        if some:
            lines += ["", f"{title}, still not met ({len(some)})"]
            for finding in some:
                lines += gap_lines(finding, everything=True) if everything else _why(finding)
    if not checked.is_held_up:
        lines += ["", "Nothing that was checked is held up."]
    return lines


def _why(finding: Finding) -> list[str]:
    lines = wrapped(f"{finding.subject}: {finding.requirement.title}", indent="  ")
    return lines + wrapped(finding.set_aside or finding.ended, "note")


def head(checked: Checked) -> list[str]:
    """Which job was checked on which day."""
    return wrapped(f"{checked.reference}  {checked.title}, checked on {checked.on}")


def dangers(gaps: list[Finding], everything: bool) -> list[str]:
    """Every danger with what was found; how to make it safe stands once for each requirement."""
    dangers = [gap for gap in gaps if gap.is_danger]
    lines = ["", f"DANGER ({len(dangers)})"] if dangers else []
    for id in dict.fromkeys(gap.requirement.id for gap in dangers):
        alike = [gap for gap in dangers if gap.requirement.id == id]
        for gap in alike[:-1]:
            lines += gap_lines(gap, everything, says_how=False)
        lines += gap_lines(alike[-1], everything)
    return lines


def supply_first(gaps: list[Finding], most: int | None) -> list[str]:
    """The shortest list of things that can close the most gaps."""
    steps = supply_list(gaps)
    if not steps:
        return []
    lines = ["", "Supply first"]
    for step in steps[:most]:
        what = "; ".join(step.things)
        lines += wrapped(f"{what} (can close {step.closes})", indent="  ")
    rest = steps[len(steps[:most]) :]
    if rest:
        things = sum(len(step.things) for step in rest)
        more = sum(step.closes for step in rest)
        lines += wrapped(f"and {things} more things, which can close {more}", indent="  ")
    return lines


def foot(checked: Checked, everything: bool) -> list[str]:
    """What was not checked, the counts, and that nothing of this is a permission."""
    lines = []
    for text in checked.uncovered:
        lines += ["", *wrapped(f"NOT CHECKED  {text}.")]
    return [*lines, "", *_counts(checked, everything), *wrapped(NO_PERMISSION)]


def planned(names: Mapping[str, str]) -> list[str]:
    """What is planned only and who has to speak for it, by the batch that it stands in."""
    lines: list[str] = []
    for batch in dict.fromkeys(names.values()):
        some = [name for name, of in names.items() if of == batch]
        text = f"Planned only, not counted above: {few(some)}. Once it is there as planned, say "
        lines += ["", *wrapped(f"{text}`by` and `on` in the batch {batch}.")]
    return lines


def found_of(checked: Checked) -> list[str]:
    """Every finding with all that is known of it, in lines."""
    return [line for finding in checked.findings for line in gap_lines(finding, everything=True)]


def in_short(gaps: list[Finding]) -> Iterator[tuple[int, list[str]]]:
    """Faults with what was found, then what is not shown by who holds it: how many, and lines."""
    faults: dict[object, list[Finding]] = {}
    for gap in gaps:
        if gap.outcome is Outcome.NOT_MET:
            faults.setdefault((gap.requirement.id, gap.facts), []).append(gap)
    for same in faults.values():
        whose = few([gap.subject for gap in same])
        alike = same[0]._replace(subject=whose)
        yield len(same), gap_lines(alike, everything=False, says_how=False)
    for (holder, title), subjects in _not_shown(gaps).items():
        yield len(subjects), wrapped(f"{holder}: {title}: {few(subjects)}", indent="  ")


def _not_shown(gaps: list[Finding]) -> dict[tuple[str, str], list[str]]:
    """Subjects by who holds what is lacking and what it is; one holder after the other."""
    found: dict[str, dict[tuple[str, str], list[str]]] = {}
    for gap in gaps:
        if gap.outcome is not Outcome.NOT_MET:
            holder = gap.requirement.held_by
            title = f"{gap.requirement.title} ({gap.outcome.value})"
            found.setdefault(holder, {}).setdefault((holder, title), []).append(gap.subject)
    return {key: subjects for asked in found.values() for key, subjects in asked.items()}


def few(subjects: list[str]) -> str:
    """Some of the subjects, and how many more there are."""
    more = f" and {len(subjects) - 4} more" if len(subjects) > 4 else ""
    return ", ".join(subjects[:4]) + more


def in_full(gaps: list[Finding]) -> list[str]:
    """Every gap with all that is known of it, by who can close it."""
    lines: list[str] = []
    for holder in dict.fromkeys(gap.requirement.held_by for gap in gaps):
        lines += [f"  {holder}:"]
        for gap in gaps:
            if gap.requirement.held_by == holder:
                lines += gap_lines(gap, everything=True)
    return lines


def gap_lines(gap: Finding, everything: bool, *, says_how: bool = True) -> list[str]:
    """One gap: what it is about, what was found, what to supply, what to do now."""
    requirement = gap.requirement
    outcome = "" if gap.outcome is Outcome.NOT_MET else f" ({gap.outcome.value})"
    lines = wrapped(f"{gap.subject}: {requirement.title}{outcome}", indent="  ")
    for fact in gap.facts:
        margin = f"; {fact.margin}" if fact.margin else ""
        right = "Applies to" if gap.outcome is Outcome.NOT_APPLICABLE else "Right"
        lines += wrapped(f"{fact.what}: {fact.found}. {right}: {fact.right}{margin}.", "found")
    supply = list(dict.fromkeys(n.supply for n in gap.needs))
    if supply:
        lines += wrapped("; ".join(supply), "supply")
    for offer in gap.offers:
        what = "; ".join(dict.fromkeys(need.supply for need in offer.needs))
        lines += wrapped(f"{offer.title}: {what}", "or")
    if gap.is_danger and says_how:
        lines += wrapped(requirement.danger, "now")
    is_to_cure = gap.outcome is Outcome.NOT_MET and gap.is_open
    if is_to_cure and says_how and (everything or not gap.is_danger):
        lines += wrapped(requirement.remedy, "cure")
    for said in (gap.set_aside, gap.ended):
        lines += wrapped(said, "note") if said else []
    if gap.outcome is Outcome.FOR_JUDGEMENT:
        lines += wrapped(gap.remark, "decide")
    elif gap.remark and everything:
        lines += wrapped(gap.remark, "note")
    if everything:
        lines += _details(gap)
    return lines


def _details(gap: Finding) -> Iterator[str]:
    if gap.way:
        yield from wrapped(gap.way, "met")
    if gap.known:
        yield from wrapped(gap.known, "known")
    yield from wrapped(f"{gap.requirement.held_by}; {_cited(gap.requirement)}", "by")


def _cited(requirement: Requirement) -> str:
    source = requirement.source
    clause = f" {source.clause}" if source.clause else ""
    return f"{source.document}{clause} ({source.confidence}); {requirement.id}"


def _rest(checked: Checked) -> list[str]:
    lines: list[str] = []
    for outcome in (Outcome.NOT_DUE, Outcome.MET, Outcome.NOT_APPLICABLE):
        found = [f for f in checked.findings if f.outcome is outcome]
        if found:
            lines += ["", f"{outcome.value.capitalize()} ({len(found)})"]
            for finding in found:
                way = f", {finding.way}" if finding.way else ""
                text = f"{finding.subject}: {finding.requirement.title}{way}"
                lines += wrapped(text, indent="  ")
    return lines


def files(seen: Mapping[str, Seen]) -> Iterator[str]:
    """Evidence files that do not count, whatever for, and what was noticed on the others."""
    told = [(name, one) for name, one in seen.items() if one.fault or one.remark]
    if told:
        yield from ("", f"Evidence files to look at ({len(told)})")
    for name, one in told:
        if one.fault:
            yield from wrapped(f"{name} does not count: {one.fault.rstrip('.')}.", indent="  ")
        if one.remark:
            yield from wrapped(f"{one.remark.rstrip('.')}.", indent="  ")


def questions(checked: Checked, everything: bool) -> list[str]:
    """What a reader would ask, apart from the findings; only how many unless all is printed."""
    asked = checked.questions
    if not asked:
        return []
    if not everything:
        many = "1 question" if len(asked) == 1 else f"{len(asked)} questions"
        text = f"{many} that a reader of the record would ask; no findings, they hold nothing up."
        return ["", *wrapped(f"{text} --all prints them.")]
    lines = ["", f"A reader would ask ({len(asked)}); no findings, they hold nothing up"]
    for question in asked:
        lines += wrapped(f"{question.subject}: {' '.join(question.ask.split())}", indent="  ")
        read = "; ".join(f"{what} {found}" for what, found in question.read)
        lines += wrapped(read, "read")
        lines += wrapped(f"It may be innocent: {' '.join(question.innocent.split())}", "note")
    return lines


def _counts(checked: Checked, everything: bool) -> list[str]:
    counts = checked.counts
    parts = [f"{counts[outcome]} {outcome.value}" for outcome in Outcome if counts[outcome]]
    total = len(checked.findings)
    more = "" if everything else " --all prints each."
    return wrapped(f"{total} findings: {', '.join(parts)}.{more}")
