"""`compliance sheet`: the visit sheet of a job as it is now, without what is already shown."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from compliance.cli.options import Day, firm_folder, job_folder


@click.command(name="sheet")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--visit", type=Day(), metavar="DATE",
              help="The day of the visit; the record is taken as of that day.")  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False, exists=True), metavar="DIR",
    help="The folder that gets the sheet; default the job's own.",
)  # fmt: skip
@click.option(
    "--walk", is_flag=True, help="Instead, what the record claims, as one walks round the site."
)
@firm_folder
def command(job: Path, visit: date | None, out: Path | None, walk: bool, firm: Path | None) -> None:
    """Make the visit sheet of JOB: what its next visit has to bring home.

    Photos to take before anything is covered, tests in a safe order with the limits that
    are known, labels, what to take along, and what must be true before leaving. What the
    record already shows is left out. With --walk the sheet is for whoever looks at a finished
    job: what the record claims, with room for what is seen. A sheet of the same name is
    replaced.
    """
    from compliance.documents.visit import visit_sheet
    from compliance.documents.walk import walk_sheet
    from compliance.files.cache import NoCache
    from compliance.files.disk import Disk
    from compliance.files.resources import rulesets_folder, templates_folder
    from compliance.files.write import put_file
    from compliance.rules.job import open_job
    from compliance.rules.outcome import NO_PERMISSION

    folder = job_folder(job)
    opened = open_job(
        folder, rulesets_folder(), today=date.today(), on=visit, cache=NoCache(), firm=firm,
        as_planned=not walk,
    )  # fmt: skip
    templates = templates_folder()
    made = walk_sheet(opened, templates) if walk else visit_sheet(opened, templates, visit)
    for name, data in made.items():
        path = (out or folder) / name
        put_file(path, data, Disk())
        click.echo(path)
    click.echo(NO_PERMISSION)
