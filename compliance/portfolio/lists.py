"""Lists that people bring from a spreadsheet program, as CSV in UTF-8."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from pathlib import Path

from compliance.errors import Place
from compliance.portfolio.problems import NoSuchColumnError, NotAListError


def rows(path: Path, *columns: str) -> Iterator[tuple[Mapping[str, str], Place]]:
    """Each row by the names of its columns, white space joined, with its place.

    Args:
        path: The file.
        columns: Those that must be there.

    Raises:
        NoSuchColumnError: If one of them is not.
        NotAListError: If the file is no CSV in UTF-8.
    """
    place = Place(str(path))
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            found = csv.DictReader(file, strict=True)
            names = [name for name in found.fieldnames or () if name]
            for column in columns:
                if column not in names:
                    raise NoSuchColumnError(column, names, Place(str(path), 1))
            for row in found:
                texts = {name: " ".join((row[name] or "").split()) for name in names}
                yield texts, Place(str(path), found.line_num)
    except UnicodeDecodeError:
        raise NotAListError("is no text in UTF-8", place) from None
    except csv.Error as error:
        raise NotAListError(f"cannot be read as CSV ({error})", place) from None
    except OSError as error:
        raise NotAListError(f"cannot be opened ({error.strerror})", place) from None
