"""What holds for every test: nothing reads or fills the cache folder of whoever runs them."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def _cache_of_its_own(
    monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.getbasetemp() / "cache"))
