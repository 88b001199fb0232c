"""Values on their way through Markdown: each is one opaque token that Markdown can't read.

A token is an index between private-use characters. Nothing that a person writes can
hold one: private-use characters are refused in templates and in values.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TypeAlias

from compliance.documents.tree import Block
from compliance.errors import Place

_OPEN, _SHUT, _ZERO = "\ue000", "\ue001", 0xE010
_TOKEN = re.compile(f"{_OPEN}([{chr(_ZERO)}-{chr(_ZERO + 9)}]+){_SHUT}")


@dataclass(frozen=True, slots=True)
class Slot:
    """What a token stands for: a text or a block, and the place in the template that asked."""

    content: str | Block
    place: Place


class Token(str):
    """The text that stands for a slot; only `Slots.token` makes one."""

    __slots__ = ()


Piece: TypeAlias = str | Slot


@dataclass(slots=True)
class Slots:
    """The values of one rendering, in the order in which they were printed."""

    _all: list[Slot] = field(default_factory=list)

    def token(self, content: str | Block, place: Place) -> Token:
        """Keep a value and give the token that stands for it."""
        digits = "".join(chr(_ZERO + int(d)) for d in str(len(self._all)))
        self._all.append(Slot(content, place))
        return Token(f"{_OPEN}{digits}{_SHUT}")

    def pieces(self, text: str) -> Iterator[Piece]:
        """The words and the slots of a text, in order."""
        end = 0
        for match in _TOKEN.finditer(text):
            if match.start() > end:
                yield text[end : match.start()]
            yield self._all[int("".join(str(ord(c) - _ZERO) for c in match.group(1)))]
            end = match.end()
        if end < len(text):
            yield text[end:]
