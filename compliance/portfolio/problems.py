"""What can be wrong with a list of jobs that a sample is to be drawn from."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from json import JSONDecodeError

from compliance.errors import ComplianceError, Place


class SamplingError(ComplianceError):
    """A sample cannot be drawn from what was given."""


class NoReferencesError(SamplingError):
    """The list or folder holds no job."""

    id = "sample.no-references"

    def __init__(self, place: Place) -> None:
        super().__init__(
            "holds no job to draw from. Give a folder of job folders, or a CSV file with a "
            "column `reference`, one job a row",
            place,
        )


class NoSuchColumnError(SamplingError):
    """A column that was asked for is not in the list."""

    id = "sample.no-such-column"

    def __init__(self, column: str, known: Iterable[str], place: Place) -> None:
        names = [name for name in known if name]
        close = get_close_matches(column, names, n=1)
        there = f"It has: {', '.join(names)}." if names else "Its first row is empty."
        hint = f'Did you mean "{close[0]}"?' if close else there
        super().__init__(f'has no column "{column}". {hint}', place)


class ColumnTwiceError(SamplingError):
    """A column that is read stands twice, and nobody can tell which one is meant."""

    id = "sample.column-twice"

    def __init__(self, column: str, place: Place) -> None:
        super().__init__(
            f'has the column "{column}" twice. Rename or take out the one that is not meant', place
        )


class NoRoomError(SamplingError):
    """The list does not fit into the temporary folder."""

    id = "sample.no-room"

    def __init__(self, what: str) -> None:
        super().__init__(
            f"the list cannot be kept in the temporary folder ({what}). Make room there, or "
            "name another folder in the variable SQLITE_TMPDIR"
        )


class BlankReferenceError(SamplingError):
    """A row names no job, or a stratum is not said."""

    id = "sample.blank"

    def __init__(self, column: str, place: Place) -> None:
        super().__init__(
            f"the column `{column}` is empty here. Write it, or take the row out; a job that "
            "cannot be named cannot be drawn",
            place,
        )


class TwiceInFrameError(SamplingError):
    """A job stands twice in the list, which would double its chance."""

    id = "sample.twice"

    def __init__(self, reference: str, first: Place, place: Place) -> None:
        super().__init__(
            f'"{reference}" already stands in {first}. Each job stands once, or it would be drawn '
            "twice as likely; take one of the two out",
            place,
        )


class FrameChangedError(SamplingError):
    """The list is no longer the one that a draw was made from."""

    id = "sample.frame-changed"

    def __init__(self, was: str, now: str, place: Place) -> None:
        super().__init__(
            f"the list changed since the draw: its hash was {was[:12]} and is {now[:12]}. A draw "
            "goes on from the very list it began with; go back to that list, or draw anew with "
            "another seed and say so in the report",
            place,
        )


class TooManyAskedError(SamplingError):
    """More jobs are asked for than there are, also after replacements."""

    id = "sample.too-many"

    def __init__(self, asked: int, there: int, what: str) -> None:
        super().__init__(
            f"{asked} jobs are asked for, and {what} holds {there} that can be drawn. Ask for "
            f"{there} or fewer"
        )


class NotInTheDrawError(SamplingError):
    """A replacement was given for a job that was not drawn."""

    id = "sample.not-drawn"

    def __init__(self, reference: str) -> None:
        super().__init__(
            f'"{reference}" was not drawn, so it needs no replacement. Name a job of the draw'
        )


class NotADrawError(SamplingError):
    """A file that should hold an earlier draw does not."""

    id = "sample.not-a-draw"

    def __init__(self, what: str, place: Place) -> None:
        super().__init__(
            f"is no draw: {what}. Name the file that `compliance sample --format json` printed",
            place,
        )

    @classmethod
    def of(cls, fault: Exception, place: Place) -> NotADrawError:
        """The error for what reading the file as a draw ran into."""
        if isinstance(fault, OSError):
            return cls(f"it cannot be opened ({fault.strerror})", place)
        if isinstance(fault, KeyError):
            return cls(f"it has no {fault}", place)
        if isinstance(fault, JSONDecodeError | UnicodeDecodeError):
            return cls("it is no JSON", place)
        return cls("something in it is of another kind than in a draw", place)


class NotAListError(SamplingError):
    """A file that should hold a list does not."""

    id = "sample.not-a-list"

    def __init__(self, what: str, place: Place) -> None:
        super().__init__(
            f"{what}. Save it from the spreadsheet program as CSV with the characters as UTF-8",
            place,
        )


class NotDrawnError(SamplingError):
    """A result of a job that was not drawn."""

    id = "sample.result-not-drawn"

    def __init__(self, reference: str, drawn: Iterable[str], place: Place) -> None:
        close = get_close_matches(reference, list(drawn), n=1)
        hint = f'Did you mean "{close[0]}"? ' if close else ""
        super().__init__(
            f'"{reference}" is not in the draw. {hint}A job that somebody chose would bend the '
            "result; take the row out, or make the draw longer",
            place,
        )


class ResultTwiceError(SamplingError):
    """Two results of one job."""

    id = "sample.result-twice"

    def __init__(self, reference: str, first: Place, place: Place) -> None:
        super().__init__(
            f'"{reference}" already has a result in {first}. Leave the one that holds; each job '
            "is counted once",
            place,
        )


class UnknownResultError(SamplingError):
    """A result in other words than can be counted."""

    id = "sample.unknown-result"

    def __init__(self, result: str, known: Iterable[str], place: Place) -> None:
        super().__init__(
            f'"{result}" is no result that can be counted; write one of: {", ".join(known)}', place
        )


class ReplacedButSeenError(SamplingError):
    """A result of a job that another one stands in for."""

    id = "sample.replaced-but-seen"

    def __init__(self, reference: str, reason: str, place: Place) -> None:
        super().__init__(
            f'"{reference}" was replaced in the draw ("{reason}"), and here it has a result. If '
            "it was looked at after all, draw again without its replacement",
            place,
        )


class NotThisDrawError(SamplingError):
    """The list and the seed give another draw than the file holds."""

    id = "sample.not-this-draw"

    def __init__(self, place: Place) -> None:
        super().__init__(
            "does not hold the jobs that its own seed draws from the list, so somebody changed "
            "it. Draw again with that seed",
            place,
        )
