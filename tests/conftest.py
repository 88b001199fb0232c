"""What holds for every test: nothing reads or fills the cache folder of whoever runs them."""

from __future__ import annotations

import pytest

from compliance.rules.language.explain import PRINTED


@pytest.fixture(autouse=True)
def _cache_of_its_own(
    monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    PRINTED.set({})  # whichever job an earlier test opened
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.getbasetemp() / "cache"))
