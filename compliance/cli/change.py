"""What `set` and `reading` share: a change is saved, and what it did to the findings is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import click

from compliance.files.cache import user_cache
from compliance.files.resources import rulesets_folder
from compliance.record.edit import Change
from compliance.record.load import Loaded
from compliance.record.save import change_record
from compliance.rules.job import Job, open_job
from compliance.rules.outcome import NO_PERMISSION, Finding


def changed(
    folder: Path,
    change_of: Callable[[Loaded], Change],
    say: Callable[[Job], Iterator[str]],
    firm: Path | None = None,
) -> None:
    """Makes a change and prints what was written, with its limits, and which findings moved."""
    before = _opened(folder, firm)
    saved = change_record(folder, change_of, firm)
    after = _opened(folder, firm)
    for line in say(after):
        click.echo(line)
    click.echo(f"saved; the record as it was: {saved.history}")
    for moved in saved.recovered:
        click.echo(f"found half-written from an earlier stop, moved to {moved}", err=True)
    moves = list(_moves(before, after))
    click.echo("\n".join(moves) if moves else "No finding changed.")
    click.echo(NO_PERMISSION)


def _opened(folder: Path, firm: Path | None) -> Job:
    return open_job(folder, rulesets_folder(), today=date.today(), cache=user_cache(), firm=firm)


def _moves(before: Job, after: Job) -> Iterator[str]:
    was = {_key(f): f for f in before.checked.findings}
    for finding in after.checked.findings:
        old = was.pop(_key(finding), None)
        if old is None or old.outcome is not finding.outcome:
            came = "new" if old is None else old.outcome.value
            yield f"  {finding.subject}: {finding.requirement.title}: {came} -> {_now(finding)}"
    for gone in was.values():
        yield f"  {gone.subject}: {gone.requirement.title}: no longer applied"


def _now(finding: Finding) -> str:
    facts = "; ".join(f"{f.what} {f.found}, right: {f.right}" for f in finding.facts)
    danger = f". DANGER: {finding.requirement.danger}" if finding.is_danger else ""
    return f"{finding.outcome.value}{f' ({facts})' if facts else ''}{danger}"


def _key(finding: Finding) -> tuple[str, str]:
    return finding.requirement.id, finding.subject
