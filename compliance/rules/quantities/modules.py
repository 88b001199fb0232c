"""Worked-out values of a type of module: how many were fitted, how many have their number."""

from __future__ import annotations

from compliance.rules.quantities.binding import Asked, Entry, Gathered, Needs, Quantity, walk


def _modules_of_strings(entry: Entry, asked: Asked) -> tuple[tuple[float, ...], Needs]:
    """How many modules of this type each string has."""
    strings, needs = walk(".strings", entry, asked)
    needs += tuple(("/" + path, "missing") for _, path in getattr(strings, "perhaps", ()))
    counts: list[float] = []
    for string in strings or ():
        rows: list[float] = []
        for name in ("in_series", "parallel"):
            value, why = walk(f".{name}", string, asked)
            needs += tuple((f"/strings[{string['~name']}].{path}", reason) for path, reason in why)
            rows.append(value)
        if None not in rows:
            counts.append(rows[0] * rows[1])
    return tuple(counts), needs


def _different_serials(entry: Entry, asked: Asked) -> tuple[tuple[float, ...], Needs]:
    serials, needs = walk(".serials", entry, asked)
    return (float(len(serials or ())),), needs


def _modules_fitted(counts: tuple[float, ...]) -> float:
    return sum(counts)


def _serials_listed(counts: tuple[float, ...]) -> float:
    return counts[0]


QUANTITIES = (
    Quantity(
        owner="module",
        name="modules_fitted",
        title="Modules of this type that were fitted",
        formula="sum over the strings of modules in series × rows in parallel",
        inputs={"counts": Gathered("modules of each string", _modules_of_strings, ".strings")},
        calculate=_modules_fitted,
        source="common-practice",
        clause="",
        confidence="common practice",
    ),
    Quantity(
        owner="module",
        name="serials_listed",
        title="Different serial numbers listed for modules of this type",
        formula="counted",
        inputs={"counts": Gathered("serial numbers", _different_serials, ".serials")},
        calculate=_serials_listed,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="A number that was written twice counts once.",
    ),
)
