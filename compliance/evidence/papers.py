"""Papers and meter files: is a PDF open to everyone and whole, is a text a text."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from io import BytesIO, StringIO
from typing import Any

from compliance.evidence.seen import Seen

LARGEST_UNPACKED_BYTES = 10_000_000
"""Only lists of objects and pages are unpacked here; those of a thousand pages have a tenth."""
MOST_ENTRIES = 1_000_000
LARGEST_TEXT_BYTES = 20_000_000


def seen_pdf(seen: Seen, data: bytes) -> Seen:
    """The file with its number of pages; `seen.fault` if it is locked, damaged or empty.

    The table of contents and every page are found without repairing anything. What is drawn
    on the pages is not decoded.
    """
    import pikepdf

    try:
        with _limits(), pikepdf.open(BytesIO(data), attempt_recovery=False) as pdf:
            is_locked, pages = pdf.is_encrypted, len(pdf.pages)
    except pikepdf.PasswordError:
        is_locked, pages = True, 0
    except Exception:  # whatever a damaged file makes the reader raise, it is the file's damage
        return replace(seen, fault="is damaged or cut short. Copy it again, or print it to PDF")
    fault = ""
    if is_locked:
        fault = "is locked. Save a copy without password or restrictions and list that"
    elif not pages:
        fault = "has no pages. Copy it again, or print it to PDF"
    return replace(seen, pages=pages, fault=fault)


@contextmanager
def _limits() -> Iterator[None]:
    """What a packed list may unpack to, so that a small file can't fill the memory."""
    from pikepdf.settings import set_qpdf_limits

    before: dict[str, Any] = set_qpdf_limits(
        flate_max_memory=LARGEST_UNPACKED_BYTES,
        png_max_memory=LARGEST_UNPACKED_BYTES,
        run_length_max_memory=LARGEST_UNPACKED_BYTES,
        tiff_max_memory=LARGEST_UNPACKED_BYTES,
        parser_max_container_size=MOST_ENTRIES,
    )
    try:
        yield
    finally:
        set_qpdf_limits(**before)


def seen_text(seen: Seen, data: bytes) -> Seen:
    """The file as text; `seen.fault` if it is too long, or a table whose last quote stays open."""
    if len(data) > LARGEST_TEXT_BYTES:
        return replace(
            seen,
            fault=f"has {len(data) / 1e6:.0f} MB of text; up to {LARGEST_TEXT_BYTES / 1e6:.0f} MB "
            "is read. Export a shorter time or fewer columns",
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        text = data.decode("latin-1")
        seen = replace(
            seen, remark=f"Line {line} is not UTF-8; its letters beyond A to Z may be read wrongly"
        )
    if seen.kind == "csv":
        seen = replace(seen, fault=_fault_of_table(text))
    return seen


def _fault_of_table(text: str) -> str:
    rows = csv.reader(StringIO(text, newline=""), strict=True)
    try:
        for _ in rows:
            pass
    except csv.Error:
        return (
            f'cannot be split into columns at line {rows.line_num}: a " stands alone or is never '
            "closed. Export it again; the file may be cut short"
        )
    return ""
