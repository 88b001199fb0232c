"""Reading the view: the value at the end of a path, or the first step that is missing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from compliance.rules.language.nodes import Path, once
from compliance.rules.language.scene import Needs, Scene
from compliance.values import NotTaken, Unknown

Walk = Callable[[Scene], tuple[Any, Needs]]

LOST = frozenset({NotTaken, Unknown})
"""What a value is of that stands for nothing; written out in place, it would be made anew."""


def walk(path: Path, scene: Scene) -> tuple[Any, Needs]:
    """The value at the end of a path, or None and the first step that is missing."""
    return walk_of(path)(scene)


def walk_of(path: Path) -> Walk:
    """The walk along a path, made once for each."""
    return once(path, "walked", _walk_to_quantity if path.is_quantity else _walk)


def where(path: Path, scene: Scene) -> str:
    """A path with its local name replaced by what it stands for."""
    return _text(scene.labels.get(path.root, path.root), path.steps)


def _walk(path: Path) -> Walk:
    root = path.root
    steps = tuple((step, _missing(path, n)) for n, step in enumerate(path.steps, 1))

    def walked(scene: Scene) -> tuple[Any, Needs]:
        value: Any = scene.names[root] if root else scene.world.job
        for step, missing in steps:
            value = value.get(step)
            if value is None or value.__class__ in LOST:
                return None, missing(value, scene)
        return value, ()

    return walked


def _walk_to_quantity(path: Path) -> Walk:
    """A worked-out value; one that the record states itself goes before it."""
    owner, name = path.owner, path.steps[-1]
    to_owner = _walk(replace(path, steps=path.steps[:-1]))
    missing = _missing(path, len(path.steps))

    def to_quantity(scene: Scene) -> tuple[Any, Needs]:
        held, needs = to_owner(scene)
        if held is None:
            return None, needs
        value = held.get(name)
        if value is None:
            value = scene.world.quantity(owner, name, held)
        if value is None or value.__class__ in LOST:
            return None, missing(value, scene)
        return value, ()

    return to_quantity


def _missing(path: Path, count: int) -> Callable[[Any, Scene], Needs]:
    """What is lacking where the walk ends after so many steps, at nothing or what stands for it."""
    root, steps = path.root, path.steps[:count]
    plain = ((_text(root, steps), "missing"),)
    at_owner = _text(root, steps[:-1])

    def lacking(value: Any, scene: Scene) -> Needs:
        label = scene.labels.get(root, root)
        if value is None:
            return plain if label == root else ((_text(label, steps), "missing"),)
        if value.__class__ is NotTaken:
            return ((_text(label, steps), f"not taken: {value.reason}"),)
        before = at_owner if label == root else _text(label, steps[:-1])
        return tuple([(_below(before, path), why) for path, why in value.needs])

    return lacking


def _text(label: str, steps: tuple[str, ...]) -> str:
    return ".".join((label, *steps) if label else steps)


def _below(before: str, path: str) -> str:
    """A quantity's need in full; with a slash before it, it begins at the job already."""
    if path[0] == "/":
        return path[1:]
    return f"{before}.{path}" if before else path
