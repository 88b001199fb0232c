"""`compliance check`: one screen of what is not yet shown and what it holds up."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from compliance.cli import HELD_UP
from compliance.cli.options import (
    Day,
    checked_job,
    firm_folder,
    form_of_findings,
    is_folder_of_jobs,
    kept,
    on_day,
)


@click.command(name="check")
@click.argument("job", type=click.Path(path_type=Path))
@on_day
@click.option("--all", "everything", is_flag=True, help="Print every finding, not one screen.")
@click.option("--explain", metavar="ID", help="As `compliance rules explain ID JOB`.")
@form_of_findings
@click.option(
    "--visit", type=Day(), metavar="DATE",
    help="What holds up leaving that day, and what can be shown then for the last time; "
    "checked as of that day.",
)  # fmt: skip
@firm_folder
@kept
def command(
    job: Path, on: date | None, everything: bool, explain: str | None, form: str,
    visit: date | None, firm: Path | None, cache: bool,
) -> None:  # fmt: skip
    """Say what is not yet shown of JOB, with the reason, and what it holds up.

    Of a folder of job folders, one line for each; what did not change since the last time is
    not checked again.

    Exit code 0: nothing is held up. 1: something is. 2: a file or the call cannot be used.
    No exit code is permission to energise.
    """
    from compliance.cli.explanation import explanation
    from compliance.cli.markdown import as_markdown
    from compliance.cli.report import as_json, printed
    from compliance.cli.screen import screen
    from compliance.cli.visit import printed_for_visit

    if is_folder_of_jobs(job):
        from compliance.cli.folder import check_folder

        of_one = {"--all": everything, "--explain": explain, "--visit": visit,
                  "--format markdown": form == "markdown"}  # fmt: skip
        check_folder(job, on, [o for o, said in of_one.items() if said], form, firm, cache=cache)
        return
    opened = checked_job(job, on or visit, cache=cache, firm=firm)
    checked = opened.checked
    if explain is not None:
        text, checked = explanation(opened, explain, form)
    elif form == "json":
        text = as_json(checked, opened.opened.planned)
    elif form == "markdown":
        text = as_markdown(checked)
    elif visit is not None:
        text = printed_for_visit(checked, visit)
    else:
        told = printed if everything else screen
        text = told(checked, opened.seen, opened.opened.planned)
    click.echo(text.rstrip("\n"))
    if checked.is_held_up:
        raise click.exceptions.Exit(HELD_UP)
