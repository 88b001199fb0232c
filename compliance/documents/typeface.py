"""The embedded typefaces: DejaVu Sans, in `fonts/` with the licence that permits embedding."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

FAMILY = "DejaVu Sans"
REGULAR = "DejaVuSans"
BOLD = "DejaVuSans-Bold"
OBLIQUE = "DejaVuSans-Oblique"
FACES = (REGULAR, BOLD, OBLIQUE)


@cache
def register() -> None:
    """Make the faces known to reportlab, once; strong emphasis is set in bold."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name in FACES:
        pdfmetrics.registerFont(TTFont(name, str(font_path(name))))
    pdfmetrics.registerFontFamily(REGULAR, REGULAR, BOLD, OBLIQUE, BOLD)


def font_path(name: str) -> Path:
    """The file of one of the faces."""
    return Path(str(files("compliance.documents") / "fonts" / f"{name}.ttf"))


@cache
def coverage() -> frozenset[str]:
    """The characters that all faces can print."""
    from reportlab.pdfbase import pdfmetrics

    register()
    drawn = (set(pdfmetrics.getFont(name).face.charToGlyph) for name in FACES)
    return frozenset(map(chr, set.intersection(*drawn)))


def width_points(text: str, face: str, size_points: float) -> float:
    """How wide a line of text is when set."""
    from reportlab.pdfbase import pdfmetrics

    register()
    return float(pdfmetrics.stringWidth(text, face, size_points))
