"""What people decided: judgements and departures that count on the day of the check."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from compliance.rules.outcome import Outcome
from compliance.rules.plans import Case
from compliance.rules.points import whole_day
from compliance.rules.shown import fault_of

Entry = Mapping[str, Any]


def judged(case: Case) -> tuple[Outcome, str]:
    """The latest decision, if there is one."""
    for said in reversed(_statements(case, "judgements")):
        return Outcome(said["outcome"]), f"Decided by {_signed(said)}: {said['grounds']}"
    return Outcome.FOR_JUDGEMENT, ""


def set_aside(case: Case) -> tuple[str, str]:
    """The latest departure in words; or why one that was written does not count."""
    world = case.about.world
    about = case.about.last or world.job
    fault = ""
    for said in reversed(_statements(case, "departures")):
        if said["role"] != case.rule.set_aside_by:
            continue
        seen = world.seen.get(said["evidence"]["~name"])
        wrong = fault_of(
            said["evidence"], about, case.rule.clause.before, world.job, seen, world.today
        )
        if not wrong:
            return f"Set aside by {_signed(said, said['role'])}: {said['grounds']}", ""
        fault = f"Not set aside: the evidence {said['evidence']['~name']} does not count, {wrong}."
    return "", fault


def _signed(said: Entry, role: str = "") -> str:
    by = said["by"].get("name", said["by"]["~name"])
    return f"{by}{f' ({role})' if role else ''} on {whole_day(said['on']).isoformat()}"


def _statements(case: Case, collection: str) -> list[Any]:
    """What was stated about a finding up to the day of the check, the latest last."""
    stated = case.about.world.job.get(collection)
    if not stated:
        return []
    found = [
        said
        for said in stated
        if said["requirement"] == case.rule.requirement.id
        and said.get("subject", "job") == case.about.name
        and whole_day(said["on"]) <= case.about.world.today
    ]
    return sorted(found, key=lambda said: whole_day(said["on"]))
