"""The one adapter of ruamel.yaml for reading: text in, parsing events out, nothing built."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from typing import Any, Literal, NamedTuple, TypeAlias

from compliance.files.text import Source

Kind: TypeAlias = Literal["document", "scalar", "alias", "list", "mapping", "end"]

_KINDS: dict[str, Kind] = {
    "DocumentStartEvent": "document",
    "ScalarEvent": "scalar",
    "AliasEvent": "alias",
    "SequenceStartEvent": "list",
    "SequenceEndEvent": "end",
    "MappingStartEvent": "mapping",
    "MappingEndEvent": "end",
}


class Event(NamedTuple):
    """One step of the parser; lines and columns count from 0."""

    kind: Kind
    start: tuple[int, int]
    end: tuple[int, int]
    value: str = ""
    mark: str = ""
    """How a scalar stands: `"`, `'`, `|`, `>`, or nothing when plain."""
    anchor: str = ""
    tag: str = ""


class Stopped(Exception):  # noqa: N818 - caught by the loader, never shown
    """The parser can't go on: where, and where the thing it was reading began."""

    def __init__(self, at: tuple[int, int], began: tuple[int, int] | None) -> None:
        super().__init__(at, began)
        self.at = at
        self.began = began


def events(source: Source, *, pure: bool) -> Iterator[Event]:
    """The parser's events for a text, by the C parser where there is one unless `pure`.

    Raises:
        Stopped: Where the grammar has no reading.
    """
    from ruamel.yaml import YAML
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    end = (0, 0)
    try:
        for event in YAML(typ="safe", pure=pure).parse(source.text):
            end = _position(event.end_mark)
            kind = _KINDS.get(type(event).__name__)
            if kind:
                yield _event(kind, event)
    except MarkedYAMLError as error:
        began = _position(error.context_mark) if error.context_mark else None
        at = _position(error.problem_mark) if error.problem_mark else began
        raise Stopped(at or end, began) from None
    except (ValueError, OverflowError):
        at = _escape_beyond_last_character(source, end)
        raise Stopped(at, at) from None
    except YAMLError:
        raise Stopped(end, None) from None


def _escape_beyond_last_character(source: Source, after: tuple[int, int]) -> tuple[int, int]:
    start = source.index(*after)
    for escape in re.finditer(r"\\U([0-9A-Fa-f]{8})", source.text[start:]):
        if int(escape[1], 16) > sys.maxunicode:
            return source.position(start + escape.start())
    return after


def _event(kind: Kind, event: Any) -> Event:
    return Event(
        kind,
        _position(event.start_mark),
        _position(event.end_mark),
        getattr(event, "value", None) or "",
        (getattr(event, "style", None) or "") if kind == "scalar" else "",
        getattr(event, "anchor", None) or "",
        str(getattr(event, "tag", None) or ""),
    )


def _position(mark: Any) -> tuple[int, int]:
    return mark.line, mark.column
