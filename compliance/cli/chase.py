"""`compliance chase`: what is not shown of many jobs, by who holds it and by when."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from compliance.cli import HELD_UP
from compliance.cli.options import Day, firm_folder, is_folder_of_jobs, kept
from compliance.cli.wrapping import wrapped
from compliance.errors import CallError
from compliance.rules.outcome import NO_PERMISSION, Outcome

if TYPE_CHECKING:
    from compliance.cli.folder import Tally
    from compliance.portfolio.chase import Item
    from compliance.portfolio.checked import Office
    from compliance.portfolio.whom import Whom
    from compliance.rules.limits import LimitTables

HEAD = ("held by", "name", "reference", "folder", "part", "what is needed", "asked for by",
        "holds up", "day", "how it stands", "days since done", "by law", "by practice",
        "source")  # fmt: skip
FORMS = ("text", "json", "csv", "xlsx", "ics")


@dataclass(slots=True)
class Chased:
    """What was found in a folder on a day."""

    folder: Path
    on: date
    items: list[Item] = field(default_factory=list)
    dangers: list[str] = field(default_factory=list)
    """References of jobs where something is dangerous."""
    not_met: dict[str, int] = field(default_factory=dict)
    """How many findings of a job are not met, which no supplying closes."""
    bad: list[str] = field(default_factory=list)


@click.command(name="chase")
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--on", type=Day(), metavar="DATE",
              help="The day for deadlines and ages, and of the checks; default today for the "
              "former, for the latter each record's `closed`, else today.")  # fmt: skip
@click.option("--format", "form", type=click.Choice(FORMS), default="text")
@click.option("--drafts", type=click.Path(path_type=Path), metavar="DIR",
              help="Also write one draft letter (.eml) a person; nothing is sent.")  # fmt: skip
@firm_folder
@kept
def command(
    folder: Path, on: date | None, form: str, drafts: Path | None, firm: Path | None, cache: bool
) -> None:
    """Say what is not shown in FOLDER, a folder of job folders: who holds it, by when.

    Deadlines of notices count from the day on which each part went into use, by the calendar
    of the site's nation. Where law and practice differ, both are said.

    Exit code 0: nothing is held up. 1: something is. 2: a file or the call cannot be used.
    """
    from compliance.cli.folder import Tally, office_of, told_of

    if not is_folder_of_jobs(folder):
        raise CallError(f'"{folder}" holds no job folders; name the folder above them')
    if form == "xlsx" and sys.stdout.isatty():
        raise CallError("a workbook is no text: put > and the name of a file behind the call")
    tally = Tally()
    with office_of(folder, on, firm, cache=cache) as office:
        chased = _chased(office, tally, on or office.today)
    told_of(office, tally)
    if drafts is not None:
        _write_drafts(chased, drafts)
    if form == "xlsx":
        sys.stdout.buffer.write(_workbook(chased))
    else:
        click.echo(_PRINTED[form](chased), nl=False)
    code = tally.code or (HELD_UP if _is_late(chased) else 0)
    if code:
        raise click.exceptions.Exit(code)


def _chased(office: Office, tally: Tally, day: date) -> Chased:
    from compliance.cli.folder import gone_through
    from compliance.portfolio.chase import items

    chased = Chased(office.folder, day)
    tables: dict[str, LimitTables] = {}
    for result, line in gone_through(office, tally):
        if result.kept is None or line is None:
            chased.bad.append(result.folder)
            continue
        more = result.kept.more_data()
        country = more["notices"]["jurisdiction"].partition("-")[0].lower()
        if country not in tables:
            tables[country] = _tables(office, country)
        chased.items += items(result.folder, line, more, tables[country], day)
        if line["dangers"]:
            chased.dangers.append(line["reference"])
        not_met = line["counts"][Outcome.NOT_MET]
        if not_met:
            chased.not_met[line["reference"]] = not_met
    return chased


def _tables(office: Office, country: str) -> LimitTables:
    from compliance.rules.compiled import checker

    return checker(office.rulesets, country, office.cache).rules.tables


def _is_late(chased: Chased) -> bool:
    """Whether a notice is late, by law or by practice."""
    return any(d.is_late(chased.on) for i in chased.items if i.notice for d in i.notice.deadlines)


def _write_drafts(chased: Chased, folder: Path) -> None:
    from compliance.files.resources import templates_folder
    from compliance.portfolio.chase import by_holder
    from compliance.portfolio.letters import drafts, save_drafts

    made = drafts(by_holder(chased.items), templates_folder(), chased.on)
    paths = save_drafts(made, folder)
    many = "1 draft" if len(paths) == 1 else f"{len(paths)} drafts"
    click.echo(f"{many} in {folder}; nothing was sent", err=True)


# -- text --------------------------------------------------------------------------------


def _text(chased: Chased) -> str:
    from compliance.portfolio.chase import by_holder

    lines = wrapped(f"What is not shown in {chased.folder.name} on {chased.on}")
    if chased.dangers:
        which = ", ".join(chased.dangers)
        lines += ["", *wrapped(f"DANGER in {which}: see `compliance check` of each first.")]
    for whom, some in by_holder(chased.items).items():
        lines += ["", f"{whom} ({len(some)})"]
        for item in some:
            lines += _item(item)
    if not chased.items:
        lines += ["", "Nothing that was looked at is lacking."]
    return "\n".join([*lines, *_last(chased)]) + "\n"


def _item(item: Item) -> Iterator[str]:
    yield from wrapped(f"{item.reference}  {item.thing}", indent="  ")
    said = [item.standing, f"holds up {item.holds_up}"]
    if item.since_done_days is not None:
        days = "1 day" if item.since_done_days == 1 else f"{item.since_done_days} days"
        said.append(f"work done {days} ago")
    yield from wrapped("; ".join(said), indent="      ")


def _last(chased: Chased) -> Iterator[str]:
    if chased.not_met:
        many = ", ".join(f"{count} of {ref}" for ref, count in chased.not_met.items())
        yield ""
        yield from wrapped(f"Not met, so no letter closes them: {many}.")
    if chased.bad:
        yield from ("", *wrapped(f"Could not be checked: {', '.join(chased.bad)}."))
    yield from _sources(chased)
    yield ""
    yield from wrapped(NO_PERMISSION)


def _sources(chased: Chased) -> Iterator[str]:
    """What the deadlines rest on, and how sure of each we are."""
    sources = {d.source: d.reading for i in chased.items if i.notice for d in i.notice.deadlines}
    if not sources:
        return
    yield ""
    yield from wrapped("Deadlines rest on:")
    for source, reading in sorted(sources.items(), key=lambda pair: (pair[1], pair[0].title)):
        clause = f", {source.clause}" if source.clause else ""
        text = f"{reading}: {source.title or source.document}{clause} ({source.confidence})"
        yield from wrapped(text, indent="  ")
    yield from wrapped(
        "Working days leave out the bank holidays of the site's nation; local holidays are not "
        "known here."
    )


# -- other forms -------------------------------------------------------------------------


def _json(chased: Chased) -> str:
    from compliance.portfolio.chase import by_holder

    data = {
        "format": 1,
        "notice": NO_PERMISSION,
        "on": chased.on.isoformat(),
        "held": [
            {"held_by": whom.holder, "name": whom.name, "items": list(map(_item_data, some))}
            for whom, some in by_holder(chased.items).items()
        ],
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
        "deadlines": [
            {"by": d.reading, "day": d.day.isoformat(), "counted": d.counted,
             "document": d.source.document, "clause": d.source.clause,
             "confidence": d.source.confidence}
            for d in deadlines
        ],
    }  # fmt: skip


def _rows(chased: Chased) -> Iterator[Sequence[str | int | None]]:
    from compliance.portfolio.chase import by_holder

    for whom, some in by_holder(chased.items).items():
        for item in some:
            yield _row(whom, item)


def _row(whom: Whom, item: Item) -> Sequence[str | int | None]:
    deadlines = item.notice.deadlines if item.notice else ()
    days: Mapping[str, str] = {d.reading: d.day.isoformat() for d in deadlines}
    sources = "; ".join(
        f"{d.source.document} {d.source.clause}".strip() + f" ({d.source.confidence})"
        for d in deadlines
    )
    return (
        whom.holder, whom.name, item.reference, item.folder, item.part, item.thing,
        "; ".join(item.asked_by), item.holds_up,
        item.deadline.isoformat() if item.deadline else "", item.standing, item.since_done_days,
        days.get("law", ""), days.get("practice", ""), sources,
    )  # fmt: skip


def _csv(chased: Chased) -> str:
    from compliance.portfolio.sheets import csv_text

    return csv_text(HEAD, _rows(chased))


def _workbook(chased: Chased) -> bytes:
    from compliance.portfolio.sheets import xlsx_bytes

    return xlsx_bytes(f"not shown {chased.on}", HEAD, _rows(chased))


def _ics(chased: Chased) -> str:
    from compliance.portfolio.calendar_file import calendar_text

    return calendar_text(chased.items, chased.on)


_PRINTED: dict[str, Callable[[Chased], str]] = {
    "text": _text,
    "json": _json,
    "csv": _csv,
    "ics": _ics,
}
