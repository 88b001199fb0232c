"""Every way of refusing what somebody wrote has a bad input that shows its message."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import compliance
from compliance.errors import ComplianceError, RecordError, RulesetError, WrittenError

BAD_INPUT = Path(__file__).parents[1] / "bad_input"
WRITTEN = (WrittenError, RecordError, RulesetError)
FROM_CALLS: dict[str, str] = {
    "record.not-written-as-meant": "guards against a fault of our own when a record is changed",
}
"""Classes that no file can raise, by id, with the reason."""


@cache
def _all_loaded() -> bool:
    for module in pkgutil.walk_packages(compliance.__path__, "compliance."):
        if module.name != "compliance.__main__":
            importlib.import_module(module.name)
    return True


def _below(base: type[ComplianceError]) -> Iterator[type[ComplianceError]]:
    assert _all_loaded()
    for found in base.__subclasses__():
        if found.__module__.startswith("compliance."):
            yield found
            yield from _below(found)


def test_every_cause_of_a_written_mistake_has_a_bad_input() -> None:
    said = "\n".join(
        line
        for path in BAD_INPUT.rglob("*")
        if path.suffix in (".yaml", ".expect")
        for line in path.read_bytes()[:100_000].decode("utf-8", "replace").splitlines()
        if line.startswith("# expect: ")
    )
    shown = set(re.findall(r"\d+:\d+ (\S+) ", said))
    missing = {
        cause.id: f"{cause.__module__}.{cause.__name__}"
        for base in WRITTEN
        for cause in _below(base)
        if cause.id not in shown and cause.id not in FROM_CALLS
    }
    assert not missing, f"add tests/bad_input/<kind>/<cause>/<case>.yaml for {missing}"


def test_every_cause_has_an_id_of_its_own() -> None:
    ids: dict[str, str] = {}
    for cause in _below(ComplianceError):
        has_its_own = "id" in vars(cause)
        if has_its_own and not cause.__subclasses__():
            assert cause.id not in ids, f"{cause.__name__} and {ids[cause.id]} are {cause.id}"
            ids[cause.id] = cause.__name__
    assert len(ids) > 60


def test_a_cause_is_named_by_its_base() -> None:
    for base, name in zip(WRITTEN, ("yaml", "record", "ruleset"), strict=True):
        for cause in _below(base):
            assert cause.id.startswith(f"{name}."), f"{cause.__name__} is {cause.id}"


def test_a_cause_says_in_a_docstring_what_it_is() -> None:
    silent = [c.__name__ for c in _below(ComplianceError) if not inspect.getdoc(c)]
    assert not silent
