"""What the contents and evidence annex receives: every file, its hash, small copies of pictures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from compliance.documents.commissioning import firm, named, said, when
from compliance.documents.data import day
from compliance.documents.tables import shaped
from compliance.documents.tree import Cell, Picture, Run, Table
from compliance.evidence import Seen, display_copy
from compliance.rules.job import Job
from compliance.rules.outcome import NO_PERMISSION

LONGEST_PX = 640
_KINDS = {
    "jpeg": "a photo or picture",
    "png": "a photo or picture",
    "pdf": "a paper",
    "csv": "a table of values",
    "text": "plain text",
}


@dataclass(frozen=True, slots=True)
class Content:
    """One file of the pack that is no evidence."""

    name: str
    what: str
    sha256: str


def annex_values(job: Job) -> dict[str, Any]:
    """The values of `evidence-annex.md.j2`."""
    checked = job.checked
    return {
        "reference": checked.reference,
        "title": checked.title,
        "address": said(job.view["site"], "address", ""),
        "firm": firm(job.view),
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
    }


def annex_tables(job: Job, contents: Iterable[Content]) -> dict[str, Table]:
    """The tables of `evidence-annex.md.j2`.

    Raises:
        EvidenceError: If a picture that was whole when it was checked no longer is.
    """
    files = [
        ((Run(c.name, strong=True), Run(f"\n{c.what}")), _in_two_lines(c.sha256)) for c in contents
    ]
    return {"contents": shaped("contents", files), "exhibits": shaped("exhibits", _exhibits(job))}


def _exhibits(job: Job) -> Iterator[tuple[Cell, Cell]]:
    for item in job.view.get("evidence", ()):
        seen = job.seen[item["~name"]]
        yield _seen(job, item, seen), tuple(_recorded(item, seen))


def _seen(job: Job, item: Mapping[str, Any], seen: Seen) -> Cell:
    if seen.width_px and seen.is_whole:
        copy = display_copy(job.folder, item["file"], longest_px=LONGEST_PX)
        words = said(item, "shows", "nobody states what it shows")
        return Picture(copy, seen.width_px, seen.height_px, f"{item['~name']}: {words}")
    if not seen.is_whole:
        return "Cannot be shown."
    pages = f", {seen.pages} page{'s' if seen.pages > 1 else ''}" if seen.pages else ""
    return f"{_KINDS.get(seen.kind, seen.kind).capitalize()}{pages}; see the file itself."


def _recorded(item: Mapping[str, Any], seen: Seen) -> Iterator[Run]:
    yield Run(f"{item['~name']}, {item['kind']}", strong=True)
    yield Run(f"\nShows: {said(item, 'shows', 'nobody states what it shows')}")
    yield Run(f"\nAbout: {', '.join(item['about'])}")
    who = f"Stated by {named(item['by'])}" if "by" in item else "Nobody is named who states it"
    yield Run(f"\n{who}; made {when(item, seen)}")
    if seen.has_position:
        yield Run("\nThe file says where it was taken; that is a claim, as its date is.")
    if seen.fault:
        yield Run(f"\nDoes not count: {seen.fault}", emphasis=True)
    if seen.remark:
        yield Run(f"\nNoticed: {seen.remark}")
    size = f"{seen.bytes:,} bytes".replace(",", " ")
    yield Run(f"\nFile {item['file']}, {size}")
    if seen.sha256:
        yield Run(f"\nSHA-256\n{_in_two_lines(seen.sha256)}")


def _in_two_lines(sha256: str) -> str:
    return f"{sha256[:32]}\n{sha256[32:]}"
