"""What can be wrong with a meter's file that the tests of a record are to be read from."""

from __future__ import annotations

from collections.abc import Iterable

from compliance.errors import Place, RecordError
from compliance.record.problems import cut, did_you_mean


class NoTableError(RecordError):
    """A meter's file is no table."""

    id = "record.no-table"

    def __init__(self, why: str, place: Place | None = None) -> None:
        super().__init__(
            f"{why}; tests are read from a table in CSV with a header and a row for each subject. "
            'Export it again, or write "tests: typed from it" and type the readings.',
            place,
        )


class NoSubjectColumnError(RecordError):
    """A meter's file does not say whose readings they are."""

    id = "record.no-subject-column"

    def __init__(self, header: Iterable[str], place: Place | None = None) -> None:
        super().__init__(
            f'no column is called "of", which holds the short names of strings and circuits '
            f"({cut(', '.join(header))}). Rename one, or translate the meter's names in `columns` "
            "of its instrument: called, means.",
            place,
        )


class UnknownColumnError(RecordError):
    """A column of a meter's file means nothing."""

    id = "record.unknown-column"

    def __init__(self, name: str, known: Iterable[str], place: Place | None = None) -> None:
        super().__init__(
            f'the column "{cut(name)}" means no reading. {did_you_mean(name.casefold(), known)} '
            "Translate it in `columns` of the instrument, or export without it.",
            place,
        )


class ColumnTwiceError(RecordError):
    """Two columns of a meter's file mean the same."""

    id = "record.column-twice"

    def __init__(self, name: str, place: Place | None = None) -> None:
        super().__init__(
            f'a column before this one means the same as "{cut(name)}"; keep the one that is '
            "right.",
            place,
        )


class ColumnDoesNotFitError(RecordError):
    """A reading stands in a row whose subject has no such test, or more than one."""

    id = "record.column-does-not-fit"

    def __init__(
        self, name: str, subject: str, tests: Iterable[str], place: Place | None = None
    ) -> None:
        several = " or ".join(tests)
        right = f"may mean {several}; call it so" if several else "is read of no such subject"
        super().__init__(f'"{cut(name)}" of {cut(subject)} {right}.', place)


class RowTooLongError(RecordError):
    """A row of a meter's file has more cells than its header."""

    id = "record.row-too-long"

    def __init__(self, columns: int, place: Place | None = None) -> None:
        super().__init__(
            f"this row has more cells than the {columns} of the header; put a text that holds the "
            "separator into quotes.",
            place,
        )


class HalfAReadingError(RecordError):
    """A row of a file with a row for each reading lacks its name or its value."""

    id = "record.half-a-reading"

    def __init__(self, place: Place) -> None:
        super().__init__(
            'this row holds no whole reading; it takes its name in "reading" and what was read in '
            '"value". Take the row out, or export it whole.',
            place,
        )


class SaidOtherwiseError(RecordError):
    """A reading at the origin stands elsewhere with another value."""

    id = "record.said-otherwise"

    def __init__(self, name: str, text: str, other: str, place: Place) -> None:
        super().__init__(
            f'"{name}" of the supply is {cut(text)} here and {cut(other)} elsewhere; leave the one '
            "that is not so.",
            place,
        )
