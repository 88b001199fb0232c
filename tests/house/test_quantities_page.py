"""The page of calculations is up to date, and each calculation has an outside check."""

from __future__ import annotations

import pytest
from house.quantities_page import PAGE, checks_of, page

from compliance.rules.quantities import QUANTITIES, Quantity
from compliance.rules.quantities.by_hand import BY_HAND


def test_the_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run python tests/house/quantities_page.py"


PRINTED = [*(q for q in QUANTITIES.values() if q.is_printed), *BY_HAND]


@pytest.mark.parametrize("quantity", PRINTED, ids=lambda q: q.name)
def test_a_calculation_is_checked_against_the_outside(quantity: Quantity) -> None:
    assert checks_of(quantity)
