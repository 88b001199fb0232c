"""A checked expression as a rule would write it, for telling people which part is meant."""

from __future__ import annotations

from compliance.rules.language.nodes import (
    Among,
    Apply,
    Arithmetic,
    Both,
    Const,
    Each,
    Either,
    Limit,
    Negative,
    Node,
    Not,
    Order,
    Path,
    Same,
    Scaled,
    Shown,
    Stated,
    Today,
)

_LOOSE = (Both, Either, Not, Order, Same, Among, Arithmetic)


def spelled(node: Node) -> str:
    """The text of a node; conversions between scales, which nobody writes, are not in it."""
    match node:
        case Const(value=value):
            return _constant(value)
        case Today():
            return "today"
        case Path():
            return node.text
        case Scaled(body=body):
            return spelled(body)
        case Negative(body=body):
            return f"-{_tight(body)}"
        case Arithmetic(op=op, left=a, right=b):
            return f"{_operand(a, op, is_right=False)} {op} {_operand(b, op, is_right=True)}"
        case Apply(name=name, arguments=arguments):
            return f"{name}({_listed(arguments)})"
        case Limit(name=name, arguments=arguments):
            return f"limits.{name}({_listed(arguments)})"
        case Stated(path=path):
            return f"stated({path.text})"
        case Shown(evidence=kind, about=about):
            return f"shown({_constant(kind)}, {about.text})"
    return _condition(node)


def _condition(node: Node) -> str:
    match node:
        case Order(op=op, left=a, right=b):
            return f"{_side(a)} {op} {_side(b)}"
        case Same(left=a, right=Const(value=True)):
            return spelled(a)
        case Same(left=a, right=b):
            return f"{_side(a)} == {_side(b)}"
        case Among(left=a, values=values):
            return f"{_side(a)} in {_tuple(values)}"
        case Not(body=Same(left=a, right=b)) if b != Const(True, b.kind):
            return f"{_side(a)} != {_side(b)}"
        case Not(body=Among(left=a, values=values)):
            return f"{_side(a)} not in {_tuple(values)}"
        case Not(body=body):
            return f"not {spelled(body) if isinstance(body, Same) else _tight(body)}"
        case Both(parts=parts):
            return " and ".join(_part(p) for p in parts)
        case Either(parts=parts):
            return " or ".join(_part(p) for p in parts)
        case Each(form=form, body=body, name=name, source=source, where=where):
            kept = f" if {spelled(where)}" if where else ""
            return f"{form}({spelled(body)} for {name} in {source.text}{kept})"
    raise TypeError(f"not a node: {node!r}")


def _constant(value: float | str | bool) -> str:
    if isinstance(value, bool):
        return "'yes'" if value else "'no'"
    return repr(value) if isinstance(value, str) else f"{value:.12g}"


def _tuple(values: tuple[float | str | bool, ...]) -> str:
    return f"({', '.join(map(_constant, values))}{',' if len(values) == 1 else ''})"


def _listed(nodes: tuple[Node, ...]) -> str:
    return ", ".join(map(spelled, nodes))


def _operand(node: Node, op: str, *, is_right: bool) -> str:
    """A side of a calculation, in brackets where it would be read otherwise without them."""
    if not isinstance(node, Arithmetic):
        return _tight(node)
    binds = node.op in "*/" and op in "+-"
    same = (node.op in "*/") is (op in "*/") and not is_right
    return spelled(node) if binds or same else _tight(node)


def _part(node: Node) -> str:
    return _tight(node) if isinstance(node, Both | Either) else spelled(node)


def _side(node: Node) -> str:
    """A side of a comparison: arithmetic stands there without brackets."""
    return spelled(node) if isinstance(node, Arithmetic) else _tight(node)


def _tight(node: Node) -> str:
    return f"({spelled(node)})" if isinstance(node, _LOOSE) else spelled(node)
