"""Deadlines as tasks of a calendar file, iCalendar after RFC 5545 (from memory).

A task keeps its name from one day to the next, so that a calendar that reads the file again
changes the task it has. Nothing in it depends on the clock.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from datetime import date

from compliance.portfolio.chase import Item
from compliance.portfolio.deadlines import Deadline
from compliance.rules.outcome import NO_PERMISSION

_LONGEST = 75
"""Octets of a line before it is folded."""
WARN_DAYS = 3


def calendar_text(found: Iterable[Item], today: date) -> str:
    """The open notices as a calendar of tasks, one for each reading of each deadline."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//installation-evidence//chase//EN"]
    for item in found:
        if item.notice is not None:
            for deadline in item.notice.deadlines:
                lines += _task(item, item.notice.notice.name, deadline, today)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in _folded(line))


def _task(item: Item, notice: str, deadline: Deadline, today: date) -> Iterator[str]:
    name = "|".join((item.reference, item.folder, notice, item.part, deadline.reading))
    source = deadline.source
    yield "BEGIN:VTODO"
    yield f"UID:{hashlib.sha256(name.encode()).hexdigest()[:32]}@installation-evidence"
    yield f"DTSTAMP:{today:%Y%m%d}T000000Z"
    yield f"DUE;VALUE=DATE:{deadline.day:%Y%m%d}"
    yield f"SUMMARY:{_escaped(f'{item.reference}: {item.thing} (by {deadline.reading})')}"
    about = (
        f"{item.title}. {deadline.counted}. Source: {source.title or source.document} "
        f"{source.clause} ({source.confidence}). {NO_PERMISSION}"
    )
    yield f"DESCRIPTION:{_escaped(about)}"
    yield "STATUS:NEEDS-ACTION"
    yield "BEGIN:VALARM"
    yield "ACTION:DISPLAY"
    yield f"TRIGGER;RELATED=END:-P{WARN_DAYS}D"
    yield f"DESCRIPTION:{_escaped(f'{item.reference}: {item.thing}')}"
    yield "END:VALARM"
    yield "END:VTODO"


def _escaped(text: str) -> str:
    plain = " ".join(text.split())
    return plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")


def _folded(line: str) -> Iterator[str]:
    """A line in pieces of at most 75 octets, none of which cuts a character."""
    piece, size = "", 0
    for character in line:
        width = len(character.encode())
        if size + width > _LONGEST:
            yield piece
            piece, size = " ", 1
        piece, size = piece + character, size + width
    yield piece
