"""A folder of jobs on the command line: one line for each, bad ones named, the rest goes on."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from compliance.cli import HELD_UP, OUR_FAULT, UNUSABLE, our_fault
from compliance.cli.wrapping import wrapped
from compliance.errors import CallError
from compliance.rules.outcome import NO_PERMISSION, STOPS, HoldsUp, Outcome

if TYPE_CHECKING:
    from compliance.portfolio.checked import Office, Result
    from compliance.portfolio.same_readings import Same

Data = Mapping[str, Any]
MOST_NAMED = 6


@dataclass(slots=True)
class Tally:
    """What went through, for the last lines and the exit code."""

    jobs: int = 0
    held_up: int = 0
    dangers: int = 0
    checked_now: int = 0
    bad: list[str] = field(default_factory=list)
    faults: int = 0
    references: dict[str, list[str]] = field(default_factory=dict)
    readings: dict[str, Data] = field(default_factory=dict)

    def count(self, result: Result, line: Data | None) -> None:
        """Takes in one result; `line` is what was kept of it, if it could be checked."""
        self.checked_now += result.is_new
        self.faults += result.fault is not None
        if line is None:
            self.bad.append(result.folder)
            return
        self.jobs += 1
        self.held_up += line["held_up"]
        self.dangers += bool(line["dangers"])
        self.references.setdefault(line["reference"], []).append(result.folder)
        self.readings[result.folder] = line["readings"]

    @property
    def code(self) -> int:
        """The exit code of all jobs together: our fault before unusable before held up."""
        if self.faults:
            return OUR_FAULT
        if self.bad:
            return UNUSABLE
        return HELD_UP if self.held_up else 0

    def twice(self) -> Iterator[str]:
        """References that several folders have, which nobody can tell apart by name."""
        for reference, folders in self.references.items():
            if len(folders) > 1:
                yield f'"{reference}" is the reference of {" and of ".join(folders)}; change one'


@contextmanager
def office_of(folder: Path, on: date | None, firm: Path | None, *, cache: bool) -> Iterator[Office]:
    """A folder with its index, which is closed whatever happens."""
    from compliance.files.cache import NoCache, Remembering, user_cache
    from compliance.files.resources import rulesets_folder
    from compliance.portfolio.checked import Office
    from compliance.portfolio.index import Index, index_path

    index = Index(index_path(folder), lambda text: click.echo(text, err=True)) if cache else None
    kept_in = Remembering(user_cache() if cache else NoCache(), "rulesets")
    try:
        yield Office(folder, rulesets_folder(), date.today(), on, firm, kept_in, index)
    finally:
        if index is not None:
            index.close()


def gone_through(office: Office, tally: Tally) -> Iterator[tuple[Result, Data | None]]:
    """Every job with its line; a bad one is told on stderr, a progress bar shows on a terminal."""
    from compliance.portfolio.checked import results
    from compliance.portfolio.folder import job_folders

    jobs = job_folders(office.folder)
    bar = click.progressbar(
        length=len(jobs), label="jobs", file=sys.stderr, hidden=not sys.stderr.isatty()
    )
    with bar as shown:
        for result in results(office, jobs, lambda: shown.update(1)):
            line = result.kept.line_data() if result.kept else None
            tally.count(result, line)
            if result.problem is not None:
                click.echo(str(result.problem), err=True)
            if result.fault is not None:
                click.echo(f"{result.folder}\n{our_fault(result.fault)}", err=True)
            yield result, line


def told_of(office: Office, tally: Tally) -> None:
    """What a person should know of the folder besides its jobs, on stderr."""
    from compliance.portfolio.folder import other_folders

    for text in tally.twice():
        click.echo(text, err=True)
    others = other_folders(office.folder)
    if others:
        more = f" and {len(others) - MOST_NAMED} more" if len(others) > MOST_NAMED else ""
        named = ", ".join(others[:MOST_NAMED])
        click.echo(f"no installation.yaml, so no job: {named}{more}", err=True)
    same = tally.jobs + len(tally.bad) - tally.checked_now
    click.echo(f"checked now: {tally.checked_now}; unchanged since the last time: {same}", err=True)


def check_folder(
    folder: Path, on: date | None, of_one: Sequence[str], form: str, firm: Path | None,
    *, cache: bool,
) -> None:  # fmt: skip
    """What `compliance check` does with a folder of jobs.

    Args:
        folder: The folder.
        on: The day of the check, if one was asked for.
        of_one: Options given that only one job can answer.
        form: `text` or `json`.
        firm: The folder of `firm.yaml`, if it is another.
        cache: Whether earlier work may be used.
    """
    from compliance.portfolio.same_readings import same_readings

    if of_one:
        raise CallError(f"{', '.join(of_one)}: name one job of the folder for that")
    tally, kept = Tally(), list[dict[str, Any]]()
    with office_of(folder, on, firm, cache=cache) as office:
        for result, line in gone_through(office, tally):
            if form == "json":
                kept.append(_data(result, line))
            else:
                click.echo(line_of(result.folder, line))
    told_of(office, tally)
    asked = list(same_readings(tally.readings))
    if form == "json":
        questions = [one.data() for one in asked]
        whole = {"format": 1, "notice": NO_PERMISSION, "jobs": kept, "questions": questions}
        click.echo(json.dumps(whole, ensure_ascii=False, indent=2))
    else:
        click.echo("\n".join(["", *_asked_lines(asked), *_last_lines(tally)]))
    if tally.code:
        raise click.exceptions.Exit(tally.code)


def _data(result: Result, line: Data | None) -> dict[str, Any]:
    if line is not None:
        told = {name: value for name, value in line.items() if name != "readings"}
        return {"folder": result.folder, "usable": True, **told}
    return {"folder": result.folder, "usable": False, "problem": str(result.problem or "our fault")}


def line_of(folder: str, line: Data | None) -> str:
    """One job on one line: its reference, what is held up, and counts in plain words."""
    if line is None:
        return f"{folder}  CANNOT BE CHECKED, see the message"
    said = ["DANGER"] if line["dangers"] else []
    held = [STOPS[HoldsUp(what)] for what in line["holds_up"]]
    if held:
        said.append(f"holds up {', '.join(held)}")
    elif not line["held_up"]:
        said.append("nothing that was checked is held up")
    if line["uncovered"]:
        said.append("part of it NOT CHECKED, no edition covers it")
    open_ = (Outcome.NOT_MET, Outcome.NOT_SHOWN, Outcome.FOR_JUDGEMENT)
    counts = [f"{line['counts'][o]} {o}" for o in open_ if line["counts"][o]]
    if counts:
        said.append(", ".join(counts))
    if line["set_aside"]:
        said.append(f"{line['set_aside']} set aside")
    if line["sent_late"]:
        many = "1 notice" if line["sent_late"] == 1 else f"{line['sent_late']} notices"
        said.append(f"{many} sent late")
    return f"{line['reference']}  {'; '.join(said)}"


def _asked_lines(asked: Sequence[Same]) -> list[str]:
    """What a reader of all these records would ask; no finding of any of them."""
    if not asked:
        return []
    heading = f"A reader would ask ({len(asked)}); no findings, they hold nothing up"
    return [heading, *(line for one in asked for line in wrapped(str(one), indent="  ")), ""]


def _last_lines(tally: Tally) -> list[str]:
    said = [f"{tally.jobs + len(tally.bad)} jobs: {tally.held_up} held up"]
    if tally.dangers:
        said.append(f"{tally.dangers} with danger")
    said.append(f"{tally.jobs - tally.held_up} with nothing held up")
    if tally.bad:
        said.append(f"{len(tally.bad)} that cannot be checked ({', '.join(tally.bad)})")
    return [*wrapped(f"{', '.join(said)}."), *wrapped(NO_PERMISSION)]
