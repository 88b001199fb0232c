"""No reference of a record leads back to its start, but those of evidence, which are told."""

from __future__ import annotations

from collections.abc import Iterator

from compliance.files.yaml import parse_yaml
from compliance.record.entry import Group
from compliance.record.installation import Installation
from compliance.record.kinds import AboutKind, Reference
from compliance.record.loops import loops
from compliance.record.shape import fields

TO_ANYTHING = "anything"


def _targets(kind: type[Group]) -> Iterator[str]:
    """Every kind of entry that a kind of entry can refer to, or its collection."""
    for shape in fields(kind).values():
        if isinstance(shape.kind, Reference):
            yield from shape.kind.targets
        elif isinstance(shape.kind, AboutKind):
            yield TO_ANYTHING
        for below in (*shape.entries, *([shape.section] if shape.section else [])):
            yield from _targets(below)


def _ways() -> dict[str, set[str]]:
    """From each kind of entry (`components.inverter`) to those that it can refer to."""
    kinds = {
        (name, kind.type_name()): kind
        for name, shape in fields(Installation).items()
        for kind in shape.entries
    }
    ways = {}
    for (collection, name), kind in kinds.items():
        to = {*_targets(kind)}
        ways[f"{collection}.{name}"] = {
            f"{c}.{n}" for c, n in kinds if c in to or f"{c}.{n}" in to
        } | (to & {TO_ANYTHING})
    return ways


def test_only_what_evidence_is_about_can_lead_in_a_circle() -> None:
    ways = _ways()
    assert len(ways) > 40
    assert [kind for kind, to in ways.items() if TO_ANYTHING in to] == ["evidence.evidence"]
    left = dict(ways)
    while ends := [kind for kind, to in left.items() if not to & left.keys()]:
        for kind in ends:
            del left[kind]
    assert not left, "a circle that `loops` does not look for"


def test_a_thousand_files_in_a_row_are_no_circle_and_closed_they_are_one() -> None:
    rows = [f"  e{n}: {{about: e{n + 1}}}" for n in range(1000)]
    open_row = parse_yaml("\n".join(["evidence:", *rows]).encode(), name="x")
    assert not [*loops(open_row)]
    closed = parse_yaml("\n".join(["evidence:", *rows, "  e1000: {about: e7}"]).encode(), name="x")
    (told,) = loops(closed)
    assert told.place
    assert told.place.field == "evidence.e7.about"
    assert len(told.what) < 700
