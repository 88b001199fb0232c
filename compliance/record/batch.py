"""What one person says once of several entries that belong together."""

from __future__ import annotations

from typing import Annotated

from compliance.record.entry import Entry
from compliance.record.kinds import Day, FreeText, Reference


class Batch(Entry):
    """What one person says of all entries that name it: who, on which day, with what.

    An entry that names its `batch` takes from it what it does not say itself; beside the
    fields here a batch may say any that its entries have. Photos without a time of their own
    are dated so: as stated by that person, not as measured. `what` is what it is of; a batch
    without `by` is planned.
    """

    what: FreeText | None = None
    by: Annotated[str, Reference("people")] | None = None
    on: Day | None = None
    instrument: Annotated[str, Reference("instruments")] | None = None
