"""Templates: from `templates/*.md.j2` and values to the tree of a document.

    template = load_template(path)
    document = template.render(values, tables)

A template is a short front matter and CommonMark with braces. Values never pass through
Markdown: each becomes a token, Markdown reads the template's own words and the tokens,
and the tree gets each value back as one literal run.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from compliance.documents import refusals
from compliance.documents.braces import Braces, read_braces
from compliance.documents.markdown import blocks
from compliance.documents.slots import Slots
from compliance.documents.text import printable
from compliance.documents.tree import Cell, Column, Document, Heading, Picture, Table
from compliance.errors import Place
from compliance.files.yaml import Tree, parse_yaml

LIMIT_TITLE = 200
_FRONT = re.compile(r"---\n(.*?\n)---\n", re.DOTALL)
_KEYS = ("title", "kind", "needs", "tables")
_PAGES = ("pocket",)


@dataclass(frozen=True, slots=True)
class Template:
    """A checked template: what it is, what it needs, and its text."""

    title: str
    kind: str
    needs: frozenset[str]
    tables: frozenset[str]
    _braces: Braces
    is_pocket: bool = False
    """Whether it is for a sheet to carry and to write on: `page: pocket` in front."""

    def render(
        self,
        values: Mapping[str, Any],
        tables: Mapping[str, Table] | None = None,
        *,
        author: str = "",
        keywords: tuple[str, ...] = (),
        language: str = "en-GB",
    ) -> Document:
        """The document that these values and tables give; both must be exactly those needed.

        A value is a text, a count, a day, a dataclass or mapping of values, or a list of them.

        Raises:
            ValuesDifferError: If a value or table is missing, or was given and is not used.
            NoSuchPartError: If the template reads a part that a value does not have.
            DocumentError: If a text can't be printed whole and literal; see `text.printable`.
        """
        place = Place(self._braces.file)
        tables = tables or {}
        _compare(place, self.needs, values)
        _compare(place, self.tables, tables)
        slots = Slots()
        checked = {name: _printable_table(name, table, place) for name, table in tables.items()}
        text = self._braces.text(values, checked, slots)
        tree = blocks(text, slots, lambda _: place)
        title = "".join(run.text for run in tree[0].runs) if isinstance(tree[0], Heading) else ""
        return Document(
            printable(title, place, LIMIT_TITLE),
            tuple(tree),
            subject=self.title,
            author=printable(author, place, LIMIT_TITLE),
            keywords=keywords,
            language=language,
            is_pocket=self.is_pocket,
        )


def load_template(path: Path) -> Template:
    """Read a template and check it whole; `Template.render` can be called any number of times.

    Raises:
        TemplateError: With the line, if it cannot be used; see `refusals.py`.
        WrittenError: If the front matter is not strict YAML.
    """
    return parse_template(path.read_text("utf-8"), path.name)


def parse_template(source: str, file: str) -> Template:
    """Read a template from its text, as `load_template` does from a file."""
    front = _FRONT.match(source)
    if not front:
        raise refusals.FrontMatterError(Place(file, 1), "There is no front matter")
    _check_words(source, file)
    head = _head(parse_yaml(b"\n" + front.group(1).encode(), name=file))
    body = "\n" * front.group().count("\n") + source[front.end() :]
    slots = Slots()
    braces = read_braces(body, file, slots)
    _check_headings(braces, slots)
    needs, tables = frozenset(head["needs"]), frozenset(head["tables"])
    _compare_names(Place(file, 1), "needs", needs, braces.values)
    _compare_names(Place(file, 1), "tables", tables, braces.tables)
    is_pocket = head.get("page") == "pocket"
    return Template(str(head["title"]), str(head["kind"]), needs, tables, braces, is_pocket)


def _check_words(source: str, file: str) -> None:
    for number, line in enumerate(source.split("\n"), 1):
        printable(line, Place(file, number))


def _head(tree: Tree) -> dict[str, Any]:
    for key in tree.data:
        if key not in (*_KEYS, "page"):
            raise refusals.FrontMatterError(tree.place((key,)), f'"{key}" is not a line of it')
    if tree.data.get("page", "pocket") not in _PAGES:
        raise refusals.FrontMatterError(tree.place(("page",)), "Its page is none that there is")
    for key in _KEYS:
        value = tree.data.get(key)
        is_right = isinstance(value, list) if key in ("needs", "tables") else bool(value)
        if not is_right or isinstance(value, dict):
            raise refusals.FrontMatterError(tree.place((key,)), f'"{key}" is not said')
    return dict(tree.data)


def _check_headings(braces: Braces, slots: Slots) -> None:
    """Refuse Markdown that can't be printed, and a template without one title on top."""
    tree = blocks(braces.skeleton, slots, braces.place)
    titles = [b for b in tree if isinstance(b, Heading) and b.level == 1]
    if len(titles) != 1 or tree[0] is not titles[0]:
        first = next((n for n, line in enumerate(braces.skeleton.split("\n")) if line), 0)
        raise refusals.NotOurMarkdownError(
            braces.place(first), "a document without exactly one title (# ...), standing first,"
        )


def _compare_names(place: Place, key: str, said: frozenset[str], used: frozenset[str]) -> None:
    if said != used:
        raise refusals.NamesDifferError(place, key, used - said, said - used)


def _compare(place: Place, needs: Collection[str], given: Mapping[str, Any]) -> None:
    missing, extra = set(needs) - set(given), set(given) - set(needs)
    if missing or extra:
        raise refusals.ValuesDifferError(place, missing, extra)


def _printable_table(name: str, table: Table, template: Place) -> Table:
    """The same table with every text checked, so that a refusal names row and column."""

    def text(value: str, where: str) -> str:
        return printable(value, Place(template.file, field=f"table {name}, {where}"))

    def cell(value: Cell, row: int, column: Column) -> Cell:
        where = f'row {row}, column "{column.header}"'
        if isinstance(value, Picture):
            return replace(value, words=text(value.words, where))
        if isinstance(value, tuple):
            return tuple(replace(run, text=text(run.text, where)) for run in value)
        return text(value, where)

    return replace(
        table,
        caption=text(table.caption, "caption"),
        rows=tuple(
            tuple(cell(c, number, column) for c, column in zip(row, table.columns, strict=True))
            for number, row in enumerate(table.rows, 1)
        ),
    )
