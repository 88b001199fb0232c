"""The word-processor form of a document: the same words as the PDF, in real styles.

Same tree, footer and installed versions: same bytes. It names no time and no maker of
templates, and asks a reader for nothing that is not in the file.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterable, Sequence
from io import BytesIO
from itertools import zip_longest
from typing import Any
from xml.sax.saxutils import escape

import docx  # noqa: TID253 - the one module that adapts it
from docx.opc.packuri import PackURI  # noqa: TID253
from docx.opc.part import Part  # noqa: TID253
from docx.oxml import parse_xml  # noqa: TID253
from docx.shared import Pt  # noqa: TID253

from compliance.documents import docx_styles as styles
from compliance.documents.cautions import DEFERENCE, DRAFT
from compliance.documents.measures import (
    CELL_GAP_POINTS,
    LIST_GAP_POINTS,
    TALLEST_PICTURE_POINTS,
    Page,
    column_widths_points,
    halves,
    page_of,
)
from compliance.documents.text import LIMIT_FOOTER, lines, printable
from compliance.documents.tree import (
    Caution,
    Cell,
    Document,
    Heading,
    Item,
    ListBlock,
    Paragraph,
    Picture,
    Run,
    Runs,
    SignatureBlock,
    Table,
    cell_runs,
    leads_to,
)

_W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
_OFFICE = "application/vnd.openxmlformats-officedocument"
_DROPPED = ("thumbnail", "stylesWithEffects", "webSettings", "customXml", "theme")
_LONG_CELL = 1_500
_LONG_BOX = 2_000
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)


def docx_bytes(document: Document, *, footer: str, draft: bool) -> bytes:
    """The document as DOCX, with `footer` on every page and a draft's mark if it is one.

    Raises:
        DocumentError: If a text can't be printed whole and literal.
    """
    file = docx.Document()
    page = page_of(document)
    _dress(file, document)
    section = file.sections[0]
    _lay_out(section, page)
    _fill(section.footer, _footer(printable(footer, limit=LIMIT_FOOTER)))
    if draft:
        _fill(section.header, _paragraph("DraftBand", (Run(DRAFT),)))
    body = file.element.body
    body[:-1] = _elements(_Writer(file.part, page).body(document))
    written = BytesIO()
    file.save(written)
    return _same_each_time(written.getvalue())


class _Writer:
    """Writes the blocks of a tree as WordprocessingML."""

    def __init__(self, part: Any, page: Page) -> None:
        self._part = part
        self._page = page
        self._numbering = part.numbering_part.element
        self._pictures = 0

    def body(self, document: Document) -> str:
        parts = []
        for block, following in zip_longest(document.blocks, document.blocks[1:]):
            match block:
                case Heading(level=level, runs=runs):
                    parts.append(_paragraph(f"Heading{level}", runs))
                case Paragraph(runs=runs):
                    keeps = following and leads_to(block, following)
                    parts.append(_paragraph("", runs, extra="<w:keepNext/>" if keeps else ""))
                case ListBlock():
                    parts += self._list(block)
                case Table():
                    parts += self._table(block)
                case Caution():
                    parts += _caution(block)
                case SignatureBlock():
                    parts += _signature(block, self._page)
        return "".join(parts)

    def _list(self, block: ListBlock) -> Iterable[str]:
        columns = halves(block.items, self._page)
        if columns:
            half = round(10 * (self._page.width_points - LIST_GAP_POINTS))
            gap = round(20 * LIST_GAP_POINTS)
            first, second = ("".join(self._items(block, items)) for items in columns)
            cells = _cell(half, first) + _cell(gap, _paragraph("Gap", ())) + _cell(half, second)
            row = f"<w:tr><w:trPr><w:cantSplit/></w:trPr>{cells}</w:tr>"
            yield _grid("Columns", [half, gap, half], [row])
            yield _paragraph("Gap", ())
        else:
            yield from self._items(block, block.items)

    def _items(self, block: ListBlock, items: Sequence[Item]) -> Iterable[str]:
        counter = ""
        if block.is_ordered:
            number = self._numbering.add_num(styles.NUMBERS)
            number.add_lvlOverride(ilvl=0).add_startOverride(1)
            counter = f'<w:numPr><w:ilvl w:val="0"/><w:numId w:val="{number.numId}"/></w:numPr>'
        for item, following in zip_longest(items, items[1:]):
            keep = "<w:keepNext/>" if following and block.stays_whole else ""
            extra = keep + counter + ("" if following else '<w:spacing w:after="160"/>')
            if item.label:
                label = _run(Run(item.label, strong=True)) + "<w:r><w:tab/></w:r>"
                yield _paragraph("LabelledLine", item.runs, before=label, extra=extra)
            else:
                style = "ListNumber" if block.is_ordered else "ListBullet"
                yield _paragraph(style, item.runs, extra=extra)

    def _table(self, table: Table) -> Iterable[str]:
        yield _paragraph("Caption", (Run(table.caption),))
        if not table.rows:
            yield _paragraph("", (Run(table.empty),))
            return
        widths = [round(20 * width) for width in column_widths_points(table, self._page)]
        rows = [self._row(table, tuple(c.header for c in table.columns), widths, is_heading=True)]
        rows += [self._row(table, row, widths) for row in table.rows]
        yield _grid("RuledTable", widths, rows)
        yield _paragraph("Gap", ())

    def _row(
        self, table: Table, cells: tuple[Cell, ...], widths: list[int], *, is_heading: bool = False
    ) -> str:
        style = "TableHeading" if is_heading else "TableText"
        parts = []
        length = 0
        for cell, column, width in zip(cells, table.columns, widths, strict=True):
            if isinstance(cell, Picture):
                inside = _paragraph(style, (), before=self._picture(cell, width / 20))
            else:
                runs = cell_runs(cell)
                length = max(length, sum(len(run.text) for run in runs))
                side = '<w:jc w:val="right"/>' if column.align == "right" else ""
                inside = _paragraph(style, runs, extra=side)
            parts.append(_cell(width, inside))
        rules = "<w:cantSplit/>" if length < _LONG_CELL else ""
        rules += "<w:tblHeader/>" if is_heading else ""
        return f"<w:tr><w:trPr>{rules}</w:trPr>{''.join(parts)}</w:tr>"

    def _picture(self, picture: Picture, width: float) -> str:
        """A run that holds a picture; `width` is its column's, in points."""
        size = picture.fitted(width - 2 * CELL_GAP_POINTS, TALLEST_PICTURE_POINTS)
        drawn = self._part.new_pic_inline(BytesIO(picture.jpeg), *map(Pt, size))
        self._pictures += 1
        drawn.docPr.set("id", str(self._pictures))
        drawn.docPr.set("name", f"Picture {self._pictures}")
        drawn.docPr.set("descr", printable(picture.words))
        return f"<w:r><w:drawing>{drawn.xml}</w:drawing></w:r>"


def _caution(block: Caution) -> Iterable[str]:
    yield _paragraph("Gap", (), extra="<w:keepNext/>")
    yield _paragraph("Notice", (Run(block.heading, strong=True),), extra="<w:keepNext/>")
    is_short = sum(map(len, block.paragraphs)) < _LONG_BOX
    for text, following in zip_longest(block.paragraphs, block.paragraphs[1:]):
        keep = "<w:keepNext/>" if is_short and following is not None else ""
        space = '<w:spacing w:before="80" w:after="0"/>'
        yield _paragraph("Notice", (Run(text),), extra=keep + space)
    yield _paragraph("Gap", ())


def _signature(block: SignatureBlock, page: Page) -> Iterable[str]:
    """Pairs of lines to write on, each with its name under it; kept on one page."""
    gap = 400
    side = (round(20 * page.width_points) - gap) // 2
    line = (
        '<w:tcBorders><w:top w:val="single" w:sz="6" w:space="0" w:color="000000"/></w:tcBorders>'
    )
    blank = _paragraph("SigningLine", ())
    rows = []
    for start in range(0, len(block.lines), 2):
        pair = block.lines[start : start + 2]
        room = "".join(_cell(width, blank) for width in (side, gap, side))
        rows.append(f'<w:tr><w:trPr><w:cantSplit/><w:trHeight w:val="620"/></w:trPr>{room}</w:tr>')
        named = [_cell(side, _paragraph("SigningLine", (Run(name),)), line) for name in pair]
        named += [_cell(side, blank)] * (2 - len(pair))
        rows.append(
            f"<w:tr><w:trPr><w:cantSplit/></w:trPr>{named[0]}{_cell(gap, blank)}{named[1]}</w:tr>"
        )
    yield _paragraph("SigningRole", (Run(block.role),))
    yield _grid("TableNormal", [side, gap, side], rows)
    yield _paragraph("Gap", ())


def _grid(style: str, widths: list[int], rows: list[str]) -> str:
    columns = "".join(f'<w:gridCol w:w="{width}"/>' for width in widths)
    return (
        f'<w:tbl><w:tblPr><w:tblStyle w:val="{style}"/><w:tblW w:w="{sum(widths)}" w:type="dxa"/>'
        '<w:tblLayout w:type="fixed"/><w:tblLook w:val="0020" w:firstRow="1" w:lastRow="0" '
        'w:firstColumn="0" w:lastColumn="0" w:noHBand="1" w:noVBand="1"/></w:tblPr>'
        f"<w:tblGrid>{columns}</w:tblGrid>{''.join(rows)}</w:tbl>"
    )


def _cell(width: int, inside: str, extra: str = "") -> str:
    return f'<w:tc><w:tcPr><w:tcW w:w="{width}" w:type="dxa"/>{extra}</w:tcPr>{inside}</w:tc>'


def _paragraph(style: str, runs: Runs, *, before: str = "", extra: str = "") -> str:
    named = f'<w:pStyle w:val="{style}"/>' if style else ""
    return f"<w:p><w:pPr>{named}{extra}</w:pPr>{before}{''.join(map(_run, runs))}</w:p>"


def _run(run: Run) -> str:
    look = ("<w:b/>" if run.strong else "") + ("<w:i/>" if run.emphasis else "")
    texts = (f'<w:t xml:space="preserve">{escape(line)}</w:t>' for line in lines(run))
    return f"<w:r><w:rPr>{look}</w:rPr>{'<w:br/>'.join(texts)}</w:r>"


def _footer(words: str) -> str:
    def number(field: str) -> str:
        return f'<w:fldSimple w:instr=" {field} "><w:r><w:t>1</w:t></w:r></w:fldSimple>'

    rule = '<w:pBdr><w:top w:val="single" w:sz="4" w:space="4" w:color="000000"/></w:pBdr>'
    pages = (
        '<w:p><w:pPr><w:pStyle w:val="Footer"/>' + rule + "</w:pPr>" + _run(Run(words))
        + '<w:r><w:tab/><w:t xml:space="preserve">page </w:t></w:r>' + number("PAGE")
        + '<w:r><w:t xml:space="preserve"> of </w:t></w:r>' + number("NUMPAGES") + "</w:p>"
    )  # fmt: skip
    return pages + _paragraph("Footer", (Run(DEFERENCE),))


def _elements(xml: str) -> list[Any]:
    return list(parse_xml(f'<w:body xmlns:w="{_W}">{xml}</w:body>'))


def _fill(band: Any, xml: str) -> None:
    band.is_linked_to_previous = False
    band._element[:] = _elements(xml)


def _lay_out(section: Any, page: Page) -> None:
    section.page_width, section.page_height = Pt(595.3), Pt(841.9)
    section.left_margin = section.right_margin = Pt((595.3 - page.width_points) / 2)
    bottom = page.bottom_points
    top = 841.9 - bottom - page.height_points
    section.top_margin, section.bottom_margin = Pt(top), Pt(bottom)
    section.header_distance, section.footer_distance = (
        Pt(min(31, top / 3)),
        Pt(max(bottom - 48, 18)),
    )


def _dress(file: Any, document: Document) -> None:
    """Our styles, settings and properties in place of those that the library ships."""
    file.styles.element[:] = list(
        parse_xml(styles.styles_xml(escape(document.language), page_of(document)))
    )
    file.part.numbering_part.element[:] = list(parse_xml(styles.numbering_xml()))
    file.settings.element[:] = list(parse_xml(styles.settings_xml()))
    package = file.part.package
    for relations in (package.rels, file.part.rels):
        for key, relation in list(relations.items()):
            if relation.reltype.rpartition("/")[2] in _DROPPED:
                del relations[key]
            elif relation.reltype.endswith("/fontTable"):
                fonts = f"{_OFFICE}.wordprocessingml.fontTable+xml"
                relation._target = _part(relation, fonts, styles.font_table_xml())
            elif relation.reltype.endswith("/extended-properties"):
                made = f"{_OFFICE}.extended-properties+xml"
                relation._target = _part(relation, made, styles.properties_xml())
    _describe(file.core_properties, document)


def _part(relation: Any, content_type: str, xml: str) -> Part:
    old = relation.target_part
    return Part(PackURI(str(old.partname)), content_type, xml.encode(), old.package)


def _describe(properties: Any, document: Document) -> None:
    """What the file says of itself; it names no time, so that nothing is back-dated."""
    properties._element[:] = []
    properties.title = document.title
    properties.subject = document.subject
    properties.author = document.author
    properties.keywords = ", ".join(document.keywords)[:255]
    properties.language = document.language


def _same_each_time(data: bytes) -> bytes:
    """The same archive with fixed times and order: the list of contents first, then by name."""
    written = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(written, "w") as new:
        for name in sorted(old.namelist(), key=lambda n: (n != "[Content_Types].xml", n)):
            entry = zipfile.ZipInfo(name, _ZIP_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3
            new.writestr(entry, old.read(name))
    return written.getvalue()
