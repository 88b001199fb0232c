"""Makes docs/quantities.md: every calculation with formula, source and outside checks.

Run `python tests/house/quantities_page.py` from the top of the repository to write it anew.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from compliance.files.yaml import read_yaml
from compliance.rules.quantities import QUANTITIES, Quantity
from compliance.rules.quantities.by_hand import BY_HAND
from compliance.units import find

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "quantities.md"
HEAD = """\
# What is worked out, and how sure it is

Made by `tests/house/quantities_page.py`; a test fails when it is out of date. The confidence says
how the source of a formula was read: *opened*, *secondary* (found quoted by others), *memory*, or
*common practice*. `compliance calculate NAME` works each out by hand, with its working.

A figure worked out is no permission to energise. A competent person checks it and what went into
it; local regulations come first.
"""


@cache
def checks() -> dict[str, tuple[str, ...]]:
    """For each name that a test in tests/reference uses, what that test is checked against."""
    found: dict[str, dict[str, None]] = {}
    for path in sorted((ROOT / "tests" / "reference").glob("test_*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        parts = {n.name: n for n in tree.body if isinstance(n, ast.FunctionDef)}
        marks = {
            t.id: n.value
            for n in tree.body
            if isinstance(n, ast.Assign)
            for t in n.targets
            if isinstance(t, ast.Name)
        }
        for name, test in parts.items():
            if not name.startswith("test_"):
                continue
            used = _used(test, parts, frozenset())
            for told in _sources(test, marks):
                for one in used:
                    found.setdefault(one, {})[f"{told} (`{path.name}`)"] = None
    return {name: tuple(told) for name, told in found.items()}


def _used(node: ast.AST, parts: dict[str, ast.FunctionDef], seen: frozenset[str]) -> set[str]:
    names = {n.id for n in ast.walk(node) if isinstance(n, ast.Name)}
    names |= {n.attr for n in ast.walk(node) if isinstance(n, ast.Attribute)}
    for helper in (names & set(parts)) - seen:
        names |= _used(parts[helper], parts, seen | {helper})
    return names


def _sources(test: ast.FunctionDef, marks: dict[str, ast.expr]) -> Iterator[str]:
    for written in test.decorator_list:
        mark = marks.get(written.id) if isinstance(written, ast.Name) else written
        if isinstance(mark, ast.Call) and ast.unparse(mark.func) == "pytest.mark.source":
            told = {k.arg: ast.literal_eval(k.value) for k in mark.keywords}
            yield f"{told['document']}: {told['table']} - {told['confidence']}"


# Calculations that are checked through the class that ranks.
WITNESSED_BY = {"nearest_explanation_v": "Explanation"}


def checks_of(quantity: Quantity) -> tuple[str, ...]:
    """What the calculation of a quantity is checked against outside the project."""
    name = quantity.calculate.__name__.lstrip("_")
    return checks().get(WITNESSED_BY.get(name, name), ())


def _entry(quantity: Quantity) -> str:
    unit = find(quantity.name).symbol
    clause = f" {quantity.clause}" if quantity.clause else ""
    lines = [
        f"## `{quantity.name}`",
        "",
        f"{quantity.title}{f', in {unit}' if unit else ''}.",
        "",
        f"- Formula: {quantity.formula}",
        f"- Source: {_title(quantity.source)}{clause} ({quantity.confidence})",
    ]
    outside = checks_of(quantity) or ("none yet",)
    lines += [f"- Outside check: {told}" for told in outside]
    lines += [f"- Note: {quantity.note}"] if quantity.note else []
    return "\n".join(lines)


@cache
def _titles() -> dict[str, str]:
    written = read_yaml(ROOT / "rulesets" / "sources.yaml").data["sources"]
    return {str(key): str(document["title"]) for key, document in written.items()}


def _title(source: str) -> str:
    return f"{source}, {_titles()[source]}"


def page() -> str:
    """The whole page."""
    printed = [*(q for q in QUANTITIES.values() if q.is_printed), *BY_HAND]
    return "\n\n".join([HEAD.rstrip(), *map(_entry, printed)]) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
