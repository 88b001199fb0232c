"""How published values are kept: one CSV a table, whose first line names its document.

Nothing is checked here; the tests that read a table name its source beside each check.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

Rows = list[dict[str, str]]


@pytest.fixture(scope="session")
def published() -> Callable[[str], Rows]:
    """Read one table beside these tests; lines starting with # say where it comes from."""

    def read(name: str) -> Rows:
        text = (Path(__file__).parent / name).read_text(encoding="utf-8")
        assert text.startswith("# document: "), f"{name} does not say where it comes from"
        lines = [line for line in text.splitlines() if not line.startswith("#")]
        return list(csv.DictReader(lines))

    return read
