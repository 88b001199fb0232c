"""What was seen when an evidence file was opened."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Seen:
    """One evidence file as it is: what it holds, whether all of it is there, what it claims.

    `kind` is told from the content: `jpeg`, `png`, `heic`, `pdf`, `csv`, `text`, or the name
    of something that evidence can't be kept as. `fault` is a sentence saying what is wrong and
    what would be right; `remark` is worth a look but is no fault. `taken` and `has_position`
    are what the file says of itself: claims, which anybody can write into it.
    """

    file: str
    kind: str = ""
    sha256: str = ""
    bytes: int = 0
    fault: str = ""
    remark: str = ""
    taken: datetime | None = None
    has_position: bool = False
    width_px: int = 0
    """Width as a person holds the picture upright, whichever way it was stored."""
    height_px: int = 0
    is_sideways: bool = False
    """Whether the picture is stored on its side and turned only by a mark in its metadata."""
    pages: int = 0

    @property
    def is_whole(self) -> bool:
        """Whether the file opens, is complete and is what its name says."""
        return not self.fault
