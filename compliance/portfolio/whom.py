"""Whom to ask: the holder of a gap, and the person of that part whom the record names.

People of the firm are asked about all their jobs at once. Everybody else is asked about one
job only, so that no customer or supplier reads about another's; a network operator, who
knows each connection anyway, about all of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from compliance.portfolio.deadlines import OFFICE

NETWORK_OPERATOR, CUSTOMER = "network operator", "customer"
_OF_THE_FIRM = ("installer", "designer")


@dataclass(frozen=True, slots=True, order=True)
class Whom:
    """Somebody to ask: what they are to the job, and their name if the record gives it."""

    holder: str
    name: str
    about: str = ""
    """The folder of the one job that they may be asked about; empty for the firm's people."""

    def __str__(self) -> str:
        return f"{self.holder}: {self.name}" if self.name else self.holder


def whom(holder: str, people: Mapping[str, Any], folder: str) -> Whom:
    """Who of a job's people holds what is lacking.

    Args:
        holder: As the requirement says it.
        people: What `summary` keeps of the record's people.
        folder: The job's folder.
    """
    firm = people["office"]
    if holder == OFFICE:
        return Whom(holder, firm, "" if firm else folder)
    if holder in _OF_THE_FIRM:
        fitting = {name for name, role in people["team"] if holder in role.lower()}
        one = [fitting.pop()] if len(fitting) == 1 else []
        name = ", ".join([*one, *([firm] if firm else [])])
        return Whom(holder, name, "" if name else folder)
    if holder == NETWORK_OPERATOR and people[NETWORK_OPERATOR]:
        return Whom(holder, people[NETWORK_OPERATOR])
    return Whom(holder, people[CUSTOMER] if holder == CUSTOMER else "", folder)
