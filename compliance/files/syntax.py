"""Our own sentence for text that YAML's grammar has no reading for.

The parser says where it stopped and where the thing it was reading began. Its words
are never looked at: we look at the source line there and choose the sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from compliance.errors import WrittenError
from compliance.files.refusals import (
    AfterBracketError,
    AfterQuoteError,
    BlockMarkError,
    ColonInValueError,
    ColonWithoutSpaceError,
    DashWithoutSpaceError,
    ExtraCommaError,
    GluedHashError,
    ListAfterNameError,
    MisalignedError,
    NoColonError,
    NotUnderstoodError,
    OpenBracketError,
    OpenQuoteError,
    ReservedCharacterError,
    StrayBracketError,
    TabUsedError,
    TooLongError,
    UnknownEscapeError,
)
from compliance.files.text import Source

Mark = tuple[int, int]

LONGEST_NAME = 1024
"""How far YAML 1.2.2 (section 7.4.2, from memory) looks for the colon after a name."""

NAME_WITHOUT_SPACE = re.compile(r"""[^\s:#"'\[\]{},-][^\s:#"'\[\]{},]*:(?!//)[^\s:]""")
_NAME_AND_VALUE = re.compile(r"(?:- +)*[^\s:][^:]*:(?: |$)")
_GLUED = re.compile(r"(?<=\S)[ \t]+(#[^\s#!].*)")
_QUOTED = re.compile(r"""(?<![^\s\[{,:])(?:"(?:[^"\\]|\\.)*"|'(?:[^']|'')*')""")
_CLOSED = {'"': re.compile(r'"(?:[^"\\]|\\.)*"', re.S), "'": re.compile(r"'(?:[^']|'')*'", re.S)}


@dataclass(frozen=True)
class Stop:
    """Where the parser gave up (line and column from 0) and what it was reading then."""

    source: Source
    at: Mark
    began: Mark | None
    quoted_before: tuple[Mark, Mark] | None
    """Start and end of the last quoted text before."""

    @property
    def line(self) -> str:
        """The line it stopped on."""
        return self.source.line(self.at[0])

    @property
    def before(self) -> str:
        """What stands before the stop on its line."""
        return self.line[: self.at[1]]

    @property
    def rest(self) -> str:
        """What stands from the stop to the end of its line."""
        return self.line[self.at[1] :].strip(" ")

    @property
    def opener(self) -> str:
        """The character with which the thing being read began."""
        return self.source.line(self.began[0])[self.began[1] :][:1] if self.began else ""


def explain(stop: Stop) -> WrittenError:
    """The refusal whose sentence fits where the parser stopped."""
    return next(_reasons(stop))


def _reasons(stop: Stop) -> Iterator[WrittenError]:
    """Every sentence that could fit, the most telling first."""
    yield from _tab(stop)
    yield from _quote(stop)
    yield from _glued_hash(stop)
    yield from _block_mark(stop)
    yield from _reserved(stop)
    yield from _colon(stop)
    yield from _bracket(stop)
    yield from _after_quote(stop)
    yield from _after_bracket(stop)
    yield from _list_after_name(stop)
    yield from _unnamed_line(stop)
    yield from _indentation(stop)
    yield NotUnderstoodError(stop.source.place(*stop.at), stop.rest)


def _tab(stop: Stop) -> Iterator[WrittenError]:
    line, column = stop.at
    indent = stop.line[: len(stop.line) - len(stop.line.lstrip(" \t"))]
    if stop.rest and "\t" in indent and column <= len(indent):
        yield TabUsedError(stop.source.place(line, indent.index("\t")))
    elif stop.line[column:].startswith("\t"):
        yield TabUsedError(stop.source.place(line, column))


def _quote(stop: Stop) -> Iterator[WrittenError]:
    if stop.opener == "\\" and stop.at == stop.began:
        yield UnknownEscapeError(stop.source.place(*stop.at), stop.rest[:10])
    if stop.began is None or stop.opener not in _CLOSED:
        return
    source = stop.source
    start, end = source.index(*stop.began), source.index(*stop.at)
    closed = _CLOSED[stop.opener].match(source.text, start)
    if closed is None:
        yield OpenQuoteError(source.place(*stop.began), stop.opener, stop.at[0] + 1)
    elif end < closed.end():
        slash = source.text.rfind("\\", start, end + 1)
        if stop.opener == '"' and slash >= 0 and end - slash <= 10:
            column = stop.at[1] - (end - slash)
            yield UnknownEscapeError(source.place(stop.at[0], column), source.text[slash : end + 1])
        else:
            yield OpenQuoteError(source.place(*stop.began), stop.opener, stop.at[0] + 1)


def _glued_hash(stop: Stop) -> Iterator[WrittenError]:
    """A comment that cut a value short makes the lines after it senseless."""
    numbers = [stop.at[0]]
    if not stop.before.strip():
        numbers.append(_line_above(stop))
    if stop.began and stop.opener in ("[", "{"):
        numbers.append(stop.began[0])
    for number in numbers:
        line = _QUOTED.sub(lambda quoted: '"' * len(quoted.group()), stop.source.line(number))
        glued = _GLUED.search(line)
        if glued:
            column = glued.start(1)
            dropped = stop.source.line(number)[column:]
            yield GluedHashError(stop.source.place(number, column), dropped)


def _block_mark(stop: Stop) -> Iterator[WrittenError]:
    if stop.began and stop.opener in ("|", ">") and stop.began[0] == stop.at[0]:
        rest = stop.line[stop.began[1] + 1 :].strip()
        yield BlockMarkError(stop.source.place(*stop.began), stop.opener, rest)


def _reserved(stop: Stop) -> Iterator[WrittenError]:
    if stop.rest.startswith(",") and stop.before.rstrip().endswith((",", "[", "{")):
        yield ExtraCommaError(stop.source.place(*stop.at))
    elif stop.rest[:1] in ("@", "`", "%", ","):
        yield ReservedCharacterError(stop.source.place(*stop.at), stop.rest[0])
    elif stop.began and stop.opener in ("*", "&", "!") and stop.began[0] == stop.at[0]:
        yield ReservedCharacterError(stop.source.place(*stop.began), stop.opener)


def _colon(stop: Stop) -> Iterator[WrittenError]:
    if not stop.rest.startswith(":"):
        return
    is_bracketed = stop.opener in ("[", "{")
    start = stop.began[1] + 1 if stop.began and is_bracketed and _on_one_line(stop) else 0
    inside = re.split(r"[\[{,]", stop.before[start:])[-1] if start else stop.before
    value = re.search(r":\s+(\S.*)?$", inside)
    if value:
        column = len(stop.before) - len(value.group(1) or "")
        text = re.split(r"[,\]}]", stop.line[column:])[0] if start else stop.line[column:]
        yield ColonInValueError(stop.source.place(stop.at[0], column), text.strip())
    elif not is_bracketed:
        yield from _long_name(stop)
        yield from _name_above_without_space(stop)
        yield from _misaligned(stop)


def _long_name(stop: Stop) -> Iterator[WrittenError]:
    name = stop.before.strip(" -")
    if len(name) > LONGEST_NAME:
        place = stop.source.place(stop.at[0], len(stop.before) - len(name))
        yield TooLongError(place, len(name), LONGEST_NAME)


def _name_above_without_space(stop: Stop) -> Iterator[WrittenError]:
    """`- test:polarity` is a text, so that the field below it is out of place."""
    above = _line_above(stop)
    line = stop.source.line(above)
    text = line.lstrip(" -")
    if NAME_WITHOUT_SPACE.match(text) and not _NAME_AND_VALUE.match(text):
        place = stop.source.place(above, len(line) - len(text))
        yield ColonWithoutSpaceError(place, text.strip())


def _line_above(stop: Stop) -> int:
    """The number of the last line with text before the one it stopped on."""
    numbers = range(stop.at[0] - 1, -1, -1)
    return next((n for n in numbers if stop.source.line(n).strip()), stop.at[0])


def _on_one_line(stop: Stop) -> bool:
    return stop.began is not None and stop.began[0] == stop.at[0]


def _bracket(stop: Stop) -> Iterator[WrittenError]:
    if stop.began and stop.opener in ("[", "{") and stop.at != stop.began:
        bracket = stop.rest[:1]
        if bracket in ("]", "}"):
            yield StrayBracketError(stop.source.place(*stop.at), bracket)
        place = stop.source.place(*stop.began)
        yield OpenBracketError(place, stop.opener, stop.at[0] + 1, stop.rest)
    elif stop.rest[:1] in ("]", "}"):
        yield StrayBracketError(stop.source.place(*stop.at), stop.rest[0])


def _after_quote(stop: Stop) -> Iterator[WrittenError]:
    if stop.quoted_before is None or not stop.rest or not stop.before.rstrip().endswith(('"', "'")):
        return
    (first, column), (last, _) = stop.quoted_before
    if last == stop.at[0]:
        quote = stop.source.line(first)[column]
        if first != last:
            yield OpenQuoteError(stop.source.place(first, column), quote, last + 1)
        yield AfterQuoteError(stop.source.place(*stop.at), stop.rest, quote)


def _after_bracket(stop: Stop) -> Iterator[WrittenError]:
    before = stop.before.rstrip()
    if stop.rest and before.endswith(("]", "}")):
        yield AfterBracketError(stop.source.place(*stop.at), stop.rest, before[-1])


def _list_after_name(stop: Stop) -> Iterator[WrittenError]:
    if re.match(r"-(\s|$)", stop.rest) and re.search(r":\s+$", stop.before):
        yield ListAfterNameError(stop.source.place(*stop.at), stop.rest)


def _unnamed_line(stop: Stop) -> Iterator[WrittenError]:
    """A line begun as a name that got no colon; the parser only knows so on the next one."""
    if stop.began is None or stop.began[0] >= stop.at[0]:
        return
    number, column = stop.began
    line = stop.source.line(number)[column:].strip()
    place = stop.source.place(number, column)
    if line[:1] in ("*", "&", "!"):
        yield ReservedCharacterError(place, line[0])
    if _NAME_AND_VALUE.match(line) or line.startswith("- "):
        return
    if NAME_WITHOUT_SPACE.match(line):
        yield ColonWithoutSpaceError(place, line)
    elif re.match(r"-[^\s-]", line):
        yield DashWithoutSpaceError(place, line)
    yield NoColonError(place, line)


def _indentation(stop: Stop) -> Iterator[WrittenError]:
    if stop.rest and not stop.before.strip(" -"):
        yield from _misaligned(stop)


def _misaligned(stop: Stop) -> Iterator[WrittenError]:
    line = stop.line.strip(" ")
    column = len(stop.line) - len(stop.line.lstrip(" "))
    is_one_of_several = _NAME_AND_VALUE.match(line) or line.startswith("- ")
    kind = MisalignedError if is_one_of_several else NoColonError
    yield kind(stop.source.place(stop.at[0], column), line)
