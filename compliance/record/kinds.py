"""The kinds of value a record's fields may have, as annotations of the models.

Each turns the text of a scalar into a value or says what would be right. Nothing is
guessed: plain decimals, full dates, `yes` and `no`, words from closed lists. What is not
known is left out; `none`, `not yet` and `not taken: reason` say what is known to be so.
The vocabulary of the rules and the view are read off the same annotations.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any, get_args, get_origin

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from compliance.errors import RecordError
from compliance.record import problems as wrong
from compliance.record.figures import BEYOND, NOT_TAKEN, figure, number
from compliance.units import find
from compliance.values import NOT_YET, NotTaken, NotYet, Over, Under, plain

DATE = re.compile(r"\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}(:\d{2})?)?", re.ASCII)
_SILENT = frozenset(
    {"", "null", "~", "n/a", "na", "tbc", "tba", "tbd", "missing", "unknown", "?", "-", "nil"}
)


def said(value: Any) -> str:
    """The text of a scalar that says something."""
    if not isinstance(value, str):
        kind = "a list" if isinstance(value, list) else "a group of fields"
        raise wrong.NotAnEntryError(kind, "a single value belongs here")
    text = str(value)
    if says_nothing(text):
        raise wrong.SaysNothingError(text)
    return text


def says_nothing(text: str) -> bool:
    """Whether a text is empty or one of the words for not knowing."""
    return text.strip().lower() in _SILENT


def names_nothing(value: Any) -> bool:
    """Whether what was written for a reference is an empty list, or "none" alone."""
    items = value if isinstance(value, list) else [value]
    return all(isinstance(item, str) and item.strip() == "none" for item in items)


def _on_one_line(value: Any) -> str:
    text = said(value)
    if getattr(value, "style", "plain") == "block":
        raise wrong.BlockOutsideTextError(text.strip())
    return text.strip()


class FieldKind:
    """The base of the annotations: parses one value; `name` is the field's, with its unit."""

    def parse(self, value: Any, name: str) -> Any:
        """The value that was written, or a RecordError."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        def check(value: Any, info: core_schema.ValidationInfo) -> Any:
            return _carried(self.parse, value, info.field_name or "")

        return core_schema.with_info_plain_validator_function(check)


def _carried(parse: Callable[..., Any], *arguments: Any) -> Any:
    try:
        return parse(*arguments)
    except RecordError as problem:
        raise wrong.Refused(problem) from None


@dataclass(frozen=True)
class FigureKind(FieldKind):
    """A rated, designed, counted or dimensioned number."""

    def parse(self, value: Any, name: str) -> float:
        return figure(_on_one_line(value), find(name))


@dataclass(frozen=True)
class ReadingKind(FieldKind):
    """A measured number; may be beyond the meter's range, or not taken with a reason."""

    def parse(self, value: Any, name: str) -> float | Over | Under | NotTaken:
        text, unit = _on_one_line(value), find(name)
        not_taken = NOT_TAKEN.fullmatch(text)
        if not_taken:
            return NotTaken(_reason(text, not_taken[1]))
        beyond = BEYOND.fullmatch(text)
        if beyond:
            limit = number(beyond[2], unit)
            return Over(limit) if beyond[1] in ("over", ">") else Under(limit)
        return number(text, unit)


def _reason(text: str, reason: str | None) -> str:
    if not reason or says_nothing(reason):
        raise wrong.NotTakenError(text, 'say why, such as "not taken: rain came first"')
    return reason.strip()


@dataclass(frozen=True)
class Words(FieldKind):
    """One word of a closed list."""

    words: tuple[str, ...]

    def parse(self, value: Any, name: str) -> str:
        text = _on_one_line(value)
        if text not in self.words:
            raise wrong.UnknownWordError(text, self.words)
        return text


def words(*known: str) -> Words:
    """The annotation for one word of a closed list."""
    return Words(known)


@dataclass(frozen=True)
class TextKind(FieldKind):
    """Any text that says something, kept as written."""

    def parse(self, value: Any, name: str) -> str:
        return said(value).strip()


@dataclass(frozen=True)
class ReasonKind(FieldKind):
    """Why a whole test was not made."""

    def parse(self, value: Any, name: str) -> str:
        return _reason("not_taken", said(value))


@dataclass(frozen=True)
class YesNoKind(FieldKind):
    """The word yes or the word no."""

    def parse(self, value: Any, name: str) -> bool:
        text = _on_one_line(value)
        if text not in ("yes", "no"):
            raise wrong.NotYesOrNoError(text)
        return text == "yes"


@dataclass(frozen=True)
class MomentKind(FieldKind):
    """A day, or a day with a time by the site's clock; `not yet` where it lies ahead."""

    may_lie_ahead: bool = False
    may_have_time: bool = True

    def parse(self, value: Any, name: str) -> date | datetime | NotYet:
        text = _on_one_line(value)
        if text == "not yet" and self.may_lie_ahead:
            return NOT_YET
        if not DATE.fullmatch(text):
            raise self._no_date(text, "is not a date in full")
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            raise self._no_date(text, "is no day or time that exists") from None
        if "T" not in text:
            return moment.date()
        if not self.may_have_time:
            raise self._no_date(text, "has a time of day, and this field is a whole day")
        return moment

    def _no_date(self, text: str, why: str) -> wrong.NotADateError:
        return wrong.NotADateError(
            text, why, may_have_time=self.may_have_time, may_lie_ahead=self.may_lie_ahead
        )


@dataclass(frozen=True)
class Reference(FieldKind):
    """The short name of an entry elsewhere in the record.

    `to` is the collection it names; `back` the name under which the entry it names finds
    this one again; `latest` if only the last one stands there, as with tests; `many` if
    several may be named; `also` names further kinds of the same collection that it may name
    instead. Rules know what it names by the fields of the first.
    """

    to: str
    back: str = ""
    latest: bool = False
    many: bool = False
    also: tuple[str, ...] = ()

    @property
    def targets(self) -> tuple[str, ...]:
        """Every collection, or kind of entry in it, of which it may name an entry."""
        return self.to, *self.also

    def parse(self, value: Any, name: str) -> str | tuple[str, ...]:
        if names_nothing(value):
            raise wrong.NamesNothingError()
        if not self.many:
            return _on_one_line(value)
        items = value if isinstance(value, list) else [value]
        return tuple(dict.fromkeys(_on_one_line(item) for item in items))


@dataclass(frozen=True)
class AboutKind(FieldKind):
    """The short names of whatever an evidence file is about; `job` for the whole of it."""

    def parse(self, value: Any, name: str) -> tuple[str, ...]:
        if names_nothing(value):
            raise wrong.NamesNothingError()
        items = value if isinstance(value, list) else [value]
        return tuple(dict.fromkeys(_on_one_line(item) for item in items))


@dataclass(frozen=True)
class Texts(FieldKind):
    """A list of texts of which each stands once, such as serial numbers."""

    def parse(self, value: Any, name: str) -> tuple[str, ...]:
        items = value if isinstance(value, list) else [value]
        if not items:
            raise wrong.EmptyListError()
        if items == ["none"]:
            raise wrong.NotAnEntryError('"none"', "a list belongs here, or the line is left out")
        return tuple(dict.fromkeys(plain(_on_one_line(item)) for item in items))


_MOST_SERIALS = 1000
_NUMBERED = re.compile(r"(.*?)([0-9]+)", re.ASCII)


@dataclass(frozen=True)
class Serials(Texts):
    """Serial numbers; `N-0121 to N-0136` stands for those that follow each other."""

    def parse(self, value: Any, name: str) -> tuple[str, ...]:
        said = super().parse(value, name)
        return tuple(dict.fromkeys(serial for text in said for serial in _counted(text)))


def _counted(text: str) -> Iterator[str]:
    first, to, last = text.partition(" to ")
    ends = _NUMBERED.fullmatch(first.strip()), _NUMBERED.fullmatch(last.strip())
    if not to or ends[0] is None or ends[1] is None:
        yield text
        return
    (before, low), (same, high) = ends[0].groups(), ends[1].groups()
    count = int(high) - int(low) + 1
    if before != same or len(low) != len(high) or not 1 < count <= _MOST_SERIALS:
        raise wrong.NoRangeError(text, _MOST_SERIALS)
    yield from (f"{before}{int(low) + step:0{len(low)}d}" for step in range(count))


class CollectionKind:
    """A collection: a list or named entries, or the word `none` if it is known to be empty.

    `is_complete` if the record describes all there is; else it lists what is so far.
    """

    def __init__(self, *, is_complete: bool = True, at_most_one: bool = False) -> None:
        self.is_complete = is_complete
        self.at_most_one = at_most_one

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        inner = handler(source)
        named = any(get_origin(a) is dict for a in (source, *get_args(source)))
        return core_schema.no_info_before_validator_function(
            lambda value: _carried(self._opened, value, named), inner
        )

    def _opened(self, value: Any, named: bool) -> Any:
        if isinstance(value, str):
            if value.strip() == "none":
                return {} if named else []
            said(value)
            shape = "named entries belong" if named or self.at_most_one else "a list belongs"
            raise wrong.NotAnEntryError(f'"{value}"', f'{shape} here, or "none"')
        if not value:
            raise wrong.EmptyListError()
        if self.at_most_one and isinstance(value, dict):
            return [value]
        if named is not isinstance(value, dict) or self.at_most_one:
            found = "named entries" if isinstance(value, dict) else "a list"
            right = "give each entry a short name" if named else "start each entry with a dash"
            right = "at most one belongs here, without a dash" if self.at_most_one else right
            raise wrong.NotAnEntryError(found, right)
        return value


class Tagged:
    """Entries of several kinds in one collection, told apart by the word in one field."""

    def __init__(self, field: str) -> None:
        self.field = field

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        choices: dict[Any, CoreSchema] = {}
        for model in source.__args__:
            choices[model.tag] = handler.generate_schema(model)
        return core_schema.no_info_before_validator_function(
            lambda value: _carried(self._known, value, tuple(choices)),
            core_schema.tagged_union_schema(choices, lambda value: value[self.field].strip()),
        )

    def _known(self, value: Any, tags: tuple[str, ...]) -> Any:
        if not isinstance(value, dict):
            found = f'"{value}"' if isinstance(value, str) else "a list"
            raise wrong.NotAnEntryError(found, "a group of fields belongs here")
        if self.field not in value:
            raise wrong.MissingFieldError(self.field, "one of " + ", ".join(tags))
        tag = _on_one_line(value[self.field])
        if tag not in tags:
            raise wrong.Refused(wrong.UnknownWordError(tag, tags), self.field)
        return value


ReadingValue = float | Over | Under | NotTaken

Figure = Annotated[float, FigureKind()]
Reading = Annotated[ReadingValue, ReadingKind()]
FreeText = Annotated[str, TextKind()]
YesNo = Annotated[bool, YesNoKind()]
Day = Annotated[date, MomentKind()]
WholeDay = Annotated[date, MomentKind(may_have_time=False)]
DayAhead = Annotated[date | NotYet, MomentKind(may_lie_ahead=True)]
