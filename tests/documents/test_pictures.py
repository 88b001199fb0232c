"""Pictures in a document's tables: there in both forms, with words, and the same each time.

Read back with pikepdf and python-docx, which know nothing of this project.
"""

from __future__ import annotations

from io import BytesIO

import docx
import pikepdf
import pypdf
import pytest
from PIL import Image

from compliance.documents.docx import docx_bytes
from compliance.documents.pdf import pdf_bytes
from compliance.documents.text import UnprintableCharacterError
from compliance.documents.tree import Column, Document, Picture, Table, text_runs

WORDS = "label-dc1: The label on the cover <readable> & whole"


def _jpeg(width: int, height: int, colour: str) -> bytes:
    made = BytesIO()
    Image.new("RGB", (width, height), colour).save(made, "JPEG")
    return made.getvalue()


def _document(*pictures: Picture) -> Document:
    rows = tuple((picture, f"beside {n}") for n, picture in enumerate(pictures))
    return Document("T", (Table("C", (Column("Seen"), Column("Words")), rows),))


WIDE = Picture(_jpeg(640, 480, "red"), 640, 480, WORDS)
TALL = Picture(_jpeg(300, 900, "blue"), 300, 900, "tall")
MANY = _document(WIDE, TALL, *[WIDE] * 12)


def test_each_picture_of_the_pdf_is_a_figure_with_words_in_its_cell() -> None:
    data = pdf_bytes(MANY, footer="f", draft=False)
    with pikepdf.open(BytesIO(data)) as pdf:
        table = pdf.Root.StructTreeRoot.K[0].K[0]
        rows = [row for row in table.K if row.S == "/TR"][1:]
        figures = [row.K[0].K[0] for row in rows]
        assert [str(figure.S) for figure in figures] == ["/Figure"] * 14
        assert [str(figure.Alt) for figure in figures] == [WORDS, "tall", *[WORDS] * 12]
    drawn = [image.image for page in pypdf.PdfReader(BytesIO(data)).pages for image in page.images]
    assert {image.width for image in drawn if image} == {640, 300}


def test_each_picture_of_the_docx_has_words_and_a_number_of_its_own() -> None:
    file = docx.Document(BytesIO(docx_bytes(MANY, footer="f", draft=False)))
    described = file.element.body.xpath("//wp:docPr")
    assert [d.get("descr") for d in described] == [WORDS, "tall", *[WORDS] * 12]
    assert len({d.get("id") for d in described}) == 14
    widths = [shape.width / shape.height for shape in file.inline_shapes]
    assert widths[:2] == [pytest.approx(640 / 480, rel=1e-3), pytest.approx(1 / 3, rel=1e-3)]


def test_pictures_add_no_words_to_the_text() -> None:
    assert text_runs(_document(WIDE)) == ["C", "Seen", "Words", "beside 0"]


@pytest.mark.parametrize("write", [pdf_bytes, docx_bytes])
def test_the_words_of_a_picture_are_checked_like_any_other(write: object) -> None:
    assert callable(write)
    hidden = Picture(WIDE.jpeg, 640, 480, "hid\u202eden")
    with pytest.raises(UnprintableCharacterError):
        write(_document(hidden), footer="f", draft=False)


@pytest.mark.parametrize("write", [pdf_bytes, docx_bytes])
def test_the_same_pictures_give_the_same_bytes(write: object) -> None:
    assert callable(write)
    assert write(MANY, footer="f", draft=True) == write(MANY, footer="f", draft=True)
