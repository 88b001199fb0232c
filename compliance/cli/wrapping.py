"""Text in lines of the terminal's width."""

from __future__ import annotations

import shutil
import textwrap

FEWEST, MOST = 60, 100


def wrapped(text: str, label: str = "", indent: str = "") -> list[str]:
    """Text in lines of the terminal's width, under a label or an indent."""
    width = min(MOST, max(FEWEST, shutil.get_terminal_size((80, 24)).columns))
    first = f"    {label:<7} " if label else indent
    rest = " " * len(first) if label else indent and f"{indent}  "
    return textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
