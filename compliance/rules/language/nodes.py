"""A checked expression: what the reference walks and the generated code is made from.

Every node is plain frozen data. Conversions between scales are already nodes
(`Scaled`), constants are already normalised, names are already known to exist.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal, TypeVar, cast

from compliance.rules.language.kinds import TRUTH, Kind, Number, Truth

Made = TypeVar("Made")


class _Keeping:
    """Room for what is made of a node once; no part of what it is, and left out of copies."""

    __slots__ = ("told", "walked", "worked")

    told: Any
    walked: Any
    worked: Any


def once(node: Any, name: str, make: Callable[[Any], Made]) -> Made:
    """What `make` makes of a node, made once and kept on it under a name."""
    try:
        kept: Made = getattr(node, name)
    except AttributeError:
        kept = make(node)
        object.__setattr__(node, name, kept)
    return kept


@dataclass(frozen=True, slots=True)
class Const(_Keeping):
    """A number, text or yes/no written in the rule."""

    value: float | str | bool
    kind: Kind


@dataclass(frozen=True, slots=True)
class Today(_Keeping):
    """The date of the check."""

    kind: Kind


@dataclass(frozen=True, slots=True)
class Path(_Keeping):
    """A walk from a local name (or from the job: root "") along fields.

    `owner` is the type that holds the last step, for quantities and for wording.
    """

    root: str
    steps: tuple[str, ...]
    kind: Kind
    owner: str

    @property
    def text(self) -> str:
        """The path as the rule writes it."""
        return ".".join((self.root, *self.steps) if self.root else self.steps)

    @property
    def is_quantity(self) -> bool:
        """Whether the last step is worked out and not read."""
        return isinstance(self.kind, Number) and self.kind.is_worked


@dataclass(frozen=True, slots=True)
class Scaled(_Keeping):
    """A number converted to another scale of its dimension."""

    body: Node
    factor: float
    kind: Number


@dataclass(frozen=True, slots=True)
class Arithmetic(_Keeping):
    """`left op right`, op one of + - * /."""

    op: Literal["+", "-", "*", "/"]
    left: Node
    right: Node
    kind: Number


@dataclass(frozen=True, slots=True)
class Negative(_Keeping):
    """Unary minus."""

    body: Node
    kind: Number


@dataclass(frozen=True, slots=True)
class Apply(_Keeping):
    """`abs`, `min` or `max` of numbers, or `days` between two dates."""

    name: Literal["abs", "min", "max", "days"]
    arguments: tuple[Node, ...]
    kind: Number


@dataclass(frozen=True, slots=True)
class Limit(_Keeping):
    """A look-up in a dated limit table."""

    name: str
    arguments: tuple[Node, ...]
    kind: Number


@dataclass(frozen=True, slots=True)
class Order(_Keeping):
    """`left op right` over numbers or over moments."""

    op: Literal["<", "<=", ">", ">="]
    left: Node
    right: Node
    is_moment: bool = False
    kind: Truth = TRUTH

    @property
    def is_worked(self) -> bool:
        """Whether a side is worked out, so that the tolerance applies."""
        a, b = self.left.kind, self.right.kind
        return (isinstance(a, Number) and a.is_worked) or (isinstance(b, Number) and b.is_worked)


@dataclass(frozen=True, slots=True)
class Same(_Keeping):
    """`left == right` of words, texts, yes/no, references or figures."""

    left: Node
    right: Node
    kind: Truth = TRUTH


@dataclass(frozen=True, slots=True)
class Among(_Keeping):
    """`left in (...)`."""

    left: Node
    values: tuple[float | str | bool, ...]
    kind: Truth = TRUTH


@dataclass(frozen=True, slots=True)
class Not(_Keeping):
    """`not body`."""

    body: Node
    kind: Truth = TRUTH


@dataclass(frozen=True, slots=True)
class Both(_Keeping):
    """`and` of two or more."""

    parts: tuple[Node, ...]
    kind: Truth = TRUTH


@dataclass(frozen=True, slots=True)
class Either(_Keeping):
    """`or` of two or more."""

    parts: tuple[Node, ...]
    kind: Truth = TRUTH


@dataclass(frozen=True, slots=True)
class Each(_Keeping):
    """`all any count sum min max unique` over one generator with at most one filter."""

    form: Literal["all", "any", "count", "sum", "min", "max", "unique"]
    body: Node
    name: str
    source: Path
    where: Node | None
    is_complete: bool
    kind: Truth | Number


@dataclass(frozen=True, slots=True)
class Stated(_Keeping):
    """`stated(path)`: true if known or beyond range, else unknown."""

    path: Path
    kind: Truth = TRUTH


@dataclass(frozen=True, slots=True)
class Shown(_Keeping):
    """`shown(kind, about)`: evidence of the kind counts for the subject, else unknown."""

    evidence: str
    about: Path
    kind: Truth = TRUTH


Node = (
    Const | Today | Path | Scaled | Arithmetic | Negative | Apply | Limit | Order | Same
    | Among | Not | Both | Either | Each | Stated | Shown
)  # fmt: skip


def parts_of(node: Node) -> tuple[Node, ...]:
    """The nodes directly below one."""
    match node:
        case Scaled(body=body) | Negative(body=body) | Not(body=body):
            return (body,)
        case Arithmetic(left=a, right=b) | Order(left=a, right=b) | Same(left=a, right=b):
            return (a, b)
        case Apply(arguments=arguments) | Limit(arguments=arguments):
            return arguments
        case Among(left=left):
            return (left,)
        case Both(parts=parts) | Either(parts=parts):
            return parts
        case Each(body=body, source=source, where=where):
            return (source, body) if where is None else (source, body, where)
        case Stated(path=path):
            return (path,)
        case Shown(about=about):
            return (about,)
        case _:
            return ()


def with_parts(node: Node, parts: tuple[Node, ...]) -> Node:
    """The same node over other parts, given in the order of `parts_of`."""
    changed = cast("Any", node)
    match node:
        case Scaled() | Negative() | Not():
            changed = replace(changed, body=parts[0])
        case Arithmetic() | Order() | Same():
            changed = replace(changed, left=parts[0], right=parts[1])
        case Apply() | Limit():
            changed = replace(changed, arguments=parts)
        case Among():
            changed = replace(changed, left=parts[0])
        case Both() | Either():
            changed = replace(changed, parts=parts)
        case Each():
            where = parts[2] if len(parts) > 2 else None
            changed = replace(changed, source=parts[0], body=parts[1], where=where)
        case Stated():
            changed = replace(changed, path=parts[0])
        case Shown():
            changed = replace(changed, about=parts[0])
    return cast("Node", changed)


def paths_in(node: Node) -> list[Path]:
    """Every path that a node reads, in reading order."""
    if isinstance(node, Path):
        return [node]
    return [path for part in parts_of(node) for path in paths_in(part)]
