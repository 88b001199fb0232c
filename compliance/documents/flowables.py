"""The pieces that flow over a PDF's pages, each marked with its place in the structure.

The one module that builds a reportlab paragraph. What is drawn as words stands in marked
content of an `Element`; lines, furniture and repeated headings are marked as artifacts, which
a screen reader passes over.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from io import BytesIO
from typing import Any, Protocol

from reportlab.lib.colors import black, grey  # noqa: TID253 - reportlab's adapter, with pdf.py
from reportlab.lib.styles import ParagraphStyle  # noqa: TID253
from reportlab.pdfgen.canvas import Canvas  # noqa: TID253
from reportlab.platypus import Image, Paragraph, Table  # noqa: TID253

from compliance.documents.measures import TEXT_HEIGHT_POINTS
from compliance.documents.text import markup, printable
from compliance.documents.tree import Picture, Runs
from compliance.documents.typeface import BOLD, REGULAR, width_points

_LEAST_OF_A_ROW_POINTS = 170.0
"""Room in which a row that is taller than a page may begin."""


@dataclass(slots=True)
class Element:
    """A node of the structure: its standard name, its children, and where its words are."""

    kind: str
    children: list[Element] = field(default_factory=list)
    marks: list[tuple[int, int]] = field(default_factory=list)
    """Page (from 0) and number of each piece of marked content."""
    top_points: float = 0.0
    title: str = ""
    instead: str = ""
    """Words for whoever cannot see a figure."""

    def add(self, kind: str) -> Element:
        """A new last child."""
        child = Element(kind)
        self.children.append(child)
        return child


@dataclass(slots=True)
class Label:
    """What stands left of a paragraph: a bullet, a number or a word."""

    text: str
    element: Element
    is_word: bool = False


class Furniture(Protocol):
    """What stands on every page beside the words of the tree."""

    def draw(self, canvas: PagedCanvas, number: int, total: int) -> None:
        """Draw it on page `number` of `total`."""


class PagedCanvas(Canvas):  # type: ignore[misc]
    """A canvas that knows how many pages there are before it draws their furniture."""

    def __init__(self, furniture: Furniture, *args: Any, **settings: Any) -> None:
        super().__init__(*args, **settings | {"initialFontName": REGULAR})
        self._furniture = furniture
        self.marked: list[list[Element]] = []
        self._pages: list[dict[str, Any]] = []

    def mark(self, element: Element) -> None:
        """Begin words that belong to an element; ended by `end_mark`."""
        page = self._pageNumber - 1
        while len(self.marked) <= page:
            self.marked.append([])
        number = len(self.marked[page])
        self.marked[page].append(element)
        if not element.marks:
            element.top_points = self.absolutePosition(0, 0)[1]
        element.marks.append((page, number))
        self._code.append(f"/{element.kind} <</MCID {number}>> BDC")

    def mark_artifact(self) -> None:
        """Begin something that is not read aloud; ended by `end_mark`."""
        self._code.append("/Artifact BMC")

    def end_mark(self) -> None:
        """End what was begun last."""
        self._code.append("EMC")

    def showPage(self) -> None:  # noqa: N802 - reportlab's name
        """Keep a finished page until the number of pages is known."""
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Draw the furniture of every page and write the file."""
        total = len(self._pages)
        for number, page in enumerate(self._pages, 1):
            self.__dict__.update(page)
            self.mark_artifact()
            self._furniture.draw(self, number, total)
            self.end_mark()
            super().showPage()
        super().save()


class Words(Paragraph):  # type: ignore[misc]
    """A paragraph whose words are marked as one element, on however many pages."""

    element: Element
    label: Label | None = None
    _is_drawn = False

    def split(self, width_points: float, height_points: float) -> list[Any]:
        """The parts on this page and the next, which stay one element; the label goes first."""
        parts: list[Any] = super().split(width_points, height_points)
        for number, part in enumerate(parts):
            part.element = self.element
            part.label = None if number else self.label
        return parts

    def draw(self) -> None:
        """Draw and mark; the same object drawn again is a repeated heading row."""
        canvas = self.canv
        if self._is_drawn:
            canvas.mark_artifact()
        else:
            if self.label:
                self._draw_label(self.label)
            canvas.mark(self.element)
        super().draw()
        canvas.end_mark()
        if getattr(self.style, "rule_points", 0):
            _draw_rule(canvas, self.width, self.style.rule_gap_points, self.style.rule_points)
        self._is_drawn = True

    def _draw_label(self, label: Label) -> None:
        canvas = self.canv
        canvas.mark(label.element)
        canvas.setFont(BOLD if label.is_word else REGULAR, self.style.fontSize)
        canvas.drawString(self.style.label_points, self.height - self.style.fontSize, label.text)
        canvas.end_mark()


class Figure(Image):  # type: ignore[misc]
    """A picture, marked as one element with words for whoever cannot see it."""

    def __init__(self, picture: Picture, width: float, height: float, element: Element) -> None:
        fitted = picture.fitted(width, height)
        super().__init__(BytesIO(picture.jpeg), *fitted, hAlign="LEFT")
        self.element = element
        element.instead = printable(picture.words)

    def draw(self) -> None:
        """Draw and mark."""
        self.canv.mark(self.element)
        super().draw()
        self.canv.end_mark()


class Grid(Table):  # type: ignore[misc]
    """A table whose lines and grounds are artifacts, split in a row only if no page holds it."""

    def split(self, width_points: float, height_points: float) -> list[Any]:
        """The rows that fit and the rest; nothing if not one row does and a next page helps."""
        self._calc(width_points, height_points)
        heading, first = sum(self._rowHeights[: self.repeatRows]), self._rowHeights[self.repeatRows]
        is_too_tall = heading + first > TEXT_HEIGHT_POINTS
        self.splitInRow = int(is_too_tall and height_points > _LEAST_OF_A_ROW_POINTS)
        parts: list[Any] = super().split(width_points, height_points)
        return parts

    def _drawBkgrnd(self) -> None:  # noqa: N802 - reportlab's name
        self.canv.mark_artifact()
        super()._drawBkgrnd()
        self.canv.end_mark()

    def _drawLines(self) -> None:  # noqa: N802 - reportlab's name
        self.canv.mark_artifact()
        super()._drawLines()
        self.canv.end_mark()


def words(runs: Runs, style: ParagraphStyle, element: Element, label: Label | None = None) -> Words:
    """A paragraph of literal text, its label left of it."""
    if label:
        label.text = printable(label.text)
        style = _beside(style, label)
    paragraph = Words(markup(runs) or "&nbsp;", style)
    paragraph.element = element
    paragraph.label = label
    return paragraph


def _beside(style: ParagraphStyle, label: Label) -> ParagraphStyle:
    """A style whose first line starts after a label that is wider than its column."""
    end = (
        style.label_points
        + 6
        + width_points(label.text, BOLD if label.is_word else REGULAR, style.fontSize)
    )
    if end <= style.leftIndent:
        return style
    return ParagraphStyle(style.name, style, firstLineIndent=end - style.leftIndent)


def _draw_rule(canvas: PagedCanvas, width: float, gap: float, thickness: float) -> None:
    canvas.mark_artifact()
    canvas.saveState()
    canvas.setStrokeColor(black if thickness >= 1 else grey)
    canvas.setLineWidth(thickness)
    canvas.line(0, -gap, width, -gap)
    canvas.restoreState()
    canvas.end_mark()
