"""From the parser's events to a tree of text with places, and every problem on the way."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from compliance.errors import Place, WrittenError
from compliance.files import refusals
from compliance.files.between import Between
from compliance.files.events import Event, Stopped, events
from compliance.files.syntax import NAME_WITHOUT_SPACE, Stop, explain
from compliance.files.text import Source, character_error, invisible_character, unusable_character
from compliance.files.written import Node, Path, Position, Style, Written, field_name, shown

LIMIT_DEPTH = 40
LIMIT_NODES = 20_000
LIMIT_CHARACTERS = 10_000
LIMIT_PROBLEMS = 100

_STYLES: dict[str, Style] = {'"': "quoted", "'": "quoted", "|": "block", ">": "block"}
_BLOCK_MARK = re.compile(r">[+-]?\d|[|>][+-]?#")
_DOCUMENT_END = re.compile(r"^\.\.\.(?=\s|$)", re.M)
_RUN_ON = re.compile(r"- |[a-z][a-z0-9_]*:(?!//)\S")


def read(source: Source, found: Sequence[WrittenError]) -> Reading:
    """Read a text; `found` are the problems that its characters had already.

    The C parser reads what is fine. Where anything is the matter, the pure parser reads
    again and decides, so that the messages don't depend on which of them is installed.
    """
    reading = Reading(source, [])
    with suppress(Stopped):
        reading.take(events(source, pure=False))
        if not found and not reading.problems:
            return reading
    reading = Reading(source, list(found))
    try:
        reading.take(events(source, pure=True))
    except Stopped as stopped:
        reading.give_up(stopped)
    return reading


class Reading:
    """What has been read of a text so far: the tree, where its parts stand, the problems."""

    def __init__(self, source: Source, problems: list[WrittenError]) -> None:
        self.root: dict[str, Node] = {}
        self.entries: dict[Path, Position] = {}
        self.problems = problems
        self._source = source
        self._open: list[_Open] = []
        self._between = Between(source)
        self._nodes = 0
        self._documents = 0
        self._end = (0, 0)
        self._quoted: tuple[tuple[int, int], tuple[int, int]] | None = None

    def take(self, parsed: Iterable[Event]) -> None:
        """Read all events, or as many as there is sense in.

        Raises:
            Stopped: Where the parser can't go on.
        """
        try:
            for event in parsed:
                try:
                    self._take(event)
                finally:
                    self._end = event.end
            if not self._nodes:
                self._report(refusals.EmptyFileError(self._source.place(0, 0)))
            self._check_tail()
            self._check_between(len(self._source.text))
        except _Enough:
            self._check_between(self._source.index(*self._end))

    def give_up(self, stopped: Stopped) -> None:
        """Note why the parser stopped, unless unprintable characters may well be the reason."""
        self._check_between(self._source.index(*self._end))
        if not self._source.is_mended:
            why = explain(Stop(self._source, stopped.at, stopped.began, self._quoted))
            if not any(p.place == why.place and p.id == why.id for p in self.problems):
                self.problems.append(why)

    def _take(self, event: Event) -> None:
        if event.kind == "document":
            self._start_document(event)
        elif event.kind == "end":
            self._open.pop()
        else:
            self._count(event)
            self._refuse_marks(event)
            if event.kind in ("list", "mapping"):
                self._start_group(event)
            else:
                self._add_scalar(event)

    def _start_document(self, event: Event) -> None:
        self._documents += 1
        if self._documents > 1:
            self._report(refusals.SecondDocumentError(self._source.place(*event.start)))
            raise _Enough

    def _check_tail(self) -> None:
        """The C parser passes over a second "..." in silence; the pure one starts a document."""
        start = self._source.index(*self._end)
        marks = list(_DOCUMENT_END.finditer(self._source.text, start))
        if len(marks) > 1:
            at = self._source.position(marks[1].start())
            self._report(refusals.SecondDocumentError(self._source.place(*at)))

    def _count(self, event: Event) -> None:
        self._nodes += 1
        if self._nodes > LIMIT_NODES:
            self._report(refusals.TooManyValuesError(self._source.place(*event.start), LIMIT_NODES))
            raise _Enough
        if event.kind in ("list", "mapping") and len(self._open) >= LIMIT_DEPTH:
            self._report(refusals.TooDeepError(self._source.place(*event.start), LIMIT_DEPTH))
            raise _Enough

    def _refuse_marks(self, event: Event) -> None:
        if event.kind == "alias":
            self._refuse_mark(refusals.AliasUsedError, event, "*")
        elif event.anchor:
            self._refuse_mark(refusals.AnchorUsedError, event, "&")
        if event.tag:
            self._refuse_mark(refusals.TagUsedError, event, "!")

    def _refuse_mark(
        self, kind: Callable[[Place, str], WrittenError], event: Event, mark: str
    ) -> None:
        self._report(kind(self._place(event.start), self._marked(event, mark)))

    def _marked(self, event: Event, mark: str) -> str:
        """The word with a mark before a value, as written; the two parsers cut it differently."""
        line = self._source.line(event.start[0])[event.start[1] :]
        word = re.search(rf"[{mark}][^\s,\[\]{{}}\"']*", line)
        return word.group().rstrip(":") if word else mark

    def _start_group(self, event: Event) -> None:
        node: dict[str, Node] | list[Node] = {} if event.kind == "mapping" else []
        at = (event.start[0] + 1, event.start[1] + 1)
        if not self._open:
            self._start_root(event, node)
            self.entries[()] = at
            return
        parent = self._open[-1]
        if parent.awaits_key:
            self._report(refusals.CompoundKeyError(self._place(event.start)))
            parent.key = Written("", *at)
            self._open.append(_Open(node, parent.path))
            return
        path = parent.next_path
        if isinstance(parent.node, list):
            self.entries[path] = at
        parent.add(node)
        self._open.append(_Open(node, path))

    def _start_root(self, event: Event, node: dict[str, Node] | list[Node]) -> None:
        if isinstance(node, list):
            self._report(refusals.NotAMappingError(self._source.place(*event.start), "a list"))
            raise _Enough
        self.root = node
        self._open.append(_Open(node, ()))

    def _add_scalar(self, event: Event) -> None:
        line, column = event.start
        if not event.value and not event.mark and event.kind == "scalar":
            line, column = self._where_empty(event)
        style = _STYLES.get(event.mark, "plain")
        text = self._marked(event, "*") if event.kind == "alias" else event.value
        written = Written(text, line + 1, column + 1, style)
        self._between.add(event)
        if not self._open:
            self._refuse_root(written)
        if style == "quoted":
            self._quoted = event.start, event.end
        parent = self._open[-1]
        if parent.awaits_key:
            self._add_key(parent, written)
        else:
            self._check_text(written)
            self._check_header(event)
            self._check_continuation(event)
            self._check_name_and_value(parent.key, written)
            parent.add(written)

    def _refuse_root(self, written: Written) -> None:
        place = self._place_of(written)
        if self._source.is_mended:
            pass
        elif written.style == "block":
            self._report(refusals.NotAMappingError(place, "a block of text"))
        elif written or written.style == "quoted":
            self._report(refusals.NotAMappingError(place, f'the text "{shown(written)}"'))
        else:
            self._report(refusals.EmptyFileError(self._source.place(0, 0)))
        raise _Enough

    def _add_key(self, parent: _Open, key: Written) -> None:
        self._check_text(key, key)
        same = unicodedata.normalize("NFC", key)
        parent.is_repeated = same in parent.lines
        problem = self._problem_of_key(parent, key, same)
        if problem:
            self._report(problem)
        parent.lines.setdefault(same, key.line)
        parent.key = key
        self.entries[(*parent.path, key)] = (key.line, key.column)

    def _problem_of_key(self, parent: _Open, key: Written, same: str) -> WrittenError | None:
        if not key:
            return refusals.EmptyKeyError(self._place_of(key))
        if key == "<<" and key.style == "plain":
            return refusals.MergeKeyError(self._place_of(key, key))
        hidden = invisible_character(key)
        if hidden:
            return refusals.InvisibleCharacterError(self._place_of(key, key), hidden)
        if parent.is_repeated:
            return refusals.DuplicateKeyError(self._place_of(key, key), key, parent.lines[same])
        return None

    def _where_empty(self, event: Event) -> tuple[int, int]:
        """Right after the colon or dash; the two parsers differ on where nothing stands."""
        if not self._open or isinstance(self._open[-1].node, list) or self._open[-1].awaits_key:
            return event.start
        line, column = self._end
        colon = re.match(r"\s*:", self._source.line(line)[column:])
        return line, column + (colon.end() if colon else 0)

    def _check_text(self, written: Written, *key: str) -> None:
        if len(written) > LIMIT_CHARACTERS:
            place = self._place_of(written, *key)
            self._report(refusals.TooLongError(place, len(written), LIMIT_CHARACTERS))
        character = unusable_character(written)
        if character:
            self._report(character_error(self._place_of(written, *key), character))

    def _check_header(self, event: Event) -> None:
        """`>5` is a block mark with an indentation; whoever writes it means more than 5."""
        header = self._source.line(event.start[0])[event.start[1] :]
        if event.mark in ("|", ">") and _BLOCK_MARK.match(header):
            place, rest = self._place(event.start), header[1:].strip()
            self._report(refusals.BlockMarkError(place, event.mark, rest))

    def _check_continuation(self, event: Event) -> None:
        """A plain text of several lines may hide an entry or field in one of them."""
        if event.mark:
            return
        for number in range(event.start[0] + 1, event.end[0] + 1):
            line = self._source.line(number)
            text = line.strip()
            if _RUN_ON.match(text):
                at = number, len(line) - len(line.lstrip())
                self._report(refusals.RunOnError(self._place(at), text, event.value))

    def _check_name_and_value(self, key: Written | None, value: Written) -> None:
        """`{a:1}` is one long name with no value; outside braces the grammar stops at it."""
        if key is None or value or key.style != "plain" or value.style != "plain":
            return
        has_no_colon = (value.line, value.column) == (key.line, key.column + len(key))
        if has_no_colon and NAME_WITHOUT_SPACE.match(key):
            self._report(refusals.ColonWithoutSpaceError(self._place_of(key), key))

    def _check_between(self, end: int) -> None:
        """What stands outside the scalars, up to `end`: comments glued on, and tabs."""
        self.problems.extend(self._between.problems(end))
        if len(self.problems) > LIMIT_PROBLEMS:
            self.problems.sort(key=lambda p: p.place or Place(""))
            del self.problems[LIMIT_PROBLEMS:]
            last = self.problems[-1].place or Place(self._source.name)
            self.problems.append(refusals.TooManyProblemsError(last, LIMIT_PROBLEMS))

    def _place(self, at: tuple[int, int], *key: str) -> Place:
        """The place of what comes next, with its field."""
        path = self._open[-1].next_path if self._open else ()
        return self._source.place(*at, field_name((*path, *key)))

    def _place_of(self, written: Written, *key: str) -> Place:
        return self._place((written.line - 1, written.column - 1), *key)

    def _report(self, problem: WrittenError) -> None:
        self.problems.append(problem)
        if len(self.problems) > LIMIT_PROBLEMS:
            raise _Enough


@dataclass(slots=True)
class _Open:
    """A list or mapping whose end has not been reached."""

    node: dict[str, Node] | list[Node]
    path: Path
    key: Written | None = None
    """The name just read, whose value comes next."""
    is_repeated: bool = False
    lines: dict[str, int] = field(default_factory=dict)
    """Of every name so far, the line where it stands first."""

    @property
    def awaits_key(self) -> bool:
        """Whether a name comes next."""
        return isinstance(self.node, dict) and self.key is None

    @property
    def next_path(self) -> Path:
        """The path of the value that comes next; of the mapping itself if a name does."""
        if isinstance(self.node, list):
            return (*self.path, len(self.node))
        return self.path if self.key is None else (*self.path, self.key)

    def add(self, value: Node) -> None:
        """Take the next value; that of a name that stands twice is left out."""
        if isinstance(self.node, list):
            self.node.append(value)
        elif self.key is not None:
            if not self.is_repeated:
                self.node[self.key] = value
            self.key = None


class _Enough(Exception):  # noqa: N818 - ends the reading, never shown
    """There is no sense in reading on."""
