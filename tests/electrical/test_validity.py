"""What a refusal says: name, value, and what would be right with its unit."""

from __future__ import annotations

from collections.abc import Callable
from math import nan

import pytest

from compliance.electrical._validity import check_above_zero, check_between, check_count
from compliance.errors import OutOfRangeError


@pytest.mark.parametrize(
    ("refused", "sentence"),
    [
        (
            lambda: check_count("modules", 8.5),
            "modules is 8.5; it must be a whole number from 1 to 10000",
        ),
        (
            lambda: check_above_zero("rated_current_a", 0.0),
            "rated_current_a is 0; it must be above 0 A, and between 1e-12 and 1e+12",
        ),
        (
            lambda: check_between("cell_c", 95.0, -40.0, 90.0),
            "cell_c is 95; it must be from -40 to 90 °C",
        ),
        (
            lambda: check_between("cmin", nan, 0.9, 1.0),
            "cmin is nan; it must be from 0.9 to 1",
        ),
        (
            lambda: check_count("modules", True),
            "modules is 1; it must be a number, not yes or no",
        ),
    ],
)
def test_a_refusal_says_what_would_be_right(refused: Callable[[], None], sentence: str) -> None:
    with pytest.raises(OutOfRangeError) as error:
        refused()
    assert error.value.what == sentence


def test_what_is_inside_passes() -> None:
    check_count("modules", 9.0)
    check_above_zero("rated_current_a", 1e-12)
    check_between("cell_c", 90.0, -40.0, 90.0)
