"""The operating characteristic of a sample as a picture: what it can miss, at every rate."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from compliance.errors import CallError
from compliance.portfolio.sizes import bad_jobs, chance_of_at_most

WIDTH, HEIGHT = 460.0, 300.0
_LEFT, _BOTTOM, _ROOM_X, _ROOM_Y = 60.0, 50.0, 370.0, 210.0
_POINTS = 60
_LEAST_SAID = 0.001
RATES = (0.01, 0.02, 0.05, 0.1, 0.2)


def missed(population: int, size: int) -> list[tuple[float, float]]:
    """For each of some rates, the probability that a sample holds no bad job at all."""
    return [(r, chance_of_at_most(population, bad_jobs(population, r), size, 0)) for r in RATES]


def in_words(population: int, size: int) -> list[str]:
    """The same as sentences."""
    return [
        f"If {100 * rate:g} % of the {population} jobs are bad, a sample of {size} holds none of "
        f"them with a probability of {_chance(chance)}."
        for rate, chance in missed(population, size)
    ]


def _chance(chance: float) -> str:
    """A probability in per cent; what is not certain is never rounded to none or all."""
    if 0 < chance < _LEAST_SAID:
        return f"less than {100 * _LEAST_SAID:g} %"
    if 1 - _LEAST_SAID < chance < 1:
        return f"more than {100 * (1 - _LEAST_SAID):g} %"
    return f"{100 * chance:.1f} %"


def _risks(population: int, size: int) -> list[str]:
    """The risks in words, as they stand in the picture."""
    return [
        "Chance that the sample holds no bad job",
        *(f"if {100 * rate:g} % are bad: {_chance(c)}" for rate, c in missed(population, size)),
    ]


def draw_curve(path: Path, population: int, size: int) -> None:
    """Writes the curve as SVG or PDF, by the ending of the file's name.

    Raises:
        CallError: If the name ends otherwise.
    """
    from reportlab.graphics import renderPDF, renderSVG

    writers = {".svg": renderSVG.drawToFile, ".pdf": renderPDF.drawToFile}
    if path.suffix not in writers:
        raise CallError(f'"{path}" ends in {path.suffix or "nothing"}; a curve is .svg or .pdf')
    writers[path.suffix](_drawing(population, size), str(path))


def _drawing(population: int, size: int) -> Any:
    from reportlab.graphics.shapes import Drawing, Line, PolyLine, Rect, String
    from reportlab.lib.colors import lightgrey, white

    most = min(1.0, max(0.2, 6 / size))
    drawing = Drawing(WIDTH, HEIGHT)
    drawing.add(String(_LEFT, HEIGHT - 20, f"Sample of {size} from {population} jobs", fontSize=12))
    for n in range(6):
        y = _BOTTOM + _ROOM_Y * n / 5
        x = _LEFT + _ROOM_X * n / 5
        drawing.add(Line(_LEFT, y, _LEFT + _ROOM_X, y, strokeWidth=0.4, strokeColor=lightgrey))
        drawing.add(String(_LEFT - 8, y - 3, f"{20 * n} %", fontSize=8, textAnchor="end"))
        drawing.add(
            String(x, _BOTTOM - 14, f"{20 * n * most:g} %", fontSize=8, textAnchor="middle")
        )
    drawing.add(Line(_LEFT, _BOTTOM, _LEFT, _BOTTOM + _ROOM_Y, strokeWidth=0.8))
    points: list[float] = []
    for n in range(_POINTS + 1):
        bad = round(most * population * n / _POINTS)
        points += [
            _LEFT + _ROOM_X * min(1.0, bad / population / most),
            _BOTTOM + _ROOM_Y * chance_of_at_most(population, bad, size, 0),
        ]
    drawing.add(PolyLine(points, strokeWidth=1.6, strokeLineJoin=1))
    right, top, said = _LEFT + _ROOM_X - 6, _BOTTOM + _ROOM_Y - 18, _risks(population, size)
    height = 12 * len(said) + 4
    drawing.add(Rect(right - 174, top + 12 - height, 178, height, fillColor=white,
                     strokeColor=None))  # fmt: skip
    for line, text in enumerate(said):
        drawing.add(String(right, top - 12 * line, text, fontSize=9, textAnchor="end"))
    across = "share of bad jobs among all jobs"
    drawing.add(String(_LEFT + _ROOM_X / 2, 16, across, fontSize=9, textAnchor="middle"))
    drawing.add(String(_LEFT, HEIGHT - 34, "chance that the sample holds no bad job", fontSize=9))
    return drawing
