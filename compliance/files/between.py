"""What stands between the values of a file, which the parser's events say nothing about."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator

from compliance.errors import WrittenError
from compliance.files.events import Event
from compliance.files.refusals import GluedHashError, TabUsedError
from compliance.files.text import Source

_MARKS = re.compile("[#\t]").finditer


class Between:
    """What lies between the scalars of a text: comments and marks that no event tells of."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self._starts: list[int] = []
        self._ends: list[int] = []
        self._are_plain: list[bool] = []

    def add(self, event: Event) -> None:
        """Note one scalar; the line that only announces a block of text is not part of it."""
        start = (event.start[0] + 1, 0) if event.mark in ("|", ">") else event.start
        self._starts.append(self._source.index(*start))
        self._ends.append(self._source.index(*event.end))
        self._are_plain.append(not event.mark)

    def problems(self, end: int) -> Iterator[WrittenError]:
        """Comments glued to a value and tabs outside quotes and blocks, as far as `end`."""
        for number, line in enumerate(self._source.lines):
            start = self._source.index(number, 0)
            if start >= end:
                return
            if "#" in line or "\t" in line:
                yield from self._problems_of_line(number, line[: end - start])

    def _problems_of_line(self, number: int, line: str) -> Iterator[WrittenError]:
        start = self._source.index(number, 0)
        found = [(m.start(), m.group(), self._around(start + m.start())) for m in _MARKS(line)]
        hashes = (at for at, mark, around in found if mark == "#" and around is None)
        comment = next(hashes, len(line))
        if line[:comment].strip() and re.match(r"#[^\s#!]", line[comment:]):
            yield GluedHashError(self._source.place(number, comment), line[comment:])
        for at, mark, around in found:
            is_free = around is None or self._are_plain[around]
            if mark == "\t" and is_free and at < comment:
                yield TabUsedError(self._source.place(number, at))
                return

    def _around(self, index: int) -> int | None:
        """Which scalar an index lies in."""
        before = bisect_right(self._starts, index) - 1
        return before if before >= 0 and index < self._ends[before] else None
