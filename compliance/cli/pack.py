"""`compliance pack`: the documents of a job, issued as one verifiable pack."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from compliance.cli import HELD_UP
from compliance.cli.options import firm_folder, job_folder, on_day


@click.command(name="pack")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out", required=True, type=click.Path(path_type=Path, file_okay=False), metavar="DIR",
    help="The folder that gets the pack; made if it is not there.",
)  # fmt: skip
@firm_folder
@on_day
def command(job: Path, out: Path, firm: Path | None, on: date | None) -> None:
    """Build the documents of JOB and issue them as one pack, with a cover sheet beside it.

    Where gaps hold something up, the documents are drafts and say so on every page. The
    exit code is that of `check`.
    """
    from compliance.files.resources import rulesets_folder, templates_folder
    from compliance.pack.issue import issue
    from compliance.rules.job import open_job
    from compliance.rules.outcome import NO_PERMISSION

    opened = open_job(job_folder(job), rulesets_folder(), today=date.today(), on=on, firm=firm)
    issued = issue(opened, out, templates_folder(),
                   tell=lambda what: click.echo(f"making {what}", err=True))  # fmt: skip
    held_up = opened.checked.is_held_up
    click.echo(f"{issued.folder}" + ("" if issued.is_new else " (the very same pack was there)"))
    for cover in issued.covers:
        click.echo(f"{cover}")
    click.echo(f"pack {issued.pack_id}, root {issued.root}")
    if held_up:
        gaps = sum(gap.holds_something_up for gap in opened.checked.gaps)
        click.echo(f"DRAFT: {gaps} gaps hold something up; see documents/gap-report in the pack.")
    click.echo(f"To check it later: compliance verify {issued.folder}")
    click.echo(NO_PERMISSION)
    if held_up:
        raise click.exceptions.Exit(HELD_UP)
