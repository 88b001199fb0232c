"""The page of each kind of document, and how wide columns are, the same in every writer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from compliance.documents.tree import Document, Item, Table, cell_runs
from compliance.documents.typeface import BOLD, REGULAR, width_points

TEXT_WIDTH_POINTS = 470.0
TEXT_HEIGHT_POINTS = 680.0
CELL_SIZE_POINTS = 8.5
CELL_GAP_POINTS = 6.0
TALLEST_PICTURE_POINTS = 118.0
LIST_GAP_POINTS = 18.0
_LONGEST_SHARE = 0.35
_FEW, _MOST_LINES = 4, 60


@dataclass(frozen=True, slots=True)
class Page:
    """The area of text on A4, and the size of words in tables."""

    width_points: float
    height_points: float
    bottom_points: float
    cell_size_points: float
    start_points: float
    """What is no higher than this stands on one page."""
    is_pocket: bool = False


ROOMY = Page(TEXT_WIDTH_POINTS, TEXT_HEIGHT_POINTS, 85.0, CELL_SIZE_POINTS, 226.8)
POCKET = Page(547.0, 754.0, 54.0, 9.0, 130.0, is_pocket=True)
"""For what is folded into a pocket and written on: closer, and no words smaller than 9 points."""


def page_of(document: Document) -> Page:
    """What a document is set on."""
    return POCKET if document.is_pocket else ROOMY


def halves(items: Sequence[Item], page: Page) -> tuple[Sequence[Item], Sequence[Item]] | None:
    """A list's items for two columns of like length; None where it is set in one.

    Two columns are never broken by a page, so that they are read in their order: a list that
    is too long for that has one.
    """
    if not page.is_pocket or len(items) < _FEW or any(item.label for item in items):
        return None
    column = (page.width_points - LIST_GAP_POINTS) / 2
    lines = [1 + _width_points(item) // column for item in items]
    if sum(lines) > _MOST_LINES:
        return None
    first = min(range(1, len(items)), key=lambda n: abs(sum(lines[:n]) - sum(lines[n:])))
    return items[:first], items[first:]


def _width_points(item: Item) -> float:
    return sum(width_points(run.text, REGULAR, CELL_SIZE_POINTS) for run in item.runs)


def column_widths_points(table: Table, page: Page = ROOMY) -> list[float]:
    """Widths by the columns' shares, but no word is broken that can be kept whole."""
    width = page.width_points
    least = _least_widths(table, page)
    if sum(least) >= width:
        return _levelled(least, width)
    widths = [0.0] * len(least)
    free = set(range(len(least)))
    while True:
        rest = width - sum(widths[n] for n in range(len(least)) if n not in free)
        shares = sum(table.columns[n].share for n in free)
        narrow = {n for n in free if rest * table.columns[n].share / shares < least[n]}
        if not narrow:
            break
        for n in narrow:
            widths[n] = least[n]
        free -= narrow
    for n in free:
        widths[n] = rest * table.columns[n].share / shares
    return widths


def _levelled(least: list[float], width: float) -> list[float]:
    """The widest columns give way first, so that only the longest words are broken."""
    widths, rest = [0.0] * len(least), width
    for done, n in enumerate(sorted(range(len(least)), key=lambda n: least[n])):
        widths[n] = min(least[n], rest / (len(least) - done))
        rest -= widths[n]
    return widths


def _least_widths(table: Table, page: Page) -> list[float]:
    """Room for the longest word of each column, up to a share of the page."""
    least, size = list[float](), page.cell_size_points
    for number, column in enumerate(table.columns):
        words = {w for row in table.rows for r in cell_runs(row[number]) for w in r.text.split()}
        longest = max((width_points(w, REGULAR, size) for w in words), default=0.0)
        heading = max(width_points(w, BOLD, size) for w in column.header.split() or [""])
        most = page.width_points * _LONGEST_SHARE
        least.append(min(max(longest, heading) + 2 * CELL_GAP_POINTS + 1, most))
    return least
