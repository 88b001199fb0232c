"""One small invented pack, for every test of this folder."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from compliance.pack import Issued, assemble


@pytest.fixture
def make(tmp_path: Path) -> Callable[..., Issued]:
    """Makes the small pack in `tmp_path / "out"`, changed by keyword."""

    def made(**changed: Any) -> Issued:
        out = tmp_path / "out"
        out.mkdir(exist_ok=True)
        photo = tmp_path / "roof photo 1.JPG"
        if not photo.exists():
            photo.write_bytes(b"not really a photo" * 1000)
        given: dict[str, Any] = {
            "name": "invented-job-1",
            "on": date(2026, 6, 1),
            "payload": {
                "record.json": b'{"job": "invented"}\n',
                "documents/report.pdf": b"%PDF- invented",
                "evidence/photo-1.jpg": photo,
            },
            "info": {"External-Identifier": "INVENTED-1", "Source-Organization": "Büro Überall"},
        }
        return assemble(out, **{**given, **changed})

    return made
