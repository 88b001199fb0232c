"""The documents of the complete sample, beside the same words and tables set by hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from benchmarks import documents_adapter as adapter
from benchmarks import documents_by_hand
from benchmarks.timing import medians_s

MOST_S, MOST_RATIO = 3.0, 2.0


@dataclass(frozen=True, slots=True)
class Made:
    """One line of the table: how long something took, and over the same thing by hand."""

    what: str
    taken_s: float
    ratio: float


def documents(rounds: int) -> list[Made]:
    """Times of making the documents in both forms, interleaved with those by hand."""
    job = adapter.complete_sample()
    trees = adapter.trees(job)
    plain = [adapter.plain(tree) for tree in trees]
    work: dict[str, Callable[[], object]] = {
        "pdf": lambda: [adapter.pdf(tree) for tree in trees],
        "docx": lambda: [adapter.docx(tree) for tree in trees],
        "both": lambda: [(adapter.pdf(tree), adapter.docx(tree)) for tree in adapter.trees(job)],
        "pdf by hand": lambda: _all(documents_by_hand.pdf, plain),
        "docx by hand": lambda: _all(documents_by_hand.docx, plain),
    }
    for run in work.values():
        run()  # once before anything is timed, so that no side pays for loading libraries
    taken = medians_s(work, rounds)
    by_hand = taken["pdf by hand"] + taken["docx by hand"]
    return [
        Made("documents, PDF", taken["pdf"], taken["pdf"] / taken["pdf by hand"]),
        Made("documents, DOCX", taken["docx"], taken["docx"] / taken["docx by hand"]),
        Made("documents from the checked job, both", taken["both"], taken["both"] / by_hand),
    ]


def _all(
    write: Callable[[documents_by_hand.Plain], bytes], plain: Sequence[documents_by_hand.Plain]
) -> list[bytes]:
    return [write(document) for document in plain]
