"""Which formats of a record and of a firm's file there are, and which of them are read."""

from __future__ import annotations

import re
from dataclasses import dataclass

from compliance.errors import Place, RecordError
from compliance.files.written import shown


@dataclass(frozen=True, slots=True)
class Format:
    """A kind of file by its first line `key: name/number`, with its latest number."""

    key: str
    name: str
    latest: int

    def __str__(self) -> str:
        return f"{self.name}/{self.latest}"

    def number_in(self, text: object) -> int | None:
        """The number that a first line's value names; None if it names no format of this kind."""
        found = re.fullmatch(rf"{self.name}/([1-9][0-9]{{0,5}})", str(text).strip())
        return int(found[1]) if found else None


INSTALLATION = Format("record", "installation", 2)
FIRM = Format("firm", "firm", 1)


class NewerFormatError(RecordError):
    """A file of a format that is newer than this program."""

    id = "record.newer-format"

    def __init__(self, text: str, known: Format, place: Place | None = None) -> None:
        latest = known.latest
        read = f"{known.name}/1 to {known}" if latest > 1 else str(known)
        super().__init__(
            f'"{shown(text)}" was written by a newer version of this program; this one reads '
            f"{read}. Install the newer version, and leave the file as it is: an older "
            "program would misread it",
            place,
        )
