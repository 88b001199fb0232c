"""Lists that people bring from a spreadsheet program, as CSV in UTF-8 or as a workbook."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from pathlib import Path

from compliance.errors import Place
from compliance.portfolio.problems import NoSuchColumnError, NotAListError


def rows(path: Path, *columns: str) -> Iterator[tuple[Mapping[str, str], Place]]:
    """Each row by the names of its columns, white space joined, with its place.

    Args:
        path: The file, `.xlsx` for a workbook, of which the first sheet is read.
        columns: Those that must be there.

    Raises:
        NoSuchColumnError: If one of them is not.
        NotAListError: If the file is neither CSV in UTF-8 nor a workbook.
    """
    found = _of_workbook(path) if path.suffix.lower() == ".xlsx" else _of_csv(path)
    names: list[str] | None = None
    for line, cells in found:
        texts = [" ".join(cell.split()) for cell in cells]
        if names is None:
            names = texts
            for column in columns:
                if column not in names:
                    raise NoSuchColumnError(column, names, Place(str(path), line))
        elif any(texts):
            row = dict.fromkeys(filter(None, names), "")
            row |= {name: text for name, text in zip(names, texts, strict=False) if name}
            yield row, Place(str(path), line)
    if names is None and columns:
        raise NoSuchColumnError(columns[0], (), Place(str(path), 1))


def _of_csv(path: Path) -> Iterator[tuple[int, list[str]]]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            read = csv.reader(file, strict=True)
            yield from ((read.line_num, row) for row in read)
    except UnicodeDecodeError:
        raise NotAListError("is no text in UTF-8", Place(str(path))) from None
    except csv.Error as error:
        raise NotAListError(f"cannot be read as CSV ({error})", Place(str(path))) from None
    except OSError as error:
        raise NotAListError(f"cannot be opened ({error.strerror})", Place(str(path))) from None


def _of_workbook(path: Path) -> Iterator[tuple[int, list[str]]]:
    """The rows of the first sheet; of a formula, what the spreadsheet program last made of it."""
    from openpyxl import load_workbook

    try:
        with path.open("rb") as file:
            book = load_workbook(file, read_only=True, data_only=True)
            found = [
                ["" if value is None else str(value) for value in row]
                for row in book.worksheets[0].iter_rows(values_only=True)
            ]
    except Exception as error:  # a damaged workbook can raise anything out of its parser
        what = f"cannot be read as a workbook ({type(error).__name__})"
        raise NotAListError(what, Place(str(path))) from None
    yield from enumerate(found, 1)
