"""What the office keeps of one checked job, as plain data: its line, its gaps, its notices.

Nothing here depends on another day than that of the check, so that it can be kept in the
index; deadlines are worked out when somebody asks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from compliance.portfolio.deadlines import sent_late
from compliance.portfolio.notices import NETWORK_AGREEMENT
from compliance.portfolio.route import per_phase_kw
from compliance.portfolio.same_readings import reading_hashes
from compliance.rules.job import Job
from compliance.rules.outcome import Checked, Finding, HoldsUp, Outcome
from compliance.rules.points import whole_day
from compliance.values import NotYet

Data = dict[str, Any]


def line_data(job: Job) -> Data:
    """What one line about a job says, and hashes by which a set of readings is known again."""
    checked = job.checked
    return {
        "reference": checked.reference,
        "title": checked.title,
        "on": checked.on.isoformat(),
        "closed": _written(job.view.get("closed")),
        "held_up": checked.is_held_up,
        "dangers": sum(f.is_danger and not f.set_aside for f in checked.findings),
        "holds_up": _held(checked),
        "counts": {o.value: count for o, count in checked.counts.items()},
        "set_aside": sum(bool(f.set_aside) for f in checked.findings),
        "uncovered": list(checked.uncovered),
        "sent_late": _sent_late(job),
        "readings": reading_hashes(job.view),
    }


def more_data(job: Job) -> Data:
    """What chasing needs of a job: what is lacking, who could be asked, dates and notices."""
    lacking = [g for g in job.checked.gaps if g.outcome is not Outcome.NOT_MET]
    return {
        "lacking": [_lacking(gap) for gap in lacking],
        "people": _people(job.view),
        "notices": notice_facts(job.view),
    }


def notice_facts(view: Mapping[str, Any]) -> Data:
    """What of a record starts and stops the clocks of its notices."""
    agreed = _written(view["site"].get("agreement", {}).get("on"))
    for_all = [[NETWORK_AGREEMENT, agreed]] if agreed else []
    return {
        "jurisdiction": view["jurisdiction"],
        "building": view["site"].get("building", ""),
        "per_phase_kw": per_phase_kw(view),
        "parts": [
            {
                "name": part["~name"],
                "kind": part["kind"],
                "started": _written(part.get("started")),
                "in_use": _written(part.get("in_use")),
                "handed_over": _written(part.get("handed_over")),
                "notifications": for_all
                + [
                    [told["notice"], _written(told["on"])] for told in part.get("notifications", ())
                ],
            }
            for part in view.get("parts", ())
        ],
    }


def _sent_late(job: Job) -> int:
    """How many notices went out late, one that several parts share counted once."""
    late = sent_late(notice_facts(job.view), job.rules.tables, date.max)
    return len({(found.notice.name, found.sent, found.missed) for found in late})


def _held(checked: Checked) -> list[str]:
    """What the gaps stop, in the order in which people must hear it."""
    held = Counter(f.requirement.holds_up for f in checked.findings if f.holds_something_up)
    return [what.value for what in HoldsUp if held[what] and what is not HoldsUp.NOTHING]


def _lacking(gap: Finding) -> Data:
    requirement = gap.requirement
    return {
        "requirement": requirement.id,
        "title": requirement.title,
        "subject": "the whole job" if gap.subject == "job" else gap.subject,
        "part": gap.part,
        "outcome": gap.outcome.value,
        "held_by": requirement.held_by,
        "holds_up": requirement.holds_up.value,
        "point": _written(gap.point),
        "things": list(_things(gap)),
        "or": [offer.title for offer in gap.offers],
    }


def _things(gap: Finding) -> Iterator[str]:
    """What would settle a gap, each thing once; a judgement is a thing like any other."""
    if gap.outcome is Outcome.FOR_JUDGEMENT:
        yield f"a competent person's decision on {gap.subject}: {gap.requirement.title}"
    else:
        yield from dict.fromkeys(need.supply or need.path for need in gap.needs)


def _people(view: Mapping[str, Any]) -> Data:
    organisation, customer = view["organisation"], view["customer"]
    return {
        "office": organisation.get("name", ""),
        "customer": customer.get("name", ""),
        "network operator": view["site"]["supply"].get("operator", ""),
        "team": [
            [person.get("name", person["~name"]), person.get("role", "")]
            for person in view.get("people", ())
        ],
    }


def _written(day: Any) -> str:
    """A date as text; `not yet` as the record says it, nothing where nothing is known."""
    if isinstance(day, NotYet):
        return "not yet"
    return whole_day(day).isoformat() if isinstance(day, date) else ""
