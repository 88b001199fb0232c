"""From Markdown that holds only a template's own words and tokens to the blocks of a tree."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from itertools import takewhile

from markdown_it import MarkdownIt  # noqa: TID253 - the one module that adapts it
from markdown_it.token import Token  # noqa: TID253 - the same

from compliance.documents.refusals import NotAloneError, NotOurMarkdownError
from compliance.documents.slots import Slot, Slots
from compliance.documents.tree import Block, Heading, Item, ListBlock, Paragraph, Run, Runs
from compliance.errors import Place

_OFF = ["html_block", "html_inline", "image", "autolink", "entity", "reference", "lheading"]
_NAMES = {
    "blockquote_open": "a quotation (>)",
    "code_block": "a line set in by four blanks",
    "code_inline": "code (`)",
    "fence": "a block of code (```)",
    "hardbreak": "a line end forced by blanks or \\",
    "hr": "a rule (---)",
    "link_open": "a link",
}
_LEVELS = ("h1", "h2", "h3")


def blocks(text: str, slots: Slots, place: Callable[[int], Place]) -> list[Block]:
    """The blocks of a text; `place` tells where a line (from 0) of the text comes from.

    Raises:
        NotOurMarkdownError: If a node is no heading, paragraph, list, emphasis or strong emphasis.
        NotAloneError: If a block value does not stand alone in its paragraph.
    """
    return list(_Reader(slots, place, iter(_parser().parse(text))).blocks())


@cache
def _parser() -> MarkdownIt:
    return MarkdownIt("commonmark").disable(_OFF)


class _Reader:
    """One walk through the parser's flat list of tokens."""

    def __init__(
        self, slots: Slots, place: Callable[[int], Place], tokens: Iterator[Token]
    ) -> None:
        self._slots = slots
        self._place = place
        self._tokens = tokens

    def blocks(self) -> Iterator[Block]:
        for token in self._tokens:
            match token.type:
                case "heading_open":
                    if token.tag not in _LEVELS:
                        raise self._refused(token, f"a heading of level {token.tag[1:]}")
                    yield Heading(_LEVELS.index(token.tag) + 1, self._inline())
                case "paragraph_open":
                    yield self._paragraph()
                case "bullet_list_open" | "ordered_list_open":
                    yield self._list(token)
                case _:
                    raise self._refused(token)

    def _paragraph(self) -> Block:
        inline = next(self._tokens)
        next(self._tokens)
        pieces = list(self._slots.pieces(inline.content))
        if len(pieces) == 1 and isinstance(pieces[0], Slot):
            only = pieces[0].content
            if not isinstance(only, str):
                return only
        return Paragraph(self._runs(inline))

    def _list(self, opened: Token) -> ListBlock:
        if opened.attrs.get("start", 1) != 1:
            raise self._refused(opened, "a list that does not start at 1")
        shut = opened.type.replace("open", "close")
        items = [self._item(t) for t in takewhile(lambda t: t.type != shut, self._tokens)]
        is_ordered = opened.type.startswith("ordered")
        labelled = [_labelled(runs) for runs in items]
        if is_ordered or not all(item.label for item in labelled):
            return ListBlock(tuple(Item(runs) for runs in items), is_ordered)
        return ListBlock(tuple(labelled))

    def _item(self, opened: Token) -> Runs:
        first = next(self._tokens)
        if first.type == "list_item_close":
            return ()
        if first.type != "paragraph_open":
            raise self._refused(first, f"{_name(first)} in a list item")
        runs = self._inline()
        after = next(self._tokens)
        if after.type != "list_item_close":
            raise self._refused(after, "a second paragraph or list in a list item")
        return runs

    def _inline(self) -> Runs:
        """The runs of a heading or paragraph whose opening was just read, up to its close."""
        runs = self._runs(next(self._tokens))
        next(self._tokens)
        return runs

    def _runs(self, inline: Token) -> Runs:
        runs: list[Run] = []
        strong = emphasis = 0
        for child in inline.children or ():
            match child.type:
                case "text":
                    for piece in self._slots.pieces(child.content):
                        text = piece if isinstance(piece, str) else _literal(piece)
                        runs.append(Run(text, strong > 0, emphasis > 0))
                case "softbreak":
                    runs.append(Run(" ", strong > 0, emphasis > 0))
                case "strong_open" | "strong_close":
                    strong += child.nesting
                case "em_open" | "em_close":
                    emphasis += child.nesting
                case _:
                    raise self._refused(inline, _name(child))
        return _joined(runs)

    def _refused(self, token: Token, what: str = "") -> NotOurMarkdownError:
        line = token.map[0] if token.map else 0
        return NotOurMarkdownError(self._place(line), what or _name(token))


def _literal(slot: Slot) -> str:
    if not isinstance(slot.content, str):
        raise NotAloneError(slot.place)
    return slot.content


def _joined(runs: list[Run]) -> Runs:
    """A template's line ends inside a paragraph are blanks of the run before them."""
    joined: list[Run] = []
    for run in runs:
        last = joined[-1] if joined else None
        if run.text == " " and last and (last.strong, last.emphasis) == (run.strong, run.emphasis):
            joined[-1] = Run(last.text + " ", last.strong, last.emphasis)
        else:
            joined.append(run)
    return tuple(joined)


def _labelled(runs: Runs) -> Item:
    """An item that starts with strong words has them as its label."""
    strong = tuple(takewhile(lambda run: run.strong and not run.emphasis, runs))
    label = "".join(run.text for run in strong)
    rest = runs[len(strong) :]
    if label and rest and rest[0].text.startswith(" "):
        rest = (Run(rest[0].text[1:], rest[0].strong, rest[0].emphasis), *rest[1:])
    return Item(tuple(run for run in rest if run.text), label.strip())


def _name(token: Token) -> str:
    return _NAMES.get(token.type, token.type.replace("_", " "))
