"""What `compliance chase` found in a folder, before it is said in one form or another."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from compliance.portfolio.chase import Item, Late


@dataclass(slots=True)
class Chased:
    """What was found in a folder on a day."""

    folder: Path
    on: date
    items: list[Item] = field(default_factory=list)
    late: list[Late] = field(default_factory=list)
    """Notices that went out after a last day; nothing of them is open."""
    dangers: list[str] = field(default_factory=list)
    """References of jobs where something is dangerous."""
    not_met: dict[str, int] = field(default_factory=dict)
    """How many findings of a job are not met, which no supplying closes."""
    bad: list[str] = field(default_factory=list)


def is_late(item: Item, on: date) -> bool:
    """Whether a notice that has not gone out is late, by law or by practice."""
    return item.notice is not None and any(d.is_late(on) for d in item.notice.deadlines)
