"""What a visit has to know, as text: danger, what holds up leaving, today's last chances.

Points of no return pass with the day that the record names. A part that is being worked on,
of which the record does not say when it is covered or when its scaffold comes down, may
pass that point today as well; that is told apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from compliance.cli.report import (
    HELD,
    dangers,
    foot,
    gap_lines,
    head,
    in_full,
    in_short,
    is_last_chance,
)
from compliance.cli.wrapping import wrapped
from compliance.rules.hidden import HIDES
from compliance.rules.outcome import Checked, Finding, HoldsUp, Outcome
from compliance.rules.points import PRINTED


def printed_for_visit(checked: Checked, day: date) -> str:
    """A visit's screen: danger, what holds up leaving, what can be shown for the last time."""
    gaps = [gap for gap in checked.gaps if gap.is_open]
    rest = [gap for gap in gaps if not gap.is_danger]
    leaving = sorted(
        (g for g in rest if g.requirement.holds_up is HoldsUp.LEAVING), key=lambda g: g.point != day
    )  # first what this visit leaves, then what earlier ones did
    told = {id(gap) for gap in leaving}
    last = [f for f in checked.findings if is_last_chance(f, day) and id(f) not in told]
    perhaps = [gap for gap in rest if _may_be_last_chance(gap)]
    lines = head(checked) + dangers(gaps, everything=False)
    lines += _section(HELD[HoldsUp.LEAVING], in_full(leaving), len(leaving))
    lines += _section(f"Last chance on {day}", list(_in_full(last)), len(last))
    if perhaps:
        title = f"Perhaps the last chance: the record does not say when that is ({len(perhaps)})"
        lines += ["", *wrapped(title), *_in_short(perhaps)]
    told |= {id(gap) for gap in (*last, *perhaps)}
    others = sum(id(gap) not in told for gap in rest)
    if others:
        what = "1 more gap" if others == 1 else f"{others} more gaps"
        lines += ["", *wrapped(f"{what} can be closed after this visit.")]
    return "\n".join([*lines, *foot(checked, everything=False)])


def _section(title: str, lines: list[str], count: int) -> list[str]:
    return ["", f"{title} ({count})", *(lines or ["  nothing that was checked"])]


def _in_full(findings: Iterable[Finding]) -> Iterator[str]:
    """Findings under what they must be shown before, and by whom; what gets hidden first."""
    for before, some in _by_point(findings):
        for holder in dict.fromkeys(f.requirement.held_by for f in some):
            yield f"  before {PRINTED[before]}, {holder}:"
            for finding in some:
                if finding.requirement.held_by == holder:
                    yield from gap_lines(finding, everything=True)


def _in_short(findings: Iterable[Finding]) -> Iterator[str]:
    for before, some in _by_point(findings):
        yield f"  before {PRINTED[before]}:"
        for _, lines in in_short(some):
            yield from lines


def _by_point(findings: Iterable[Finding]) -> Iterator[tuple[str, list[Finding]]]:
    found = list(findings)
    for before in (*HIDES, *(point for point in PRINTED if point not in HIDES)):
        some = [f for f in found if f.requirement.before == before]
        if some:
            yield before, some


def _may_be_last_chance(gap: Finding) -> bool:
    """Whether what it takes gets out of sight on a day that the record does not say."""
    is_hidden = gap.requirement.before in HIDES and gap.point is None
    return is_hidden and gap.outcome is not Outcome.NOT_MET
