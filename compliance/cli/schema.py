"""`compliance schema`: the record as JSON Schema, for editors that complete and underline."""

from __future__ import annotations

import json

import click


@click.command(name="schema")
def command() -> None:
    """Print the JSON Schema (2020-12) of installation.yaml.

    Save it and name it in the first line of a record, and an editor that knows JSON Schema
    completes field names and underlines mistakes:
    "# yaml-language-server: $schema=installation.schema.json". `check` knows more than any
    schema can say: names that must exist, the order of tests, the rules.
    """
    from compliance.record.schema import record_schema

    click.echo(json.dumps(record_schema(), ensure_ascii=False, indent=2))
