"""`compliance reading`: one more test at the end of a record's tests, its limits said back."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

import click

from compliance.cli.options import firm_folder, job_folder
from compliance.errors import CallError

if TYPE_CHECKING:
    from compliance.record.edit import Change
    from compliance.record.load import Loaded
    from compliance.record.tests import Test
    from compliance.rules.job import Job


@click.command(name="reading")
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("subject")
@click.argument("test")
@click.argument("values", nargs=-1, metavar="KEY=VALUE...")
@firm_folder
def command(job: Path, subject: str, test: str, values: tuple[str, ...], firm: Path | None) -> None:
    """Add one TEST of SUBJECT to JOB's record, and say what it did to the findings.

    For example: compliance reading JOB S1 insulation "IR+=over 200" IR-=38 by=rowan. Without
    on=DATE it is of today. An earlier test stays; if it failed, say after="what was done".
    """
    from compliance.cli.change import changed
    from compliance.record.edit import Change
    from compliance.record.naming import field_of
    from compliance.record.shape import fields
    from compliance.record.words import spoken_in

    kind, model = _test(test)

    def change_of(loaded: Loaded) -> Change:
        entry = {"test": kind, "of": subject, "on": date.today().isoformat()}
        for text in values:
            name, equals, value = text.partition("=")
            if not equals or not value.strip():
                raise CallError(f'"{text}" says nothing; write it as KEY=VALUE, such as IR-=38')
            entry[field_of(name.strip(), model, spoken_in(loaded.tree), kind)] = value.strip()
        order = dict.fromkeys(("test", "of", *fields(model)))
        written = {name: entry[name] for name in order if name in entry}
        held = loaded.own.data.get("tests")
        return Change(("tests", len(held) if isinstance(held, list) else 0), written)

    def say(after: Job) -> Iterator[str]:
        yield from _said(after, subject, kind)

    changed(job_folder(job), change_of, say, firm)


def _test(name: str) -> tuple[str, type[Test]]:
    from compliance.record.installation import AnyTest
    from compliance.record.problems import did_you_mean

    models = {model.tag: model for model in get_args(get_args(AnyTest)[0])}
    kind = " ".join(name.replace("_", " ").split())
    alike = {tag.replace("-", " "): tag for tag in models}
    kind = alike.get(kind.replace("-", " "), kind)
    if kind not in models:
        raise CallError(f'there is no test "{name}". {did_you_mean(kind, models)}')
    return kind, models[kind]


def _said(job: Job, subject: str, kind: str) -> Iterator[str]:
    """The reading as it stands now, each value with what would be right of it."""
    from compliance.rules.language.explain import plain_name, written
    from compliance.units import find

    made: Any = [t for t in job.view["tests"] if t["test"] == kind and t["of"]["~name"] == subject][
        -1
    ]
    wanted = job.wanted()
    yield f"{kind} of {subject}, {written(made['on'], find('on'))}"
    for name, value in made.items():
        right = wanted.get((id(made), name))
        if right:
            yield f"  {plain_name(name)}: {written(value, find(name))}; right: {right}"
