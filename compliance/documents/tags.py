"""A structure for screen readers, outlines and document properties, added to a finished PDF.

No conformance to an accessibility standard is claimed: none could be proved here.
"""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pikepdf  # noqa: TID253 - the one module that adapts it
from pikepdf import Array, Dictionary, Name, String  # noqa: TID253 - the same

from compliance.documents.flowables import Element
from compliance.documents.tree import Document

_MAKER = "installation-evidence"


def tagged(pdf: bytes, document: Document, root: Element, marked: list[list[Element]]) -> bytes:
    """The PDF with its structure, language, title and outline; the same bytes each time."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        _add_structure(opened, root, marked)
        _add_outline(opened, root)
        opened.Root.Lang = String(document.language)
        opened.Root.MarkInfo = Dictionary(Marked=True)
        opened.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
        _describe(opened, document)
        written = BytesIO()
        opened.save(
            written,
            deterministic_id=True,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
        )
    return written.getvalue()


def _describe(pdf: pikepdf.Pdf, document: Document) -> None:
    """What the file says of itself; it names no time, so that nothing is back-dated."""
    said = {"Title": document.title, "Subject": document.subject, "Author": document.author}
    said |= {"Keywords": ", ".join(document.keywords), "Creator": _MAKER, "Producer": _MAKER}
    words = {f"/{key}": String(value) for key, value in said.items() if value}
    pdf.trailer.Info = pdf.make_indirect(Dictionary(words))


def _add_structure(pdf: pikepdf.Pdf, root: Element, marked: list[list[Element]]) -> None:
    pages = [page.obj for page in pdf.pages]
    tree = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))
    made: dict[int, Any] = {}
    tree.K = Array([_node(pdf, root, tree, pages, made)])
    numbers: list[Any] = []
    for number, page in enumerate(pages):
        page.StructParents = number
        page.Tabs = Name.S
        elements = marked[number] if number < len(marked) else []
        numbers += [number, pdf.make_indirect(Array([made[id(e)] for e in elements]))]
    tree.ParentTree = pdf.make_indirect(Dictionary(Nums=Array(numbers)))
    tree.ParentTreeNextKey = len(pages)
    pdf.Root.StructTreeRoot = tree


def _node(
    pdf: pikepdf.Pdf, element: Element, parent: Any, pages: list[Any], made: dict[int, Any]
) -> Any:
    node = pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name("/" + element.kind), P=parent))
    made[id(element)] = node
    kids: list[Any] = [
        Dictionary(Type=Name.MCR, Pg=pages[page], MCID=number) for page, number in element.marks
    ]
    kids += [_node(pdf, child, node, pages, made) for child in element.children]
    if kids:
        node.K = Array(kids)
    if element.instead:
        node.Alt = String(element.instead)
    if element.kind == "TH":
        node.A = Dictionary(O=Name.Table, Scope=Name.Column)
    return node


def _add_outline(pdf: pikepdf.Pdf, root: Element) -> None:
    """Headings of level 1 and 2 as the reader's list of contents."""
    with pdf.open_outline() as outline:
        for element in root.children:
            if element.kind == "H2" and element.marks:
                page = element.marks[0][0]
                outline.root.append(
                    pikepdf.OutlineItem(element.title, page, "XYZ", left=0, top=element.top_points)
                )
