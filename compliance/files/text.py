"""From the bytes of a file to its text: UTF-8 only, and no character that can't be printed."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property

from compliance.errors import Place, WrittenError
from compliance.files.refusals import (
    ControlCharacterError,
    DirectiveUsedError,
    HalfCharacterError,
    InvisibleCharacterError,
    NotUtf8Error,
    WideEncodingError,
)

# C0 and C1 but tab and line ends, DEL, line and paragraph separators, noncharacters.
_CONTROL = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufdd0-\ufdef\ufffe\uffff" + "".join(
    f"{chr(plane * 0x10000 + 0xFFFE)}{chr(plane * 0x10000 + 0xFFFF)}" for plane in range(1, 17)
)
_UNPRINTABLE = re.compile(f"[{_CONTROL}\ufeff]")
_UNUSABLE = re.compile(f"[{_CONTROL}\r\ufeff\ud800-\udfff]")
# Spaces but the plain one, zero-width, joiners, soft hyphen, direction marks, fillers, tags.
_INVISIBLE = re.compile(
    "[\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e"
    "\u2060-\u206f\u3164\ufe00-\ufe0f\uffa0\ufff9-\ufffb\U000e0000-\U000e0fff]"
)
_BLANK_BEFORE_BLOCK = re.compile(r"(?<=[ \t])([|>][0-9+-]{0,2} *\n)((?: *\n)+)")
_HEAD = re.compile(r"(?:[%#].*\n|\s*\n|[ \t]+#.*\n)*(?:%.*)?")
_WIDE_MARKS = (
    (b"\xff\xfe\x00\x00", "UTF-32"),
    (b"\x00\x00\xfe\xff", "UTF-32"),
    (b"\xff\xfe", "UTF-16"),
    (b"\xfe\xff", "UTF-16"),
)


@dataclass(frozen=True)
class Source:
    """The text of one file, its lines ended by `\\n` alone, ready to be parsed."""

    name: str
    text: str
    is_mended: bool = False
    """Whether unprintable characters were replaced, which may change what the text says."""

    @cached_property
    def lines(self) -> list[str]:
        """The lines, without their ends."""
        return self.text.split("\n")

    @cached_property
    def _starts(self) -> list[int]:
        starts = [0]
        for line in self.lines:
            starts.append(starts[-1] + len(line) + 1)
        return starts

    def line(self, number: int) -> str:
        """A line by its number from 0; empty beyond the last."""
        return self.lines[number] if number < len(self.lines) else ""

    def index(self, line: int, column: int) -> int:
        """Where a line and column (both from 0) stand in the text."""
        return min(self._starts[min(line, len(self.lines))] + column, len(self.text))

    def position(self, index: int) -> tuple[int, int]:
        """The line and column (both from 0) of an index into the text."""
        line = bisect_right(self._starts, index) - 1
        return line, index - self._starts[line]

    def place(self, line: int, column: int, field: str = "") -> Place:
        """The place of a line and column that count from 0."""
        return Place(self.name, line + 1, column + 1, field)


def decode(data: bytes, name: str) -> tuple[Source, list[WrittenError]]:
    """The text of a file, and what is the matter with its characters.

    Raises:
        WrittenError: If the bytes are not UTF-8. A byte order mark before UTF-8 is dropped.
    """
    wide = _wide_encoding(data)
    if wide:
        raise WideEncodingError(Place(name, 1, 1), wide)
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = _one_line_end(data[: error.start].decode("utf-8"))
        place = Place(name, before.count("\n") + 1, len(before) - before.rfind("\n"))
        raise NotUtf8Error(place, data[error.start]) from None
    source = Source(name, _one_line_end(text))
    unprintable = _unprintable(source)
    directives = _directives(source)
    # Every column stays, and the parser can go on to find what else is the matter.
    usable = _UNPRINTABLE.sub("\ufffd", source.text)
    # Spaces in a blank line before a block's first words: the pure parser stumbles over them.
    usable = _BLANK_BEFORE_BLOCK.sub(lambda m: m[1] + "\n" * m[2].count("\n"), usable)
    if directives:
        usable = _HEAD.sub(lambda head: re.sub("^%", "#", head.group(), flags=re.M), usable, 1)
    return Source(name, usable, bool(unprintable)), [*unprintable, *directives]


def unusable_character(text: str) -> str:
    """The first character of a scalar, its escapes read, that can't be used; empty if none."""
    found = _UNUSABLE.search(text)
    return found.group() if found else ""


def invisible_character(key: str) -> str:
    """The first character of a name that nobody sees, so that it looks like another; or empty."""
    found = _INVISIBLE.search(key)
    return found.group() if found else ""


def character_error(place: Place, character: str) -> WrittenError:
    """The refusal of a character that can't be used."""
    if "\ud800" <= character <= "\udfff":
        return HalfCharacterError(place, character)
    if character == "\ufeff":
        return InvisibleCharacterError(place, character)
    return ControlCharacterError(place, character)


def _unprintable(source: Source) -> list[WrittenError]:
    """The first unprintable character of each line that has one."""
    if not _UNPRINTABLE.search(source.text):
        return []
    found = ((n, _UNPRINTABLE.search(line)) for n, line in enumerate(source.lines))
    return [character_error(source.place(n, m.start()), m.group()) for n, m in found if m]


def _directives(source: Source) -> list[DirectiveUsedError]:
    """The lines before the document that start with `%`."""
    found = []
    for number, line in enumerate(source.lines):
        if line.startswith("%"):
            found.append(DirectiveUsedError(source.place(number, 0), line))
        elif line.strip() and not line.lstrip().startswith("#"):
            break
    return found


def _one_line_end(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _wide_encoding(data: bytes) -> str:
    """UTF-16 or UTF-32 by its mark, or by the zero bytes that ASCII names give it."""
    for mark, encoding in _WIDE_MARKS:
        if data.startswith(mark):
            return encoding
    head = data[: min(len(data), 400) // 4 * 4]
    if not head:
        return ""
    zeros = [head[start::4].count(0) * 4 / len(head) for start in range(4)]
    if (min(zeros[2:]) == 1 and zeros[0] < 1) or (min(zeros[:2]) == 1 and zeros[3] < 1):
        return "UTF-32"
    even, odd = (zeros[0] + zeros[2]) / 2, (zeros[1] + zeros[3]) / 2
    return "UTF-16" if min(even, odd) == 0 and max(even, odd) > 0.5 else ""
