"""What one person says once of several tests or photos that belong together."""

from __future__ import annotations

from typing import Annotated

from compliance.record.entry import Entry
from compliance.record.kinds import Day, Reference


class Batch(Entry):
    """Who took a batch of photos or made a batch of tests, on which day, with what.

    A test or photo that names its `batch` takes from it what it does not say itself. Photos
    without a time of their own are dated so: as stated by that person, not as measured.
    """

    by: Annotated[str, Reference("people")]
    on: Day | None = None
    instrument: Annotated[str, Reference("instruments")] | None = None
