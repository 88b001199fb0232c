"""The one way by which a value becomes text of a document: whole and literal, or refused.

`printable` decides; `markup` and `lines` hand the same text to the PDF and DOCX writers.
Nothing else may make text for a writer: a house test sees to it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from datetime import date
from functools import cache
from xml.sax.saxutils import escape

from compliance.documents.tree import Run
from compliance.documents.typeface import coverage
from compliance.errors import DocumentError, Place

LIMIT_CHARACTERS = 10_000
LIMIT_WORD = 200
LIMIT_FOOTER = 240

_BLANKS = re.compile(r"[ \t]+")
_LONG_WORD = re.compile(rf"[^ \n]{{{LIMIT_WORD}}}(?=[^ \n])")
_UNSEEN = {"Cc": "a control character", "Cf": "a mark that nobody can see", "Cs": "half of one"}
_UNSEEN |= {"Zl": "a line separator", "Zp": "a paragraph separator", "Co": "private to one system"}


class UnprintableCharacterError(DocumentError):
    """A character that would come out as a box, out of order, or not at all."""

    id = "document.unprintable-character"

    def __init__(self, character: str, text: str, reason: str, place: Place | None) -> None:
        code = ord(character)
        name = unicodedata.name(character, "a character without a name").lower()
        super().__init__(
            f"{_quoted(text)} holds U+{code:04X}, {name}: {reason}. "
            "Write it with letters, figures and signs that can be printed",
            place,
        )
        self.character = character


class TextTooLongError(DocumentError):
    """A text that is too long to be one field of a document."""

    id = "document.text-too-long"

    def __init__(self, text: str, limit: int, place: Place | None) -> None:
        super().__init__(
            f"{_quoted(text)} has {len(text):,} characters; at most {limit:,} can be printed "
            "here. Keep the long text as an evidence file and name that file instead",
            place,
        )


class NotTextError(DocumentError):
    """A value that was never turned into words, such as a number without its unit."""

    id = "document.not-text"

    def __init__(self, value: object, place: Place | None) -> None:
        super().__init__(
            f"{_quoted(repr(value))} is not text. Give it as words, a number with its unit",
            place,
        )


def printable(value: object, place: Place | None = None, limit: int = LIMIT_CHARACTERS) -> str:
    """The text of a value: NFC, blanks single, line ends kept as `\\n`, nothing else changed.

    Text, whole numbers that count and days have a text; anything else must be worded first.

    Raises:
        NotTextError: If the value is neither text nor a count nor a day.
        TextTooLongError: If it has more characters than `limit`.
        UnprintableCharacterError: If a character can't be printed as what it is.
    """
    if type(value) is int or type(value) is date:
        return str(value)
    if not isinstance(value, str):
        raise NotTextError(value, place)
    if len(value) > limit:
        raise TextTooLongError(value, limit, place)
    text = unicodedata.normalize("NFC", value.replace("\r\n", "\n").replace("\r", "\n"))
    strange = set(text) - _allowed()
    if strange:
        first = min(strange, key=text.index)
        raise UnprintableCharacterError(first, text, _reason(first), place)
    return _BLANKS.sub(" ", text)


def markup(runs: Iterable[Run], place: Place | None = None) -> str:
    """Runs as the mark-up of reportlab's paragraphs, in which no character of them is mark-up.

    A word too long to be set costs time that grows with its square: it is broken, lossless.
    """
    return "".join(_marked(run, place) for run in runs)


def lines(run: Run, place: Place | None = None) -> list[str]:
    """The lines of a run, for a writer that breaks words by itself."""
    return printable(run.text, place).split("\n")


def _marked(run: Run, place: Place | None) -> str:
    text = _LONG_WORD.sub(lambda word: word.group() + "\n", printable(run.text, place))
    marked = escape(text).replace("\n", "<br/>")
    if run.emphasis:
        marked = f"<i>{marked}</i>"
    return f"<b>{marked}</b>" if run.strong else marked


@cache
def _allowed() -> frozenset[str]:
    """What the typefaces draw, without what would be unseen or set in the wrong order."""
    return frozenset(c for c in coverage() if not _reason(c)) | {"\n", "\t"}


def _reason(character: str) -> str:
    kind = unicodedata.category(character)
    if kind in _UNSEEN:
        return f"it is {_UNSEEN[kind]}"
    if unicodedata.bidirectional(character) in ("R", "AL", "AN"):
        return "it is written from right to left, which would be printed out of order"
    if ord(character) > 0xFFFF:
        return "it is a picture or a rare sign that not every printer knows"
    return "" if character in coverage() else "the typeface of the documents has no shape for it"


def _quoted(text: str) -> str:
    cut = text if len(text) <= 60 else text[:59] + "…"
    seen = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in cut)
    return f'"{seen}"'
