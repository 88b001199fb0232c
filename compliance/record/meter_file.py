"""Readings that are read from the meter's own file, so that nobody types them.

The file is the evidence and stays as the meter wrote it: a table in CSV with a row for each
subject (a string, a circuit) and moment. `of` is the subject's short name; other columns are
called by a test (`polarity`), a test and one of its values (`insulation positive_earth_megohm`)
or by what the trade calls that value (`Voc`, `R1+R2`). What a test is made under (`on`,
`irradiance_w_m2`, `test_voltage_v`) counts for all tests of its row. A row of the `supply` holds
what was read at the origin (`Ze`, `PFC`). A file may instead have a row for each reading, with
its name in the column `reading` and what was read in `value`. A meter that calls its columns or
readings otherwise has them translated in `columns` of the instrument, once for all its files.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Any

from compliance.errors import Place, RecordError
from compliance.files.hashes import sha256_bytes
from compliance.files.paths import PathError, open_regular
from compliance.files.written import Node, Tree, Written
from compliance.record import meter_problems as wrong
from compliance.record.joined import Joining, Said
from compliance.record.kinds import DATE
from compliance.record.meter_columns import (
    EVERY_TEST,
    MODELS,
    SUBJECT,
    meanings,
    names_at_the_supply,
)
from compliance.record.naming import Aliases, short_names
from compliance.record.problems import UnknownReferenceError
from compliance.record.shape import fields
from compliance.record.tests import Test

READ = "read from it"
MOST_BYTES = 262_144
READING, VALUE = "reading", "value"
"""The two columns of a file that has a row for each reading."""
SUPPLY = "supply"


def read_meter_files(
    joining: Joining, folder: Path, aliases: Aliases, usual: Aliases
) -> dict[str, str]:
    """Adds the tests of each meter file that a record says are to be read from it.

    Args:
        joining: The record; what cannot be read is one of its problems.
        folder: The job folder.
        aliases: The trade's names of fields.
        usual: Which test is meant by a name that is of readings of several.

    Returns:
        The SHA-256 of each file that was read, by its path in the job folder.
    """
    read: dict[str, str] = {}
    for name, entry in joining.entries("evidence"):
        if str(entry.get("tests", "")).strip() != READ or not isinstance(
            entry.get("file"), Written
        ):
            continue
        file = str(entry["file"]).strip()
        place = joining.place(("evidence", name, "file"))
        try:
            with open_regular(folder, file, place=place) as opened:
                table = _table(opened.read(MOST_BYTES + 1), str(folder / file))
        except (PathError, wrong.NoTableError) as problem:
            joining.problems.append(problem)
            continue
        read[file] = table.sha256
        _Reading(joining, (name, entry), table, (aliases, usual)).take_over()
    return read


@dataclass(frozen=True, slots=True)
class _Table:
    """A CSV file: its header, and its rows as cells that know their line."""

    name: str
    sha256: str
    header: list[Written]
    rows: list[list[Written]]

    def place(self, cell: Written) -> Place:
        column = cell.column - 1
        field = str(self.header[column]) if column < len(self.header) else ""
        return Place(self.name, cell.line, cell.column, field)


def _table(data: bytes, name: str) -> _Table:
    if len(data) > MOST_BYTES:
        raise wrong.NoTableError(f"is larger than {MOST_BYTES:,} bytes", Place(name))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise wrong.NoTableError("is not text in UTF-8", Place(name)) from None
    first = text.partition("\n")[0]
    reader = csv.reader(StringIO(text), delimiter=";" if first.count(";") else ",", strict=True)
    lines: list[list[Written]] = []
    try:
        for cells in reader:
            found = [Written(c.strip(), reader.line_num, at) for at, c in enumerate(cells, 1)]
            if any(found):
                lines.append(found)
    except csv.Error:
        where = Place(name, reader.line_num, 1)
        raise wrong.NoTableError("has a quote that is not closed", where) from None
    if len(lines) < 2:
        raise wrong.NoTableError("has no row below its header", Place(name, 1, 1))
    return _Table(name, sha256_bytes(data), lines[0], lines[1:])


class _Reading:
    """One meter file being read into the tests of a record."""

    def __init__(
        self,
        joining: Joining,
        evidence: tuple[str | int, Mapping[str, Any]],
        table: _Table,
        words: tuple[Aliases, Aliases],
    ) -> None:
        self.joining = joining
        self.name, self.entry = evidence
        self.table = table
        self.translated = self._columns()
        self.called = [self.translated.get(str(h).casefold(), str(h)) for h in table.header]
        self.meant = {to: meanings(to, *words) for to in MODELS}
        names = short_names(joining.data)
        self.subjects = {name: to for to in MODELS for name in names.get(to, ())}
        self.of_supply = names_at_the_supply(words[0])
        self.supply: dict[str, Node] = {}
        data: dict[str, Node] = {"rows": [], SUPPLY: self.supply}
        self.tree = Tree(data, table.name, table.sha256, {(): (1, 1), ("rows",): (1, 1)})

    def _columns(self) -> dict[str, str]:
        """What the instrument's own names of columns mean."""
        instruments = dict(self.joining.entries("instruments"))
        said: Any = instruments.get(str(self.entry.get("instrument", "")).strip(), {})
        columns = said.get("columns", ())
        pairs = [c for c in columns if isinstance(c, Mapping) and "called" in c and "means" in c]
        return {str(c["called"]).strip().casefold(): str(c["means"]).strip() for c in pairs}

    def take_over(self) -> None:
        """Adds each row's tests to the record, or says what cannot be read."""
        problems = [*self._wrong_in_header()]
        made = [] if problems else [*self._tests(problems)]
        self.joining.problems += problems
        if problems:
            return
        _insert(self.joining, made, self.tree)
        about: list[Node] = list(dict.fromkeys(entry["of"] for entry in made))
        read = [*map(str, about), *([SUPPLY] if self.supply else [])]
        if self.supply:
            site: Any = self.joining.data.get("site", {})
            known, said = site.get(SUPPLY, {}), (self.tree, (SUPPLY,))
            self.joining.give(("site", SUPPLY), known, self.supply, said)
            about.append(Written("job", 1, 1))
        shows = f"The readings of {', '.join(read)} as the meter stored them"
        shown = {"about": about, "shows": Written(shows, 1, 1)}
        at = ("evidence", self.name)
        self.joining.give(at, self.entry, shown, (self.tree, ("rows",)))

    def _wrong_in_header(self) -> Iterator[RecordError]:
        header, called = self.table.header, self.called
        if SUBJECT not in called:
            yield wrong.NoSubjectColumnError(map(str, header), self.table.place(header[0]))
            return
        known = self._known()
        own = {SUBJECT, READING, VALUE} if self.has_a_row_a_reading else {SUBJECT}
        for at, cell in enumerate(header):
            name = called[at].casefold()
            if name not in own and name not in known:
                yield wrong.UnknownColumnError(str(cell), known, self.table.place(cell))
            elif any(self._mean_the_same(called[at], before) for before in called[:at]):
                yield wrong.ColumnTwiceError(str(cell), self.table.place(cell))

    @property
    def has_a_row_a_reading(self) -> bool:
        return {READING, VALUE} <= {*self.called}

    def _known(self) -> set[str]:
        """Every name of a reading, or of what it is made under."""
        return {name for meant in self.meant.values() for name in meant} | {*self.of_supply}

    def _rows(self, problems: list[RecordError]) -> Iterator[dict[str, Written]]:
        """The cells of each subject and moment by the names of their columns."""
        cells: dict[str, Written] = {}
        for row in self.table.rows:
            if len(row) > len(self.called):
                problems.append(wrong.RowTooLongError(len(self.called), self.table.place(row[-1])))
                continue
            here = {n: c for n, c in zip(self.called, row, strict=False) if c}
            here.setdefault(SUBJECT, Written("", row[0].line, 1))
            if not self.has_a_row_a_reading:
                yield here
                continue
            name, value = here.pop(READING, None), here.pop(VALUE, None)
            if name is None or value is None:
                problems.append(wrong.HalfAReadingError(self.table.place(here[SUBJECT])))
            elif self._translated(name) not in self._known():
                known, place = self._known(), self.table.place(name)
                problems.append(wrong.UnknownColumnError(str(name), known, place))
            elif {k: cells.get(k) for k in here} == here and self._translated(name) not in cells:
                cells[self._translated(name)] = value
            else:  # another subject or moment, or the same reading once more
                if cells:
                    yield cells
                cells = {**here, self._translated(name): value}
        if cells:
            yield cells

    def _translated(self, name: Written) -> str:
        return self.translated.get(str(name).casefold(), str(name)).casefold()

    def _mean_the_same(self, one: str, other: str) -> bool:
        one, other = one.casefold(), other.casefold()
        meant = self.meant.values()
        return one == other or any(one in m and m[one] == m.get(other) for m in meant)

    def _tests(self, problems: list[RecordError]) -> Iterator[dict[str, Written]]:
        for row in self._rows(problems):
            subject, cells = row[SUBJECT], {n: c for n, c in row.items() if n != SUBJECT}
            to = self.subjects.get(str(subject))
            if to is None and str(subject) == SUPPLY:
                problems += self._at_the_supply(cells)
                continue
            if to is None:
                place = self.table.place(subject)
                known = [*self.subjects, SUPPLY]
                problems.append(
                    UnknownReferenceError(str(subject), "subjects of tests", known, place)
                )
                continue
            yield from self._of_row(to, subject, cells, problems)

    def _at_the_supply(self, cells: Mapping[str, Written]) -> Iterator[RecordError]:
        """Takes what was read at the origin; the record must not say something else."""
        site: Any = self.joining.data.get("site")
        supply: Any = site.get(SUPPLY) if isinstance(site, Mapping) else None
        typed = {**supply} if isinstance(supply, Mapping) else {}
        for name, cell in cells.items():
            field = self.of_supply.get(name.casefold())
            if field is None:
                if name not in EVERY_TEST:  # the file itself is of a day and a person
                    place = self.table.place(cell)
                    yield wrong.ColumnDoesNotFitError(name, SUPPLY, [], place)
                continue
            other = self.supply.get(field, typed.get(field, cell))
            if str(other).strip() != cell:
                yield wrong.SaidOtherwiseError(name, cell, str(other), self.table.place(cell))
            self.supply[field] = cell

    def _of_row(
        self,
        to: str,
        subject: Written,
        cells: Mapping[str, Written],
        problems: list[RecordError],
    ) -> Iterator[dict[str, Written]]:
        """The tests of one row, in the order of its columns."""
        shared: dict[str, Written] = {}
        read: dict[type[Test], dict[str, Written]] = {}
        for name, cell in cells.items():
            meant = self.meant[to].get(name.casefold(), [])
            if len(meant) != 1:
                place = self.table.place(cell)
                tests = [f"{model.tag} {field}" for model, field in meant if model]
                problems.append(wrong.ColumnDoesNotFitError(name, str(subject), tests, place))
                continue
            model, field = meant[0]
            if model is None:
                shared[field] = cell
            else:
                read.setdefault(model, {})[field] = cell
        said = {k: v for k in EVERY_TEST if isinstance(v := self.entry.get(k), Written)}
        for model, values in read.items():
            word = Written(model.tag, subject.line, subject.column)
            known = Written("meter file", subject.line, subject.column)
            under = {k: v for k, v in {**said, **shared}.items() if k in fields(model)}
            yield {"test": word, "of": subject, "known": known, **under, **values}


def _insert(joining: Joining, made: Sequence[dict[str, Written]], tree: Tree) -> None:
    """Puts tests among those of the record, before what was tested later of the same subject."""
    rows: Any = tree.data["rows"]
    held: Any = joining.data.get("tests")
    there = held if isinstance(held, list) else []
    tests: list[tuple[Any, int | Said]] = [(entry, at) for at, entry in enumerate(there)]
    for entry in made:
        rows.append(entry)
        said: Said = (dict(entry), (tree, ("rows", len(rows) - 1)))
        later = (at for at, (other, _) in enumerate(tests) if _is_later(other, entry))
        tests.insert(next(later, len(tests)), (entry, said))
    joining.arrange("tests", [each for _, each in tests])


def _is_later(other: Any, entry: Mapping[str, Written]) -> bool:
    if not isinstance(other, Mapping):
        return False
    is_same = all(str(other.get(k, "")).strip() == str(entry[k]) for k in ("test", "of"))
    theirs, ours = (str(each.get("on", "")).strip() for each in (other, entry))
    return is_same and bool(DATE.fullmatch(theirs) and DATE.fullmatch(ours)) and ours < theirs
