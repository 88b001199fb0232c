"""Numbers from limit tables that are asked by what a cable is: its size, heat, neighbours."""

from __future__ import annotations

from compliance.rules.quantities.binding import Asked, Entry, Needs, walk
from compliance.units import find, shown

Looked = tuple[float | None, Needs]


def at_size(table: str, path: str, entry: Entry, asked: Asked) -> Looked:
    """The row of a table for a number of the record, which must be one that it lists."""
    value, lacking = walk(path, entry, asked)
    if lacking:
        return None, lacking
    word = f"{value:g}"
    if word in asked.listed(table):
        return asked.table(table, word)
    return None, beyond(path, f"one of {', '.join(asked.listed(table))}")


def at_number(table: str, path: str, entry: Entry, asked: Asked) -> Looked:
    """The row of a table that a number of the record falls into."""
    value, lacking = walk(path, entry, asked)
    return (None, lacking) if lacking else asked.table(table, float(value))


def warmer(table: str, path: str, entry: Entry, asked: Asked) -> Looked:
    """The row of a table for a temperature: between two that it lists, the warmer counts."""
    value, lacking = walk(path, entry, asked)
    if lacking:
        return None, lacking
    for word in asked.listed(table):
        if value <= float(word):
            return asked.table(table, word)
    hottest = shown(float(asked.listed(table)[-1]), find(path))
    return None, beyond(path, f"no more than {hottest}")


def beyond(path: str, right: str) -> Needs:
    """What is told of a value that a table does not have."""
    return ((path.lstrip("."), f"outside validity of the table: it must be {right}"),)
