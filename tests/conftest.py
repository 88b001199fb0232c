"""What every test may use: a cache folder of its own, and the command line in this process."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from compliance import cli
from compliance.rules.language.explain import PRINTED, Printed


@pytest.fixture(autouse=True)
def _cache_of_its_own(
    monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Nothing reads or fills the cache folder of whoever runs the tests."""
    PRINTED.set(Printed())  # whichever job an earlier test opened
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.getbasetemp() / "cache"))


@pytest.fixture
def call(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, str, str]]:
    """Calls the command line in this process; gives exit code, output and errors."""

    def run(*arguments: str | Path) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["compliance", *map(str, arguments)])
        with pytest.raises(SystemExit) as left:
            cli.main()
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return int(left.value.code or 0), out, err

    return run
