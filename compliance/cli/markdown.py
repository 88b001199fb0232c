"""Findings as Markdown, to paste where people write to each other; what was typed stays literal."""

from __future__ import annotations

import re
from collections.abc import Iterator

from compliance.documents.gaps import GapView, gap_sections
from compliance.rules.outcome import NO_PERMISSION, Checked, Outcome
from compliance.rules.supply_list import supply_list

_MARKS = re.compile(r"([\\`*_{}\[\]<>#|~&])")
_LIST_MARK = re.compile(r"^(?:(\d{1,9})([.)])|([-+=]))")


def as_markdown(checked: Checked) -> str:
    """Every gap by what it holds up and who holds it, then what to supply first."""
    return "\n".join(_lines(checked)).rstrip() + "\n"


def _lines(checked: Checked) -> Iterator[str]:
    yield f"# {_literal(f'{checked.reference}: {checked.title}')}"
    yield ""
    yield f"Checked on {checked.on.isoformat()}. **{NO_PERMISSION}**"
    for section in gap_sections(checked):
        yield f"\n## {section.title} ({len(section.gaps)})\n"
        yield _literal(section.lead)
        for holder in section.holders:
            yield f"\n### {_literal(holder.name)}\n"
            for asked in holder.asked:
                for gap in asked.gaps:
                    yield from _gap(gap)
    steps = supply_list(checked.gaps)
    if steps:
        yield "\n## Supply first\n"
        for number, step in enumerate(steps, 1):
            yield f"{number}. {_literal('; '.join(step.things))} (can close {step.closes})"
    for text in checked.uncovered:
        yield f"\n**Not checked:** {_literal(text)}"
    counted = ", ".join(f"{checked.counts[o]} {o.value}" for o in Outcome if checked.counts[o])
    yield f"\n{len(checked.findings)} findings: {counted}."


def _gap(gap: GapView) -> Iterator[str]:
    aside = ", set aside" if gap.set_aside else ", ended since" if gap.ended else ""
    yield f"- **{_literal(f'{gap.subject}: {gap.title}')}** ({gap.outcome}{aside})"
    if gap.danger:
        yield f"  - **Make it safe first:** {_literal(gap.danger)}"
    for fact in gap.facts:
        margin = f" (margin {fact.margin})" if fact.margin else ""
        yield f"  - Found: {_literal(f'{fact.what}: {fact.found}')}"
        yield f"  - Would be right: {_literal(f'{fact.right}{margin}')}"
    for thing in gap.supply:
        yield f"  - To supply: {_literal(thing)}"
    for other in gap.offers:
        yield f"  - Or: {_literal(other)}"
    rest = (
        ("Needed before", gap.before),
        ("Required by", f"{gap.clause} ({gap.confidence})"),
        ("What to do", gap.remedy),
        ("Remark", gap.remark),
        ("Set aside", gap.set_aside),
        ("Ended", gap.ended),
    )
    for name, text in rest:
        if text:
            yield f"  - {name}: {_literal(text)}"


def _literal(text: str) -> str:
    """Text that no reader of Markdown takes for anything but itself."""
    escaped = _MARKS.sub(r"\\\1", " ".join(text.split()))
    return _LIST_MARK.sub(lambda mark: f"{mark[1] or ''}\\{mark[2] or mark[3]}", escaped)
