"""The one place where the benchmark touches the project's documents."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path

from benchmarks.documents_by_hand import Plain, Rows, Text
from compliance.documents.docx import docx_bytes
from compliance.documents.forms import rendered
from compliance.documents.pdf import pdf_bytes
from compliance.documents.tree import (
    Block,
    Caution,
    Cell,
    Document,
    Heading,
    ListBlock,
    Paragraph,
    Picture,
    SignatureBlock,
    Table,
    cell_runs,
)
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.pack.issue import DOCUMENTS
from compliance.rules.job import Job, open_job

SAMPLE = Path(__file__).parent.parent / "sample_installs" / "bungalow-two-faces"
FOOTER = "2026-117, measured"


@cache
def complete_sample() -> Job:
    """The sample whose record leaves no gap, checked."""
    return open_job(SAMPLE, rulesets_folder(), today=date(2026, 11, 20))


def trees(job: Job) -> list[Document]:
    """The documents, before they have the form of a file; small pictures are made anew."""
    made = {f"rulesets/{path.name}": path for path in job.rules.files}
    return [
        rendered(job, name, given(job, made), templates_folder())
        for name, given in DOCUMENTS.items()
    ]


def pdf(document: Document) -> bytes:
    """The document as the project's PDF."""
    return pdf_bytes(document, footer=FOOTER, draft=False)


def docx(document: Document) -> bytes:
    """The document as the project's DOCX."""
    return docx_bytes(document, footer=FOOTER, draft=False)


def plain(document: Document) -> Plain:
    """The same words, tables and pictures as plain data."""
    return tuple(part for block in document.blocks for part in _parts(block))


def _parts(block: Block) -> Iterator[Text | Rows]:
    match block:
        case Heading(level=level, runs=runs):
            yield Text("".join(run.text for run in runs), level)
        case Paragraph(runs=runs):
            yield Text("".join(run.text for run in runs))
        case ListBlock(items=items):
            for item in items:
                yield Text(" ".join((item.label, *(run.text for run in item.runs))).strip())
        case Table():
            yield Text(block.caption)
            yield _rows(block) if block.rows else Text(block.empty)
        case SignatureBlock(role=role, lines=lines):
            yield from map(Text, (role, *lines))
        case Caution(heading=heading, paragraphs=paragraphs):
            yield from map(Text, (heading, *paragraphs))


def _rows(table: Table) -> Rows:
    heads = tuple(column.header for column in table.columns)
    rows = tuple(tuple(map(_cell, row)) for row in table.rows)
    return Rows((heads, *rows), tuple(column.share for column in table.columns))


def _cell(cell: Cell) -> str | tuple[bytes, int, int]:
    if isinstance(cell, Picture):
        return cell.jpeg, cell.width_px, cell.height_px
    return "".join(run.text for run in cell_runs(cell))
