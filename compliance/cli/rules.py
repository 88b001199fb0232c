"""`compliance rules`: the requirements as people read them, and their examples run."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from compliance.cli import HELD_UP
from compliance.cli.options import jurisdiction_folder
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
            {"id": r.requirement.id, "title": r.requirement.title, "ruleset": r.head.name}
            for r in rules.rules
        ]
        asked = [{"id": q.id, "ask": q.ask, "ruleset": q.head.name} for q in rules.questions]
        found = {"format": 1, "requirements": data, "questions": asked}
        click.echo(json.dumps(found, indent=2))
        return
    head = None
    for rule in rules.rules:
        if rule.head is not head:
            head = rule.head
            edition = f", edition {head.edition}" if head.edition else ""
            click.echo(f"{head.title}{edition} (from {head.start}, by the date {head.by})")
        click.echo(f"  {rule.requirement.id:<32} {rule.requirement.title}")
    if rules.questions:
        click.echo("Questions that a reader of the record would ask; never findings")
    for asking in rules.questions:
        click.echo(f"  {asking.id:<32} {asking.ask.partition('?')[0]}?")


@command.command()
@click.argument("requirement")
@jurisdiction
def show(requirement: str, jurisdiction: str) -> None:
    """Show one REQUIREMENT with its clause, reason, cure and danger; or one question."""
    from compliance.cli.report import described, described_question
    from compliance.record.problems import did_you_mean

    rules = _rules(jurisdiction)
    found = [described(rule) for rule in rules.rules if rule.requirement.id == requirement]
    found += [described_question(asking) for asking in rules.questions if asking.id == requirement]
    if not found:
        known = {r.requirement.id for r in rules.rules} | {q.id for q in rules.questions}
        raise CallError(
            f'no requirement is called "{requirement}". {did_you_mean(requirement, known)}'
        )
    click.echo("\n\n".join(found))


@command.command()
@jurisdiction
@form
def test(jurisdiction: str, form: str) -> None:
    """Run every example of every requirement; exit code 1 if one gives something else."""
    from compliance.rules.selftest import tried_examples

    rules = _rules(jurisdiction)
    tried = list(tried_examples(rules))
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
        of = f"{len(rules.rules)} requirements and {len(rules.questions)} questions"
        click.echo(f"{len(tried)} examples of {of}, {len(failed)} failed")
    if failed:
        raise click.exceptions.Exit(HELD_UP)


def _rules(jurisdiction: str) -> Rules:
    from compliance.rules.ruleset import load_rules

    return load_rules(jurisdiction_folder(jurisdiction), jurisdiction)
