"""PDF and DOCX: both say what the tree says, whole, literal, and the same each time.

Read back with pypdf, pikepdf and python-docx, which know nothing of this project.
"""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from io import BytesIO
from typing import Any

import docx
import pikepdf
import pypdf
import pytest

from compliance.documents.cautions import DEFERENCE, DRAFT
from compliance.documents.docx import docx_bytes
from compliance.documents.pdf import pdf_bytes
from compliance.documents.text import TextTooLongError, UnprintableCharacterError
from compliance.documents.tree import (
    Block,
    Caution,
    Column,
    Document,
    Heading,
    Item,
    ListBlock,
    Paragraph,
    Run,
    SignatureBlock,
    Table,
    text_runs,
)

FOOTER = "Job J-1, checked on 25 November 2026"
LONG = " ".join(f"reading {number} of the long field;" for number in range(1000))[:10_000]
HOSTILE = [
    "<none>", "<see photo 3>", "<!-- x -->", "<![CDATA[x]]>", "AT&T", "5 &lt 6", "&copy 2020",
    "<b>x",
    "x</b>", "Zs<R", '<img src="/abs/local.png"/>', '<a href="javascript:x">y</a>', "<br/>",
    '<font color="__import__">x</font>', "{{7*7}}", "# heading", "**x**", "|a|b|", "]]>", "%PDF \\",
    "a\nb", "x" * 1000, ("<b>&amp;" * 600)[:4096], LONG, "y" * 10_000,
]  # fmt: skip
WRITERS = [pdf_bytes, docx_bytes]


def everywhere(text: str) -> Document:
    """A document that says a text in every kind of block."""
    run = Run(text)
    columns = (Column("A", 1), Column("B", 3, "right"))
    blocks: tuple[Block, ...] = (
        Heading(1, (Run("Title"),)),
        Paragraph(
            (run, Run("|"), replace(run, strong=True), Run("|"), replace(run, emphasis=True))
        ),
        ListBlock((Item((run,)), Item((Run("and"),)))),
        ListBlock((Item((run,)), Item((run,))), is_ordered=True),
        ListBlock((Item((run,), "Label"), Item((), "Empty"))),
        Table("Caption", columns, (("x", text), ("y", (run, Run("|"), run)), ("z", "z"))),
        Caution("Mind", (text, "and")),
        Heading(2, (Run("Further"),)),
    )
    if len(text) < 1000:
        blocks += (Heading(3, (run,)), SignatureBlock(text), Table(text, columns, ()))
    return Document("Title", blocks)


def with_marks(document: Document) -> list[str]:
    """The texts in reading order with the marks of lists, which a PDF draws as words."""
    blocks: list[Block] = []
    for block in document.blocks:
        if isinstance(block, ListBlock) and not block.items[0].label:
            marks = (f"{n}." if block.is_ordered else "•" for n in range(1, 1000))
            items = (
                replace(i, runs=(Run(m), *i.runs)) for m, i in zip(marks, block.items, strict=False)
            )
            block = replace(block, items=tuple(items))
        blocks.append(block)
    return text_runs(replace(document, blocks=tuple(blocks)))


def pdf_words(data: bytes) -> list[str]:
    """The words of a PDF's pages without what is marked as an artifact."""
    with pikepdf.open(BytesIO(data)) as pdf:
        for page in pdf.pages:
            kept = pikepdf.unparse_content_stream(list(_without_artifacts(page)))
            page.Contents = pdf.make_stream(kept)
        plain = BytesIO()
        pdf.save(plain)
    return " ".join(page.extract_text() for page in pypdf.PdfReader(plain).pages).split()


def _without_artifacts(page: Any) -> Iterator[Any]:
    nested: list[bool] = []
    for instruction in pikepdf.parse_content_stream(page):
        name = str(instruction.operator)
        if name in ("BMC", "BDC"):
            nested.append(instruction.operands[0] == "/Artifact")
        elif name == "EMC":
            nested.pop()
        elif not any(nested) or name not in ("Tj", "TJ", "T*", "'", '"'):
            yield instruction


def docx_words(data: bytes) -> list[str]:
    """The words of a DOCX's body in reading order."""
    texts = []
    for piece in docx.Document(BytesIO(data)).iter_inner_content():
        if isinstance(piece, docx.table.Table):
            texts += [p.text for row in piece.rows for c in row.cells for p in c.paragraphs]
        else:
            texts.append(piece.text)
    return " ".join(texts).split()


def joined(texts: list[str]) -> str:
    """All characters but white space: a word broken at the end of a line is still whole."""
    return "".join("".join(texts).split())


@pytest.mark.parametrize("name", ["gap_report", "commissioning_report", "component_register"])
def test_pdf_and_docx_say_the_runs_of_the_tree_in_reading_order(
    name: str, request: pytest.FixtureRequest
) -> None:
    document: Document = request.getfixturevalue(name)
    pdf = joined(pdf_words(pdf_bytes(document, footer=FOOTER, draft=True)))
    word = joined(docx_words(docx_bytes(document, footer=FOOTER, draft=True)))
    for said, runs in ((pdf, with_marks(document)), (word, text_runs(document))):
        end = 0
        for run in runs:
            wanted = joined([run])
            assert said[end : end + len(wanted)] == wanted
            end += len(wanted)
        assert end == len(said)


def test_words_stay_apart_in_both(gap_report: Document) -> None:
    assert "This summary is no permission to energise." in " ".join(
        pdf_words(pdf_bytes(gap_report, footer=FOOTER, draft=False))
    )
    assert "This summary is no permission to energise." in " ".join(
        docx_words(docx_bytes(gap_report, footer=FOOTER, draft=False))
    )


@pytest.mark.parametrize("text", HOSTILE, ids=lambda t: f"{t[:20]!r} {len(t)}")
def test_hostile_text_comes_out_whole_and_literal(text: str) -> None:
    document = everywhere(text)
    assert joined(pdf_words(pdf_bytes(document, footer="f", draft=False))) == joined(
        with_marks(document)
    )
    assert joined(docx_words(docx_bytes(document, footer="f", draft=False))) == joined(
        text_runs(document)
    )


def test_a_row_taller_than_a_page_loses_nothing_beside_other_cells() -> None:
    """The parts of both cells alternate on the pages; their elements keep them together."""
    columns = (Column("A"), Column("B"), Column("C", 0.3))
    document = Document("T", (Table("C", columns, ((LONG, LONG, "x"), ("end", "of", "it"))),))
    said = joined(pdf_words(pdf_bytes(document, footer="f", draft=False)))
    assert sorted(said) == sorted(joined(text_runs(document)))


def test_no_text_becomes_a_link_or_an_image() -> None:
    document = everywhere('<img src="a.png"/><a href="https://x.invalid">x</a> https://x.invalid')
    for page in pypdf.PdfReader(BytesIO(pdf_bytes(document, footer="f", draft=False))).pages:
        assert "/Annots" not in page
        assert not page.images


@pytest.mark.parametrize("write", WRITERS)
@pytest.mark.parametrize(
    "text", ["bell \x07", "emoji \U0001f600", "電", "\u202eabc", "half \ud800"]
)
def test_what_cannot_be_printed_is_refused_by_both(write: Callable[..., bytes], text: str) -> None:
    for document in (
        Document("T", (Paragraph((Run(text),)),)),
        Document("T", (Table("C", (Column("A"),), ((text,),)),)),
        Document("T", (Caution(text, ()),)),
        Document("T", (SignatureBlock(text),)),
        Document("T", (ListBlock((Item((), text),)),)),
    ):
        with pytest.raises(UnprintableCharacterError):
            write(document, footer="f", draft=False)
    with pytest.raises(UnprintableCharacterError):
        write(Document("T", ()), footer=text, draft=False)


@pytest.mark.parametrize("write", WRITERS)
def test_a_footer_is_whole_or_refused(write: Callable[..., bytes]) -> None:
    footer = "word " * 48
    data = write(everywhere("x"), footer=footer, draft=False)
    if write is pdf_bytes:
        assert pypdf.PdfReader(BytesIO(data)).pages[0].extract_text().count("word") == 48
    with pytest.raises(TextTooLongError):
        write(everywhere("x"), footer="word " * 49, draft=False)


@pytest.mark.parametrize("is_draft", [True, False])
def test_every_page_of_the_pdf_is_marked_as_a_draft_if_it_is_one(
    commissioning_report: Document, is_draft: bool
) -> None:
    pages = pypdf.PdfReader(
        BytesIO(pdf_bytes(commissioning_report, footer=FOOTER, draft=is_draft))
    ).pages
    assert len(pages) > 2
    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert (DRAFT in text) is is_draft
        assert f"page {number} of {len(pages)}" in text
        assert FOOTER in text
        assert DEFERENCE in text


def test_the_draft_mark_covers_no_words(commissioning_report: Document) -> None:
    found: dict[int, list[tuple[float, str]]] = {}
    reader = pypdf.PdfReader(BytesIO(pdf_bytes(commissioning_report, footer=FOOTER, draft=True)))
    for number, page in enumerate(reader.pages):

        def seen(text: str, cm: Any, tm: Any, *_: Any, number: int = number) -> None:
            if text.strip():
                found.setdefault(number, []).append((cm[5] + tm[5], text))

        page.extract_text(visitor_text=seen)
    for texts in found.values():
        band = max(y for y, text in texts if "DRAFT" in text)
        assert all(y < band - 20 for y, text in texts if "DRAFT" not in text)


@pytest.mark.parametrize("is_draft", [True, False])
def test_the_docx_says_draft_pages_and_deference_on_every_page(
    gap_report: Document, is_draft: bool
) -> None:
    section = docx.Document(
        BytesIO(docx_bytes(gap_report, footer=FOOTER, draft=is_draft))
    ).sections[0]
    header = " ".join(p.text for p in section.header.paragraphs)
    footer = section.footer._element.xml
    assert (DRAFT in header) is is_draft
    assert all(words in footer for words in (FOOTER, DEFERENCE, " PAGE ", " NUMPAGES "))


def test_every_typeface_is_embedded(commissioning_report: Document) -> None:
    document = replace(
        commissioning_report,
        blocks=(*commissioning_report.blocks, Paragraph((Run("Ω ≤ ²", emphasis=True),))),
    )
    fonts = set()
    for page in pypdf.PdfReader(BytesIO(pdf_bytes(document, footer="f", draft=True))).pages:
        for font in page["/Resources"]["/Font"].values():
            font = font.get_object()
            assert "/FontFile2" in font["/FontDescriptor"], font["/BaseFont"]
            fonts.add(font["/BaseFont"].split("+")[1])
    assert fonts == {"DejaVuSans", "DejaVuSans-Bold", "DejaVuSans-Oblique"}


def test_the_pdf_says_what_it_is(gap_report: Document) -> None:
    document = replace(gap_report, author="Invented Solar", keywords=("a", "b"))
    reader = pypdf.PdfReader(BytesIO(pdf_bytes(document, footer=FOOTER, draft=True)))
    root: Any = reader.trailer["/Root"]
    assert reader.metadata == {
        "/Title": "Gap report",
        "/Subject": "Gap report",
        "/Author": "Invented Solar",
        "/Keywords": "a, b",
        "/Creator": "installation-evidence",
        "/Producer": "installation-evidence",
    }
    assert root["/Lang"] == "en-GB"
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert [o.title for o in reader.outline] == [
        "".join(run.text for run in block.runs)
        for block in document.blocks
        if isinstance(block, Heading) and block.level == 2
    ]


def test_the_structure_follows_the_tree(commissioning_report: Document) -> None:
    """Kinds as ISO 32000-1:2008, 14.8.4 names them (from memory)."""
    data = pdf_bytes(commissioning_report, footer=FOOTER, draft=True)
    with pikepdf.open(BytesIO(data)) as pdf:
        top = pdf.Root.StructTreeRoot.K[0]
        assert top.S == "/Document"
        kinds = [str(element.S) for element in top.K]
        wanted = {
            Heading: "/H{}", Paragraph: "/P", ListBlock: "/L", Table: "/Table", Caution: "/Div",
            SignatureBlock: "/Div",
        }  # fmt: skip
        assert kinds == [
            wanted[type(block)].format(getattr(block, "level", ""))
            for block in commissioning_report.blocks
        ]
        for element, block in zip(top.K, commissioning_report.blocks, strict=True):
            if isinstance(block, Table) and block.rows:
                rows = [row for row in element.K if row.S == "/TR"]
                assert [str(c.S) for c in rows[0].K] == ["/TH"] * len(block.columns)
                assert all(c.A.Scope == "/Column" for c in rows[0].K)
                assert [[str(c.S) for c in row.K] for row in rows[1:]] == [
                    ["/TD"] * len(block.columns)
                ] * len(block.rows)


def test_each_piece_of_marked_content_is_found_from_its_page() -> None:
    """The parent tree leads from a page's number and content's number to its element."""
    rows = tuple((f"row {n}", "x") for n in range(120))
    document = Document("T", (Table("C", (Column("A"), Column("B")), rows),))
    with pikepdf.open(BytesIO(pdf_bytes(document, footer="f", draft=False))) as pdf:
        assert len(pdf.pages) > 2
        parents = pdf.Root.StructTreeRoot.ParentTree.Nums
        for number, page in enumerate(pdf.pages):
            assert parents[2 * number] == page.StructParents == number
            elements = parents[2 * number + 1]
            marked = [
                int(i.operands[1].MCID)
                for i in pikepdf.parse_content_stream(page)
                if str(i.operator) == "BDC"
            ]
            assert marked == list(range(len(elements)))
            for mcid, element in enumerate(elements):
                assert any(mcid == k.MCID and k.Pg == page.obj for k in element.K)


def test_a_heading_row_is_repeated_on_each_page_and_read_once() -> None:
    rows = tuple((f"row {n}", "x") for n in range(120))
    document = Document("T", (Table("C", (Column("Head A"), Column("Head B")), rows),))
    data = pdf_bytes(document, footer="f", draft=False)
    pages = pypdf.PdfReader(BytesIO(data)).pages
    assert all("Head A" in page.extract_text() for page in pages)
    assert pdf_words(data).count("Head") == 2
    word = docx.Document(BytesIO(docx_bytes(document, footer="f", draft=False)))
    assert word.tables[0].rows[0]._tr.trPr.find(docx.oxml.ns.qn("w:tblHeader")) is not None


def test_a_heading_is_never_the_last_line_of_a_page() -> None:
    columns = (Column("A"), Column("B"))
    for filled in range(20, 50, 3):
        blocks: list[Block] = [Paragraph((Run("words"),))] * filled
        blocks += [Heading(2, (Run("HEADING"),)), Heading(3, (Run("BELOW"),))]
        blocks += [Table("CAPTION", columns, (("CELL", "x"),))]
        data = pdf_bytes(Document("T", tuple(blocks)), footer="f", draft=False)
        texts = [page.extract_text() for page in pypdf.PdfReader(BytesIO(data)).pages]
        (page,) = [text for text in texts if "HEADING" in text]
        assert all(word in page for word in ("BELOW", "CAPTION", "CELL"))


def test_the_docx_has_real_styles_and_properties(gap_report: Document) -> None:
    document = replace(gap_report, author="Invented Solar")
    data = docx_bytes(document, footer=FOOTER, draft=True)
    word = docx.Document(BytesIO(data))
    used = {p.style.name for p in word.paragraphs}
    assert {"Heading 1", "Heading 2", "Heading 3", "Labelled line", "List Bullet"} <= used
    properties = word.core_properties
    assert (properties.title, properties.author) == ("Gap report", "Invented Solar")
    assert properties.language == "en-GB"
    assert properties.created is None
    assert properties.modified is None
    with zipfile.ZipFile(BytesIO(data)) as archive:
        everything = b"".join(map(archive.read, archive.namelist()))
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert b"python-docx" not in everything


def test_each_numbered_list_of_the_docx_starts_at_one() -> None:
    items = (Item((Run("a"),)), Item((Run("b"),)))
    document = Document(
        "T", (ListBlock(items, True), Paragraph((Run("x"),)), ListBlock(items, True))
    )
    word = docx.Document(BytesIO(docx_bytes(document, footer="f", draft=False)))
    numbers = [p._p.pPr.numPr.numId.val for p in word.paragraphs if p._p.pPr.numPr is not None]
    assert numbers[0] == numbers[1] != numbers[2] == numbers[3]


def test_the_same_document_gives_the_same_bytes_in_every_process() -> None:
    code = (
        "import hashlib\n"
        "from compliance.documents.tree import *\n"
        "from compliance.documents.pdf import pdf_bytes\n"
        "from compliance.documents.docx import docx_bytes\n"
        "row = (('a', 'Ω é'),)\n"
        "blocks = (Heading(1, (Run('T'),)), Table('C', (Column('A'), Column('B')), row),\n"
        "    ListBlock((Item((Run('x', True),)),), True), SignatureBlock('w'))\n"
        "d = Document('T', blocks, author='A', keywords=('k',))\n"
        "for write in (pdf_bytes, docx_bytes):\n"
        "    first = write(d, footer='f', draft=True)\n"
        "    assert first == write(d, footer='f', draft=True)\n"
        "    print(hashlib.sha256(first).hexdigest())\n"
    )
    seen = set()
    for seed in ("1", "2"):
        environment = os.environ | {"PYTHONHASHSEED": seed, "TZ": f"UTC+{seed}"}
        done = subprocess.run(  # noqa: S603 - our own interpreter and our own words
            [sys.executable, "-c", code],
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        )
        seen.add(done.stdout)
    assert len(seen) == 1
    assert len(seen.pop().split()) == 2


def test_an_empty_table_says_so_in_both() -> None:
    document = Document("T", (Table("C", (Column("A"),), (), "Nothing was measured."),))
    assert text_runs(document) == ["C", "Nothing was measured."]
    for write, words in ((pdf_bytes, pdf_words), (docx_bytes, docx_words)):
        assert words(write(document, footer="f", draft=False)) == [
            "C",
            *["Nothing", "was", "measured."],
        ]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_a_page_for_the_pocket_says_the_same_with_lists_in_two_columns(text: str) -> None:
    items = tuple(Item((Run(text[n:] or "x"),)) for n in range(5))
    lists: tuple[Block, ...] = (ListBlock(items), ListBlock(items[::-1], is_ordered=True))
    document = everywhere(text)
    document = replace(document, blocks=(*document.blocks, *lists), is_pocket=True)
    pdf = pdf_words(pdf_bytes(document, footer=FOOTER, draft=True))
    assert joined(pdf) == joined(with_marks(document))
    word = docx_words(docx_bytes(document, footer=FOOTER, draft=True))
    assert joined(word) == joined(text_runs(document))
