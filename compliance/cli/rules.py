"""`compliance rules`: the requirements as people read them, on a job, and tested."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from compliance.cli import HELD_UP
from compliance.cli.options import (
    checked_job,
    form,
    form_of_findings,
    jurisdiction_folder,
    kept,
    known_requirement,
    on_day,
)

if TYPE_CHECKING:
    from compliance.rules.rule import Rules

jurisdiction = click.option(
    "--jurisdiction", default="gb", show_default=True, help="The folder under rulesets/."
)


@click.group(name="rules")
def command() -> None:
    """List, show, explain and test the requirements."""


@command.command(name="list")
@jurisdiction
@form
def list_rules(jurisdiction: str, form: str) -> None:
    """List every requirement, by ruleset."""
    from compliance.cli.described import listed
    from compliance.cli.requirement import list_data

    data = list_data(_rules(jurisdiction))
    click.echo(_json(data) if form == "json" else listed(data))


@command.command()
@click.argument("requirement", metavar="ID")
@jurisdiction
@form
def show(requirement: str, jurisdiction: str, form: str) -> None:
    """Show the requirement ID: what it asks, of what, by when, why, and on what it rests.

    A question that a reader would ask is shown by its id as well.
    """
    from compliance.cli.described import described, described_question
    from compliance.cli.requirement import question_data, requirement_data

    rules = _rules(jurisdiction)
    ids = (*(rule.requirement.id for rule in rules.rules), *(q.id for q in rules.questions))
    known_requirement(requirement, ids)
    found = [
        requirement_data(rule, rules, date.today())
        for rule in rules.rules
        if rule.requirement.id == requirement
    ]
    asked = [question_data(asking) for asking in rules.questions if asking.id == requirement]
    if form == "json":
        click.echo(_json({"requirements": found, "questions": asked}))
    else:
        texts = [*map(described, found), *map(described_question, asked)]
        click.echo("\n\n".join(texts))


@command.command()
@click.argument("requirement", metavar="ID")
@click.argument("job", type=click.Path(path_type=Path))
@on_day
@form_of_findings
@kept
def explain(requirement: str, job: Path, on: date | None, form: str, cache: bool) -> None:
    """Explain the requirement ID on JOB: what decided it for each thing it was applied to.

    Exit codes are those of `compliance check`; none is permission to energise.
    """
    from compliance.cli.explanation import explanation

    text, checked = explanation(checked_job(job, on, cache=cache), requirement, form)
    click.echo(text.rstrip("\n"))
    if checked.is_held_up:
        raise click.exceptions.Exit(HELD_UP)


@command.command()
@click.option("--examples-only", is_flag=True, help="Do not see whether the examples are enough.")
@jurisdiction
@form
def test(examples_only: bool, jurisdiction: str, form: str) -> None:
    """Run every example of every requirement, and see whether the examples are enough.

    Each requirement is changed by one small mistake at a time: a comparison flipped, a limit
    moved, a part left out. An example has to notice, or the requirement says under
    `survivors` why none can. Exit code 1 if an example gives something else than it says, or
    a mistake survives without a reason.
    """
    from compliance.cli.tested import Tested

    tested = Tested.of(_rules(jurisdiction), examples_only=examples_only)
    click.echo(_json(tested.data) if form == "json" else tested.text)
    if tested.is_failed:
        raise click.exceptions.Exit(HELD_UP)


def _json(data: dict[str, Any]) -> str:
    return json.dumps({"format": 1, **data}, ensure_ascii=False, indent=2, allow_nan=False)


def _rules(jurisdiction: str) -> Rules:
    from compliance.rules.ruleset import load_rules

    return load_rules(jurisdiction_folder(jurisdiction), jurisdiction)
