"""Column widths: by shares, and where words are too long, at the cost of the widest alone."""

from __future__ import annotations

import pytest

from compliance.documents.measures import TEXT_WIDTH_POINTS, column_widths_points
from compliance.documents.tree import Column, Table


def _widths(*cells: str) -> list[float]:
    columns = tuple(Column(f"C{n}") for n in range(len(cells)))
    return column_widths_points(Table("Tried", columns, (cells,)))


def test_columns_share_the_page() -> None:
    assert _widths("a", "b") == pytest.approx([TEXT_WIDTH_POINTS / 2] * 2)


def test_long_words_take_their_room_from_long_words_not_from_short_ones() -> None:
    alone = _widths("reused")[0]
    widths = _widths("W" * 60, "reused", "W" * 60, "W" * 60, "met")
    assert sum(widths) == pytest.approx(TEXT_WIDTH_POINTS)
    assert widths[0] == pytest.approx(widths[2]) == pytest.approx(widths[3])
    assert widths[4] < widths[1] < widths[0]
    assert widths[1] == pytest.approx(_widths("reused", "x" * 70, "x" * 70, "x" * 70)[0])
    assert alone == pytest.approx(TEXT_WIDTH_POINTS)


def test_where_everything_is_too_long_all_get_the_same() -> None:
    assert _widths(*["W" * 80] * 5) == pytest.approx([TEXT_WIDTH_POINTS / 5] * 5)
