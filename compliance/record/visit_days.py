"""`day of visit 1`: a day that is said once, by the visit that it is the day of.

Most days of a job are days of its visits. Any field for a day may name the visit, so that the
date is written once; until that visit has its day, the field says nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from compliance.files.written import Path, Written
from compliance.record.dates import text_of_day
from compliance.record.installation import Installation
from compliance.record.joined import Joining
from compliance.record.kinds import MomentKind
from compliance.record.said_once import sayable
from compliance.record.shape import fields, written_fields

DAY_OF_VISIT = re.compile(r"\s*day of visit ([1-9][0-9]?)\s*")
VISIT_DAY = ("visits", "on")
"""The one field that cannot name a visit: it is what says the day."""


def say_days(joining: Joining) -> None:
    """Puts the visits' days in the place of their names; leaves out what has no day yet.

    So it leaves out what a batch says that nobody speaks for.
    """
    visits: Any = joining.data.get("visits")
    days = [text_of_day(visit)[:10] for visit in visits] if isinstance(visits, list) else []
    for path, number in [*_named(joining.data)]:
        *above, name = path
        group: Any = joining.data
        for step in above:
            group = group[step]
        kept = {key: value for key, value in group.items() if key != name}
        day = days[number - 1] if number <= len(days) else ""
        if day and (above[:1] != ["batches"] or "by" in group):
            said = visits[number - 1]["on"]
            kept[name] = Written(day, said.line, said.column)
            joining.elsewhere[path] = (joining.tree, ("visits", number - 1, "on"))
        if above:
            joining.put(tuple(above), kept)
        else:
            joining.data = kept


def _named(data: Mapping[str, Any]) -> Iterator[tuple[Path, int]]:
    """Every field for a day that names a visit, with the visit's number."""
    for found in written_fields(Installation, data):
        if (found.loc[0], found.loc[-1]) != VISIT_DAY and isinstance(found.shape.kind, MomentKind):
            yield from _number(found.loc, found.value)
    batches = data.get("batches")
    own = {*fields(Installation)["batches"].entries[0].model_fields}
    for name, said in batches.items() if isinstance(batches, Mapping) else ():
        for key, value in said.items() if isinstance(said, Mapping) else ():
            shape = sayable().get(str(key)) if str(key) not in own else None
            if shape is not None and isinstance(shape.kind, MomentKind):
                yield from _number(("batches", str(name), str(key)), value)


def _number(path: Path, value: Any) -> Iterator[tuple[Path, int]]:
    named = DAY_OF_VISIT.fullmatch(value) if isinstance(value, str) else None
    if named:
        yield path, int(named[1])
