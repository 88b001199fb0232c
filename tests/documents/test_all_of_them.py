"""What holds for all documents of every sample, and for whatever people type into a record.

Read back with pypdf, pikepdf, python-docx, qpdf and poppler, which know nothing of this project.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections import Counter
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from documents.test_writers import docx_words, joined, pdf_words, with_marks

from compliance.documents.cautions import DEFERENCE, DRAFT
from compliance.documents.docx import docx_bytes
from compliance.documents.forms import rendered
from compliance.documents.pdf import pdf_bytes
from compliance.documents.text import LIMIT_CHARACTERS, TextTooLongError, UnprintableCharacterError
from compliance.documents.tree import Caution, Document, SignatureBlock, text_runs
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.pack.issue import DOCUMENTS
from compliance.rules.job import Job, open_job

SAMPLES = Path(__file__).parents[2] / "sample_installs"
NAMES = ("bungalow-two-faces", "terrace-eight-faults", "garage-second-life-modules")
DAY = date(2026, 11, 20)
EVERY = [(sample, name) for sample in NAMES for name in DOCUMENTS]
MARKED = '<b>{} </b> & AT&T <!-- x --> **x** {{{{7*7}}}} <a href="x">y</a> ]]> # not [a](b)'
EMOJI = "\N{SMILING FACE WITH SUNGLASSES}"

TYPED = {
    "title": "title: New PV system on a bungalow, two roof faces (invented)",
    "firm": "name: Hollin Bank Electrical (invented)",
    "firm's address": "address: 4 Sample Yard, Exham",
    "address": "address: 11 Example Row, Exham",
    "customer": "name: J. Placeholder (invented)",
    "operator": "operator: Exham Wires (invented), 01632 960199",
    "person": "name: Ash Merrin (invented)",
    "competence": "competence: courses in PV design and in inspection and testing, both in date "
    "(invented)",
    "instrument": "kind: PV array tester",
    "done": "done: Inverter and circuit connected, tested and switched on",
    "told": "told: J. Placeholder, how to shut down and what stays live",
    "maker": "maker: Castor Grid (invented)",
    "place": "place: garage wall, beside the door",
    "wording": "wording: PV inverter in the garage",
    "shows": "shows: The label on the cover of dc1, readable before it is opened",
    "grounds": "grounds: As the designer says",
}
DEPARTURE = """departures:
  - requirement: label-at-dc-isolator
    subject: dc1
    by: rowan
    role: designer
    on: 2026-10-01
    grounds: As the designer says
    evidence: data-modules
"""


@cache
def job_of(sample: str) -> Job:
    return open_job(SAMPLES / sample, rulesets_folder(), today=DAY)


def tree_of(job: Job, name: str) -> Document:
    return rendered(job, name, DOCUMENTS[name](job, {"findings.json": b"{}"}), templates_folder())


@cache
def made(sample: str, name: str) -> tuple[Document, bytes, bytes]:
    """A document of a sample, as tree, PDF and DOCX."""
    job = job_of(sample)
    return both(tree_of(job, name), is_draft=job.checked.is_held_up)


def both(tree: Document, *, is_draft: bool = False) -> tuple[Document, bytes, bytes]:
    footer = "An invented job"
    return (
        tree,
        pdf_bytes(tree, footer=footer, draft=is_draft),
        docx_bytes(tree, footer=footer, draft=is_draft),
    )


@pytest.mark.parametrize(("sample", "name"), EVERY)
def test_pdf_and_docx_say_what_the_tree_says(sample: str, name: str) -> None:
    tree, pdf, word = made(sample, name)
    assert joined(pdf_words(pdf)) == joined(with_marks(tree))
    assert joined(docx_words(word)) == joined(text_runs(tree))


@pytest.mark.parametrize(("sample", "name"), EVERY)
def test_outside_tools_find_nothing_wrong_and_every_typeface_inside(
    sample: str, name: str, tmp_path: Path
) -> None:
    path = tmp_path / "document.pdf"
    path.write_bytes(made(sample, name)[1])
    if shutil.which("qpdf"):
        subprocess.run(["qpdf", "--check", path], check=True, capture_output=True)  # noqa: S603, S607
    if not shutil.which("pdffonts"):
        pytest.skip("poppler's pdffonts is not installed")
    told = subprocess.run(["pdffonts", path], check=True, capture_output=True, text=True)  # noqa: S603, S607
    faces = told.stdout.splitlines()[2:]
    assert faces
    assert all(re.search(r"\+DejaVuSans.* yes +yes +yes ", line) for line in faces), told.stdout


@pytest.mark.parametrize(("sample", "name"), EVERY)
def test_cautions_deference_signature_and_a_draft_s_mark(sample: str, name: str) -> None:
    tree, pdf, _ = made(sample, name)
    assert any(isinstance(block, SignatureBlock) for block in tree.blocks)
    assert any(isinstance(block, Caution) for block in tree.blocks)
    for page in pypdf.PdfReader(BytesIO(pdf)).pages:
        text = " ".join(page.extract_text().split())
        assert DEFERENCE in text
        assert (DRAFT in text) is job_of(sample).checked.is_held_up


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_screen_reader_finds_title_language_outline_and_tags(name: str) -> None:
    tree, pdf, _ = made(NAMES[0], name)
    reader = pypdf.PdfReader(BytesIO(pdf))
    root = reader.trailer["/Root"]
    assert reader.metadata is not None
    assert reader.metadata.title == tree.title
    assert root["/Lang"] == "en-GB"
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]["/K"]
    assert reader.outline


@pytest.mark.parametrize(("sample", "name"), EVERY)
def test_no_yes_or_no_and_no_field_name_stands_alone(sample: str, name: str) -> None:
    """Words that only somebody who knows the record's keys would understand."""
    # What was found and would be right of a yes or no follows the name of the thing.
    texts = [t for t in text_runs(made(sample, name)[0]) if t not in ("yes", "no")]
    assert not [t for t in texts if re.search(r"(?:^|[ ,;])(?:yes|no)(?:$|[,;])", t)]
    raw = re.compile(r"\b[a-z]+_[a-z_]+\b")
    assert not [t for t in texts if raw.search(t)]


@pytest.fixture(scope="module")
def typed(tmp_path_factory: pytest.TempPathFactory) -> Job:
    """The complete sample with mark-up in everything that people type."""
    texts = {field: MARKED.format(field) for field in TYPED}
    return _with(tmp_path_factory.mktemp("typed") / "job", texts)


@pytest.fixture(scope="module")
def long(tmp_path_factory: pytest.TempPathFactory) -> Job:
    """The same with texts of the greatest length, where a title or name is not their place."""
    fields = [f for f in TYPED if f not in ("title", "firm")]
    texts = {f: f"{f}: {'one word after another ' * 500}"[:9_900].strip() + " end" for f in fields}
    return _with(tmp_path_factory.mktemp("long") / "job", texts)


def _with(folder: Path, texts: dict[str, str]) -> Job:
    shutil.copytree(SAMPLES / NAMES[0], folder)
    path = folder / "installation.yaml"
    record = path.read_text("utf-8").replace("departures: none\n", DEPARTURE)
    for field, text in texts.items():
        key = TYPED[field].partition(":")[0]
        assert TYPED[field] in record, field
        record = record.replace(TYPED[field], f"{key}: {json.dumps(text, ensure_ascii=False)}", 1)
    path.write_text(record, "utf-8")
    return open_job(folder, rulesets_folder(), today=DAY)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_mark_up_that_people_type_stays_literal_in_both(typed: Job, name: str) -> None:
    tree, pdf, word = both(tree_of(typed, name))
    said, also = joined(pdf_words(pdf)), joined(docx_words(word))
    assert said == joined(with_marks(tree))
    assert also == joined(text_runs(tree))
    assert joined([MARKED.format("address")]) in said


def test_everything_that_people_type_is_printed_somewhere(typed: Job) -> None:
    said = "".join(joined(text_runs(tree_of(typed, name))) for name in DOCUMENTS)
    assert [f for f in TYPED if joined([MARKED.format(f)]) not in said] == []


@pytest.mark.parametrize("name", DOCUMENTS)
def test_texts_of_ten_thousand_characters_come_out_whole(long: Job, name: str) -> None:
    refused: TextTooLongError | None = None
    try:
        tree = tree_of(long, name)
    except TextTooLongError as error:  # several such texts in one cell or line
        refused = error
    if refused:
        assert f"at most {LIMIT_CHARACTERS:,}" in str(refused)
        assert refused.place is not None
        return
    _, pdf, word = both(tree)
    # A cell that goes on over pages stands there beside what goes on in the other cells.
    assert Counter(joined(pdf_words(pdf))) == Counter(joined(with_marks(tree)))
    assert joined(docx_words(word)) == joined(text_runs(tree))


@pytest.mark.parametrize("field", TYPED)
def test_what_cannot_be_printed_is_refused_by_name(field: str, tmp_path: Path) -> None:
    job = _with(tmp_path / "job", {field: f"Seen {EMOJI} by all"})
    refused = []
    for name in DOCUMENTS:
        try:
            tree_of(job, name)
        except UnprintableCharacterError as error:
            refused.append(error)
    assert refused
    assert all("smiling face with sunglasses" in str(error) for error in refused)
    assert all(error.place is not None for error in refused)
