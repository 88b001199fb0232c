"""`compliance calculate`: any worked-out value or limit by hand, with its working."""

from __future__ import annotations

import json
import shutil
import textwrap
from dataclasses import asdict
from datetime import date
from typing import TYPE_CHECKING

import click

from compliance.cli.options import Day, kept
from compliance.errors import CallError

if TYPE_CHECKING:
    from compliance.rules.by_hand import Desk, Result, Sheet

FEWEST, MOST = 60, 100


@click.command(name="calculate")
@click.argument("name", required=False)
@click.argument("inputs", nargs=-1, metavar="[INPUT=NUMBER]...")
@click.option("--list", "listed", is_flag=True, help="List all that can be calculated.")
@click.option(
    "--on", type=Day(), metavar="DATE", help="The day whose limits are in force; default today."
)
@click.option("--jurisdiction", default="gb", show_default=True, help="The folder under rulesets/.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
@kept
def command(
    name: str | None,
    inputs: tuple[str, ...],
    listed: bool,
    on: date | None,
    jurisdiction: str,
    form: str,
    cache: bool,
) -> None:
    """Calculate NAME from inputs given as INPUT=NUMBER, and show the working.

    NAME is a worked-out value or a limit, as --list shows them with their inputs. An input
    that is read on several strings takes a list, such as 310.2,309.8. Exit code 0: worked
    out. 2: the call cannot be used. No exit code is permission to energise.
    """
    desk = _desk(jurisdiction, on or date.today(), cache)
    if listed:
        if name is not None:
            raise CallError(f'--list shows all there is; leave "{name}" out')
        sheets = list(desk.sheets())
        click.echo(_listed_json(sheets) if form == "json" else _listed(sheets))
        return
    if name is None:
        raise CallError("name what to calculate; --list shows all there is, with its inputs")
    result = desk.worked(name, inputs)
    click.echo(_as_json(result, desk) if form == "json" else _printed(result))


def _desk(jurisdiction: str, day: date, cache: bool) -> Desk:
    from compliance.cli.options import jurisdiction_folder
    from compliance.files.cache import NoCache, user_cache
    from compliance.rules.by_hand import Desk
    from compliance.rules.compiled import checker

    folder = jurisdiction_folder(jurisdiction)
    rules = checker(folder, jurisdiction, user_cache() if cache else NoCache()).rules
    return Desk(rules.tables, rules.titles, day)


def _printed(result: Result) -> str:
    from compliance.rules.by_hand import NO_PERMISSION

    working, sheet = result.working, result.sheet
    lines = [*_wrapped(working.title), *_wrapped(working.formula, "    ")]
    for entering, (words, value) in zip(sheet.inputs, working.inputs, strict=True):
        valid = f" ({entering.name}; {entering.valid})" if entering.valid else f" ({entering.name})"
        lines += _wrapped(f"{words}: {value}{valid}", "    ")
    lines += ["", *_wrapped(f"{sheet.name} = {working.result}", "    ")]
    for words, value in result.also:
        lines += _wrapped(f"{words}: {value}", "    ")
    lines.append("")
    lines += _wrapped(f"Source: {_cited(sheet)}")
    if working.note:
        lines += _wrapped(f"Note: {working.note}")
    return "\n".join([*lines, *_wrapped(NO_PERMISSION)])


def _listed(sheets: list[Sheet]) -> str:
    from compliance.rules.by_hand import NO_PERMISSION

    lines: list[str] = []
    for sheet in sheets:
        unit = f", in {sheet.unit}" if sheet.unit else ""
        lines += _wrapped(f"{sheet.name}: {sheet.title}{unit} ({sheet.of})")
        lines += _wrapped(_cited(sheet), "    ")
        for entering in sheet.inputs:
            lines += _wrapped(f"{entering.name}: {entering.told}", "    ")
        lines.append("")
    return "\n".join([*lines, *_wrapped(NO_PERMISSION)])


def _cited(sheet: Sheet) -> str:
    source = sheet.source
    if source is None:
        return "no edition is in force on this day"
    clause = f" {source.clause}" if source.clause else ""
    title = f", {source.title}" if source.title else ""
    return f"{source.document}{clause} ({source.confidence}){title}"


def _as_json(result: Result, desk: Desk) -> str:
    from compliance.rules.by_hand import NO_PERMISSION

    data = {
        "format": 1,
        "notice": NO_PERMISSION,
        "on": desk.day.isoformat(),
        "value": result.value,
        "unit": result.sheet.unit,
        "valid": {entering.name: entering.valid for entering in result.sheet.inputs},
        "working": asdict(result.working),
        "also": [list(pair) for pair in result.also],
    }
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)


def _listed_json(sheets: list[Sheet]) -> str:
    from compliance.rules.by_hand import NO_PERMISSION

    found = [asdict(sheet) for sheet in sheets]
    data = {"format": 1, "notice": NO_PERMISSION, "calculations": found}
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False)


def _wrapped(text: str, indent: str = "") -> list[str]:
    width = min(MOST, max(FEWEST, shutil.get_terminal_size((80, 24)).columns))
    return textwrap.wrap(
        text, width, initial_indent=indent, subsequent_indent=f"{indent}    ",
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
