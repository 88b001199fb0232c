"""Numbers as people write them: plain decimals in the unit of their name, nothing guessed.

Without models, so that a calculation by hand reads its inputs as a record does.
"""

from __future__ import annotations

import re

from compliance.record import problems as wrong
from compliance.units import Unit

MOST_DIGITS = 12
BEYOND = re.compile(r"(over|under|>|<)\s*(\S+)")
NOT_TAKEN = re.compile(r"not taken(?:\s*[:,]\s*(.*))?", re.DOTALL)
_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?")
_UNIT_BEHIND = re.compile(
    r"(-?[0-9]+(?:\.[0-9]+)?)\s*([^\W\d_°%][^\W\d_°%/²]{0,9}[2²]?|[%°].*)(/.*)?"
)
_POWER_OF_TEN = re.compile(r"[eE][0-9]*")


def figure(text: str, unit: Unit) -> float:
    """A rated, designed, counted or dimensioned number: neither beyond range nor not taken."""
    if BEYOND.fullmatch(text):
        raise wrong.BeyondRangeError(text)
    if NOT_TAKEN.fullmatch(text):
        raise wrong.NotTakenError(text, "this field is a rated or counted figure, no reading")
    return number(text, unit)


def number(text: str, unit: Unit) -> float:
    """A plain decimal of at most 12 significant digits, in the field's unit."""
    if _NUMBER.fullmatch(text):
        digits = text.lstrip("-").replace(".", "").lstrip("0")
        if len(digits) > MOST_DIGITS:
            raise wrong.TooPreciseError(text)
        return float(text)
    behind = _UNIT_BEHIND.fullmatch(text)
    is_number_still = behind and (
        set(behind[2]) <= set("OolI") or _POWER_OF_TEN.fullmatch(behind[2])
    )
    if behind and not is_number_still:
        raise wrong.WrongUnitError(text, behind[1], unit.symbol)
    raise wrong.NotANumberError(text, unit.symbol, _repaired(text))


def _repaired(text: str) -> str:
    """What was probably meant, as an example; or any number."""
    if re.search(r",[0-9]{3}(?![0-9])", text):
        return "12.4"  # thousands, or a decimal comma: only the writer knows
    digits = text.translate({ord("O"): "0", ord("o"): "0", ord("l"): "1", ord("I"): "1"})
    try:
        value = float(digits.replace(",", ".").replace("_", ""))
    except ValueError:
        return "12.4"
    tried = f"{value:.6f}".rstrip("0").rstrip(".")
    return tried if abs(value) < 1e9 and _NUMBER.fullmatch(tried) else "12.4"
