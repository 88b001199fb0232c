"""The one table of units: the suffix of a name says the unit of its number.

`find("ze_ohm")` gives ohms; a name without a known suffix is a count. A unit is a
product of powers of base units and a scale to them, so that the rule language can
refuse volts compared with megohms and convert kW to W. Degrees Celsius are points
on a scale: they compare, and subtract to kelvin, and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

Powers = tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: `scale` times the product of base units raised to `powers`."""

    symbol: str
    powers: Powers = ()
    scale: float = 1.0
    is_point: bool = False

    def same_dimension(self, other: Unit) -> bool:
        """Whether the two may be added or compared."""
        return self.powers == other.powers and self.is_point == other.is_point

    def times(self, other: Unit, sign: int = 1) -> Unit:
        """The unit of a product (`sign` 1) or quotient (`sign` -1)."""
        powers = dict(self.powers)
        for base, power in other.powers:
            powers[base] = powers.get(base, 0) + sign * power
        kept = tuple(sorted((b, p) for b, p in powers.items() if p))
        scale = self.scale * other.scale if sign > 0 else self.scale / other.scale
        if not other.symbol:
            symbol = self.symbol
        else:
            symbol = f"{self.symbol or 1}{'·' if sign > 0 else '/'}{other.symbol}"
        return Unit(symbol, kept, scale)


COUNT = Unit("")
KELVIN = Unit("K", (("K", 1),))
DAYS = Unit("days", (("s", 1),), 86400.0)

_V: Powers = (("V", 1),)
_A: Powers = (("A", 1),)
_OHM: Powers = (("A", -1), ("V", 1))
_M: Powers = (("m", 1),)
_S: Powers = (("s", 1),)

# Longest suffix first where one ends with another: find() tries them in that order.
UNITS: dict[str, Unit] = {
    "v": Unit("V", _V),
    "mv": Unit("mV", _V, 1e-3),
    "kv": Unit("kV", _V, 1e3),
    "a": Unit("A", _A),
    "ma": Unit("mA", _A, 1e-3),
    "ka": Unit("kA", _A, 1e3),
    "ohm": Unit("Ω", _OHM),
    "milliohm": Unit("mΩ", _OHM, 1e-3),
    "megohm": Unit("MΩ", _OHM, 1e6),
    "milliohm_per_m": Unit("mΩ/m", (("A", -1), ("V", 1), ("m", -1)), 1e-3),
    "mv_per_a_m": Unit("mV/(A·m)", (("A", -1), ("V", 1), ("m", -1)), 1e-3),
    "a2_s": Unit("A²s", (("A", 2), ("s", 1))),
    "w": Unit("W", (("A", 1), ("V", 1))),
    "kw": Unit("kW", (("A", 1), ("V", 1)), 1e3),
    "kwh": Unit("kWh", (("A", 1), ("V", 1), ("s", 1)), 3.6e6),
    "kwh_per_kw": Unit("kWh/kW", (("s", 1),), 3600.0),
    "w_m2": Unit("W/m²", (("A", 1), ("V", 1), ("m", -2))),
    "m": Unit("m", _M),
    "mm": Unit("mm", _M, 1e-3),
    "mm2": Unit("mm²", (("m", 2),), 1e-6),
    "s": Unit("s", _S),
    "ms": Unit("ms", _S, 1e-3),
    "days": DAYS,
    "months": Unit("months", (("month", 1),)),
    "c": Unit("°C", (("K", 1),), 1.0, is_point=True),
    "k": KELVIN,
    "percent": Unit("%", (), 1e-2),
    "percent_per_k": Unit("%/K", (("K", -1),), 1e-2),
    "v_per_k": Unit("V/K", (("K", -1), ("V", 1))),
    "deg": Unit("°", (("deg", 1),)),
    "hz": Unit("Hz", (("s", -1),)),
    "m_s": Unit("m/s", (("m", 1), ("s", -1))),
    "kn": Unit("kN", (("A", 1), ("V", 1), ("m", -1), ("s", 1)), 1e3),
    "pa": Unit("Pa", (("A", 1), ("V", 1), ("m", -3), ("s", 1))),
    "kg": Unit("kg", (("kg", 1),)),
    "kg_m2": Unit("kg/m²", (("kg", 1), ("m", -2))),
    "m2": Unit("m²", (("m", 2),)),
    "per_km2_year": Unit("/(km²·year)", (("m", -2), ("year", -1)), 1e-6),
}


@lru_cache(maxsize=4096)
def find(name: str) -> Unit:
    """The unit that a field's, limit's or function's name ends in; a count if in none."""
    words = name.split("_")
    for start in range(len(words)):
        unit = UNITS.get("_".join(words[start:]))
        if unit is not None:
            return unit
    return COUNT


def shown(value: float, unit: Unit) -> str:
    """A number as it was written, with its unit: `470 V`, `0.3 MΩ`, `25 °C`, `3`."""
    text = f"{value:.12g}"
    if _is_plain(text):
        return _with_symbol(text, unit)
    text = f"{Decimal(text):.12f}".rstrip("0").rstrip(".")
    if text in ("-0", "0") and value:
        text = f"{value:.3e}"
    return _with_symbol("0" if text == "-0" else text, unit)


def rounded(value: float, unit: Unit) -> str:
    """A worked-out number to four figures, with its unit: `0.6828 Ω`, `1366 V`."""
    if abs(value) >= 1000:
        return _with_symbol(f"{value:.0f}", unit)
    text = f"{value:.4g}"
    return _with_symbol(text, unit) if _is_plain(text) else shown(float(text), unit)


def _is_plain(text: str) -> bool:
    """Whether it is a decimal number without an exponent, of at most twelve decimal places."""
    return len(text) <= _LONGEST and "e" not in text and "n" not in text and text != "-0"


_LONGEST = len("0.123456789012")


def _with_symbol(text: str, unit: Unit) -> str:
    return f"{text} {unit.symbol}" if unit.symbol else text
