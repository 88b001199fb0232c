"""Worked-out values: which record fields feed which calculation, with unit and source.

Must not know requirements. Start reading in `binding.py`.
"""

from collections.abc import Mapping

from compliance.rules.quantities import circuits, modules, strings
from compliance.rules.quantities.binding import Asked, Quantity, table_of

__all__ = ["QUANTITIES", "Asked", "Quantity", "table_of"]

QUANTITIES: Mapping[tuple[str, str], Quantity] = {
    (q.owner, q.name): q for q in (*strings.QUANTITIES, *circuits.QUANTITIES, *modules.QUANTITIES)
}
