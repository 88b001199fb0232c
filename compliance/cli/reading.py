"""`compliance reading`: one more test at the end of a record's tests, its limits said back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from compliance.cli.options import firm_folder, job_folder
from compliance.errors import CallError

if TYPE_CHECKING:
    from compliance.record.edit import Change
    from compliance.record.load import Loaded
    from compliance.rules.job import Job


@click.command(name="reading", options_metavar="[OPTIONS]")
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("subject")
@click.argument("words", nargs=-1, required=True, metavar="[TEST] KEY=VALUE...")
@firm_folder
def command(job: Path, subject: str, words: tuple[str, ...], firm: Path | None) -> None:
    """Add one TEST of SUBJECT to JOB's record, and say what it did to the findings.

    For example: compliance reading JOB S1 insulation "IR+=over 200" IR-=38 by=rowan. TEST is
    the name of a test or the part of it that only one test of SUBJECT has: polarity of a
    circuit is circuit polarity. It can be left out where a reading's name tells it:
    compliance reading JOB C1 Zs=0.38. Without on=DATE it is of today. An earlier test stays;
    if it failed, say after="what was done".
    """
    from compliance.cli.change import changed
    from compliance.record.edit import Change
    from compliance.record.meant import TESTS
    from compliance.record.naming import field_of
    from compliance.record.shape import fields
    from compliance.record.words import spoken_in

    entry: dict[str, str] = {}

    def change_of(loaded: Loaded) -> Change:
        values = list(words) if "=" in words[0] else list(words[1:])
        said = [_pair(text) for text in values]
        kind = _meant(loaded, subject, "" if values == list(words) else words[0], said)
        model, aliases = TESTS[kind], spoken_in(loaded.tree)
        entry.update({"test": kind, "of": subject, "on": date.today().isoformat()})
        entry.update({field_of(name, model, aliases, kind): value for name, value in said})
        order = dict.fromkeys(("test", "of", *fields(model)))
        written = {name: entry[name] for name in order if name in entry}
        held = loaded.own.data.get("tests")
        return Change(("tests", len(held) if isinstance(held, list) else 0), written)

    def say(after: Job) -> Iterator[str]:
        yield from _said(after, entry)

    changed(job_folder(job), change_of, say, firm)


def _pair(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not value.strip():
        raise CallError(f'"{text}" says nothing; write it as KEY=VALUE, such as IR-=38')
    return name.strip(), value.strip()


def _meant(loaded: Loaded, subject: str, word: str, said: list[tuple[str, str]]) -> str:
    """The kind of test: by the word for it, or else by the first reading."""
    from compliance.record.meant import test_meant, test_read, tests_of
    from compliance.record.words import spoken_in, usual_tests_in

    tests = tests_of(subject, loaded.said)
    aliases, usual = spoken_in(loaded.tree), usual_tests_in(loaded.tree)
    if word:
        return test_meant(word, subject, tests, aliases, usual)
    return test_read([name for name, _ in said], subject, tests, aliases, usual)


def _said(job: Job, entry: Mapping[str, str]) -> Iterator[str]:
    """The reading as it stands now, each value with what would be right of it."""
    from compliance.rules.language.explain import plain_name, written
    from compliance.units import find

    kind, subject, on = (entry[name] for name in ("test", "of", "on"))
    yield f"{kind} of {subject}, {on.replace('T', ' ')}"
    if on[:10] > job.checked.on.isoformat():
        yield f"  of a day after {job.checked.on}, the day that this check is of: not judged yet"
        return
    batch = job.opened.planned.get(subject)
    if batch:
        yield f"  {subject} is planned only: not judged until somebody speaks for the batch {batch}"
        return
    alike = [t for t in job.view["tests"] if t["test"] == kind and t["of"]["~name"] == subject]
    made: Any = alike[-1]
    wanted = job.wanted()
    for name, value in made.items():
        right = wanted.get((id(made), name))
        if right:
            yield f"  {plain_name(name)}: {written(value, find(name))}; right: {right}"
