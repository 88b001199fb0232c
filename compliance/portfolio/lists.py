"""Lists that people bring from a spreadsheet program, as CSV in UTF-8 or as a workbook.

Rows are handed on one by one, so that a list may be longer than the memory.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from pathlib import Path

from compliance.errors import Place
from compliance.portfolio.problems import ColumnTwiceError, NoSuchColumnError, NotAListError

_Cells = Iterator[tuple[int, list[str]]]


def rows(path: Path, *columns: str) -> Iterator[tuple[Mapping[str, str], Place]]:
    """Each row by the names of its columns, white space joined, with its place.

    Args:
        path: The file, `.xlsx` for a workbook, of which the first sheet is read.
        columns: Those that must be there.

    Raises:
        NoSuchColumnError: If one of them is not.
        ColumnTwiceError: If one of them is there twice.
        NotAListError: If the file is neither CSV in UTF-8 nor a workbook.
    """
    names, found = _under_its_head(path, columns)
    for line, cells in found:
        texts = list(map(_joined, cells))
        if any(texts):
            row = dict.fromkeys(filter(None, names), "")
            row |= {name: text for name, text in zip(names, texts, strict=False) if name}
            yield row, Place(str(path), line)


def values(path: Path, *columns: str) -> Iterator[tuple[list[str], int]]:
    """Some columns of each row and its line; otherwise as `rows`, and quick for a long list."""
    names, found = _under_its_head(path, columns)
    wanted = [names.index(column) for column in columns]
    furthest = max(wanted, default=0)
    for line, cells in found:
        if len(cells) <= furthest:
            cells += [""] * (furthest + 1 - len(cells))
        texts = [" ".join(cells[at].split()) for at in wanted]
        if texts[0] or any(map(_joined, cells)):
            yield texts, line


def _under_its_head(path: Path, columns: tuple[str, ...]) -> tuple[list[str], _Cells]:
    """The names of the columns, and the rows below them with their lines."""
    found = _of_workbook(path) if path.suffix.lower() == ".xlsx" else _of_csv(path)
    line, head = next(found, (1, []))
    names = list(map(_joined, head))
    for column in columns:
        if column not in names:
            raise NoSuchColumnError(column, names, Place(str(path), line))
        if names.count(column) > 1:
            raise ColumnTwiceError(column, Place(str(path), line))
    return names, found


def _joined(cell: str) -> str:
    return " ".join(cell.split())


def _of_csv(path: Path) -> _Cells:
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            read = csv.reader(file, strict=True)
            for row in read:
                yield read.line_num, row
    except UnicodeDecodeError:
        raise NotAListError("is no text in UTF-8", Place(str(path))) from None
    except csv.Error as error:
        raise NotAListError(f"cannot be read as CSV ({error})", Place(str(path))) from None
    except OSError as error:
        raise NotAListError(f"cannot be opened ({error.strerror})", Place(str(path))) from None


def _of_workbook(path: Path) -> _Cells:
    """The rows of the first sheet; of a formula, what the spreadsheet program last made of it."""
    from openpyxl import load_workbook

    try:
        with path.open("rb") as file:
            book = load_workbook(file, read_only=True, data_only=True)
            for line, row in enumerate(book.worksheets[0].iter_rows(values_only=True), 1):
                yield line, ["" if value is None else str(value) for value in row]
    except Exception as error:  # a damaged workbook can raise anything out of its parser
        what = f"cannot be read as a workbook ({type(error).__name__})"
        raise NotAListError(what, Place(str(path))) from None
