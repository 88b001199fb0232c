"""`compliance chase`: what is not shown of many jobs, by who holds it and by when."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from compliance.cli import HELD_UP
from compliance.cli.chase_forms import as_calendar, as_csv, as_json, as_workbook
from compliance.cli.chase_text import as_text
from compliance.cli.chased import Chased, is_late
from compliance.cli.options import Day, firm_folder, is_folder_of_jobs, kept
from compliance.errors import CallError
from compliance.rules.outcome import Outcome

if TYPE_CHECKING:
    from compliance.cli.folder import Tally
    from compliance.portfolio.checked import Office
    from compliance.rules.limits import LimitTables

FORMS = ("text", "json", "csv", "xlsx", "ics")


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
        sys.stdout.buffer.write(as_workbook(chased))
    else:
        click.echo(_PRINTED[form](chased), nl=False)
    code = tally.code or (HELD_UP if any(is_late(i, chased.on) for i in chased.items) else 0)
    if code:
        raise click.exceptions.Exit(code)


def _chased(office: Office, tally: Tally, day: date) -> Chased:
    from compliance.cli.folder import gone_through
    from compliance.portfolio.chase import items, late_ones

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
        about = (result.folder, line, more, tables[country], day)
        chased.items += items(*about)
        chased.late += late_ones(*about)
        if line["dangers"]:
            chased.dangers.append(line["reference"])
        not_met = line["counts"][Outcome.NOT_MET]
        if not_met:
            chased.not_met[line["reference"]] = not_met
    chased.late.sort(key=lambda late: late.order)
    return chased


def _tables(office: Office, country: str) -> LimitTables:
    from compliance.rules.compiled import checker

    return checker(office.rulesets, country, office.cache).rules.tables


def _write_drafts(chased: Chased, folder: Path) -> None:
    from compliance.files.resources import templates_folder
    from compliance.portfolio.chase import by_holder
    from compliance.portfolio.letters import drafts, save_drafts

    made = drafts(by_holder(chased.items), templates_folder(), chased.on)
    paths = save_drafts(made, folder)
    many = "1 draft" if len(paths) == 1 else f"{len(paths)} drafts"
    click.echo(f"{many} in {folder}; nothing was sent", err=True)


_PRINTED: dict[str, Callable[[Chased], str]] = {
    "text": as_text,
    "json": as_json,
    "csv": as_csv,
    "ics": as_calendar,
}
