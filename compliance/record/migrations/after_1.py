"""What changed after `installation/1`.

- The voltage of an insulation test was `test_v`; it is `test_voltage_v`, since `test_v` reads
  like a reading.
- `closed` could have a time of day; a job is closed on a day.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from compliance.record.edit import Change, Renaming

_TIMED = re.compile(r"(\d{4}-\d{2}-\d{2})T\d{2}:\d{2}(:\d{2})?")


def edits(data: Mapping[str, Any]) -> Iterator[Change | Renaming]:
    """What makes a record of `installation/1` one of `installation/2`."""
    tests = data.get("tests")
    for index, entry in enumerate(tests if isinstance(tests, list) else ()):
        if isinstance(entry, Mapping) and "test_v" in entry and "test_voltage_v" not in entry:
            yield Renaming(("tests", index, "test_v"), "test_voltage_v")
    closed = data.get("closed")
    timed = _TIMED.fullmatch(closed.strip()) if isinstance(closed, str) else None
    if timed:
        yield Change(("closed",), timed[1])
