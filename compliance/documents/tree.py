"""A document as plain frozen data: the one tree that every writer prints.

Text in the tree is literal: no writer reads markup out of it. `text_runs` gives the
words in reading order; whatever a writer prints must say exactly that.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias


@dataclass(frozen=True, slots=True)
class Run:
    """Words in one style."""

    text: str
    strong: bool = False
    emphasis: bool = False


Runs: TypeAlias = tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A JPEG in a cell of a table; `words` say what it shows to whoever cannot see it."""

    jpeg: bytes
    width_px: int
    height_px: int
    words: str

    def fitted(self, width: float, height: float) -> tuple[float, float]:
        """Its size, in the unit of the box given, as large as fits in."""
        scale = min(width / self.width_px, height / self.height_px)
        return self.width_px * scale, self.height_px * scale


Cell: TypeAlias = "str | Runs | Picture"


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 is the document's title and stands once."""

    level: int
    runs: Runs


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One paragraph; a `\\n` in a run starts a new line."""

    runs: Runs


MOST_KEPT = 8
"""Of a list of labelled lines, so many at most are kept on one page."""


@dataclass(frozen=True, slots=True)
class ListBlock:
    """A list. Items whose label is not empty are set as labelled lines, without bullets."""

    items: tuple[Item, ...]
    is_ordered: bool = False

    @property
    def stays_whole(self) -> bool:
        """Whether it reads as one thing, such as a calculation, and is short enough for a page."""
        return len(self.items) <= MOST_KEPT and all(item.label for item in self.items)


@dataclass(frozen=True, slots=True)
class Item:
    """One line of a list: `label` stands in a column of its own, left of the words."""

    runs: Runs
    label: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, its share of the width, how its cells are set."""

    header: str
    share: float = 1.0
    align: Literal["left", "right"] = "left"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a heading row that is repeated on each page; `empty` is printed if none."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    empty: str = "Nothing is recorded here."

    def __post_init__(self) -> None:
        if not self.columns:
            raise ValueError(f"table {self.caption!r} has no columns")
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(
                    f"table {self.caption!r} has {len(self.columns)} columns; a row has {len(row)}"
                )


@dataclass(frozen=True, slots=True)
class SignatureBlock:
    """Room for one person to sign by hand: who they are to be, and the lines to fill in."""

    role: str
    lines: tuple[str, ...] = ("Name", "Position", "Signature", "Date")


@dataclass(frozen=True, slots=True)
class Caution:
    """A ruled box that must not be overlooked."""

    heading: str
    paragraphs: tuple[str, ...]


Block: TypeAlias = "Heading | Paragraph | ListBlock | Table | SignatureBlock | Caution"


@dataclass(frozen=True, slots=True)
class Document:
    """Everything that is printed of one document, and what its file says about itself."""

    title: str
    blocks: tuple[Block, ...]
    subject: str = ""
    author: str = ""
    keywords: tuple[str, ...] = ()
    language: str = "en-GB"
    is_pocket: bool = False
    """Set closely, to be carried and written on: see `measures.POCKET`."""


def cell_runs(cell: Cell) -> Runs:
    """A cell's words as runs; a picture has none."""
    if isinstance(cell, Picture):
        return ()
    return (Run(cell),) if isinstance(cell, str) else cell


def text_runs(document: Document) -> list[str]:
    """The words of a document in reading order; list marks and repeats are not among them."""
    return [text for block in document.blocks for text in _texts(block) if text]


def leads_to(block: Block, following: Block) -> bool:
    """Whether a block must not be the last on a page, since it announces what follows."""
    if isinstance(block, Paragraph) and isinstance(following, Paragraph):
        return all(run.strong for run in following.runs)  # a line that announces in its turn
    if isinstance(block, Paragraph):
        return not isinstance(following, Caution | Heading)
    if isinstance(block, Caution | SignatureBlock):
        return isinstance(following, SignatureBlock)
    return isinstance(block, Heading)


def _texts(block: Block) -> Iterator[str]:
    match block:
        case Heading(runs=runs) | Paragraph(runs=runs):
            yield from (run.text for run in runs)
        case ListBlock(items=items):
            for item in items:
                yield item.label
                yield from (run.text for run in item.runs)
        case Table():
            yield from _table_texts(block)
        case SignatureBlock(role=role, lines=lines):
            yield from (role, *lines)
        case Caution(heading=heading, paragraphs=paragraphs):
            yield from (heading, *paragraphs)


def _table_texts(table: Table) -> Iterator[str]:
    yield table.caption
    if not table.rows:
        yield table.empty
        return
    yield from (column.header for column in table.columns)
    for row in table.rows:
        for cell in row:
            yield from (run.text for run in cell_runs(cell))
