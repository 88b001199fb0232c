"""What stands in a template's braces: read, checked against a short list, made to run.

A template names values, repeats and leaves out; it works nothing out. Whatever else the
engine could do is refused when the template loads. Every value is read by our own
`Scope`, never by the engine, and printed as a token.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from jinja2 import StrictUndefined, TemplateSyntaxError, Undefined, nodes  # noqa: TID253 - adapter
from jinja2 import Template as Compiled  # noqa: TID253 - the same
from jinja2.sandbox import SandboxedEnvironment  # noqa: TID253 - the same

from compliance.documents.cautions import CAUTIONS, CAUTIONS_IN_BRIEF
from compliance.documents.refusals import NoSuchPartError, NotAllowedError, UnreadableError
from compliance.documents.slots import Slots, Token
from compliance.documents.text import printable
from compliance.documents.tree import Block, Caution, SignatureBlock, Table
from compliance.errors import Place

_ARGUMENTS = {
    "table": 1, "signature": 1, "signature_in_brief": 1, "notice": 2, "cautions": 0,
    "cautions_in_brief": 0,
}  # fmt: skip
_REFUSED = {
    nodes.Macro: "a macro",
    nodes.CallBlock: "a call of a macro",
    nodes.Assign: "{% set %}",
    nodes.AssignBlock: "a {% set %} block",
    nodes.FilterBlock: "a filter block",
    nodes.Filter: "a filter (|)",
    nodes.Getitem: "square brackets",
    nodes.Const: "a value written out",
    nodes.Compare: "a comparison",
    nodes.Call: "a call",
}


@dataclass(frozen=True, slots=True)
class Braces:
    """The checked braces of one template, and the text between them."""

    file: str
    compiled: Compiled
    values: frozenset[str]
    tables: frozenset[str]
    skeleton: str
    lines: tuple[int, ...]
    """Of each line of the skeleton, the line (from 1) of the template."""

    def place(self, skeleton_line: int) -> Place:
        """Where a line (from 0) of the skeleton stands in the template."""
        return Place(self.file, self.lines[skeleton_line])

    def text(self, values: Mapping[str, Any], tables: Mapping[str, Table], slots: Slots) -> str:
        """The template's words with a token for each value; the values are in the slots."""
        scope = Scope(self.file, tables, slots)
        return self.compiled.render(
            values,
            _text=scope.text,
            _list=scope.list,
            _is=scope.is_said,
            **{f"_{name}": getattr(scope, name) for name in _ARGUMENTS},
        )


def read_braces(source: str, file: str, slots: Slots) -> Braces:
    """Read and check a template's text; the skeleton's tokens go into `slots`.

    Raises:
        UnreadableError: If the engine does not understand it.
        NotAllowedError: If it does more than put values in, repeat and leave out.
    """
    environment = _environment()
    try:
        tree = environment.parse(source, file)
        skeleton, lines = _skeleton(environment, source, file, slots)
    except TemplateSyntaxError as error:
        raise UnreadableError(Place(file, error.lineno), error.message or "") from None
    checker = _Checker(file)
    checker.statements(tree.body)
    return Braces(
        file,
        environment.from_string(tree),
        frozenset(checker.values),
        frozenset(checker.tables),
        skeleton,
        lines,
    )


def _environment() -> SandboxedEnvironment:
    return SandboxedEnvironment(
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=_only_tokens,
    )


def _only_tokens(printed: object) -> object:
    """The last guard: what is printed is a token, whatever the checks above let through."""
    if not isinstance(printed, Token):
        raise TypeError(f"a value was about to be printed as it is: {printed!r}")
    return printed


class _Checker:
    """Walks the parsed template, refuses what it may not do, and routes values through `Scope`."""

    def __init__(self, file: str) -> None:
        self._file = file
        self._local: list[str] = []
        self.values: set[str] = set()
        self.tables: set[str] = set()

    def statements(self, body: list[nodes.Node]) -> None:
        """Check statements and change them in place."""
        for node in body:
            match node:
                case nodes.Output():
                    node.nodes = [self._printed(child) for child in node.nodes]
                case nodes.If():
                    self._if(node)
                case nodes.For():
                    self._for(node)
                case _:
                    raise self._refused(node)

    def _if(self, node: nodes.If) -> None:
        node.test = self._condition(node.test)
        self.statements(node.body)
        for other in node.elif_:
            self._if(other)
        self.statements(node.else_)

    def _for(self, node: nodes.For) -> None:
        target = node.target
        if node.recursive or node.test or node.else_ or not isinstance(target, nodes.Name):
            what = "a {% for %} other than {% for name in names %}"
            raise NotAllowedError(self._place(node), what)
        if target.name.startswith("_") or target.name in _ARGUMENTS:
            raise NotAllowedError(self._place(node), f'"{target.name}" as the name of a loop')
        node.iter = self._read("_list", node.iter)
        self._local.append(target.name)
        self.statements(node.body)
        self._local.pop()

    def _printed(self, node: nodes.Expr) -> nodes.Expr:
        if isinstance(node, nodes.TemplateData):
            return node
        if isinstance(node, nodes.Call):
            return self._block(node)
        return self._read("_text", node)

    def _block(self, node: nodes.Call) -> nodes.Expr:
        name = node.node.name if isinstance(node.node, nodes.Name) else ""
        wants = _ARGUMENTS.get(name)
        if wants is None or node.kwargs or node.dyn_args or node.dyn_kwargs:
            raise self._refused(node)
        if len(node.args) != wants:
            raise NotAllowedError(self._place(node), f"{name}() with {len(node.args)} arguments")
        if name == "table":
            said = node.args[0]
            if not isinstance(said, nodes.Const) or not isinstance(said.value, str):
                raise NotAllowedError(self._place(node), "a table whose name is not written out")
            self.tables.add(said.value)
        arguments = [a if _is_words(a) else self._read("_is", a) for a in node.args]
        return self._call(f"_{name}", node, [*arguments, self._at(node, name)])

    def _condition(self, node: nodes.Node) -> nodes.Expr:
        match node:
            case nodes.Not():
                node.node = self._condition(node.node)
                return node
            case nodes.And() | nodes.Or():
                node.left = self._condition(node.left)
                node.right = self._condition(node.right)
                return node
        return self._read("_is", node)

    def _read(self, reader: str, node: nodes.Node) -> nodes.Expr:
        """A call of the scope's reader in place of `root.part.part`."""
        parts: list[str] = []
        root = node
        while isinstance(root, nodes.Getattr):
            parts.insert(0, root.attr)
            root = root.node
        if not isinstance(root, nodes.Name):
            raise self._refused(root)
        for part in (root.name, *parts):
            if part.startswith("_") or part in ("loop", *_ARGUMENTS):
                raise NotAllowedError(self._place(node), f'the name "{part}"')
        if root.name not in self._local:
            self.values.add(root.name)
        path = ".".join((root.name, *parts))
        return self._call(reader, node, [root, self._at(node, path)])

    def _call(self, name: str, node: nodes.Node, arguments: list[nodes.Expr]) -> nodes.Call:
        function = nodes.Name(name, "load", lineno=node.lineno)
        return nodes.Call(function, arguments, [], None, None, lineno=node.lineno)

    def _at(self, node: nodes.Node, field: str) -> nodes.Expr:
        words = [nodes.Const(word, lineno=node.lineno) for word in (node.lineno, field)]
        return nodes.Tuple(words, "load", lineno=node.lineno)

    def _place(self, node: nodes.Node) -> Place:
        return Place(self._file, node.lineno)

    def _refused(self, node: nodes.Node) -> NotAllowedError:
        what = _REFUSED.get(type(node), f"what the engine calls {type(node).__name__}")
        return NotAllowedError(self._place(node), what)


def _is_words(node: nodes.Expr) -> bool:
    return isinstance(node, nodes.Const) and isinstance(node.value, str)


class Scope:
    """What one rendering reads values with and prints blocks with."""

    def __init__(self, file: str, tables: Mapping[str, Table], slots: Slots) -> None:
        self._file = file
        self._tables = tables
        self._slots = slots

    def text(self, root: object, at: tuple[int, str]) -> Token:
        place = self._place(at)
        return self._slots.token(printable(self._follow(root, place), place), place)

    def list(self, root: object, at: tuple[int, str]) -> tuple[object, ...]:
        place = self._place(at)
        value = self._follow(root, place)
        if not isinstance(value, tuple | list):
            raise NoSuchPartError(place, "is not a list, and the template repeats over it")
        return tuple(value)

    def is_said(self, root: object, at: tuple[int, str]) -> object:
        return self._follow(root, self._place(at))

    def table(self, name: str, at: tuple[int, str]) -> Token:
        return self._block(self._tables[name], at)

    def signature(self, role: str, at: tuple[int, str]) -> Token:
        return self._block(SignatureBlock(printable(role, self._place(at))), at)

    def signature_in_brief(self, role: str, at: tuple[int, str]) -> Token:
        block = SignatureBlock(printable(role, self._place(at)), ("Name", "Signature and date"))
        return self._block(block, at)

    def notice(self, heading: str, words: str, at: tuple[int, str]) -> Token:
        place = self._place(at)
        return self._block(Caution(printable(heading, place), (printable(words, place),)), at)

    def cautions(self, at: tuple[int, str]) -> Token:
        return self._block(CAUTIONS, at)

    def cautions_in_brief(self, at: tuple[int, str]) -> Token:
        return self._block(CAUTIONS_IN_BRIEF, at)

    def _block(self, block: Block, at: tuple[int, str]) -> Token:
        return self._slots.token(block, self._place(at))

    def _place(self, at: tuple[int, str]) -> Place:
        return Place(self._file, at[0], field=at[1])

    def _follow(self, root: object, place: Place) -> object:
        """The value at the end of a path of fields; methods and private names are no fields."""
        value = root
        names = place.field.split(".")
        if isinstance(value, Undefined):
            raise NoSuchPartError(place, "was not given")
        for name in names[1:]:
            if isinstance(value, Mapping) and name in value:
                value = value[name]
            elif name in _fields_of(value):
                value = getattr(value, name)
            else:
                raise NoSuchPartError(place, f'cannot be read: there is no "{name}"')
        return value


def _fields_of(value: object) -> Collection[str]:
    """The fields of a dataclass or of a named tuple."""
    if is_dataclass(value):
        return [field.name for field in fields(value)]
    return getattr(value, "_fields", ())


def _skeleton(
    environment: SandboxedEnvironment, source: str, file: str, slots: Slots
) -> tuple[str, tuple[int, ...]]:
    """Every word of a template once, a token for each value, and where each line comes from.

    Markdown can be checked on it before there are any values.
    """
    text, lines = [""], [1]
    for number, piece in _pieces(environment, source, file, slots):
        for offset, line in enumerate(piece.split("\n")):
            if offset:
                text.append("")
                lines.append(0)
            if not text[-1]:
                lines[-1] = number + offset
            text[-1] += line
    return "\n".join(text), tuple(lines)


def _pieces(
    environment: SandboxedEnvironment, source: str, file: str, slots: Slots
) -> Iterator[tuple[int, str]]:
    block = Caution("", ())
    inside: list[str] | None = None
    for number, kind, value in environment.lex(source, filename=file):
        if kind == "data":
            yield number, value
        elif kind == "raw_begin":
            raise NotAllowedError(Place(file, number), "{% raw %}")
        elif kind == "variable_begin":
            inside = []
        elif kind == "variable_end" and inside is not None:
            words = "".join(inside)
            is_block = words.partition("(")[0].strip() in _ARGUMENTS
            yield number, slots.token(block if is_block else "value", Place(file, number, 0, words))
            inside = None
        elif inside is not None and kind != "whitespace":
            inside.append(value)
