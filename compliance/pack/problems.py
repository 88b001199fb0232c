"""What can be wrong with a pack that somebody checks: every cause once, with its sentence."""

from __future__ import annotations

from typing import NamedTuple

from compliance.files.written import shown

SENTENCES = {
    "pack.not-a-folder": (
        '"{file}" is not a folder. If the pack came as one file, unpack all of it and name the '
        "folder that holds bagit.txt"
    ),
    "pack.no-declaration": '"{file}" is missing, which says that a folder is a pack',
    "pack.no-information": '"{file}" is missing, which says how much there should be in the pack',
    "pack.no-manifest": '"{file}" is missing; without it nothing in the pack can be checked',
    "pack.no-tag-manifest": '"{file}" is missing; without it the lists could be any lists',
    "pack.declaration": '"{file}" does not say version 1.0 and UTF-8, in two lines and no more',
    "pack.fetch": '"{file}" asks for files to be fetched; a pack has everything inside',
    "pack.other-algorithm": '"{file}" is a list of other hashes; a pack has SHA-256 only',
    "pack.list-too-long": '"{file}" is longer than a list of {more} MB, and was not read',
    "pack.list-not-text": '"{file}" is not UTF-8 text at byte {more}',
    "pack.list-line": (
        '"{file}" line {more} is not a hash of 64 small hexadecimal digits, two blanks and a name'
    ),
    "pack.listed-name": '"{file}" names "{more}", which is not a plain way to a file in the pack',
    "pack.listed-twice": '"{file}" names "{more}" twice; each file stands there once',
    "pack.listed-elsewhere": '"{file}" names "{more}", which does not belong in that list',
    "pack.names-clash": '"{file}" and "{more}" are one name on some systems, so one would be lost',
    "pack.nothing-inside": '"{file}" names no file at all; an empty pack shows nothing',
    "pack.information-line": '"{file}" line {more} is not a label, a colon and a text',
    "pack.no-size": '"{file}" must have one line Payload-Oxum: bytes, a dot, number of files',
    "pack.size": '"{file}" says {more}, in bytes and files',
    "pack.missing-file": '"{file}" is listed and is not there',
    "pack.changed-file": '"{file}" is not the file that was issued: its hash is another',
    "pack.unlisted-file": '"{file}" is in no list, so it was not issued with the pack',
    "pack.empty-folder": '"{file}" is an empty folder, which no pack is issued with',
    "pack.link": '"{file}" is a link; a pack holds the files themselves. It was not followed',
    "pack.not-a-file": '"{file}" is a pipe or device, not an ordinary file',
    "pack.cannot-be-read": '"{file}" could not be read: {more}',
    "pack.expected-root": (
        '"{file}" is no root. Give the 64 digits (0-9, a-f) from the cover sheet, or at least '
        "the first 12"
    ),
    "pack.other-root": (
        "The root is {file}, not {more}: this is not the pack that the cover sheet belongs to, "
        "or it was rewritten as a whole"
    ),
}


class Problem(NamedTuple):
    """One thing that is wrong with a pack."""

    id: str
    what: str


def problem(cause: str, file: str, more: object = "") -> Problem:
    """The problem `cause` of a file, worded; what cannot be printed is written out."""
    more = shown(more, 200) if isinstance(more, str) else more
    return Problem(cause, SENTENCES[cause].format(file=shown(file, 200), more=more))
