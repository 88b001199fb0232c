"""Scaffolds: from when to when the roof can be reached from them, and who looked at them."""

from __future__ import annotations

from typing import Annotated

from compliance.record.entry import Entry
from compliance.record.kinds import CollectionKind, Day, DayAhead, FreeText, Reference, words


class ScaffoldInspection(Entry):
    """One inspection of a scaffold by a competent person, before it was used or since."""

    on: Day
    by: FreeText | None = None
    result: Annotated[str, words("safe to use", "not safe")] | None = None


class Scaffold(Entry):
    """One scaffold or tower; once it is struck, what was reached from it is out of reach."""

    serves: Annotated[tuple[str, ...], Reference("parts", back="scaffolds", many=True)]
    erected: DayAhead | None = None
    struck: DayAhead | None = None
    inspections: (
        Annotated[list[ScaffoldInspection] | None, CollectionKind(is_complete=False)] | None
    ) = None
