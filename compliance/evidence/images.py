"""Opens an evidence file of a job without trusting it.

A file that is not there, damaged or not what its name says is no exception: it is `Seen`
with a fault, so that the rules can name it and never count it as shown.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from compliance.evidence.kinds import ENDINGS, KINDS_BY_ENDING, NAMES, ending_of, kind_of
from compliance.evidence.papers import seen_pdf, seen_text
from compliance.evidence.pictures import seen_picture
from compliance.evidence.seen import Seen
from compliance.files.hashes import sha256_bytes
from compliance.files.paths import PathError, open_regular
from compliance.files.written import shown

LARGEST_BYTES = 100_000_000
"""Files above this are not read: one of them must not fill the memory of an office machine."""


def look(folder: Path, relative: str) -> Seen:
    """What the evidence file `relative` of the job in `folder` is, and what is wrong with it.

    Pictures are decoded to the last line, in this process; what that can cost is bounded by
    the size of the file, the number of pixels and the number of passes.
    """
    return look_and_keep(folder, relative)[0]


def look_and_keep(folder: Path, relative: str) -> tuple[Seen, bytes]:
    """What `look` gives, with the very bytes that it looked at; none if they were not read."""
    seen = Seen(relative)
    try:
        with open_regular(folder, relative) as file:
            seen = replace(seen, bytes=os.fstat(file.fileno()).st_size)
            data = file.read(LARGEST_BYTES + 1) if seen.bytes <= LARGEST_BYTES else b""
    except PathError as error:
        return replace(seen, fault=error.what), b""
    except OSError as error:
        fault = f"could not be read ({error.strerror}). Copy it again"
        return replace(seen, fault=f"{_named(relative)} {fault}"), b""
    if max(seen.bytes, len(data)) > LARGEST_BYTES:
        fault = f"has {seen.bytes / 1e6:.0f} MB; up to {LARGEST_BYTES / 1e6:.0f} MB can be read"
        return replace(seen, fault=f"{_named(relative)} {fault}. Save a smaller copy"), b""
    return _seen_content(seen, data), data


def _seen_content(seen: Seen, data: bytes) -> Seen:
    ending = ending_of(seen.file)
    seen = replace(
        seen, bytes=len(data), sha256=sha256_bytes(data), kind=kind_of(data, ending) if data else ""
    )
    fault = _fault_of_kind(seen, ending)
    if fault:
        return replace(seen, fault=f"{_named(seen.file)} {fault}")
    readers = {"jpeg": seen_picture, "png": seen_picture, "pdf": seen_pdf}
    seen = readers.get(seen.kind, seen_text)(seen, data)
    return replace(seen, fault=f"{_named(seen.file)} {seen.fault}") if seen.fault else seen


def _fault_of_kind(seen: Seen, ending: str) -> str:
    """What is wrong before the content is read: nothing in it, or not what its name says."""
    named, kind = KINDS_BY_ENDING.get(ending, ""), seen.kind
    if not seen.bytes:
        return "is empty: there is not one byte in it. Copy it again from where it was made"
    if kind == "heic" and named == "heic":
        return (
            "is a HEIC picture, which can't be opened here, so nobody can tell whether it is "
            "whole. Save it as JPEG on the device that took it and list the JPEG; keep this one"
        )
    if kind not in KINDS_BY_ENDING.values():
        return f"holds {NAMES[kind]}. Save it as JPEG, PNG, PDF or CSV and list that file"
    if not named:
        last = f"ends in .{shown(ending, 20)}" if ending else "has no ending in its name"
        return f"{last}; evidence is kept as .jpg, .png, .pdf, .csv or .txt. Give it its own ending"
    if named != kind:
        what = f"is named .{ending} but holds {NAMES[kind]}"
        if kind in ENDINGS:
            return f"{what}. Name it {ENDINGS[kind]} if that is what it should be"
        return f"{what}. Copy it again from where it was made"
    return ""


def _named(relative: str) -> str:
    return f'"{shown(relative, 200)}"'
