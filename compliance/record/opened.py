"""A record as the check takes it: its view, and where what it states stands.

The first time it is read and validated by the models; after that the same bytes are taken
from the cache, so that a repeated check imports neither models nor YAML.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from compliance.errors import ComplianceError, Place
from compliance.files.cache import Cache
from compliance.files.hashes import sha256_bytes
from compliance.files.paths import open_file
from compliance.files.resources import rulesets_folder

if TYPE_CHECKING:
    from compliance.files.written import Tree
    from compliance.record.load import Loaded

FILE = "installation.yaml"
FIRM_FILE = "firm.yaml"
_MOST_BYTES = 262_144
STATEMENTS = ("departures", "judgements")


@dataclass(frozen=True, slots=True)
class Opened:
    """A valid record: `view` as rules read it, `sha256` of the very bytes it came from."""

    folder: Path
    sha256: str
    on: date
    """The day of the check, which the view is of."""
    view: dict[str, Any]
    places: Mapping[tuple[str, int, str], Place]
    """Where each departure and judgement says something, by collection, position and field; and
    what the job was designed to."""
    firm: Path | None = None
    """The firm's file, if the record takes anything from it."""
    firm_sha256: str = ""
    planned: Mapping[str, str] = field(default_factory=dict)
    """What is planned only, by short name, with its batch that nobody speaks for yet."""
    would_say: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """What the firm's usual words say with a batch, once somebody speaks for it: by field."""
    meter_files: Mapping[str, str] = field(default_factory=dict)
    """The SHA-256 of each meter's file that tests were read from, by its path in the folder."""


def open_record(
    folder: Path,
    cache: Cache,
    *,
    today: date,
    on: date | None = None,
    firm: Path | None = None,
    as_planned: bool = False,
) -> Opened:
    """The record of a job folder, as of a day.

    Args:
        folder: The job folder.
        cache: Where earlier work may be taken from.
        today: The day it is; used where neither `on` nor the record's `closed` says otherwise.
        on: The day of the check, if it is not today.
        firm: The folder that holds `firm.yaml`; the one above the job if left out.
        as_planned: Whether what is planned only counts as there; see `record_from`.

    Raises:
        ComplianceError: If it cannot be read or says what cannot be; see `load_record`.
    """
    path = folder / FILE
    data = _bytes(path)
    lender = (firm or folder.absolute().parent) / FIRM_FILE
    lent = _bytes(lender) if firm is not None or lender.exists() else None
    made_from = (
        sha256_bytes(data), str(path), f"{on or ''}", f"{on or today}",
        "" if lent is None else f"{lender} {sha256_bytes(lent)}", f"{as_planned}",
        *_words(),
    )  # fmt: skip
    kept = cache.get("record", *made_from)
    if isinstance(kept, Opened) and _are_as_they_were(folder, kept.meter_files):
        return kept
    opened = _read(folder, data, on, today, None if lent is None else (lender, lent), as_planned)
    cache.put(opened, "record", *made_from)
    return opened


def _are_as_they_were(folder: Path, files: Mapping[str, str]) -> bool:
    """Whether the meters' files that a record was read from have not changed."""
    try:
        return all(sha256_bytes(_bytes(folder / file)) == was for file, was in files.items())
    except ComplianceError:
        return False


def _words() -> list[str]:
    """The jurisdictions' names of fields, which a record may be written in."""
    return [sha256_bytes(p.read_bytes()) for p in sorted(rulesets_folder().glob("*/words.yaml"))]


def _bytes(path: Path) -> bytes:
    with open_file(path) as file:
        return file.read(_MOST_BYTES + 1)


def _read(
    folder: Path,
    data: bytes,
    on: date | None,
    today: date,
    firm: tuple[Path, bytes] | None,
    as_planned: bool,
) -> Opened:
    from compliance.record.load import record_from
    from compliance.record.view import view

    tree = _tree(folder / FILE, data)
    loaded = record_from(tree, folder, firm and _tree(*firm), as_planned=as_planned)
    lender = firm[0] if firm and loaded.takes_from(str(firm[0])) else None
    day = on or loaded.record.closed or today
    return Opened(folder, tree.sha256, day, view(loaded.record, day), _places(loaded),
                  lender, sha256_bytes(firm[1]) if firm and lender else "",
                  loaded.planned, loaded.would_say, loaded.meter_files)  # fmt: skip


def _tree(path: Path, data: bytes) -> Tree:
    from compliance.files.yaml import parse_yaml, read_yaml

    return read_yaml(path) if len(data) > _MOST_BYTES else parse_yaml(data, name=str(path))


def _places(loaded: Loaded) -> dict[tuple[str, int, str], Place]:
    return {("designed_to", 0, ""): loaded.tree.place(("designed_to",))} | {
        (collection, index, field): loaded.tree.place((collection, index, field))
        for collection in STATEMENTS
        for index in range(len(getattr(loaded.record, collection) or ()))
        for field in ("requirement", "subject")
    }
