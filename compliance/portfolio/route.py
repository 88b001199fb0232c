"""What the inverters of a record can put on one phase of the supply, as far as it says so.

The network operator is told of a small generator afterwards and has to agree to a larger one
before. What the modules could give does not decide it, the inverters do.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

MOST_PHASES = 3
Span = tuple[float, float | None]
"""The least and the greatest it can be; None for the greatest where nothing bounds it. [kW]"""


def per_phase_kw(view: Mapping[str, Any]) -> Span | None:
    """The registered capacity of all inverters together, on the phase with the most. [kW]

    An inverter without a number of phases, and one of a single phase on a supply of several,
    leaves a span: from shared out evenly to all on one phase.

    Returns:
        The span; None where the record names no inverter.
    """
    inverters = view.get("inverters") or ()
    supply = _number(view["site"].get("supply", {}).get("phases"))
    fixed, single = 0.0, list[float]()
    is_whole = True
    for inverter in inverters:
        kw = _capacity_kw(inverter)
        if kw is None:
            is_whole = False
            continue
        phases = _number(inverter.get("phases"))
        if phases and phases > 1:
            fixed += kw / phases
        elif supply == 1:
            fixed += kw
        elif phases:
            single.append(kw)
        else:  # on one phase, or evenly on all of them
            single += [kw / MOST_PHASES] * MOST_PHASES
    if not inverters:
        return None
    evenly = max(sum(single) / MOST_PHASES, max(single, default=0.0))
    return fixed + evenly, fixed + sum(single) if is_whole else None


def _capacity_kw(inverter: Mapping[str, Any]) -> float | None:
    """What the register of type tests says of it, else its plate."""
    registered = _number(inverter.get("type_test", {}).get("capacity_kw"))
    return _number(inverter.get("rated_kw")) if registered is None else registered


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) else None
