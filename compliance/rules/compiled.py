"""Rulesets ready to check with, taken from the cache while their files are the same."""

from __future__ import annotations

import marshal
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from compliance.files.cache import Cache
from compliance.files.hashes import sha256_of
from compliance.rules.check import Checker, shortcuts
from compliance.rules.language.compile import code_of, runnable
from compliance.rules.quantities import CALCULATIONS
from compliance.rules.rule import Rules


def checker(folder: Path, jurisdiction: str, cache: Cache) -> Checker:
    """The checker of a jurisdiction's rulesets; what only tests them is left behind.

    Args:
        folder: The rulesets folder.
        jurisdiction: The jurisdiction's folder in it.
        cache: Where earlier work is kept: the checked rules and the generated code.

    Raises:
        RulesetError: If a file cannot be used; `Problems` if for several reasons.
    """
    made_from = (str(folder), jurisdiction, *_contents(folder, jurisdiction))
    kept = cache.get("rulesets", *made_from)
    if kept is not None:
        rules, code = kept
        return Checker.of(rules, runnable(marshal.loads(code), CALCULATIONS))  # noqa: S302 - from the same private cache as the rules
    rules = _loaded(folder, jurisdiction)
    made = code_of(rules.clauses, shortcuts())
    cache.put((rules, marshal.dumps(made)), "rulesets", *made_from)
    return Checker.of(rules, runnable(made, CALCULATIONS))


def _loaded(folder: Path, jurisdiction: str) -> Rules:
    from compliance.rules.ruleset import load_rules

    rules = load_rules(folder, jurisdiction)
    return replace(
        rules,
        rules=tuple(replace(rule, examples=(), survivors=()) for rule in rules.rules),
        questions=tuple(replace(question, examples=()) for question in rules.questions),
    )


def _contents(folder: Path, jurisdiction: str) -> Iterator[str]:
    files = [folder / "sources.yaml", *sorted((folder / jurisdiction).rglob("*.yaml"))]
    for path in files:
        yield f"{path.relative_to(folder)} {sha256_of(path)}"
