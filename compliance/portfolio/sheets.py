"""Rows for a spreadsheet program, as CSV or XLSX. What people typed stays text, whatever it
looks like: no cell of ours is a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from typing import Any

Cell = str | int | None
_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_WIDEST = 60
"""Characters, about."""
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def as_text(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula when it reads CSV."""
    return f"'{cell}" if cell.startswith(_STARTS_A_FORMULA) else cell


def csv_text(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """The rows as CSV under a head."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for row in (head, *rows):
        writer.writerow([as_text(cell) if isinstance(cell, str) else cell for cell in row])
    return out.getvalue()


def xlsx_bytes(name: str, head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """The rows as a workbook of one sheet under a head that stays in sight.

    A column is as wide as its longest text, up to a width that leaves room for others.
    """
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook(write_only=True)
    sheet = book.create_sheet(name)
    sheet.freeze_panes = "A2"
    rows = list(rows)
    for at, heading in enumerate(head, 1):
        longest = max((len(str(row[at - 1] or "")) for row in rows), default=0)
        width = min(_WIDEST, max(len(heading), longest) + 2)
        sheet.column_dimensions[get_column_letter(at)].width = width

    def made(value: Cell, *, is_head: bool) -> Any:
        text = _UNPRINTABLE.sub(" ", value) if isinstance(value, str) else value
        cell = WriteOnlyCell(sheet, value=text)
        if isinstance(text, str):
            cell.data_type = "s"  # or a text that begins with "=" would be a formula
            cell.number_format = "@"
        if is_head:
            cell.font = Font(bold=True)
        return cell

    sheet.append([made(cell, is_head=True) for cell in head])
    for row in rows:
        sheet.append([made(cell, is_head=False) for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
