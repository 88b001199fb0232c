"""What a visit left wrong and a later visit left right.

That it was left so stays `not met` for ever. But once the same requirement is met for a later
visit, nobody is in that danger any more, and nothing waits for it. So too where it does not
apply to how a later visit left the site; that a visit did something else, such as use no
scaffold, ends nothing. Only what the later visit states counts: one that is silent ends nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from compliance.rules.language.nodes import paths_in
from compliance.rules.outcome import Finding, Outcome
from compliance.rules.points import whole_day
from compliance.rules.rule import Rule

Entry = Mapping[str, Any]
Found = tuple[int, tuple[Entry, ...], Finding]
Moment = tuple[date, int]
"""A visit's day, and its place in the record among those of one day."""


def with_what_ended(
    found: Sequence[Found], rules: Sequence[Rule], job: Entry, today: date
) -> list[Finding]:
    """Every finding; one about a visit says by which later visit it ended, if it did.

    Args:
        found: The findings, each with the number of its rule and its entries.
        rules: The rules by number.
        job: The view of the record.
        today: The day of the check.
    """
    visits = job.get("visits", ())
    if len(visits) < 2 or not any(rule.requirement.before == "leaving" for rule in rules):
        return [finding for _, _, finding in found]
    order = {id(visit): number for number, visit in enumerate(visits)}
    return list(_with_what_ended(found, rules, order, today))


def _with_what_ended(
    found: Sequence[Found], rules: Sequence[Rule], order: Mapping[int, int], today: date
) -> Iterator[Finding]:
    settled: dict[str, list[tuple[Moment, Finding]]] = {}
    for number, entries, finding in found:
        moment = _moment(entries, finding, order)
        if moment and moment[0] <= today and _settles(finding.outcome, rules[number]):
            settled.setdefault(finding.requirement.id, []).append((moment, finding))
    for _, entries, finding in found:
        moment = _moment(entries, finding, order)
        if moment is None or finding.outcome is not Outcome.NOT_MET or finding.set_aside:
            yield finding
            continue
        later = [s for s in settled.get(finding.requirement.id, ()) if s[0] > moment]
        yield _ended(finding, min(later, key=lambda s: s[0])) if later else finding


def _settles(outcome: Outcome, rule: Rule) -> bool:
    """Whether an outcome of a later visit says that what an earlier one left is over."""
    if outcome is Outcome.NOT_APPLICABLE and rule.clause.condition is not None:
        return all(path.steps[:1] == ("left",) for path in paths_in(rule.clause.condition))
    return outcome is Outcome.MET


def _moment(entries: Sequence[Entry], finding: Finding, order: Mapping[int, int]) -> Moment | None:
    if finding.requirement.before != "leaving" or not entries:
        return None
    visit = entries[-1]
    return whole_day(visit["on"]), order[id(visit)]


def _ended(finding: Finding, by: tuple[Moment, Finding]) -> Finding:
    (day, _), later = by
    right = "was as required" if later.outcome is Outcome.MET else "left nothing of it"
    return finding._replace(ended=f"Ended on {day.isoformat()}: the {later.subject} {right}.")
