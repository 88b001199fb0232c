"""What a calculation can take: each check returns, or raises with name, value and range.

Comparisons are written so that nan and the infinities fail them. A number that is
yes or no is refused too: `True` would otherwise count as 1.
"""

from __future__ import annotations

from compliance.errors import OutOfRangeError
from compliance.units import find

# Our own bounds, no source: far outside any installation, and narrow enough that
# no product or quotient of a calculation overflows or vanishes.
SMALLEST = 1e-12
LARGEST = 1e12
GREATEST_COUNT = 10_000


def check_count(name: str, value: float) -> None:
    """Refuse all but a whole number from 1; 9.0 is 9, as the rules pass it."""
    if 1 <= value <= GREATEST_COUNT and value == int(value) and value.__class__ is not bool:
        return
    _check_is_number(name, value)
    raise OutOfRangeError(name, value, f"a whole number from 1 to {GREATEST_COUNT}", 1.0)


def check_above_zero(name: str, value: float) -> None:
    """Refuse zero, anything below it, and sizes that no installation has."""
    if SMALLEST <= value <= LARGEST and value.__class__ is not bool:
        return
    _check_is_number(name, value)
    bounds = f"between {SMALLEST:g} and {LARGEST:g}"
    raise OutOfRangeError(name, value, f"above {_with_unit('0', name)}, and {bounds}", 1.0)


def check_between(name: str, value: float, least: float, greatest: float) -> None:
    """Refuse anything below `least` or above `greatest`; both ends are allowed."""
    if least <= value <= greatest and value.__class__ is not bool:
        return
    _check_is_number(name, value)
    bounds = f"from {least:g} to {greatest:g}"
    raise OutOfRangeError(name, value, _with_unit(bounds, name), least)


def _check_is_number(name: str, value: float) -> None:
    if isinstance(value, bool):
        raise OutOfRangeError(name, value, "a number, not yes or no")


def _with_unit(number: str, name: str) -> str:
    return f"{number} {find(name).symbol}".rstrip()
