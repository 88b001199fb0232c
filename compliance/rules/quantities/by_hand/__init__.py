"""Calculations that no record field feeds yet: worked out by hand only, never in a check.

The rule language does not know them. Start reading in `entry.py`.
"""

from compliance.rules.quantities.by_hand import (
    array,
    cables,
    compared,
    faults,
    measured,
    protection,
    site,
    sun,
    wind,
)
from compliance.rules.quantities.by_hand.entry import ByHand

__all__ = ["BY_HAND", "ByHand"]

BY_HAND: tuple[ByHand, ...] = (
    *array.QUANTITIES,
    *cables.QUANTITIES,
    *protection.QUANTITIES,
    *measured.QUANTITIES,
    *faults.QUANTITIES,
    *compared.QUANTITIES,
    *sun.QUANTITIES,
    *site.QUANTITIES,
    *wind.QUANTITIES,
)
