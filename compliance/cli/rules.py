"""`compliance rules`: the requirements as people read them, and their examples run."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from compliance.cli import HELD_UP
from compliance.errors import CallError

if TYPE_CHECKING:
    from compliance.rules.rule import Rules

form = click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
jurisdiction = click.option(
    "--jurisdiction", default="gb", show_default=True, help="The folder under rulesets/."
)


@click.group(name="rules")
def command() -> None:
    """List, show and test the requirements."""


@command.command(name="list")
@jurisdiction
@form
def list_rules(jurisdiction: str, form: str) -> None:
    """List every requirement with its title."""
    rules = _rules(jurisdiction)
    if form == "json":
        data = [
            {"id": r.requirement.id, "title": r.requirement.title, "ruleset": r.head.id}
            for r in rules.rules
        ]
        click.echo(json.dumps({"format": 1, "requirements": data}, indent=2))
        return
    title = ""
    for rule in rules.rules:
        if rule.head.title != title:
            title = rule.head.title
            click.echo(f"{title} (from {rule.head.start}, by the date {rule.head.by})")
        click.echo(f"  {rule.requirement.id:<32} {rule.requirement.title}")


@command.command()
@click.argument("requirement")
@jurisdiction
def show(requirement: str, jurisdiction: str) -> None:
    """Show one REQUIREMENT with its clause, reason, cure and danger."""
    from compliance.cli.report import described
    from compliance.record.problems import did_you_mean

    rules = {rule.requirement.id: rule for rule in _rules(jurisdiction).rules}
    if requirement not in rules:
        raise CallError(
            f'no requirement is called "{requirement}". {did_you_mean(requirement, rules)}'
        )
    click.echo(described(rules[requirement]))


@command.command()
@jurisdiction
@form
def test(jurisdiction: str, form: str) -> None:
    """Run every example of every requirement; exit code 1 if one gives something else."""
    from compliance.rules.selftest import tried_examples

    tried = list(tried_examples(_rules(jurisdiction)))
    failed = [t for t in tried if not t.passed]
    if form == "json":
        data = [
            {"requirement": t.requirement, "example": t.example, "wanted": t.wanted,
             "given": t.given}
            for t in failed
        ]  # fmt: skip
        click.echo(json.dumps({"format": 1, "examples": len(tried), "failed": data}, indent=2))
    else:
        for t in failed:
            click.echo(f"{t.place}\n  {t.example}: should give {t.wanted}; gives {t.given}")
        rules = len({t.requirement for t in tried})
        click.echo(f"{len(tried)} examples of {rules} requirements, {len(failed)} failed")
    if failed:
        raise click.exceptions.Exit(HELD_UP)


def _rules(jurisdiction: str) -> Rules:
    from compliance.files.resources import rulesets_folder
    from compliance.rules.ruleset import load_rules

    folder = rulesets_folder()
    known = sorted(p.name for p in folder.iterdir() if p.is_dir())
    if jurisdiction not in known:
        raise CallError(
            f'there are no rulesets for "{jurisdiction}"; there are: {", ".join(known)}'
        )
    return load_rules(folder, jurisdiction)
