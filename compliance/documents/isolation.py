"""What the isolation and label schedule receives: what can be live where, what frees it, labels.

All of it is worked out from the record's connections (`compliance.rules.connections`);
nothing is a fixed list.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from compliance.documents.commissioning import firm, said
from compliance.documents.data import day
from compliance.documents.live import dangers, listed, spoken
from compliance.documents.tables import shaped
from compliance.documents.tree import Table
from compliance.electrical.live import Switches, Wiring
from compliance.rules.connections import BOARDS, INCOMING, connections
from compliance.rules.job import Job
from compliance.rules.labels_due import schedule
from compliance.rules.outcome import NO_PERMISSION

Entry = Mapping[str, Any]

NO_SWITCH = "no switch on record frees it"


def isolation_values(job: Job) -> dict[str, Any]:
    """The values of `isolation-label-schedule.md.j2`."""
    view, checked = job.view, job.checked
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": said(view["site"], "address", ""),
        "firm": firm(view),
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
        "dangers": list(dangers(checked.gaps)),
        "assumptions": list(connections(view).assumptions),
    }


def isolation_tables(job: Job) -> dict[str, Table]:
    """The tables of `isolation-label-schedule.md.j2`."""
    found = connections(job.view)
    words = spoken(job.view)
    return {
        "freeing": shaped("freeing", _freeing(found.wiring, words)),
        "label-schedule": shaped(
            "label-schedule",
            (
                (one.what, f"{one.where}: {one.kind}", one.tells, one.name)
                for one in schedule(job.view, found)
            ),
        ),
    }


def _freeing(wiring: Wiring, words: Mapping[str, str]) -> Iterator[Sequence[str]]:
    """A row for the places of which everything is the same."""
    reach, at_worst = wiring.live(), wiring.live(frozenset(wiring.switches))
    rows: dict[tuple[str, ...], list[str]] = {}
    for terminal in sorted(wiring.terminals, key=_from_the_supply):
        if reach[terminal]:
            least = wiring.freed_by(terminal)
            row = (
                listed(sorted(reach[terminal])),
                "; or ".join(listed(sorted(some)) for some in least) or NO_SWITCH,
                _beside(wiring, least[0], words) if least else _itself(at_worst[terminal]),
            )
            rows.setdefault(row, []).append(words.get(terminal, terminal))
    for answers, places in rows.items():
        where = "; ".join(places)
        yield (f"{where[0].upper()}{where[1:]}", *answers)


def _from_the_supply(terminal: str) -> int:
    return {INCOMING: 0, BOARDS: 1}.get(terminal, 2)


def _beside(wiring: Wiring, opened: Switches, words: Mapping[str, str]) -> str:
    """What stays live on the other side of switches that free a terminal."""
    live = wiring.live(opened)
    ends = {
        (name, other): listed(sorted(live[other]))
        for name in sorted(opened)
        for pair in wiring.switches[name]
        for other in pair
        if live[other]
    }
    return "; ".join(
        f"the other side of {name} ({words.get(other, other)}), from {sources}"
        for (name, other), sources in ends.items()
    )


def _itself(sources: frozenset[str]) -> str:
    return f"the same place, from {listed(sorted(sources))}, with every switch open"
