"""`compliance renew`: a record of an older format, rewritten in today's."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from compliance.cli.options import firm_folder, job_folder

if TYPE_CHECKING:
    from compliance.record.save import Renewed


@click.command(name="renew")
@click.argument("job", type=click.Path(path_type=Path))
@firm_folder
def command(job: Path, firm: Path | None) -> None:
    """Rewrite JOB's record in today's format, if it is of an older one.

    Nobody has to: a record of any older format is read, checked, packed and added to as it
    is. Comments, order and everything that did not change stay; the record as it was is kept
    in the job's history.
    """
    from compliance.record.migrations import INSTALLATION
    from compliance.record.save import renew_record

    renewed = renew_record(job_folder(job), firm)
    if renewed is None:
        click.echo(f"The record is of today's format, {INSTALLATION}. Nothing was changed.")
        return
    click.echo(f"{renewed.was} is now {INSTALLATION}")
    for line in _changes(renewed):
        click.echo(f"  {line}")
    click.echo(f"saved; the record as it was: {renewed.saved.history}")
    for moved in renewed.saved.recovered:
        click.echo(f"found half-written from an earlier stop, moved to {moved}", err=True)


def _changes(renewed: Renewed) -> Iterator[str]:
    from compliance.files.written import field_name
    from compliance.record.edit import Renaming

    for edit in renewed.edits[:-1]:  # the last is the format itself
        if isinstance(edit, Renaming):
            yield f"{field_name(edit.loc)} is called {edit.name}"
        else:
            yield f"{field_name(edit.loc)} is now {edit.value}"
