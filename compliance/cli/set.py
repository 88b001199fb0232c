"""`compliance set`: one value of a record, written so that nothing else changes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from compliance.cli.options import firm_folder, job_folder

if TYPE_CHECKING:
    from compliance.record.edit import Change
    from compliance.record.load import Loaded
    from compliance.rules.job import Job


@click.command(name="set", context_settings={"ignore_unknown_options": True})
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("path")
@click.argument("value")
@firm_folder
def command(job: Path, path: str, value: str, firm: Path | None) -> None:
    """Write one VALUE at PATH of JOB's record, and say what it did to the findings.

    PATH names a field as messages do: site.supply.ze_ohm, strings.S1.in_series,
    tests[3].value_v. The trade's own names work too: site.supply.Ze. One number more than a
    list has begins a new entry: visits[2].on. VALUE is written as in the file: 0.35, over 200,
    2026-11-25, yes, "not taken: too dark", none.
    """
    from compliance.cli.change import changed
    from compliance.record.edit import Change
    from compliance.record.naming import named
    from compliance.record.words import spoken_in

    where: list[str] = []

    def change_of(loaded: Loaded) -> Change:
        from compliance.files.written import field_name

        loc = named(path, loaded.said, spoken_in(loaded.tree)).loc
        where.append(field_name(loc))
        return Change(loaded.written.get(loc, loc), value)

    def say(after: Job) -> Iterator[str]:
        yield f"{where[0]}: {value}"

    changed(job_folder(job), change_of, say, firm)
