"""A condition as a sentence, for people who do not read the rule language."""

from __future__ import annotations

from compliance.rules.language.explain import plain_name, written
from compliance.rules.language.kinds import Number, YesNo
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
from compliance.units import COUNT, find

_AT = {"<=": "at most", "<": "less than", ">=": "at least", ">": "more than"}
_WHEN = {"<=": "on or before", "<": "before", ">=": "on or after", ">": "after"}
_OPPOSITE = {"<=": ">", "<": ">=", ">=": "<", ">": "<="}
_SIGNS = {"+": "plus", "-": "less", "*": "times", "/": "divided by"}
_SAID = {"on": "day", "value_v": "voltage", "value_a": "current"}
_NOUNS = {"V": "voltage", "A": "current", "W": "power", "kW": "power"}
_OVER = {"sum": "the sum of", "min": "the least of", "max": "the greatest of"}


def sentence(node: Node, *, is_denied: bool = False) -> str:
    """What a condition asks, in words; `is_denied` for its opposite."""
    is_or_not = "is not" if is_denied else "is"
    match node:
        case Both(parts=parts) | Either(parts=parts):
            word = " and " if isinstance(node, Both) is not is_denied else " or "
            return word.join(_part(p, node, is_denied) for p in parts)
        case Not(body=body):
            return sentence(body, is_denied=not is_denied)
        case Order(op=op, left=a, right=b, is_moment=is_moment):
            said = (_WHEN if is_moment else _AT)[_OPPOSITE[op] if is_denied else op]
            return f"{figure(a)} is {said} {figure(b)}"
        case Same(left=a, right=b):
            return f"{figure(a)} {is_or_not} {figure(b)}"
        case Among(left=a, values=values):
            listed = ", ".join(written(v, COUNT) for v in values)
            one = "one of " if len(values) > 1 else ""
            return f"{figure(a)} {is_or_not} {one}{listed}"
        case Stated(path=path):
            return f"{figure(path)} {is_or_not} stated"
        case Shown(evidence=kind, about=about):
            return f"a {kind} about {figure(about)} {is_or_not} shown"
        case Each():
            return _each(node, is_denied)
    raise TypeError(f"not a condition: {node!r}")


def _part(part: Node, whole: Both | Either, is_denied: bool) -> str:
    text = sentence(part, is_denied=is_denied)
    mixed = isinstance(part, Both | Either) and type(part) is not type(whole)
    return f"({text})" if mixed else text


def _each(node: Each, is_denied: bool) -> str:
    source = f"in {_name(node.source)}"
    if node.form == "unique":
        said = "is not different" if is_denied else "is different"
        return f"{figure(node.body)} {said} for each {plain_name(node.name)} {source}{_kept(node)}"
    if node.form == "all":
        whose = "not for each" if is_denied else "for each"
    else:
        whose = "for no" if is_denied else "for at least one"
    return f"{whose} {plain_name(node.name)} {source}{_kept(node)}, {sentence(node.body)}"


def _kept(node: Each) -> str:
    return f" (only where {sentence(node.where)})" if node.where else ""


def figure(node: Node) -> str:
    """A number, date or word of a condition, in words."""
    match node:
        case Const(value=float() as value, kind=Number(unit=unit)):
            return written(value, unit or COUNT)
        case Const(value=value):
            return written(value, COUNT)
        case Today():
            return "the day of the check"
        case Path():
            return _name(node)
        case Limit(name=name, arguments=arguments):
            at = f" for {' and '.join(map(figure, arguments))}" if arguments else ""
            return f"the limit “{plain_name(name)}”{at}"
        case Scaled(body=body):
            return figure(body)
        case Negative(body=body):
            return f"minus {figure(body)}"
        case Arithmetic(op=op, left=a, right=b):
            return f"{figure(a)} {_SIGNS[op]} {figure(b)}"
        case Apply():
            return _applied(node)
        case Each():
            return _collected(node)
    return sentence(node)


def _applied(node: Apply) -> str:
    match node:
        case Apply(name="days", arguments=(a, b)):
            return f"the number of days from {figure(a)} to {figure(b)}"
        case Apply(name="abs", arguments=(Arithmetic(op="-", left=a, right=b),)):
            return f"the difference between {figure(a)} and {figure(b)}"
        case Apply(name="abs", arguments=(a,)):
            return f"the size of {figure(a)}"
    least = "the least" if node.name == "min" else "the greatest"
    return f"{least} of {', '.join(map(figure, node.arguments))}"


def _collected(node: Each) -> str:
    whose = f"{plain_name(node.name)} in {_name(node.source)}{_kept(node)}"
    if node.form == "count":
        return f"the number of entries, each a {whose}, for which {sentence(node.body)},"
    return f"{_OVER[node.form]} {figure(node.body)} over each {whose}"


def _name(path: Path) -> str:
    """`isolator.rated_v` is "the isolator's rated voltage"."""
    words = [word for step in path.steps for word in _step(step).split()]
    once = [w for i, w in enumerate(words) if i == 0 or w != words[i - 1]]
    if isinstance(path.kind, YesNo):
        once[-1] = f"“{once[-1]}”"
    names = " ".join(once)
    if not path.root:
        return f"the job's {names}"
    return f"the {plain_name(path.root)}'s {names}" if path.steps else f"this {path.root}"


def _step(name: str) -> str:
    said = _SAID.get(name, plain_name(name))
    noun = _NOUNS.get(find(name).symbol, "")
    is_symbol = not said.islower()  # Voc, Isc and Zs say themselves what they are
    return said if not noun or noun in said or is_symbol else f"{said} {noun}"
