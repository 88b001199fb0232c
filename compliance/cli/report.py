"""Findings as text for a terminal, and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator

from compliance.cli.wrapping import wrapped
from compliance.rules.outcome import (
    NO_PERMISSION,
    Checked,
    Finding,
    HoldsUp,
    Outcome,
    Requirement,
    findings_data,
)

HELD = {
    HoldsUp.LEAVING: "Holds up leaving the site",
    HoldsUp.USE: "Holds up switching on",
    HoldsUp.CERTIFICATE: "Holds up the certificate",
    HoldsUp.HANDOVER: "Holds up handover",
    HoldsUp.PAYMENT: "Holds up payment",
    HoldsUp.NOTHING: "Advice, holds up nothing",
}


def as_json(checked: Checked) -> str:
    """The findings as JSON, in one shape whatever else was asked for."""
    return json.dumps(findings_data(checked), ensure_ascii=False, indent=2, allow_nan=False)


def printed(checked: Checked, *, everything: bool = False) -> str:
    """One screen: danger, then what is held up, then the rest in one line."""
    lines = [*wrapped(f"{checked.reference}  {checked.title}, checked on {checked.on}")]
    gaps = [g for g in checked.gaps if not g.set_aside]
    dangers = [g for g in gaps if g.is_danger]
    if dangers:
        lines += ["", f"DANGER ({len(dangers)})"]
        for gap in dangers:
            lines += _gap(gap, everything)
    for what, title in HELD.items():
        held = [g for g in gaps if g.requirement.holds_up is what and not g.is_danger]
        if held and (what is not HoldsUp.NOTHING or everything):
            lines += ["", f"{title} ({len(held)})"]
            lines += _held(held, everything)
    aside = [f for f in checked.findings if f.set_aside]
    if aside:
        lines += ["", f"Set aside, still not met ({len(aside)})"]
        for finding in aside:
            lines += _gap(finding, everything)
    if not checked.is_held_up:
        lines += ["", "Nothing that was checked is held up."]
    if everything:
        lines += _rest(checked)
    for text in checked.uncovered:
        lines += ["", *wrapped(f"NOT CHECKED  {text}.")]
    lines += ["", *_counts(checked, everything), *wrapped(NO_PERMISSION)]
    return "\n".join(lines)


def found_of(checked: Checked) -> list[str]:
    """Every finding with all that is known of it, in lines."""
    return [line for finding in checked.findings for line in _gap(finding, everything=True)]


def _held(gaps: list[Finding], everything: bool) -> list[str]:
    """Gaps that wait for the same files or lists, in one group with what it takes said once."""
    groups: dict[object, list[Finding]] = {}
    for gap in gaps:
        waits_for = tuple((n.path, n.reason) for n in gap.needs)
        same = (
            waits_for
            and not everything
            and not gap.facts
            and (gap.subject == "job" or all(_is_of_a_file(need) for need in waits_for))
        )
        groups.setdefault(waits_for if same else id(gap), []).append(gap)
    lines: list[str] = []
    for group in groups.values():
        for gap in group[:-1]:
            title = f"{gap.subject}: {gap.requirement.title} ({gap.outcome.value})"
            lines += wrapped(title, indent="  ")
        lines += _gap(group[-1], everything)
    return lines


def _is_of_a_file(need: tuple[str, str]) -> bool:
    path, reason = need
    return path.startswith("evidence: ") and reason != "missing"


def _gap(gap: Finding, everything: bool) -> list[str]:
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
    if gap.is_danger:
        lines += wrapped(requirement.danger, "now")
    if gap.outcome is Outcome.NOT_MET and not gap.set_aside and (everything or not gap.is_danger):
        lines += wrapped(requirement.remedy, "cure")
    if gap.set_aside:
        lines += wrapped(gap.set_aside, "note")
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


def _counts(checked: Checked, everything: bool) -> list[str]:
    counts = checked.counts
    parts = [f"{counts[outcome]} {outcome.value}" for outcome in Outcome if counts[outcome]]
    total = len(checked.findings)
    more = "" if everything else " --all prints each."
    return wrapped(f"{total} findings: {', '.join(parts)}.{more}")
