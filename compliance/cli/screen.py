"""The one screen of `compliance check`: danger, leaving, last chance, and as much more as fits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from compliance.cli.report import (
    HELD,
    NOTHING,
    closed,
    dangers,
    files,
    foot,
    head,
    in_short,
    is_last_chance,
    planned,
    questions,
    supply_first,
)
from compliance.cli.wrapping import wrapped
from compliance.evidence import Seen
from compliance.rules.outcome import STOPS, Checked, Finding, HoldsUp

LINES = 20
"""What a screen holds beside dangers, which are never cut short."""
MOST_SUPPLIES = 2
Section = tuple[str, str, list[Finding]]
"""A heading, what the closing line calls it, and its gaps."""


def screen(
    checked: Checked,
    seen: Mapping[str, Seen] | None = None,
    only_planned: Mapping[str, str] = NOTHING,
) -> str:
    """What has to be known first, in about twenty lines; `report.printed` has everything.

    `seen` is what was found on opening the evidence files: what is wrong of them is told.
    `only_planned` is what nobody speaks for yet, with its batch.
    """
    gaps = [gap for gap in checked.gaps if gap.is_open]
    after = [
        *closed(checked, everything=False),
        *files(seen or {}),
        *questions(checked, everything=False),
        *supply_first(gaps, MOST_SUPPLIES),
        *planned(only_planned),
        *foot(checked, everything=False),
    ]
    before = head(checked)
    room = LINES - len(before) - len(after)
    sections = list(_sections(checked, gaps))
    lines = [*before, *dangers(gaps, everything=False), *_filled(sections, room), *after]
    return "\n".join(lines)


def _sections(checked: Checked, gaps: Sequence[Finding]) -> list[Section]:
    """Leaving, then what today is the last chance for, then the rest by what it stops."""
    rest = [gap for gap in gaps if not gap.is_danger]
    leaving = [gap for gap in rest if gap.requirement.holds_up is HoldsUp.LEAVING]
    last = [
        f for f in checked.findings if is_last_chance(f, checked.on)
        and f.requirement.holds_up is not HoldsUp.LEAVING
    ]  # fmt: skip
    told = {id(finding) for finding in last}
    sections: list[Section] = [
        (HELD[HoldsUp.LEAVING], STOPS[HoldsUp.LEAVING], leaving),
        (f"Last chance on {checked.on}", "last chances today", last),
    ]
    for what, title in HELD.items():
        if what not in (HoldsUp.LEAVING, HoldsUp.NOTHING):
            held = [g for g in rest if g.requirement.holds_up is what and id(g) not in told]
            sections.append((title, STOPS[what], held))
    return [section for section in sections if section[2]]


def _filled(sections: Sequence[Section], room: int) -> list[str]:
    """The sections as far as there is room; one line counts what did not fit."""
    lines: list[str] = []
    for number, (title, _, gaps) in enumerate(sections):
        entries = list(in_short(gaps))
        left = room - len(lines)
        if number and left < 3 + len(entries[0][1]):  # blank, heading, and that there are more
            return [*lines, *_counted(sections[number:])]
        lines += ["", f"{title} ({len(gaps)})"]
        lines += _as_many_as_fit(entries, left - 2)
    return lines


def _as_many_as_fit(entries: Sequence[tuple[int, list[str]]], room: int) -> list[str]:
    """The first entry in any case, then more of them while there is room."""
    lines: list[str] = []
    for number, (_, entry) in enumerate(entries):
        is_last = number == len(entries) - 1
        if lines and len(lines) + len(entry) + (0 if is_last else 1) > room:
            return [*lines, f"  and {sum(count for count, _ in entries[number:])} more"]
        lines += entry
    return lines


def _counted(sections: Sequence[Section]) -> list[str]:
    counts = ", ".join(f"{name} ({len(gaps)})" for _, name, gaps in sections)
    return ["", *wrapped(f"Also open: {counts}. --all prints each.")]
