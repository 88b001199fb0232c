"""Findings as text for a terminal, and as JSON."""

from __future__ import annotations

import json
import shutil
import textwrap
from collections.abc import Iterator, Sequence

from compliance.rules.outcome import (
    NO_PERMISSION,
    Checked,
    Finding,
    HoldsUp,
    Outcome,
    Requirement,
    findings_data,
)
from compliance.rules.points import PRINTED
from compliance.rules.rule import Asking, Rule

HELD = {
    HoldsUp.LEAVING: "Holds up leaving the site",
    HoldsUp.USE: "Holds up switching on",
    HoldsUp.CERTIFICATE: "Holds up the certificate",
    HoldsUp.HANDOVER: "Holds up handover",
    HoldsUp.PAYMENT: "Holds up payment",
    HoldsUp.NOTHING: "Advice, holds up nothing",
}
FEWEST, MOST = 60, 100


def as_json(checked: Checked) -> str:
    """The findings as JSON, in one shape whatever else was asked for."""
    return json.dumps(findings_data(checked), ensure_ascii=False, indent=2, allow_nan=False)


def printed(checked: Checked, *, everything: bool = False) -> str:
    """One screen: danger, then what is held up, then the rest in one line."""
    lines = [*_wrapped(f"{checked.reference}  {checked.title}, checked on {checked.on}")]
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
    lines += _questions(checked, everything)
    if everything:
        lines += _rest(checked)
    for text in checked.uncovered:
        lines += ["", *_wrapped(f"NOT CHECKED  {text}.")]
    lines += ["", *_counts(checked, everything), *_wrapped(NO_PERMISSION)]
    return "\n".join(lines)


def explained(checked: Checked, editions: Sequence[Rule]) -> str:
    """One requirement as a person reads it in each edition, and all it was applied to."""
    lines = [line for rule in editions for line in (described(rule), "")]
    for finding in checked.findings:
        lines += _gap(finding, everything=True)
    if not checked.findings:
        lines.append("It is not applied to this job.")
    lines += ["", *_wrapped(NO_PERMISSION)]
    return "\n".join(lines)


def described(rule: Rule) -> str:
    """A requirement with its clause, reason and cure."""
    requirement, wording = rule.requirement, rule.wording
    clause = f", {requirement.source.clause}" if requirement.source.clause else ""
    rows = [
        ("Applies to", _loops(wording.loops)),
        ("If", wording.condition),
        ("Must", wording.must),
        ("Decide", rule.question),
        *(("Or", f"{way.title}: {way.must}") for way in rule.ways),
        ("Evidence", ", ".join(wording.evidence)),
        ("Before", PRINTED[requirement.before]),
        ("Held by", requirement.held_by),
        ("Bring", requirement.bring),
        ("Source", f"{requirement.source.title}{clause} ({requirement.source.confidence})"),
        ("Why", requirement.why),
        ("Remedy", requirement.remedy),
        ("Danger", requirement.danger),
    ]  # fmt: skip
    lines = [f"{requirement.id}: {requirement.title}"]
    if rule.head.edition:
        lines += _wrapped(f"{rule.head.edition}, from {rule.head.start}", f"{'edition':<10}")
    for name, text in rows:
        if text:
            lines += _wrapped(" ".join(str(text).split()), f"{name.lower():<10}")
    return "\n".join(lines)


def described_question(asking: Asking) -> str:
    """A question with when it is asked and its innocent cause."""
    rows = [
        ("Applies to", _loops(asking.wording.loops)),
        ("Asked if", asking.wording.condition),
        ("Innocent", asking.innocent),
    ]
    lines = _wrapped(f"{asking.id}: {' '.join(asking.ask.split())}")
    for name, text in rows:
        lines += _wrapped(" ".join(text.split()), f"{name.lower():<10}")
    return "\n".join([*lines, *_wrapped("A question is no finding; it holds nothing up.")])


def _loops(loops: tuple[str, ...]) -> str:
    return ", ".join(f"each {text}" for text in loops) or "the whole job"


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
            lines += _wrapped(title, indent="  ")
        lines += _gap(group[-1], everything)
    return lines


def _is_of_a_file(need: tuple[str, str]) -> bool:
    path, reason = need
    return path.startswith("evidence: ") and reason != "missing"


def _gap(gap: Finding, everything: bool) -> list[str]:
    requirement = gap.requirement
    outcome = "" if gap.outcome is Outcome.NOT_MET else f" ({gap.outcome.value})"
    lines = _wrapped(f"{gap.subject}: {requirement.title}{outcome}", indent="  ")
    for fact in gap.facts:
        margin = f"; {fact.margin}" if fact.margin else ""
        lines += _wrapped(f"{fact.what}: {fact.found}. Right: {fact.right}{margin}.", "found")
    supply = list(dict.fromkeys(n.supply for n in gap.needs))
    if supply:
        lines += _wrapped("; ".join(supply), "supply")
    if gap.is_danger:
        lines += _wrapped(requirement.danger, "now")
    if gap.outcome is Outcome.NOT_MET and not gap.set_aside and (everything or not gap.is_danger):
        lines += _wrapped(requirement.remedy, "cure")
    if gap.set_aside:
        lines += _wrapped(gap.set_aside, "note")
    if gap.outcome is Outcome.FOR_JUDGEMENT:
        lines += _wrapped(gap.remark, "decide")
    elif gap.remark and everything:
        lines += _wrapped(gap.remark, "note")
    if everything:
        lines += _details(gap)
    return lines


def _details(gap: Finding) -> Iterator[str]:
    if gap.way:
        yield from _wrapped(gap.way, "met")
    if gap.known:
        yield from _wrapped(gap.known, "known")
    yield from _wrapped(f"{gap.requirement.held_by}; {_cited(gap.requirement)}", "by")


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
                lines += _wrapped(text, indent="  ")
    return lines


def _questions(checked: Checked, everything: bool) -> list[str]:
    """What a reader would ask, apart from the findings; only how many unless all is printed."""
    asked = checked.questions
    if not asked:
        return []
    if not everything:
        many = "1 question" if len(asked) == 1 else f"{len(asked)} questions"
        text = f"{many} that a reader of the record would ask; no findings, they hold nothing up."
        return ["", *_wrapped(f"{text} --all prints them.")]
    lines = ["", f"A reader would ask ({len(asked)}); no findings, they hold nothing up"]
    for question in asked:
        lines += _wrapped(f"{question.subject}: {' '.join(question.ask.split())}", indent="  ")
        read = "; ".join(f"{what} {found}" for what, found in question.read)
        lines += _wrapped(read, "read")
        lines += _wrapped(f"It may be innocent: {' '.join(question.innocent.split())}", "note")
    return lines


def _counts(checked: Checked, everything: bool) -> list[str]:
    counts = checked.counts
    parts = [f"{counts[outcome]} {outcome.value}" for outcome in Outcome if counts[outcome]]
    total = len(checked.findings)
    more = "" if everything else " --all prints each."
    return _wrapped(f"{total} findings: {', '.join(parts)}.{more}")


def _wrapped(text: str, label: str = "", indent: str = "") -> list[str]:
    """Text in lines of the terminal's width, under a label or an indent."""
    width = min(MOST, max(FEWEST, shutil.get_terminal_size((80, 24)).columns))
    first = f"    {label:<7} " if label else indent
    rest = " " * len(first) if label else indent and f"{indent}  "
    return textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
