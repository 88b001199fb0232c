"""`compliance live`: what stays live, from which sources, and which switches free it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from compliance.cli.options import job_folder, kept
from compliance.errors import CallError

if TYPE_CHECKING:
    from compliance.rules.connections import Connections

NOTICE = (
    "This is no permission to work. Worked out from the record alone; a device may have failed "
    "and the record may be wrong. Isolate, lock off, prove dead at the place of work before "
    "touching anything, and follow the local rules; a competent person decides."
)


@click.command(name="live")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--open", "opened", metavar="SWITCH,...", default="", help="Switches that are open.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
@kept
def command(job: Path, opened: str, form: str, cache: bool) -> None:
    """Say which terminals of JOB stay live, from what, and which switches free them.

    With --open, what stays live in that position of the switches. Exit code 0: worked out.
    2: the record or the call cannot be used. No exit code is permission to work.
    """
    from compliance.files.cache import NoCache, user_cache
    from compliance.record.opened import open_record
    from compliance.rules.connections import connections

    kept_before = user_cache() if cache else NoCache()
    view = open_record(job_folder(job), kept_before, today=date.today(), on=None).view
    found = connections(view)
    data = live_data(found, _open(opened, found))
    if form == "json":
        click.echo(json.dumps(data, ensure_ascii=False, indent=2))
    else:
        click.echo("\n".join(_said(data)))


def _open(text: str, found: Connections) -> frozenset[str]:
    names = frozenset(name.strip() for name in text.split(",") if name.strip())
    known = sorted(found.wiring.switches)
    for name in sorted(names - set(known)):
        there = ", ".join(known) or "none"
        raise CallError(f'no switch "{name}" is shown to open every conductor; there is: {there}')
    return names


def live_data(found: Connections, opened: frozenset[str]) -> dict[str, Any]:
    """What can be live, from where, and what frees it, as plain data."""
    now = found.wiring.live(opened)
    reach = found.wiring.live()
    return {
        "format": 1,
        "notice": NOTICE,
        "open": sorted(opened),
        "terminals": [
            {
                "terminal": terminal,
                "sources": sorted(reach[terminal]),
                "freed_by": [sorted(some) for some in found.wiring.freed_by(terminal)],
                "live_now": sorted(now[terminal]),
            }
            for terminal in found.wiring.terminals
        ],
        "assumptions": list(found.assumptions),
    }


def _said(data: dict[str, Any]) -> Iterator[str]:
    yield f"Switches open: {', '.join(data['open']) or 'none'}"
    for row in data["terminals"]:
        now = ", ".join(row["live_now"]) or "nothing on record; prove it dead"
        yield f"\n{row['terminal']}"
        yield f"    reached now by: {now}"
        yield f"    can be reached by: {', '.join(row['sources']) or 'nothing on record'}"
        yield f"    freed by opening: {_freed(row['freed_by'])}"
    if data["assumptions"]:
        yield "\nTaken for granted:"
        yield from (f"- {sentence}" for sentence in data["assumptions"])
    yield f"\n{data['notice']}"


def _freed(sets: list[list[str]]) -> str:
    if not sets:
        return "no switch of the record frees it"
    return "; or ".join(" and ".join(some) or "nothing need be opened" for some in sets)
