"""Scaffolds: until when the roof can be reached from them."""

from __future__ import annotations

from typing import Annotated

from compliance.record.entry import Entry
from compliance.record.kinds import DayAhead, Reference


class Scaffold(Entry):
    """One scaffold or tower; once it is struck, what was reached from it is out of reach.

    Its inspections are told by each visit that used it.
    """

    serves: Annotated[tuple[str, ...], Reference("parts", back="scaffolds", many=True)]
    struck: DayAhead | None = None
