"""Strings that are alike, and one reading of each: what spreads are worked out from."""

from __future__ import annotations

from typing import Any

from compliance.rules.quantities.binding import Asked, Entry, Needs, walk


def strings_alike(
    entry: Entry, asked: Asked, names: tuple[str, ...]
) -> tuple[tuple[Entry, ...], Needs]:
    """The strings that share these fields with a string, this one among them."""
    needs = [(name, "missing") for name in names if entry.get(name) is None]
    if needs:  # which others are like it can only be asked of what it is itself
        return (), tuple(needs)
    found: list[Entry] = []
    for other in asked.job.get("strings", ()):
        missing = [name for name in names if other.get(name) is None]
        if any(not _same(other[n], entry[n]) for n in names if n not in missing):
            continue
        if missing:
            needs += [(f"/strings[{other['~name']}].{name}", "missing") for name in missing]
        else:
            found.append(other)
    return tuple(found), tuple(needs)


def readings_alike(
    entry: Entry, asked: Asked, names: tuple[str, ...], path: str
) -> tuple[tuple[float, ...], Needs]:
    """The reading at a path of every string that is alike, or what they lack."""
    found, needs = strings_alike(entry, asked, names)
    values: list[float] = []
    lacking = list(needs)
    for string in found:
        value, why = walk(path, string, asked)
        prefix = "" if string is entry else f"/strings[{string['~name']}]."
        lacking += [(prefix + step, reason) for step, reason in why]
        if not why:
            values.append(value)
    return tuple(values), tuple(lacking)


def number_alike(
    entry: Entry, asked: Asked, names: tuple[str, ...]
) -> tuple[tuple[float, ...], Needs]:
    """How many strings are alike."""
    found, needs = strings_alike(entry, asked, names)
    return (float(len(found)),), needs


def _same(a: Any, b: Any) -> bool:
    return a is b if isinstance(a, dict) or isinstance(b, dict) else bool(a == b)
