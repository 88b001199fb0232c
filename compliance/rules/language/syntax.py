"""From the text of an expression to checked nodes; everything wrong is found here.

Expressions are a small part of Python's syntax, parsed with `ast` and never run.
Checked: every name and word exists, both sides of a comparison are of one kind and
dimension, a condition is a condition. See the language section of DEVELOPERS.md.
"""

from __future__ import annotations

import ast
import io
import tokenize
import warnings
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Literal, NoReturn, cast

from compliance.rules.language.kinds import (
    Kind,
    LimitSign,
    Many,
    Moment,
    Number,
    Text,
    Thing,
    Truth,
    Vocabulary,
    Word,
    YesNo,
    described,
)
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
from compliance.rules.language.problems import (
    HiddenNameError,
    KindsDifferError,
    NotInTheLanguageError,
    NotSureError,
    TooMuchError,
    UnitsDifferError,
    UnknownNameError,
    UnknownWordError,
)
from compliance.units import COUNT, DAYS, KELVIN, Unit
from compliance.values import plain

MOST_CHARACTERS = 2_000
MOST_DEPTH = 30
MOST_NESTED = 2

FORMS = ("all", "any", "count", "sum", "min", "max", "unique")
_ORDERS: dict[type[ast.cmpop], str] = {ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">="}
_ARITHMETIC: dict[type[ast.operator], str] = {
    ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"
}  # fmt: skip
_INSTEAD: dict[type[ast.AST], tuple[str, str]] = {
    ast.Subscript: ("a subscript [ ]", "name the field after a dot"),
    ast.IfExp: ("`x if c else y`", "use the requirement's own `if`, or `and` and `or`"),
    ast.Lambda: ("a lambda", "write the condition itself"),
    ast.ListComp: ("a list", "use all, any, count, sum, min, max or unique over ( )"),
    ast.JoinedStr: ("an f-string", "write the plain text"),
    ast.NamedExpr: ("`:=`", "write the expression where it is needed"),
    ast.Dict: ("a mapping", "compare the fields one by one"),
    ast.Starred: ("`*`", "write the arguments out"),
}
_EQUAL = ("<=", ">=")


def condition(text: str, vocabulary: Vocabulary, names: Mapping[str, str]) -> Node:
    """The checked condition that `text` writes.

    Args:
        text: The expression as the rule writes it.
        vocabulary: Every name it may use.
        names: The rule's local names and the type each stands for.

    Raises:
        RulesetError: One of the classes of `problems.py`, at the first fault found.
    """
    return _Reader(vocabulary, dict(names)).condition(_parsed(text))


def collection(text: str, vocabulary: Vocabulary, names: Mapping[str, str]) -> tuple[Path, Many]:
    """The path to a collection that the `in` part of a `for` writes, and its kind."""
    node = _Reader(vocabulary, dict(names)).read(_parsed(text))
    if not isinstance(node, Path) or not isinstance(node.kind, Many):
        raise KindsDifferError(text, described(node.kind), "a collection")
    return node, node.kind


def _parsed(text: str) -> ast.expr:
    if len(text) > MOST_CHARACTERS:
        raise TooMuchError(f"{len(text)} characters", MOST_CHARACTERS)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # an odd escape is judged below, as text
            found = ast.parse(f"[{text}\n]", mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        found = None
    if not isinstance(found, ast.List) or len(found.elts) != 1:
        raise NotInTheLanguageError(f'"{_short(text)}"', "check its brackets, quotes and signs")
    if "#" in text and _has_comment(text):
        raise NotInTheLanguageError(
            "a comment after #", "what stands behind it would not be read: leave it out"
        )
    (tree,) = found.elts
    depth = _depth(tree)
    if depth > MOST_DEPTH:
        raise TooMuchError(f"{depth} levels", MOST_DEPTH)
    return tree


def _has_comment(text: str) -> bool:
    tokens = tokenize.generate_tokens(io.StringIO(f"[{text}\n]").readline)
    return any(token.type == tokenize.COMMENT for token in tokens)


def _depth(tree: ast.AST) -> int:
    level, deepest = [tree], 0
    while level:
        deepest += 1
        level = [c for node in level for c in ast.iter_child_nodes(node)
                 if isinstance(c, ast.expr | ast.comprehension)]  # fmt: skip
    return deepest


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


class _Reader:
    """Turns one parsed expression into nodes, knowing which local names are in force."""

    def __init__(self, vocabulary: Vocabulary, names: dict[str, str], nested: int = 0) -> None:
        self.vocabulary = vocabulary
        self.names = names
        self.nested = nested

    # -- conditions -------------------------------------------------------------------

    def condition(self, tree: ast.expr) -> Node:
        node = self.read(tree)
        if isinstance(node.kind, YesNo):
            return Same(node, Const(True, YesNo()))
        if not isinstance(node.kind, Truth):
            raise KindsDifferError(_text(tree), described(node.kind), "a condition")
        return node

    def read(self, tree: ast.expr) -> Node:
        match tree:
            case ast.Name() | ast.Attribute():
                return self._path(tree)
            case ast.Constant(value=value):
                return self._constant(value)
            case ast.BoolOp(op=op, values=values):
                parts = tuple(self.condition(v) for v in values)
                return Both(parts) if isinstance(op, ast.And) else Either(parts)
            case ast.UnaryOp(op=ast.Not(), operand=operand):
                return Not(self.condition(operand))
            case ast.UnaryOp(op=ast.USub(), operand=operand):
                return self._negative(operand)
            case ast.Compare():
                return self._comparison(tree)
            case ast.BinOp():
                return self._arithmetic(tree)
            case ast.Call():
                return self._call(tree)
        self._refuse(tree)

    def _refuse(self, tree: ast.AST) -> NoReturn:
        what, instead = _INSTEAD.get(type(tree), (f'"{_text(tree)}"', "see the grammar"))
        raise NotInTheLanguageError(what, instead)

    def _constant(self, value: Any) -> Node:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise NotInTheLanguageError(
                f"{value!r}", "write a number, a quoted word, 'yes' or 'no'"
            )
        if isinstance(value, str):
            return Const(plain(value), Text())
        if abs(value) > 1e300:
            raise NotInTheLanguageError("so large a number", "write one that fits")
        return Const(float(value), Number(None))

    # -- names ------------------------------------------------------------------------

    def _path(self, tree: ast.Name | ast.Attribute) -> Node:
        steps: list[str] = []
        at: ast.expr = tree
        while isinstance(at, ast.Attribute):
            steps.insert(0, at.attr)
            at = at.value
        if not isinstance(at, ast.Name):
            self._refuse(at)
        if at.id == "today" and not steps:
            return Today(Moment())
        if at.id in self.names:
            root, kind = at.id, cast("Kind", Thing(self.names[at.id]))
        else:
            root, kind = "", cast("Kind", Thing(self.vocabulary.root))
            steps.insert(0, at.id)
        owner = ""
        for number, step in enumerate(steps):
            so_far = ".".join([root, *steps[:number]]).strip(".") or "the record"
            if isinstance(kind, Many):
                raise KindsDifferError(
                    so_far, described(kind), "one entry: go through it with `for` or a generator"
                )
            if not isinstance(kind, Thing):
                raise KindsDifferError(so_far, described(kind), f'something that has "{step}"')
            owner, fields = kind.type, self.vocabulary.fields(kind.type)
            if step not in fields:
                known = [*fields, *self.names, "today"] if number == 0 and not root else [*fields]
                raise UnknownNameError(step, so_far, known)
            kind = fields[step]
        return Path(root, tuple(steps), kind, owner)

    # -- numbers ----------------------------------------------------------------------

    def _number(self, tree: ast.expr) -> Node:
        node = self.read(tree)
        if not isinstance(node.kind, Number):
            raise KindsDifferError(_text(tree), described(node.kind), "a number")
        return node

    def _negative(self, operand: ast.expr) -> Node:
        body = self._number(operand)
        kind = cast("Number", body.kind)
        if kind.unit is not None and kind.unit.is_point:
            raise UnitsDifferError(_text(operand), "a minus sign", "degrees Celsius")
        if isinstance(body, Const):
            return Const(-cast("float", body.value), kind)
        return Negative(body, kind)

    def _arithmetic(self, tree: ast.BinOp) -> Node:
        op = _ARITHMETIC.get(type(tree.op))
        if op is None:
            raise NotInTheLanguageError(f'the sign in "{_text(tree)}"', "use + - * /")
        left, right = self._number(tree.left), self._number(tree.right)
        a, b = cast("Number", left.kind), cast("Number", right.kind)
        if op in "+-":
            if a.unit is None and b.unit is None:
                unit = None
            else:
                left, right = _one_scale(_text(tree), left, right)
                unit = cast("Number", left.kind).unit
            if unit is not None and unit.is_point:
                if op == "+":
                    raise UnitsDifferError(_text(tree), "°C", "°C: temperatures only subtract")
                unit = KELVIN
        else:
            for side in (a, b):
                if side.unit is not None and side.unit.is_point:
                    raise UnitsDifferError(
                        _text(tree), "°C", "a factor: temperatures only subtract"
                    )
            sign = 1 if op == "*" else -1
            bare = a.unit is None and b.unit is None
            unit = None if bare else (a.unit or COUNT).times(b.unit or COUNT, sign)
        return Arithmetic(cast("Any", op), left, right, Number(unit, is_worked=True))

    # -- comparisons ------------------------------------------------------------------

    def _comparison(self, tree: ast.Compare) -> Node:
        sides = [tree.left, *tree.comparators]
        links = [
            self._link(op, sides[i], sides[i + 1], _text(tree)) for i, op in enumerate(tree.ops)
        ]
        return links[0] if len(links) == 1 else Both(tuple(links))

    def _link(self, op: ast.cmpop, a: ast.expr, b: ast.expr, text: str) -> Node:
        if isinstance(op, ast.In | ast.NotIn):
            among = self._among(a, b)
            return Not(among) if isinstance(op, ast.NotIn) else among
        left, right = self.read(a), self.read(b)
        if isinstance(op, ast.Eq | ast.NotEq):
            same = self._same(left, right, text)
            return Not(same) if isinstance(op, ast.NotEq) else same
        order = _ORDERS.get(type(op))
        if order is None:
            raise NotInTheLanguageError("`is`", "use == or !=")
        if isinstance(left.kind, Moment) and isinstance(right.kind, Moment):
            return Order(cast("Any", order), left, right, is_moment=True)
        for side, node in ((a, left), (b, right)):
            if not isinstance(node.kind, Number):
                other = right if node is left else left
                raise KindsDifferError(_text(side), described(node.kind), described(other.kind))
        left, right = _one_scale(text, left, right)
        return Order(cast("Any", order), left, right)

    def _same(self, left: Node, right: Node, text: str) -> Node:
        if isinstance(left, Const) and not isinstance(right, Const):
            left, right = right, left
        if isinstance(right, Const):
            return Same(left, self._fitting(left, right))
        a, b = left.kind, right.kind
        if isinstance(a, Number) and isinstance(b, Number):
            for kind in (a, b):
                _exact(kind, text)
            left, right = _one_scale(text, left, right)
            return Same(left, right)
        if isinstance(a, Moment) and isinstance(b, Moment):
            return Both(tuple(Order(cast("Any", op), left, right, is_moment=True) for op in _EQUAL))
        alike = type(a) is type(b) or {type(a), type(b)} <= {Word, Text}
        if not alike or isinstance(a, Truth | Many):
            raise KindsDifferError(text, f"{described(a)} against {described(b)}", "one kind")
        if isinstance(a, Thing) and isinstance(b, Thing) and a.type != b.type:
            raise KindsDifferError(text, f"{described(a)} against {described(b)}", "one kind")
        return Same(left, right)

    def _among(self, a: ast.expr, b: ast.expr) -> Node:
        left = self.read(a)
        if not isinstance(b, ast.Tuple) or not b.elts:
            raise NotInTheLanguageError(
                f'"in {_text(b)}"', "write the values as a tuple: in ('a', 'b')"
            )
        values = []
        for element in b.elts:
            right = self.read(element)
            if not isinstance(right, Const):
                raise NotInTheLanguageError(
                    f'"{_text(element)}" after in', "only constants stand there"
                )
            values.append(self._fitting(left, right).value)
        return Among(left, tuple(values))

    def _fitting(self, left: Node, right: Const) -> Const:
        """The constant as a value of the left side's kind."""
        name = left.text if isinstance(left, Path) else "the left side"
        match left.kind:
            case Word(words) if isinstance(right.value, str):
                if right.value not in words:
                    raise UnknownWordError(right.value, name, words)
                return Const(right.value, left.kind)
            case YesNo() if isinstance(right.value, str):
                if right.value not in ("yes", "no"):
                    raise UnknownWordError(right.value, name, ("yes", "no"))
                return Const(right.value == "yes", left.kind)
            case Text() if isinstance(right.value, str):
                return right
            case Number() as kind if isinstance(right.kind, Number):
                _exact(kind, name)
                return replace(right, kind=kind)
        raise KindsDifferError(repr(right.value), described(right.kind), described(left.kind))

    # -- calls ------------------------------------------------------------------------

    def _call(self, tree: ast.Call) -> Node:
        if tree.keywords:
            raise NotInTheLanguageError("a keyword argument", "write the arguments in order")
        match tree.func:
            case ast.Attribute(value=ast.Name(id="limits"), attr=name):
                return self._limit(name, tree.args)
            case ast.Name(id=name):
                pass
            case _:
                raise NotInTheLanguageError(f'"{_text(tree.func)}( )"', "entries have no methods")
        if len(tree.args) == 1 and isinstance(tree.args[0], ast.GeneratorExp):
            return self._each(name, tree.args[0])
        match name:
            case "abs":
                return self._apply("abs", tree.args, 1, 1)
            case "min" | "max":
                return self._apply(cast("Any", name), tree.args, 2, 20)
            case "days":
                return self._days(tree.args)
            case "stated":
                return Stated(self._only_path(name, tree.args, 1))
            case "shown":
                return self._shown(tree.args)
        known = ["abs", "days", "stated", "shown", "limits", *FORMS]
        raise UnknownNameError(name, "the functions", known)

    def _limit(self, name: str, arguments: list[ast.expr]) -> Node:
        sign = self.vocabulary.limits.get(name)
        if sign is None:
            raise UnknownNameError(name, "the limit tables", self.vocabulary.limits)
        self._count(f"limits.{name}", arguments, len(sign.arguments), len(sign.arguments))
        nodes = tuple(self._argument(name, sign, i, a) for i, a in enumerate(arguments))
        return Limit(name, nodes, Number(sign.unit))

    def _argument(self, name: str, sign: LimitSign, number: int, tree: ast.expr) -> Node:
        node, wanted = self.read(tree), sign.arguments[number]
        where = f"argument {number + 1} of limits.{name}"
        if isinstance(wanted, Number) and isinstance(node.kind, Number):
            pattern = Const(0.0, Number(wanted.unit))
            return _one_scale(where, pattern, node)[1]
        if isinstance(wanted, Word):
            if isinstance(node, Const) and isinstance(node.value, str):
                if node.value not in wanted.words:
                    raise UnknownWordError(node.value, where, wanted.words)
                return Const(node.value, wanted)
            if isinstance(node.kind, Word):
                for word in node.kind.words:
                    if word not in wanted.words:
                        raise UnknownWordError(word, where, wanted.words)
                return node
        raise KindsDifferError(where, described(node.kind), described(wanted))

    def _apply(
        self, name: Literal["abs", "min", "max"], trees: list[ast.expr], least: int, most: int
    ) -> Node:
        self._count(name, trees, least, most)
        nodes = [self._number(t) for t in trees]
        first = next((n for n in nodes if cast("Number", n.kind).unit is not None), nodes[0])
        nodes = [n if n is first else _one_scale(name, first, n)[1] for n in nodes]
        kinds = [cast("Number", n.kind) for n in nodes]
        unit = cast("Number", first.kind).unit
        if name == "abs" and unit is not None and unit.is_point:
            raise UnitsDifferError("abs", "°C", "a size: temperatures only compare and subtract")
        worked = any(k.is_worked for k in kinds)
        reading = any(k.is_reading for k in kinds)
        return Apply(name, tuple(nodes), Number(unit, reading, worked))

    def _days(self, trees: list[ast.expr]) -> Node:
        self._count("days", trees, 2, 2)
        nodes = tuple(self.read(t) for t in trees)
        for tree, node in zip(trees, nodes, strict=True):
            if not isinstance(node.kind, Moment):
                raise KindsDifferError(_text(tree), described(node.kind), "a date")
        return Apply("days", nodes, Number(DAYS, is_worked=True))

    def _only_path(self, name: str, trees: list[ast.expr], count: int) -> Path:
        self._count(name, trees, count, count)
        node = self.read(trees[-1])
        if not isinstance(node, Path):
            raise NotInTheLanguageError(f'"{_text(trees[-1])}" in {name}( )', "name a field")
        return node

    def _shown(self, trees: list[ast.expr]) -> Node:
        about = self._only_path("shown", trees, 2)
        kind = trees[0].value if isinstance(trees[0], ast.Constant) else None
        if not isinstance(kind, str) or kind not in self.vocabulary.evidence:
            raise UnknownWordError(
                str(kind or _text(trees[0])), "shown( )", self.vocabulary.evidence
            )
        if not isinstance(about.kind, Thing):
            raise KindsDifferError(about.text, described(about.kind), "an entry")
        return Shown(kind, about)

    def _count(self, name: str, trees: list[ast.expr], least: int, most: int) -> None:
        if not least <= len(trees) <= most:
            right = str(least) if least == most else f"{least} or more"
            raise NotInTheLanguageError(f"{name} with {len(trees)} arguments", f"it takes {right}")

    # -- collections ------------------------------------------------------------------

    def _each(self, form: str, tree: ast.GeneratorExp) -> Node:
        if form not in FORMS:
            raise UnknownNameError(form, "the functions over a collection", FORMS)
        if len(tree.generators) != 1 or len(tree.generators[0].ifs) > 1:
            raise NotInTheLanguageError("a second `for` or `if`", "join the conditions with `and`")
        if self.nested >= MOST_NESTED:
            raise TooMuchError(f"{self.nested + 1} generators inside each other", MOST_NESTED)
        generator = tree.generators[0]
        if not isinstance(generator.target, ast.Name):
            raise NotInTheLanguageError(f'"for {_text(generator.target)}"', "use one local name")
        name = generator.target.id
        if name in self.names or name in ("today", "limits") or name in self._root_names():
            raise HiddenNameError(name)
        source = self.read(generator.iter)
        if not isinstance(source, Path) or not isinstance(source.kind, Many):
            raise KindsDifferError(_text(generator.iter), described(source.kind), "a collection")
        complete = source.kind.is_complete
        if not complete and form in ("all", "sum", "min", "max", "unique"):
            raise NotSureError(form, source.text)
        inner = _Reader(self.vocabulary, {**self.names, name: source.kind.type}, self.nested + 1)
        where = inner.condition(generator.ifs[0]) if generator.ifs else None
        body, kind = inner.body_of(form, tree.elt)
        return Each(cast("Any", form), body, name, source, where, complete, kind)

    def _root_names(self) -> Mapping[str, Kind]:
        return self.vocabulary.fields(self.vocabulary.root)

    def body_of(self, form: str, tree: ast.expr) -> tuple[Node, Truth | Number]:
        """What a form does to each entry, and the kind of the whole."""
        if form in ("all", "any"):
            return self.condition(tree), Truth()
        if form == "count":
            return self.condition(tree), Number(COUNT)
        if form == "unique":
            node = self.read(tree)
            if not isinstance(node.kind, Text | Word | Thing):
                raise KindsDifferError(
                    _text(tree), described(node.kind), "text, a word or a reference"
                )
            return node, Truth()
        node = self._number(tree)
        kind = cast("Number", node.kind)
        if form == "sum" and kind.unit is not None and kind.unit.is_point:
            raise UnitsDifferError(_text(tree), "°C", "a sum: temperatures only subtract")
        return node, replace(kind, is_worked=kind.is_worked or form == "sum")


def _exact(kind: Number, what: str) -> None:
    if kind.is_reading or kind.is_worked:
        raise KindsDifferError(f"== or in on {what}", "a measured or worked-out number", "<= or >=")


def _one_scale(what: str, left: Node, right: Node) -> tuple[Node, Node]:
    """Both sides in the left side's unit; a bare constant takes the other side's."""
    a, b = cast("Number", left.kind), cast("Number", right.kind)
    if a.unit is None:
        return (left, right) if b.unit is None else (_as(left, b.unit), right)
    if b.unit is None:
        return left, _as(right, a.unit)
    if not a.unit.same_dimension(b.unit):
        raise UnitsDifferError(what, described(a), described(b))
    if a.unit.scale == b.unit.scale:
        return left, right
    kind = Number(a.unit, b.is_reading, is_worked=True)
    return left, Scaled(right, b.unit.scale / a.unit.scale, kind)


def _as(node: Node, unit: Unit) -> Node:
    """A bare node, read in a unit."""
    kind = replace(cast("Number", node.kind), unit=unit)
    return replace(cast("Any", node), kind=kind)  # type: ignore[no-any-return]


def _text(tree: ast.AST) -> str:
    return _short(ast.unparse(tree))
