"""What a visit left wrong and a later visit left right.

That it was left so stays `not met` for ever. But once the same requirement is met, or does
not apply, for a later visit, nobody is in that danger any more, and nothing waits for it.
Only what the later visit states counts: one that is silent ends nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from compliance.rules.outcome import Finding, Outcome
from compliance.rules.points import whole_day

Entry = Mapping[str, Any]
Found = tuple[int, tuple[Entry, ...], Finding]
Moment = tuple[date, int]
"""A visit's day, and its place in the record among those of one day."""

SETTLED = (Outcome.MET, Outcome.NOT_APPLICABLE)


def with_what_ended(found: Sequence[Found], job: Entry, today: date) -> Iterator[Finding]:
    """Every finding; one about a visit says by which later visit it ended, if it did."""
    order = {id(visit): number for number, visit in enumerate(job.get("visits", ()))}
    settled: dict[str, list[tuple[Moment, Finding]]] = {}
    for _, entries, finding in found:
        moment = _moment(entries, finding, order)
        if moment and finding.outcome in SETTLED and moment[0] <= today:
            settled.setdefault(finding.requirement.id, []).append((moment, finding))
    for _, entries, finding in found:
        moment = _moment(entries, finding, order)
        if moment is None or finding.outcome is not Outcome.NOT_MET or finding.set_aside:
            yield finding
            continue
        later = [s for s in settled.get(finding.requirement.id, ()) if s[0] > moment]
        yield _ended(finding, min(later, key=lambda s: s[0])) if later else finding


def _moment(entries: Sequence[Entry], finding: Finding, order: Mapping[int, int]) -> Moment | None:
    if finding.requirement.before != "leaving" or not entries:
        return None
    visit = entries[-1]
    return whole_day(visit["on"]), order[id(visit)]


def _ended(finding: Finding, by: tuple[Moment, Finding]) -> Finding:
    (day, _), later = by
    right = "was left as required" if later.outcome is Outcome.MET else "left nothing of it"
    return replace(finding, ended=f"Ended on {day.isoformat()}: the {later.subject} {right}.")
