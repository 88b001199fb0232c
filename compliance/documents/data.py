"""What templates receive, whichever document it is: calculations, sources and days in words.

Nothing is decided here. A template's front matter names the values it needs; the
classes below are what it can read of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from compliance.rules.outcome import Source, Working


@dataclass(frozen=True, slots=True)
class ResultView:
    """One result of a calculation, and what went into it."""

    subject: str
    result: str
    inputs: str


@dataclass(frozen=True, slots=True)
class WorkingView:
    """One calculation, with its result for everything that it was done for."""

    title: str
    formula: str
    source: str
    confidence: str
    note: str
    results: tuple[ResultView, ...]


def working_views(workings: Iterable[Working]) -> tuple[WorkingView, ...]:
    """Calculations in words; formula, source and note stand once, however many results."""
    alike: dict[tuple[str, str, Source, str], list[Working]] = {}
    for one in workings:
        alike.setdefault((one.title, one.formula, one.source, one.note), []).append(one)
    return tuple(
        WorkingView(
            title, formula, clause(source), confidence(source), note, tuple(map(_result, ones))
        )
        for (title, formula, source, note), ones in alike.items()
    )


def _result(working: Working) -> ResultView:
    subject = "the whole job" if working.subject == "job" else working.subject
    inputs = "; ".join(f"{name} {value}" for name, value in working.inputs)
    return ResultView(subject, working.result, inputs)


def clause(source: Source) -> str:
    """Which document, and where in it."""
    document = source.title or source.document
    return f"{document}, clause {source.clause}" if source.clause else document


def confidence(source: Source) -> str:
    """How the requirement or formula is known."""
    return _CONFIDENCE.get(source.confidence, source.confidence)


def day(on: date) -> str:
    """A day as it is read in any country: `25 November 2026`."""
    return f"{on.day} {_MONTHS[on.month - 1]} {on.year}"


_MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August",
           "September", "October", "November", "December"]  # fmt: skip

_CONFIDENCE = {
    "opened": "read in the document itself",
    "secondary": "taken from a description of the document; look it up before relying on it",
    "memory": "from memory; look it up before relying on it",
    "common practice": "common practice, no source",
}
