"""Limit tables from their files: checked for holes, overlaps and unregistered sources."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Annotated

from pydantic import Field

from compliance.errors import ComplianceError, Place, RulesetError, raise_all
from compliance.files.yaml import Tree, read_yaml
from compliance.record.entry import Entry, Group
from compliance.record.kinds import CollectionKind, Figure, FreeText, WholeDay
from compliance.record.refusing import read_as
from compliance.rules.language.interval import INF, Interval, between
from compliance.rules.limits import LimitTables, Rows
from compliance.rules.sources import Citation, Document, cited


class LimitRowsError(RulesetError):
    """The rows of a limit table leave a hole, overlap or do not fit its argument."""

    id = "ruleset.limit-rows"

    def __init__(self, table: str, what: str, place: Place) -> None:
        super().__init__(f"the rows of {table} {what}", place)


class LimitEditionsError(RulesetError):
    """The editions of a limit table overlap or leave days without a limit."""

    id = "ruleset.limit-editions"

    def __init__(self, table: str, what: str, first: Place, place: Place) -> None:
        super().__init__(f"the editions of {table} {what}; see also line {first.line}", place)


class TableTwiceError(RulesetError):
    """Two limit tables share a name."""

    id = "ruleset.limit-table-twice"

    def __init__(self, table: str, first: Place, place: Place) -> None:
        super().__init__(f'a limit table "{table}" already stands in {first}', place)


class Row(Entry):
    """One row: up to a bound, above the last bound, at a word, or the only one."""

    below: Figure | None = None
    up_to: Figure | None = None
    above: Figure | None = None
    at_least: Figure | None = None
    word: FreeText | None = None
    value: Figure


class TableEdition(Entry):
    """The rows of a table between two days; without `until`, to this day."""

    from_: WholeDay = Field(alias="from")
    until: WholeDay | None = None
    source: Citation
    note: FreeText | None = None
    rows: Annotated[list[Row], CollectionKind()]


class Table(Entry):
    """One limit table; `by` names its argument, if it has one, and says what it is."""

    title: FreeText
    by: dict[str, FreeText] | None = None
    editions: Annotated[list[TableEdition], CollectionKind()]


class LimitFile(Group):
    """One file under `rulesets/<jurisdiction>/limits/`."""

    limits: FreeText
    tables: Annotated[dict[str, Table], CollectionKind()]


def load_limits(files: Iterable[Path], register: Mapping[str, Document]) -> LimitTables:
    """The limit tables of several files.

    Raises:
        RulesetError: If a file cannot be used; `Problems` if for several reasons.
    """
    tables, places = LimitTables(), dict[str, Place]()
    problems: list[ComplianceError] = []
    for path in files:
        tree = read_yaml(path)
        written = read_as(LimitFile, tree)
        for name, table in written.tables.items():
            place = tree.key_place(("tables", name))
            if name in places:
                problems.append(TableTwiceError(name, places[name], place))
                continue
            places[name] = place
            try:
                editions = _checked(name, table, tree, register)
                tables.add(name, table.title, table.by or {}, editions, written.limits)
            except RulesetError as problem:
                problems.append(problem)
    raise_all(problems)
    return tables


def _checked(
    name: str, table: Table, tree: Tree, register: Mapping[str, Document]
) -> tuple[Rows, ...]:
    editions: list[Rows] = []
    for index, edition in enumerate(table.editions):
        loc = ("tables", name, "editions", index)
        place = tree.key_place(loc)
        source = cited(edition.source, register, tree.place((*loc, "source", "document")))
        rows_place = tree.key_place((*loc, "rows"))
        spans, words = _rows(name, table, edition, rows_place)
        if edition.until is not None and edition.until <= edition.from_:
            raise LimitEditionsError(name, "have one that ends before it begins", place, place)
        if editions:
            before = editions[-1]
            if set(before.words) != set(words):
                raise LimitRowsError(name, "name other words than the edition before", rows_place)
            first = tree.key_place(("tables", name, "editions", index - 1))
            if before.end is None or before.end > edition.from_:
                raise LimitEditionsError(name, "overlap", first, place)
            if before.end < edition.from_:
                raise LimitEditionsError(name, "leave a hole between them", first, place)
        note = edition.note or ""
        editions.append(Rows(edition.from_, edition.until, source, spans, words, note))
    return tuple(editions)


def _rows(
    name: str, table: Table, edition: TableEdition, place: Place
) -> tuple[tuple[tuple[Interval, float], ...], dict[str, float]]:
    rows = edition.rows
    if table.by is None:
        if len(rows) != 1 or _says(rows[0]):
            raise LimitRowsError(name, "differ by something, but `by` does not say what", place)
        return ((between(-INF, INF), rows[0].value),), {}
    if len(table.by) != 1:
        raise LimitRowsError(name, f"are asked by {len(table.by)} things; one is right", place)
    if any(row.word is not None for row in rows):
        words = {row.word: row.value for row in rows if row.word is not None}
        if len(words) != len(rows) or any(_says(row) != {"word"} for row in rows):
            raise LimitRowsError(name, "each need one word of their own and no bound", place)
        return (), words
    spans: list[tuple[Interval, float]] = []
    low, has_low = -INF, True
    for row in rows[:-1]:
        high = row.below if row.below is not None else row.up_to
        if len(_says(row)) != 1 or high is None or high <= low:
            right = "each need a higher bound, `below` or `up_to`, and nothing else"
            raise LimitRowsError(name, right, place)
        has_high = row.below is None
        spans.append((between(low, high, has_low, has_high), row.value))
        low, has_low = high, not has_high
    last = rows[-1]
    bound = last.at_least if has_low else last.above
    if bound != low or len(_says(last)) != 1:
        right = f"{'at_least' if has_low else 'above'}: {low:g}"
        raise LimitRowsError(name, f"end without covering the rest: the last says {right}", place)
    spans.append((between(low, INF, has_low), last.value))
    return tuple(spans), {}


def _says(row: Row) -> set[str]:
    """What a row says of where it holds."""
    names = ("below", "up_to", "above", "at_least", "word")
    return {name for name in names if getattr(row, name) is not None}
