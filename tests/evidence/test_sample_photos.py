"""The invented pictures of the samples: small, dated, marked, and the same every time."""

from __future__ import annotations

import importlib.util
from datetime import datetime
from pathlib import Path
from types import ModuleType

import pytest

from compliance.evidence import look

SCRIPT = Path(__file__).parents[2] / "sample_installs" / "photos.py"
TAKEN = datetime(2026, 5, 12, 10, 41, 7)


def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("photos", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


photos = script()


@pytest.mark.parametrize("drawing", photos.DRAWINGS)
def test_every_drawing_is_a_small_whole_picture_with_its_time(tmp_path: Path, drawing: str) -> None:
    photos.photo(tmp_path / "a.jpg", caption="A", drawing=drawing, taken=TAKEN)
    seen = look(tmp_path, "a.jpg")
    assert (seen.fault, seen.remark, seen.taken) == ("", "", TAKEN)
    assert (seen.width_px, seen.height_px, seen.has_position) == (1600, 1200, False)
    assert seen.bytes <= 150_000
    assert photos.INVENTED.encode() in (tmp_path / "a.jpg").read_bytes()


def test_the_same_words_give_the_same_picture_and_others_another(tmp_path: Path) -> None:
    for name, caption in (("a.jpg", "A"), ("b.jpg", "A"), ("c.jpg", "C")):
        photos.photo(
            tmp_path / name,
            caption=caption,
            drawing="meter",
            taken=TAKEN,
            size=(800, 600),
            position=(51.5, -2.25),
            text_lines=["38.2 MΩ"],
        )
    a, b, c = (look(tmp_path, name) for name in ("a.jpg", "b.jpg", "c.jpg"))
    assert a.sha256 == b.sha256 != c.sha256
    assert (a.width_px, a.has_position) == (800, True)


def test_a_paper_is_one_whole_page_and_the_same_every_time(tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        lines = ["String S1: 412 V at 640 W/m²", "Insulation over 200 MΩ"]
        photos.paper(tmp_path / name, title="Readings", lines=lines, taken=TAKEN)
    a, b = look(tmp_path, "a.pdf"), look(tmp_path, "b.pdf")
    assert (a.is_whole, a.pages, a.sha256) == (True, 1, b.sha256)
