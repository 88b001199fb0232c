"""Plain documents as somebody writes them for one occasion, straight to reportlab and python-docx.

The same words, tables, pictures, page size and typefaces as the project's documents, and no
more: no tags for screen readers, no check of what can be printed, no draft band, nothing
kept together on a page, not the same bytes twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from xml.sax.saxutils import escape

import docx as python_docx  # noqa: TID253 - what is compared with
from docx.shared import Pt  # noqa: TID253
from reportlab.lib import colors  # noqa: TID253
from reportlab.lib.pagesizes import A4  # noqa: TID253
from reportlab.lib.styles import ParagraphStyle, getSampleStyleSheet  # noqa: TID253
from reportlab.platypus import Image, Paragraph, SimpleDocTemplate, Table  # noqa: TID253

FACE = "DejaVuSans"
WIDTH_POINTS = 470.0
PICTURE_POINTS = 118.0


@dataclass(frozen=True, slots=True)
class Text:
    """A heading (level 1 to 3), or a paragraph (level 0)."""

    words: str
    level: int = 0


@dataclass(frozen=True, slots=True)
class Rows:
    """A table; a cell is words or a JPEG with its width and height."""

    rows: tuple[tuple[str | tuple[bytes, int, int], ...], ...]
    shares: tuple[float, ...]


Plain = tuple[Text | Rows, ...]


def pdf(document: Plain) -> bytes:
    """The document as PDF, by reportlab's platypus."""
    base = getSampleStyleSheet()
    body = ParagraphStyle("b", base["BodyText"], fontName=FACE, fontSize=9.5, leading=14)
    small = ParagraphStyle("s", body, fontSize=8.5, leading=12)
    heads = [ParagraphStyle("h", base["Heading1"], fontName=f"{FACE}-Bold", fontSize=size)
             for size in (20, 13, 10.5)]  # fmt: skip
    lines = [("LINEBELOW", (0, 0), (-1, -1), 0.4, colors.grey), ("VALIGN", (0, 0), (-1, -1), "TOP")]
    story: list[object] = []
    for block in document:
        if isinstance(block, Text):
            style = heads[block.level - 1] if block.level else body
            story.append(Paragraph(_marked(block.words), style))
            continue
        cells = [
            [Paragraph(_marked(cell), small) if isinstance(cell, str) else _picture(cell)
             for cell in row] for row in block.rows
        ]  # fmt: skip
        widths = [WIDTH_POINTS * share / sum(block.shares) for share in block.shares]
        story.append(Table(cells, colWidths=widths, repeatRows=1, style=lines, splitInRow=1))
    written = BytesIO()
    SimpleDocTemplate(written, pagesize=A4).build(story)
    return written.getvalue()


def docx(document: Plain) -> bytes:
    """The document as DOCX, by python-docx."""
    file = python_docx.Document()
    for block in document:
        if isinstance(block, Text):
            if block.level:
                file.add_heading(block.words, block.level)
            else:
                file.add_paragraph(block.words)
            continue
        table = file.add_table(len(block.rows), len(block.shares))
        for row, cells in zip(table.rows, block.rows, strict=True):
            for place, cell in zip(row.cells, cells, strict=True):
                if isinstance(cell, str):
                    place.text = cell
                else:
                    run = place.paragraphs[0].add_run()
                    run.add_picture(BytesIO(cell[0]), height=Pt(PICTURE_POINTS))
    written = BytesIO()
    file.save(written)
    return written.getvalue()


def _marked(words: str) -> str:
    return escape(words).replace("\n", "<br/>")


def _picture(cell: tuple[bytes, int, int]) -> Image:
    data, width, height = cell
    return Image(BytesIO(data), PICTURE_POINTS * width / height, PICTURE_POINTS)
