"""An issued pack of the samples: verifiable by others, the same twice, drafts marked."""

from __future__ import annotations

import json
import logging
import shutil
import subprocess
from datetime import date
from pathlib import Path

import bagit
import docx
import pytest
from pypdf import PdfReader

from compliance.files.resources import rulesets_folder, templates_folder
from compliance.files.yaml import read_yaml
from compliance.pack import Issued, verify
from compliance.pack.issue import issue
from compliance.pack.refusals import ChangedSinceCheckError
from compliance.rules.job import open_job

SAMPLES = Path(__file__).parents[2] / "sample_installs"
DAY = date(2026, 11, 20)


@pytest.fixture(scope="module")
def complete(tmp_path_factory: pytest.TempPathFactory) -> Issued:
    return _issued("bungalow-two-faces", tmp_path_factory.mktemp("complete"))


@pytest.fixture(scope="module")
def faulty(tmp_path_factory: pytest.TempPathFactory) -> Issued:
    return _issued("terrace-eight-faults", tmp_path_factory.mktemp("faulty"))


def _issued(sample: str, out: Path) -> Issued:
    job = open_job(SAMPLES / sample, rulesets_folder(), today=DAY)
    return issue(job, out, templates_folder())


def test_two_builds_are_the_same_to_the_byte(complete: Issued, tmp_path: Path) -> None:
    again = _issued("bungalow-two-faces", tmp_path)
    assert again.root == complete.root
    for ours, theirs in zip(complete.covers, again.covers, strict=True):
        assert ours.read_bytes() == theirs.read_bytes()


@pytest.mark.source(document="RFC 8493", table="BagIt 1.0", confidence="opened")
def test_an_outside_validator_accepts_the_bag(complete: Issued) -> None:
    logging.getLogger("bagit").setLevel(logging.CRITICAL)
    assert bagit.Bag(str(complete.folder)).validate()


def test_the_manifest_can_be_checked_without_us(complete: Issued) -> None:
    for manifest in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
        subprocess.run(  # noqa: S603
            ["sha256sum", "--quiet", "-c", manifest], cwd=complete.folder, check=True  # noqa: S607
        )  # fmt: skip


def test_a_flipped_byte_is_refused_wherever_it_is(complete: Issued, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(complete.folder, copy)
    for path in sorted(p for p in copy.rglob("*") if p.is_file()):
        data = path.read_bytes()
        path.write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
        found = verify(copy, expected_root=complete.root)
        assert not found.ok, path
        path.write_bytes(data)
    assert verify(copy, expected_root=complete.root).ok


def test_the_cover_sheet_prints_the_root(complete: Issued) -> None:
    (sheet,) = [path for path in complete.covers if path.suffix == ".pdf"]
    text = "".join(page.extract_text() for page in PdfReader(sheet).pages)
    assert complete.root in "".join(text.split())


@pytest.mark.parametrize(
    "name",
    [
        "gap-report",
        "commissioning-test-report",
        "component-register",
        "isolation-shutdown-sheet",
        "leave-safe-sheet",
        "leave-safe-sheet-for-occupier",
        "energy-estimate",
        "visit-record-*",
    ],
)
def test_a_draft_says_so_on_every_page_and_a_clean_one_does_not(
    complete: Issued, faulty: Issued, name: str
) -> None:
    for issued, is_draft in ((complete, False), (faulty, True)):
        files = list((issued.folder / "data" / "documents").glob(f"{name}.pdf"))
        assert files
        for path in files:
            pages = PdfReader(path).pages
            assert all(("DRAFT" in page.extract_text()) is is_draft for page in pages)


def test_a_notice_of_danger_is_no_draft_since_it_waits_for_nothing(
    complete: Issued, faulty: Issued
) -> None:
    assert not list((complete.folder / "data" / "documents").glob("notice-of-danger.*"))
    pages = PdfReader(faulty.folder / "data" / "documents" / "notice-of-danger.pdf").pages
    assert "DRAFT" not in "".join(page.extract_text() for page in pages)
    word = faulty.folder / "data" / "documents" / "notice-of-danger.docx"
    assert "DRAFT" not in "".join(
        paragraph.text
        for section in docx.Document(str(word)).sections
        for paragraph in section.header.paragraphs
    )


def test_every_document_carries_the_cautions_and_defers(faulty: Issued) -> None:
    for path in (faulty.folder / "data" / "documents").glob("*.pdf"):
        text = " ".join("".join(p.extract_text() for p in PdfReader(path).pages).split())
        assert "no permission to energise" in text
        assert "Local regulations" in text


def test_the_pack_carries_what_it_was_made_from(faulty: Issued) -> None:
    data = faulty.folder / "data"
    record = SAMPLES / "terrace-eight-faults" / "installation.yaml"
    assert (data / "record" / "installation.yaml").read_bytes() == record.read_bytes()
    findings = json.loads((data / "findings.json").read_text("utf-8"))
    assert findings["held_up"] is True
    assert "no permission to energise" in findings["notice"]
    assert (data / "rulesets" / "gb" / "pv-string-tests.yaml").is_file()
    named = read_yaml(record).data["evidence"]
    assert len(list((data / "evidence").iterdir())) == len(named) > 0


def test_evidence_that_changes_after_the_check_stops_the_pack(tmp_path: Path) -> None:
    shutil.copytree(SAMPLES / "bungalow-two-faces", tmp_path / "job")
    job = open_job(tmp_path / "job", rulesets_folder(), today=DAY)
    photo = tmp_path / "job" / "evidence" / "capped-ends.jpg"
    photo.write_bytes(photo.read_bytes() + b"x")
    with pytest.raises(ChangedSinceCheckError):
        issue(job, tmp_path / "out", templates_folder())
    assert not list((tmp_path / "out").iterdir())


def test_the_annex_lists_every_other_file_with_its_hash_and_shows_every_picture(
    faulty: Issued,
) -> None:
    reader = PdfReader(faulty.folder / "data/documents/evidence-annex.pdf")
    text = "".join("".join(page.extract_text() for page in reader.pages).split())
    manifest = (faulty.folder / "manifest-sha256.txt").read_text("utf-8").splitlines()
    for line in manifest:
        sha256, _, name = line.partition("  ")
        if "evidence-annex" in name or "how-to-check" in name:
            continue
        assert sha256 in text, name
    photos = list((faulty.folder / "data/evidence").glob("*.jpg"))
    assert len(photos) == sum(len(page.images) for page in reader.pages) > 0


def test_a_notice_of_danger_is_in_the_pack_only_where_there_is_one(
    complete: Issued, faulty: Issued
) -> None:
    for issued, is_there in ((complete, False), (faulty, True)):
        for form in ("pdf", "docx"):
            file = issued.folder / "data" / "documents" / f"notice-of-danger.{form}"
            assert file.is_file() is is_there
