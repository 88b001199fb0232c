"""Each check of this folder says what it is checked against, and how sure we are of it."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

HERE = Path(__file__).parent
CONFIDENCE = ("opened", "secondary", "from memory", "common practice, no source")
KEYS = ["document", "table", "confidence"]


def marks(tree: ast.Module) -> dict[str, list[dict[str, str]]]:
    """The arguments of each test's `source` marks, written on it or kept under a name."""
    named = {
        target.id: node.value
        for node in tree.body
        if isinstance(node, ast.Assign)
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    found: dict[str, list[dict[str, str]]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            expressions = [
                named.get(d.id, d) if isinstance(d, ast.Name) else d for d in node.decorator_list
            ]
            found[node.name] = [
                {k.arg or "": ast.literal_eval(k.value) for k in e.keywords}
                for e in expressions
                if isinstance(e, ast.Call) and ast.unparse(e.func) == "pytest.mark.source"
            ]
    return found


def shortcomings(source: str) -> list[str]:
    """What is missing from the marks of a module of tests."""
    found = []
    for test, sources in marks(ast.parse(source)).items():
        if not sources:
            found.append(f"{test}: put @pytest.mark.source(document=, table=, confidence=) on it")
        for given in sources:
            if list(given) != KEYS or not all(given.values()):
                found.append(f"{test}: its source must say document, table and confidence")
            elif given["confidence"] not in CONFIDENCE:
                found.append(f"{test}: confidence must be one of {', '.join(CONFIDENCE)}")
    return found


@pytest.mark.parametrize(
    "module",
    [path for path in sorted(HERE.glob("test_*.py")) if path != Path(__file__)],
    ids=lambda path: path.name,
)
def test_every_check_is_marked_with_its_source(module: Path) -> None:
    source = module.read_text(encoding="utf-8")
    assert marks(ast.parse(source))
    assert shortcomings(source) == []


@pytest.mark.parametrize("table", sorted(HERE.glob("*.csv")), ids=lambda path: path.name)
def test_every_table_says_where_it_comes_from_on_top(table: Path) -> None:
    lines = table.read_text(encoding="utf-8").splitlines()[:3]
    assert [line.partition(":")[0] for line in lines] == [f"# {key}" for key in KEYS]
    origin = {line[2:].partition(":")[0]: line.partition(":")[2].strip() for line in lines}
    assert all(origin.values())
    assert origin["confidence"].startswith(CONFIDENCE)


@pytest.mark.parametrize(
    ("source", "missing"),
    [
        ("def test_a(): ...", "put @pytest.mark.source"),
        ('@pytest.mark.source(document="x", table="y")\ndef test_a(): ...', "must say document"),
        (
            '@pytest.mark.source(document="", table="y", confidence="opened")\ndef test_a(): ...',
            "must say document",
        ),
        (
            'm = pytest.mark.source(document="x", table="y", confidence="sure")\n'
            "@m\ndef test_a(): ...",
            "must be one of",
        ),
    ],
)
def test_a_check_without_its_source_would_be_noticed(source: str, missing: str) -> None:
    assert [missing in line for line in shortcomings(source)] == [True]
