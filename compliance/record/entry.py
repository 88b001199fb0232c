"""The base of every group of fields in a record."""

from __future__ import annotations

import re
from typing import Annotated, Any, ClassVar

from pydantic import BaseModel, ConfigDict

from compliance.record.kinds import FreeText, Reference


class Group(BaseModel):
    """A group of fields; what nothing reads is refused by name."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)

    @classmethod
    def type_name(cls) -> str:
        """The name of this kind of group in the rules: `DcIsolator` is `dc_isolator`."""
        return re.sub(r"(?<=[a-z])(?=[A-Z])", "_", cls.__name__).lower()


class Entry(Group):
    """A group with a short name or a place in a list, that may belong to a part of the job.

    `part_kinds` are the kinds of part it fits, the likeliest first.
    """

    tag: ClassVar[str] = ""
    part_kinds: ClassVar[tuple[str, ...]] = ()

    def said_fields(self) -> dict[str, Any]:
        """The fields that were written, by name."""
        return {name: getattr(self, name) for name in type(self).model_fields
                if getattr(self, name) is not None}  # fmt: skip


class InBatch(Group):
    """A group that may take what it does not say from what was said once of its batch."""

    batch: Annotated[str, Reference("batches")] | None = None


class Batched(InBatch, Entry):
    """An entry of a batch."""


class Usual(Batched):
    """An entry that may take what it does not say from the firm's entry of the name `usual`."""

    usual: FreeText | None = None
