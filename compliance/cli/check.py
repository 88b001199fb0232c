"""`compliance check`: one screen of what is not yet shown and what it holds up."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from compliance.cli import HELD_UP
from compliance.cli.options import job_folder, kept, on_day
from compliance.errors import CallError


@click.command(name="check")
@click.argument("job", type=click.Path(path_type=Path))
@on_day
@click.option("--all", "everything", is_flag=True, help="Print every finding, not one screen.")
@click.option("--explain", metavar="ID", help="Print one requirement with all it was applied to.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
@kept
def command(
    job: Path, on: date | None, everything: bool, explain: str | None, form: str, cache: bool
) -> None:
    """Say what is not yet shown of JOB, with the reason, and what it holds up.

    Exit code 0: nothing is held up. 1: something is. 2: a file or the call cannot be used.
    No exit code is permission to energise.
    """
    from compliance.cli.report import as_json, explained, printed
    from compliance.files.cache import NoCache, user_cache
    from compliance.files.resources import rulesets_folder
    from compliance.rules.job import open_job

    kept_in = user_cache() if cache else NoCache()
    opened = open_job(job_folder(job), rulesets_folder(), today=date.today(), on=on, cache=kept_in)
    checked = opened.checked
    if explain is not None:
        known = {rule.requirement.id for rule in opened.rules.rules}
        if explain not in known:
            raise CallError(_no_requirement(explain, known))
        checked = checked.only(explain)
    if form == "json":
        click.echo(as_json(checked))
    elif explain is not None:
        editions = [r for r in opened.rules.rules if r.requirement.id == explain]
        click.echo(explained(checked, editions))
    else:
        click.echo(printed(checked, everything=everything))
    if checked.is_held_up:
        raise click.exceptions.Exit(HELD_UP)


def _no_requirement(name: str, known: set[str]) -> str:
    from compliance.record.problems import did_you_mean

    return f'no requirement is called "{name}". {did_you_mean(name, known)}'
