"""The PDF of a document: A4, embedded typefaces, readable in black and white.

Same tree, footer and installed versions: same bytes. What is decided here is only how
things look; what they say stands in the tree.
"""

from __future__ import annotations

from functools import cache
from io import BytesIO
from typing import Any, cast

from reportlab import rl_config  # noqa: TID253 - reportlab's adapter, with flowables.py
from reportlab.lib.colors import Color, black, white  # noqa: TID253
from reportlab.lib.enums import TA_RIGHT  # noqa: TID253
from reportlab.lib.pagesizes import A4  # noqa: TID253
from reportlab.lib.styles import ParagraphStyle  # noqa: TID253
from reportlab.lib.units import mm  # noqa: TID253
from reportlab.lib.utils import simpleSplit  # noqa: TID253
from reportlab.platypus import (  # noqa: TID253
    BaseDocTemplate,
    CondPageBreak,
    Frame,
    PageTemplate,
    Spacer,
)

from compliance.documents import tree
from compliance.documents.cautions import DEFERENCE, DRAFT
from compliance.documents.flowables import Element, Figure, Grid, Label, PagedCanvas, words
from compliance.documents.measures import (
    CELL_GAP_POINTS,
    LIST_GAP_POINTS,
    TALLEST_PICTURE_POINTS,
    Page,
    column_widths_points,
    halves,
    page_of,
)
from compliance.documents.tags import tagged
from compliance.documents.text import LIMIT_FOOTER, printable
from compliance.documents.tree import Run
from compliance.documents.typeface import BOLD, REGULAR, register

_THIN = Color(0.6, 0.6, 0.6)
_MOST_ROOM = 120 * mm
_FIRST = 4


def pdf_bytes(document: tree.Document, *, footer: str, draft: bool) -> bytes:
    """The document as a tagged PDF, with `footer` on every page and a draft's mark if it is one.

    Raises:
        DocumentError: If a text can't be printed whole and literal.
    """
    register()
    rl_config.useA85 = 0  # text streams as they are: a fifth smaller, and pictures 100 times faster
    root = Element("Document")
    page = page_of(document)
    story = _Setter(root, page).story(document)
    written = BytesIO()
    canvases: list[PagedCanvas] = []
    furniture = _Furniture(printable(footer, limit=LIMIT_FOOTER), draft, page)

    def canvas(*args: Any, **settings: Any) -> PagedCanvas:
        canvases.append(PagedCanvas(furniture, *args, **settings))
        return canvases[-1]

    layout = BaseDocTemplate(
        written, pagesize=A4, invariant=1, title=document.title, lang=document.language
    )
    frame = Frame(
        (A4[0] - page.width_points) / 2, page.bottom_points, page.width_points, page.height_points,
        0, 0, 0, 0, showBoundary=0,
    )  # fmt: skip
    layout.addPageTemplates([PageTemplate("page", [frame])])
    layout.build(story, canvasmaker=canvas)
    return tagged(written.getvalue(), document, root, canvases[-1].marked)


class _Furniture:
    """What stands on every page beside the words of the tree."""

    def __init__(self, footer: str, is_draft: bool, page: Page) -> None:
        self._footer = footer
        self._page = page
        self._is_draft = is_draft

    def draw(self, canvas: PagedCanvas, number: int, total: int) -> None:
        width = self._page.width_points
        left, right = (A4[0] - width) / 2, (A4[0] + width) / 2
        canvas.saveState()
        canvas.setFillColor(black)
        canvas.setStrokeColor(black)
        canvas.setLineWidth(0.5)
        y = self._page.bottom_points - (6 if self._page.is_pocket else 9) * mm
        canvas.line(left, y, right, y)
        canvas.setFont(REGULAR, 7)
        canvas.drawRightString(right, y - 10, f"page {number} of {total}")
        for line in [*simpleSplit(self._footer, REGULAR, 7, width - 80), DEFERENCE]:
            y -= 10
            canvas.drawString(left, y, line)
        if self._is_draft:
            top = A4[1] - (4 if self._page.is_pocket else 11) * mm
            canvas.rect(left, top - 7 * mm, right - left, 7 * mm, stroke=0, fill=1)
            canvas.setFillColor(white)
            canvas.setFont(BOLD, 9)
            canvas.drawCentredString(A4[0] / 2, top - 4.7 * mm, DRAFT)
        canvas.restoreState()


class _Setter:
    """Sets the blocks of a tree, and gives each its element in the structure."""

    def __init__(self, root: Element, page: Page) -> None:
        self._root = root
        self._page = page
        self._width = page.width_points
        self._style = _styles(page)

    def story(self, document: tree.Document) -> list[Any]:
        """All pieces; before each block the room that it and what it announces must find."""
        story: list[Any] = []
        room, following = 0.0, None
        pieces_of = [self._set(block) for block in document.blocks]
        for block, pieces in zip(reversed(document.blocks), reversed(pieces_of), strict=True):
            announces = following is not None and tree.leads_to(block, following)
            whole = isinstance(block, tree.ListBlock) and block.stays_whole
            first = len(pieces) if whole else _FIRST
            room = _height_points(pieces[:first], self._page) + (room if announces else 0)
            story += [*reversed(pieces), CondPageBreak(min(room, _MOST_ROOM))]
            following = block
        story.reverse()
        return story

    def _set(self, block: tree.Block) -> list[Any]:
        match block:
            case tree.Heading():
                return self._heading(block)
            case tree.Paragraph():
                return [words(block.runs, self._style["body"], self._root.add("P"))]
            case tree.ListBlock():
                return self._list(block)
            case tree.Table():
                return self._table(block)
            case tree.Caution():
                return self._caution(block)
            case tree.SignatureBlock():
                return self._signature(block)

    def _heading(self, block: tree.Heading) -> list[Any]:
        element = self._root.add(f"H{block.level}")
        element.title = "".join(run.text for run in block.runs)
        return [words(block.runs, self._style[f"h{block.level}"], element)]

    def _list(self, block: tree.ListBlock) -> list[Any]:
        element = self._root.add("L")
        columns = halves(block.items, self._page)
        items = list[Any]()
        for number, item in enumerate(block.items, 1):
            entry = element.add("LI")
            mark = item.label or (f"{number}." if block.is_ordered else "•")
            label = Label(mark, entry.add("Lbl"), is_word=bool(item.label))
            style = self._style["labelled" if item.label else "item"]
            items.append(words(item.runs, style, entry.add("LBody"), label))
        if columns:
            return [_side_by_side(items, len(columns[0]), self._width)]
        last_two = sum(item.wrap(self._width, 1e6)[1] + item.getSpaceAfter() for item in items[-2:])
        return [
            *items[:-2],
            CondPageBreak(min(last_two, self._page.start_points)),
            *items[-2:],
            Spacer(1, 6),
        ]

    def _table(self, block: tree.Table) -> list[Any]:
        element = self._root.add("Table")
        caption = words((Run(block.caption),), self._style["caption"], element.add("Caption"))
        if not block.rows:
            row = element.add("TR").add("TD")
            empty = words((Run(block.empty),), self._style["body"], row)
            return [caption, empty]
        widths = column_widths_points(block, self._page)
        rows = [self._heading_row(element, block)]
        rows += [self._row(element, block, row, widths) for row in block.rows]
        grid = Grid(
            rows,
            colWidths=widths,
            repeatRows=1,
            style=_grid_lines(self._page),
            spaceAfter=5 if self._page.is_pocket else 10,
        )
        return [caption, grid]

    def _heading_row(self, table: Element, block: tree.Table) -> list[Any]:
        element = table.add("TR")
        return [
            [words((Run(column.header),), self._style[f"head-{column.align}"], element.add("TH"))]
            for column in block.columns
        ]

    def _row(
        self, table: Element, block: tree.Table, cells: tuple[tree.Cell, ...], widths: list[float]
    ) -> list[Any]:
        element = table.add("TR")
        row: list[Any] = []
        for cell, column, width in zip(cells, block.columns, widths, strict=True):
            data = element.add("TD")
            if isinstance(cell, tree.Picture):
                room = width - 2 * CELL_GAP_POINTS
                row.append([Figure(cell, room, TALLEST_PICTURE_POINTS, data.add("Figure"))])
            else:
                row.append([words(tree.cell_runs(cell), self._style[f"cell-{column.align}"], data)])
        return row

    def _caution(self, block: tree.Caution) -> list[Any]:
        element = self._root.add("Div")
        rows = [[[words((Run(block.heading, True),), self._style["box"], element.add("P"))]]]
        for text in block.paragraphs:
            rows.append([[words((Run(text),), self._style["box"], element.add("P"))]])
        box = Grid(
            rows,
            colWidths=[self._width],
            style=_box_lines(len(rows), self._page),
            spaceBefore=4 if self._page.is_pocket else 8,
            spaceAfter=4 if self._page.is_pocket else 12,
        )
        return [box]

    def _signature(self, block: tree.SignatureBlock) -> list[Any]:
        element = self._root.add("Div")
        role = words((Run(block.role, True),), self._style["role"], element.add("P"))
        gap, room = 20.0, (7.5 if self._page.is_pocket else 11) * mm
        width = (self._width - gap) / 2
        rows: list[list[Any]] = []
        for start in range(0, len(block.lines), 2):
            pair = [
                [words((Run(line),), self._style["line"], element.add("P"))]
                for line in block.lines[start : start + 2]
            ]
            pair += [[]] * (2 - len(pair))
            rows += [[[Spacer(1, room)], [], []], [pair[0], [], pair[1]]]
        lines = [("LINEABOVE", (c, r), (c, r), 0.7, black) for r in range(1, len(rows), 2)
                 for c in (0, 2)]  # fmt: skip
        grid = Grid(
            rows,
            colWidths=[width, gap, width],
            style=[("FONTNAME", (0, 0), (-1, -1), REGULAR),
                   ("LEFTPADDING", (0, 0), (-1, -1), 0), ("TOPPADDING", (0, 0), (-1, -1), 2),
                   ("BOTTOMPADDING", (0, 0), (-1, -1), 0), *lines],
            spaceAfter=0 if self._page.is_pocket else 14,
        )  # fmt: skip
        return [role, grid]


def _side_by_side(items: list[Any], first: int, width: float) -> Grid:
    """The items of a list in two columns, of which the first holds so many."""
    column = (width - LIST_GAP_POINTS) / 2
    return Grid(
        [[items[:first], [], items[first:]]],
        colWidths=[column, LIST_GAP_POINTS, column],
        style=[("FONTNAME", (0, 0), (-1, -1), REGULAR), ("VALIGN", (0, 0), (-1, -1), "TOP"),
               *((side, (0, 0), (-1, -1), 0) for side in
                 ("LEFTPADDING", "RIGHTPADDING", "TOPPADDING", "BOTTOMPADDING"))],
        spaceAfter=6,
    )  # fmt: skip


def _height_points(pieces: list[Any], page: Page) -> float:
    """How much of a block must stand on one page: short ones whole, of long ones the start."""
    height, start = 0.0, page.start_points
    for piece in pieces:
        whole = piece.wrap(page.width_points, 1e6)[1]
        if isinstance(piece, Grid) and piece.repeatRows and whole > start:
            whole = sum(piece._rowHeights[:3])
        is_one_row = isinstance(piece, Grid) and len(piece._rowHeights) == 1
        shown = whole if is_one_row else min(whole, start)  # one row is never split
        height += piece.getSpaceBefore() + shown + piece.getSpaceAfter()
        if whole > start:
            break
    return height


def _grid_lines(page: Page) -> list[tuple[Any, ...]]:
    above, below = (3, 4) if page.is_pocket else (4, 5)
    return [
        ("FONTNAME", (0, 0), (-1, -1), REGULAR),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), CELL_GAP_POINTS),
        ("RIGHTPADDING", (0, 0), (-1, -1), CELL_GAP_POINTS),
        ("TOPPADDING", (0, 0), (-1, -1), above),
        ("BOTTOMPADDING", (0, 0), (-1, -1), below),
        ("LINEABOVE", (0, 0), (-1, 0), 0.9, black),
        ("LINEBELOW", (0, 0), (-1, 0), 0.9, black),
        ("LINEBELOW", (0, 1), (-1, -1), 0.4, _THIN),
    ]


def _box_lines(rows: int, page: Page) -> list[tuple[Any, ...]]:
    above, below = (4, 5) if page.is_pocket else (7, 8)
    return [
        ("FONTNAME", (0, 0), (-1, -1), REGULAR),
        ("BOX", (0, 0), (-1, -1), 0.7, black, "butt"),
        ("LINEBEFORE", (0, 0), (0, -1), 3.5, black, "butt"),
        ("LEFTPADDING", (0, 0), (-1, -1), 12),
        ("RIGHTPADDING", (0, 0), (-1, -1), 10),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, 0), above),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, rows - 1), (-1, rows - 1), below),
    ]


@cache
def _styles(page: Page) -> dict[str, ParagraphStyle]:
    """Every way in which words are set; sizes and spaces in points."""
    size = page.cell_size_points
    body = ParagraphStyle(
        "body", fontName=REGULAR, fontSize=9.5, leading=14, spaceAfter=6, textColor=black,
        allowWidows=0, allowOrphans=0, splitLongWords=1, rule_points=0, rule_gap_points=0,
        label_points=0,
    )  # fmt: skip
    small = ParagraphStyle("small", body, fontSize=size, leading=12, spaceAfter=0)
    bold = ParagraphStyle("bold", body, fontName=BOLD)
    head = ParagraphStyle("head", small, fontName=BOLD)
    styles = [
        body,
        ParagraphStyle("h1", bold, fontSize=20, leading=26, spaceAfter=18, rule_points=1.4,
                       rule_gap_points=7),
        ParagraphStyle("h2", bold, fontSize=13, leading=18, spaceBefore=20, spaceAfter=12,
                       rule_points=0.6, rule_gap_points=4),
        ParagraphStyle("h3", bold, fontSize=10.5, leading=15, spaceBefore=14, spaceAfter=5),
        ParagraphStyle("item", body, leftIndent=16, label_points=4, spaceAfter=3),
        ParagraphStyle("labelled", body, leftIndent=108, spaceAfter=3),
        ParagraphStyle("caption", bold, fontSize=9, leading=13, spaceBefore=8, spaceAfter=5),
        ParagraphStyle("cell-left", small),
        ParagraphStyle("cell-right", small, alignment=TA_RIGHT),
        ParagraphStyle("head-left", head),
        ParagraphStyle("head-right", head, alignment=TA_RIGHT),
        ParagraphStyle("box", body, spaceAfter=0, leading=13.5),
        ParagraphStyle("role", bold, spaceBefore=10, spaceAfter=0),
        ParagraphStyle("line", small, fontSize=8),
    ]  # fmt: skip
    named = {cast(str, style.name): style for style in styles}
    return named | _closer(named) if page.is_pocket else named


def _closer(styles: dict[str, ParagraphStyle]) -> dict[str, ParagraphStyle]:
    """What is set otherwise on a sheet for the pocket: 9 points, and less room between."""
    changes: dict[str, dict[str, float]] = {
        "body": {"fontSize": 9, "leading": 11, "spaceAfter": 4},
        "h1": {"fontSize": 15, "leading": 19, "spaceAfter": 11, "rule_gap_points": 4},
        "h2": {"fontSize": 11, "leading": 14, "spaceBefore": 8, "spaceAfter": 6,
               "rule_gap_points": 2.5},
        "item": {"fontSize": 9, "leading": 11, "leftIndent": 13, "label_points": 1,
                 "spaceAfter": 1},
        "labelled": {"fontSize": 9, "leading": 11, "leftIndent": 62, "spaceAfter": 1},
        "caption": {"leading": 11, "spaceBefore": 3, "spaceAfter": 3},
        "box": {"fontSize": 9, "leading": 11},
        "role": {"fontSize": 9, "leading": 12, "spaceBefore": 2},
        "line": {"fontSize": 9},
        **{f"{kind}-{side}": {"leading": 11} for kind in ("cell", "head")
           for side in ("left", "right")},
    }  # fmt: skip
    return {name: ParagraphStyle(name, styles[name], **more) for name, more in changes.items()}
