"""Which tests a condition rests on: it reads them itself, or by a worked-out value."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from compliance.rules.language.nodes import Each, Node, Path, parts_of
from compliance.rules.language.scene import Scene
from compliance.rules.language.truth import entries as entries_of
from compliance.rules.language.walks import walk
from compliance.rules.quantities import QUANTITIES

Entry = Mapping[str, Any]

TESTS = frozenset(
    {
        "insulation",
        "polarity",
        "open_circuit_voltage",
        "loop_impedance",
        "continuity",
        "rcd_time",
        "short_circuit_current",
        "operating_current",
        "frame_continuity",
        "fault_current",
        "rcd_button",
        "loss_of_mains",
        "switching",
    }
)
"""The names by which tests stand on what they are of; a test reads them off the record's models."""


def tests_read(node: Node, scene: Scene) -> Iterator[Entry]:
    """The tests that a condition reads, in reading order; one may come more than once."""
    if isinstance(node, Path):
        yield from _tests_on(node, scene)
        return
    if not isinstance(node, Each):
        for part in parts_of(node):
            yield from tests_read(part, scene)
        return
    items, _ = walk(node.source, scene)
    for inner, let_in in entries_of(node, items or [], scene):
        for read in (node.where, node.body) if let_in.value is not False else ():
            if read is not None:
                yield from tests_read(read, inner)


def _tests_on(path: Path, scene: Scene) -> Iterator[Entry]:
    if not path.steps:
        return
    value: Any = scene.names[path.root] if path.root else scene.world.job
    *before, last = path.steps
    for step in before:
        value = value.get(step)
        if value.__class__ is not dict:
            return
        if "~subject" in value:
            yield value
    for step in read_by(path.owner, last) if path.is_quantity else (last,):
        found = value.get(step)
        if found.__class__ is dict and "~subject" in found:
            yield found


@cache
def read_by(owner: str, quantity: str) -> tuple[str, ...]:
    """What a worked-out value reads first of its entry."""
    inputs = QUANTITIES[owner, quantity].inputs.values()
    return tuple(dict.fromkeys(i.path.split(".")[1] for i in inputs if i.path.startswith(".")))
