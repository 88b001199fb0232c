"""Evidence that cannot count, through the real commands: named, with what would be right.

Every case takes the complete sample, changes one piece of evidence and runs `check` and
`pack`. What a pack says is read back with pypdf, which knows nothing of this project.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageStat
from pypdf import PdfReader

from compliance.files.cache import NoCache
from compliance.files.resources import rulesets_folder
from compliance.rules.compiled import checker

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_installs" / "bungalow-two-faces"
PHOTO, PAPER = "evidence/dc-isolator-label.jpg", "evidence/string-tests.pdf"
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"invented" * 200
Change = Callable[[Path], None]


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A copy of the complete sample."""
    return Path(shutil.copytree(SAMPLE, tmp_path / "job"))


def run(job: Path, *command: str) -> subprocess.CompletedProcess[str]:
    """A command of the tool on the job, in the folder that the job lies in."""
    return subprocess.run(  # noqa: S603
        [sys.executable, "-m", "compliance", command[0], job.name, *command[1:]],
        capture_output=True, text=True, check=False, cwd=job.parent,
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "200"},
    )  # fmt: skip


def recorded(job: Path, old: str, new: str) -> None:
    """Change the record of the job."""
    path = job / "installation.yaml"
    text = path.read_text("utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), "utf-8")


def without_statement(job: Path) -> None:
    recorded(job, "    shows: The label on the cover of dc1, readable before it is opened\n", "")


def of_the_wrong_kind(job: Path) -> None:
    without_statement(job)
    recorded(
        job, f"    file: {PHOTO}\n    kind: photo\n", f"    file: {PHOTO}\n    kind: datasheet\n"
    )


def cut_short(job: Path) -> None:
    path = job / PHOTO
    path.write_bytes(path.read_bytes()[:50_000])


def heic(job: Path) -> None:
    (job / PHOTO).rename(job / "evidence/plate.heic")
    (job / "evidence/plate.heic").write_bytes(HEIC)
    recorded(job, PHOTO, "evidence/plate.heic")


def no_pdf(job: Path) -> None:
    (job / PAPER).write_text("Strings are fine\n", "utf-8")


def outside(job: Path) -> None:
    (job / PHOTO).rename(job.parent / "outside.jpg")
    recorded(job, PHOTO, "../outside.jpg")


def not_there(job: Path) -> None:
    (job / PHOTO).unlink()


CASES = [
    (without_statement, ["photo-dc1", "no named person states what it shows", 'add "shows:"']),
    (of_the_wrong_kind, ["a photo about dc1, with a named person's statement of what it shows"]),
    (cut_short, [PHOTO, "damaged or cut short", "Copy it again"]),
    (heic, ["evidence/plate.heic", "HEIC", "Save it as JPEG"]),
    (no_pdf, [PAPER, "holds plain text", "Copy it again"]),
    (outside, ["../outside.jpg", "Put the file inside the folder"]),
    (not_there, [PHOTO, "is not there", "Check the name"]),
]


@pytest.mark.parametrize(("change", "said"), CASES, ids=lambda v: getattr(v, "__name__", ""))
def test_what_cannot_count_is_a_gap_that_says_why_and_the_pack_is_a_whole_draft(
    job: Path, change: Change, said: list[str]
) -> None:
    change(job)
    checked = run(job, "check")
    packed = run(job, "pack", "--out", "handover")
    assert (checked.returncode, packed.returncode) == (1, 1)
    assert "DRAFT" in packed.stdout
    assert "Traceback" not in checked.stderr + packed.stderr
    report = _words(_document(job, "gap-report"))
    for text in said:
        assert "".join(text.split()) in "".join(checked.stdout.split())
        assert "".join(text.split()) in report
    assert _verified(job)


def test_a_broken_file_that_nothing_asks_for_is_told_all_the_same(job: Path) -> None:
    (job / "evidence/inverter-plate.jpg").write_bytes(b"\xff\xd8\xff half a photo")
    checked = run(job, "check")
    assert checked.returncode == 0
    assert "photo-plate does not count" in checked.stdout
    assert run(job, "pack", "--out", "handover").returncode == 0
    assert "photo-plate,photoShows:Rating" in _words(_document(job, "evidence-annex"))
    assert "Cannotbeshown." in _words(_document(job, "evidence-annex"))


def test_the_same_file_under_two_names_is_told_of_both_and_holds_nothing_up(job: Path) -> None:
    shutil.copy(job / "evidence/inverter-label.jpg", job / "evidence/inverter-plate.jpg")
    checked = run(job, "check")
    assert checked.returncode == 0
    words = " ".join(checked.stdout.split())
    assert "photo-inverter-label holds the very same bytes as photo-plate" in words
    assert "photo-plate holds the very same bytes as photo-inverter-label" in words
    assert run(job, "pack", "--out", "handover").returncode == 0
    annex = _words(_document(job, "evidence-annex"))
    assert annex.count("holdstheverysamebytesas") == 2


def test_a_sideways_photo_counts_and_is_shown_upright(job: Path) -> None:
    with Image.open(job / PHOTO) as picture:
        upright, exif = picture.convert("RGB"), picture.getexif()
    exif[0x0112] = 6  # EXIF 2.3, orientation: to be turned a quarter clockwise
    on_its_side = upright.transpose(Image.Transpose.ROTATE_90)
    on_its_side.save(job / PHOTO, "JPEG", quality=90, exif=exif)
    assert run(job, "check").returncode == 0
    assert run(job, "pack", "--out", "handover").returncode == 0
    pages = PdfReader(_document(job, "evidence-annex")).pages
    shown = [Image.open(BytesIO(i.data)).convert("RGB") for page in pages for i in page.images]
    assert all(picture.width > picture.height for picture in shown)
    differences = [
        ImageStat.Stat(ImageChops.difference(picture, upright.resize(picture.size))).mean
        for picture in shown
    ]
    assert min(max(mean) for mean in differences) < 6


def test_no_requirement_asks_for_two_kinds_of_evidence() -> None:
    """The same bytes can be listed under two kinds; a rule that asks for both must mind that."""
    rules = checker(rulesets_folder(), "gb", NoCache()).rules.rules
    assert max(len(rule.clause.evidence) for rule in rules) == 1


def _pack(job: Path) -> Path:
    (pack,) = (job.parent / "handover").glob("pack-*")
    return pack


def _document(job: Path, name: str) -> Path:
    return _pack(job) / "data/documents" / f"{name}.pdf"


def _words(document: Path) -> str:
    """Everything printed, without blanks and the furniture's page numbers between pages."""
    text = "".join(page.extract_text() for page in PdfReader(document).pages)
    return "".join(text.split())


def _verified(job: Path) -> bool:
    """Whether the folder holds one whole pack with its cover sheets and nothing else."""
    assert len(list((job.parent / "handover").iterdir())) == 3
    return run(_pack(job), "verify").returncode == 0
