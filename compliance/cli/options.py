"""What several commands take, in the same words."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from compliance.errors import CallError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from compliance.rules.job import Job

form = click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
"""The option `--format`."""
form_of_findings = click.option(
    "--format", "form", type=click.Choice(["text", "json", "markdown"]), default="text"
)
"""The same where findings are printed, which are also pasted into mails."""


class Day(click.ParamType[date]):
    """A day as year-month-day."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        try:
            if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
                return date.fromisoformat(value)
        except ValueError:
            pass
        self.fail(f'"{value}" is not a day; write it as 2026-02-08', param, ctx)


def on_day(function: Callable[..., Any]) -> Callable[..., Any]:
    """The option `--on`."""
    return click.option(
        "--on",
        type=Day(),
        metavar="DATE",
        help="The day of the check; default the record's `closed`, else today.",
    )(function)


def firm_folder(function: Callable[..., Any]) -> Callable[..., Any]:
    """The option `--firm`."""
    return click.option(
        "--firm",
        type=click.Path(path_type=Path, file_okay=False, exists=True),
        metavar="DIR",
        help="The folder that holds firm.yaml; default the one above the job.",
    )(function)


def kept(function: Callable[..., Any]) -> Callable[..., Any]:
    """The option `--no-cache`."""
    return click.option(
        "--no-cache",
        "cache",
        flag_value=False,
        default=True,
        help="Work everything out anew; take nothing from the user's cache folder.",
    )(function)


def jurisdiction_folder(jurisdiction: str) -> Path:
    """The rulesets folder, which must hold a jurisdiction."""
    from compliance.files.resources import rulesets_folder

    folder = rulesets_folder()
    known = sorted(p.name for p in folder.iterdir() if p.is_dir())
    if jurisdiction not in known:
        raise CallError(
            f'there are no rulesets for "{jurisdiction}"; there are: {", ".join(known)}'
        )
    return folder


def is_folder_of_jobs(path: Path) -> bool:
    """Whether a path is a folder that holds jobs and is none itself."""
    return (
        path.is_dir()
        and not (path / "installation.yaml").exists()
        and any(path.glob("*/installation.yaml"))
    )


def job_folder(path: Path) -> Path:
    """A job folder, or a word on what to give instead."""
    if path.is_file() and path.name == "installation.yaml":
        path = path.parent
    if not path.exists():
        raise CallError(f'there is no folder "{path}"; name the folder that holds a job')
    if not (path / "installation.yaml").is_file():
        inside = sorted(p.parent.name for p in path.glob("*/installation.yaml"))
        hint = f"; it holds jobs, name one of them: {', '.join(inside[:6])}" if inside else ""
        raise CallError(f'"{path}" holds no installation.yaml{hint}')
    return path


def checked_job(job: Path, on: date | None, *, cache: bool, firm: Path | None = None) -> Job:
    """A job folder opened and checked with the shipped rulesets."""
    from compliance.files.cache import NoCache, user_cache
    from compliance.files.resources import rulesets_folder
    from compliance.rules.job import open_job

    kept_in = user_cache() if cache else NoCache()
    return open_job(
        job_folder(job), rulesets_folder(), today=date.today(), on=on, cache=kept_in, firm=firm
    )


def known_requirement(name: str, known: Iterable[str]) -> None:
    """Refuses the id of no requirement, with the nearest."""
    from compliance.record.problems import did_you_mean

    ids = set(known)
    if name not in ids:
        raise CallError(f'no requirement is called "{name}". {did_you_mean(name, ids)}')
