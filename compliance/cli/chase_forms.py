"""What `compliance chase` found as data, as rows of a sheet and as a calendar."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from compliance.cli.chased import Chased
from compliance.rules.outcome import NO_PERMISSION

if TYPE_CHECKING:
    from compliance.portfolio.chase import Item, Late
    from compliance.portfolio.deadlines import Deadline

HEAD = ("held by", "name", "reference", "folder", "part", "what is needed", "asked for by",
        "holds up", "day", "how it stands", "days since done", "by law", "by practice",
        "counted", "source")  # fmt: skip
SENT = "nothing; sent late"
"""What a sheet says is needed of a notice that went out late."""


def as_json(chased: Chased) -> str:
    """For other programs."""
    from compliance.portfolio.chase import by_holder

    data = {
        "format": 1,
        "notice": NO_PERMISSION,
        "on": chased.on.isoformat(),
        "held": [
            {"held_by": whom.holder, "name": whom.name, "items": list(map(_item_data, some))}
            for whom, some in by_holder(chased.items).items()
        ],
        "sent_late": list(map(_late_data, chased.late)),
        "dangers": chased.dangers,
        "not_met": chased.not_met,
        "not_checked": chased.bad,
    }
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _item_data(item: Item) -> dict[str, Any]:
    deadlines = item.notice.deadlines if item.notice else ()
    return {
        "reference": item.reference,
        "folder": item.folder,
        "part": item.part,
        "needed": item.thing,
        "asked_by": list(item.asked_by),
        "holds_up": item.holds_up,
        "day": item.deadline.isoformat() if item.deadline else "",
        "standing": item.standing,
        "since_done_days": item.since_done_days,
        "deadlines": list(map(_deadline_data, deadlines)),
    }


def _late_data(late: Late) -> dict[str, Any]:
    sent = late.sent.sent
    return {
        "reference": late.reference,
        "folder": late.folder,
        "part": late.part,
        "notice": late.sent.notice.title,
        "sent": sent.isoformat(),
        "standing": late.sent.in_words(),
        "missed": [
            {**_deadline_data(d), "late_days": (sent - d.day).days} for d in late.sent.missed
        ],
    }


def _deadline_data(deadline: Deadline) -> dict[str, Any]:
    return {
        "by": deadline.reading,
        "day": deadline.day.isoformat(),
        "counted": deadline.counted,
        "document": deadline.source.document,
        "clause": deadline.source.clause,
        "confidence": deadline.source.confidence,
    }


def _rows(chased: Chased) -> Iterator[Sequence[str | int | None]]:
    from compliance.portfolio.chase import by_holder

    for whom, some in by_holder(chased.items).items():
        for item in some:
            yield (
                whom.holder, whom.name, item.reference, item.folder, item.part, item.thing,
                "; ".join(item.asked_by), item.holds_up,
                item.deadline.isoformat() if item.deadline else "", item.standing,
                item.since_done_days, *_days(item.notice.deadlines if item.notice else ()),
            )  # fmt: skip
    for late in chased.late:
        yield (
            "", "", late.reference, late.folder, late.part, SENT, late.sent.notice.title, "", "",
            late.sent.in_words(), None, *_days(late.sent.missed),
        )  # fmt: skip


def _days(deadlines: tuple[Deadline, ...]) -> tuple[str, str, str, str]:
    """The last columns: the day of each reading, how it was counted, what it rests on."""
    days: Mapping[str, str] = {d.reading: d.day.isoformat() for d in deadlines}
    counted = "; ".join(f"{d.reading}: {d.counted}" for d in deadlines)
    sources = "; ".join(
        f"{d.source.document} {d.source.clause}".strip() + f" ({d.source.confidence})"
        for d in deadlines
    )
    return days.get("law", ""), days.get("practice", ""), counted, sources


def as_csv(chased: Chased) -> str:
    """One row for each thing, then one for each notice that went out late."""
    from compliance.portfolio.sheets import csv_text

    return csv_text(HEAD, _rows(chased))


def as_workbook(chased: Chased) -> bytes:
    """The rows of the CSV as a workbook."""
    from compliance.portfolio.sheets import xlsx_bytes

    return xlsx_bytes(f"not shown {chased.on}", HEAD, _rows(chased))


def as_calendar(chased: Chased) -> str:
    """The open notices as tasks of a calendar."""
    from compliance.portfolio.calendar_file import calendar_text

    return calendar_text(chased.items, chased.on)
