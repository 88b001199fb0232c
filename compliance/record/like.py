"""What stays the same from one job to a like one: who does it, with what, and which types.

Taken over are the organisation, people, instruments with their calibration, and of each type
of component its maker, model, figures and approvals; of the place that it is one of the firm's
usual ones. Never what belongs to one place or one
unit: customer, address, serial numbers, firmware that was read, dates, checks, readings,
labels, evidence, or whether a thing was new.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from compliance.record.components import Approval
from compliance.record.entry import Group
from compliance.record.installation import Installation
from compliance.record.kinds import MomentKind
from compliance.record.people import Instrument
from compliance.record.shape import FieldShape, entries_of, fields

TAKEN = ("organisation", "people", "instruments", "components")
OF_ONE_UNIT = frozenset(
    {"part", "origin", "reuse", "notices", "type_test", "serial", "serials", "firmware_family",
     "checks", "clamps"}
)  # fmt: skip
DATED_FOR_GOOD = (Approval, Instrument)
"""What keeps its dates and numbers: an approval is valid until a day, whoever relies on it."""


def stays_the_same(data: Mapping[str, Any]) -> dict[str, Any]:
    """Of a record's data as it was written, what a like job begins with."""
    shapes = fields(Installation)
    taken = {name: _taken(shapes[name], data[name]) for name in TAKEN if name in data}
    site = data.get("site")
    if isinstance(site, Mapping) and "usual" in site:
        taken["site"] = {"usual": site["usual"]}
    return {name: kept for name, kept in taken.items() if kept}


def _taken(shape: FieldShape, value: Any) -> Any:
    if shape.section is not None and isinstance(value, Mapping):
        return _of_group(shape.section, value)
    if shape.collection is None:
        return value
    kept = {
        key: _of_group(kind, entry)
        for key, entry in entries_of(shape, value)
        if (kind := shape.entry_type(entry)) is not None and isinstance(entry, Mapping)
    }
    if shape.is_named:
        return {str(key): entry for key, entry in kept.items()}
    return list(kept.values())


def _of_group(group: type[Group], written: Mapping[str, Any]) -> dict[str, Any]:
    keeps_all = issubclass(group, DATED_FOR_GOOD)
    left_out = OF_ONE_UNIT - ({"serial"} if keeps_all else set())
    shapes = fields(group)
    kept = {
        str(name): _taken(shapes[str(name)], value)
        for name, value in written.items()
        if name not in left_out
        and (keeps_all or not isinstance(shapes[str(name)].kind, MomentKind))
    }
    return {name: value for name, value in kept.items() if value}
