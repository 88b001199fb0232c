"""What one person says once of several entries that belong together."""

from __future__ import annotations

from typing import Annotated

from compliance.record.entry import Entry
from compliance.record.kinds import Day, FreeText, Reference

HOW_IT_IS_DONE = (
    "mark_at_array", "mark_at_inverter", "sleeve_at_array", "sleeve_at_inverter", "identified_by",
    "leads", "run", "passages_labelled", "at_risk", "out_for_insulation_test",
)  # fmt: skip
"""What a firm can say beforehand of its batches: how it works, never what somebody has to find."""


class Batch(Entry):
    """What one person says of all entries that name it: who, on which day, with what.

    An entry that names its `batch` takes from it what it does not say itself; beside the
    fields here a batch may say any that its entries have. Photos without a time of their own
    are dated so: as stated by that person, not as measured. `what` is what it is of; a batch
    without `by` is planned. `usual` is the firm's batch of that name: how it always does
    such work.
    """

    usual: FreeText | None = None

    what: FreeText | None = None
    by: Annotated[str, Reference("people")] | None = None
    on: Day | None = None
    instrument: Annotated[str, Reference("instruments")] | None = None
