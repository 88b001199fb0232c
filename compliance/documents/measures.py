"""How wide the columns of a table are, the same in every writer."""

from __future__ import annotations

from compliance.documents.tree import Table, cell_runs
from compliance.documents.typeface import BOLD, REGULAR, width_points

TEXT_WIDTH_POINTS = 470.0
TEXT_HEIGHT_POINTS = 680.0
CELL_SIZE_POINTS = 8.5
CELL_GAP_POINTS = 6.0
TALLEST_PICTURE_POINTS = 118.0
_LONGEST_SHARE = 0.35


def column_widths_points(table: Table, width: float = TEXT_WIDTH_POINTS) -> list[float]:
    """Widths by the columns' shares, but no word is broken that can be kept whole."""
    least = _least_widths(table, width)
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


def _least_widths(table: Table, width: float) -> list[float]:
    """Room for the longest word of each column, up to a share of the page."""
    least = []
    for number, column in enumerate(table.columns):
        words = {w for row in table.rows for r in cell_runs(row[number]) for w in r.text.split()}
        longest = max((width_points(w, REGULAR, CELL_SIZE_POINTS) for w in words), default=0.0)
        heading = max(
            width_points(w, BOLD, CELL_SIZE_POINTS) for w in column.header.split() or [""]
        )
        least.append(min(max(longest, heading) + 2 * CELL_GAP_POINTS + 1, width * _LONGEST_SHARE))
    return least
