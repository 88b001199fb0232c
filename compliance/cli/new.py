"""`compliance new`: six answers, and at once a record to fill and a sheet for the first visit."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from compliance.cli.options import firm_folder, job_folder
from compliance.errors import CallError

if TYPE_CHECKING:
    from compliance.files.disk import Disk
    from compliance.record.questions import Answers

JURISDICTIONS = ("GB-ENG", "GB-WLS", "GB-SCT", "GB-NIR")


@click.command(name="new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option(
    "--answers", "given", metavar="N,N,...",
    help="The numbers of the six answers, for scripts; nothing is asked then.",
)  # fmt: skip
@click.option("--jurisdiction", type=click.Choice(JURISDICTIONS), default="GB-ENG",
              show_default=True, help="Where the job is.")  # fmt: skip
@click.option("--like", type=click.Path(path_type=Path), metavar="JOB",
              help="Take over what stays the same from another job.")  # fmt: skip
@firm_folder
def command(
    folder: Path, given: str | None, jurisdiction: str, like: Path | None, firm: Path | None
) -> None:
    """Start a job in DIR: answer six questions by number, get a record and a visit sheet.

    None of the questions needs a datasheet. DIR/installation.yaml holds what the answers
    say, with notes on what comes where; DIR/visit-sheet.pdf and .docx what the first visit
    has to bring home. DIR must not exist yet, or be empty. Interrupted, nothing is left.
    """
    from compliance.documents.visit import visit_sheet
    from compliance.files.cache import NoCache
    from compliance.files.disk import Disk
    from compliance.files.folder import new_folder
    from compliance.files.resources import rulesets_folder, templates_folder
    from compliance.record.lent import usual_batches
    from compliance.record.load import firm_of
    from compliance.record.opened import FILE
    from compliance.record.skeleton import skeleton
    from compliance.rules.job import open_job
    from compliance.rules.outcome import NO_PERMISSION

    with new_folder(folder) as made:
        answered = _given(given) if given is not None else _asked()
        disk = Disk()
        name = folder.absolute().name
        same = {} if like is None else _like(like, firm, answered, made, disk)
        record = skeleton(answered, reference=name, jurisdiction=jurisdiction, like=same,
                          usual=usual_batches(firm_of(folder, firm)))  # fmt: skip
        disk.write(made / FILE, record)
        job = open_job(made, rulesets_folder(), today=date.today(), cache=NoCache(), firm=firm,
                       as_planned=True)  # fmt: skip
        sheets = visit_sheet(job, templates_folder())
        for sheet, data in sheets.items():
            disk.write(made / sheet, data)
    for file in (FILE, *sheets):
        click.echo(folder / file)
    click.echo(f"Next: print the visit sheet, fill in the record, compliance check {folder}")
    click.echo(NO_PERMISSION)


def _like(
    job: Path, firm: Path | None, answered: Answers, made: Path, disk: Disk
) -> dict[str, Any]:
    """What a like job's own record says that stays the same; the firm's is lent anyway.

    Papers about products are copied to where the new record names them.
    """
    from compliance.files.paths import PathError, open_regular
    from compliance.files.yaml import read_yaml
    from compliance.record.arranged import arranged, papers, visits
    from compliance.record.called import in_own_names
    from compliance.record.like import stays_the_same
    from compliance.record.load import load_record
    from compliance.record.migrations import in_todays_format
    from compliance.record.opened import FILE
    from compliance.record.skeleton import part_kinds
    from compliance.record.words import spoken_in

    folder = job_folder(job)
    load_record(folder, firm=firm)
    tree = in_todays_format(read_yaml(folder / FILE)).tree
    said = in_own_names(tree, spoken_in(tree)).tree.data
    same = stays_the_same(said)
    planned = arranged(said, part_kinds(answered), answered.faces)
    if planned:
        planned["evidence"] = kept = {}
        for name, paper in papers(said, planned, same.get("components", {})).items():
            try:
                with open_regular(folder, str(paper["file"])) as file:
                    data = file.read()
            except PathError:
                continue  # what is not there cannot be taken over; the record is whole without it
            to = made / str(paper["file"])
            for above in reversed(to.relative_to(made).parents):
                if not (made / above).exists():
                    disk.make_folder(made / above)
            if not to.exists():
                disk.write(to, data)
            kept[name] = paper
        same["arranged"] = planned
        if went := visits(said, answered.visits):
            planned["visits"] = went
    return same


def _given(text: str) -> Answers:
    from compliance.record.questions import answers

    return answers([part.strip() for part in text.split(",")])


def _asked() -> Answers:
    from compliance.record.questions import QUESTIONS, Question, answers

    def number(question: Question) -> str:
        click.echo(question.ask)
        for place, choice in enumerate(question.choices, 1):
            click.echo(f"  {place}  {choice}")
        while True:
            text = str(click.prompt("Number", prompt_suffix=": ")).strip()
            try:
                question.answer(text)
            except CallError as wrong:
                click.echo(wrong.what)
                continue
            return text

    return answers([number(question) for question in QUESTIONS])
