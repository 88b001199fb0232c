"""Every calculation documents itself in full: units, errors, source, worked example.

The model to copy is `cold_open_circuit_voltage_v` in `compliance/electrical/dc.py`.
Modules whose name starts with an underscore hold no calculations.
"""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
import textwrap
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import compliance.electrical
from compliance.errors import OutOfRangeError
from compliance.files.yaml import read_yaml
from compliance.units import find

ROOT = Path(__file__).parents[2]
SECTIONS = ("Args", "Returns", "Raises", "References", "Example")
CONFIDENCE = ("opened", "secondary", "memory", "common practice")
NUMBERS_THAT_NEED_NO_NAME = {0, 1, 2, 100, 1000}

Calculation = Callable[..., float]


def calculation_modules() -> Iterator[ModuleType]:
    package = compliance.electrical
    for found in pkgutil.iter_modules(package.__path__):
        if not found.name.startswith("_"):
            yield importlib.import_module(f"{package.__name__}.{found.name}")


def calculations(module: ModuleType) -> list[Calculation]:
    """The public functions that a module defines itself."""
    functions = inspect.getmembers(module, inspect.isfunction)
    return [f for name, f in functions if f.__module__ == module.__name__ and name[0] != "_"]


@cache
def cited_documents() -> frozenset[str]:
    documents = read_yaml(ROOT / "rulesets" / "sources.yaml").data["sources"]
    assert isinstance(documents, dict)
    return frozenset(str(key) for key in documents)


# What a docstring says


def sections(docstring: str) -> dict[str, list[str]]:
    """The entries under each heading; lines that are indented further belong to one entry."""
    found: dict[str, list[str]] = {}
    heading = ""
    for line in inspect.cleandoc(docstring).splitlines():
        if line.endswith(":") and line[:-1] in SECTIONS:
            heading = line[:-1]
            found[heading] = []
        elif heading and line.strip():
            if line.startswith(" " * 8) and found[heading]:
                found[heading][-1] += " " + line.strip()
            else:
                found[heading].append(line.strip())
    return found


def unit_written(entry: str) -> str | None:
    """The unit in square brackets that an entry ends with."""
    match = re.search(r"\[([^\]]+)\]$", entry)
    return match[1] if match else None


def unit_of(name: str) -> str:
    return find(name).symbol or "count"


# What a body does


def parsed(function: Calculation) -> ast.FunctionDef:
    definition = ast.parse(textwrap.dedent(inspect.getsource(function))).body[0]
    assert isinstance(definition, ast.FunctionDef)
    return definition


def raised(function: Calculation, seen: frozenset[str] = frozenset()) -> set[str]:
    """Exceptions raised in a body, or in a function of this package that it calls."""
    names: set[str] = set()
    home = function.__module__.rpartition(".")[0]
    for node in ast.walk(parsed(function)):
        if isinstance(node, ast.Raise) and node.exc is not None:
            names.add(ast.unparse(node.exc).partition("(")[0])
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            called: Any = function.__globals__.get(node.func.id)
            is_new = inspect.isfunction(called) and called.__qualname__ not in seen
            if is_new and called.__module__.rpartition(".")[0] == home:
                names |= raised(called, seen | {called.__qualname__})
    return names


# What is missing


def shortcomings(function: Calculation) -> list[str]:
    """Everything that a calculation's docstring still lacks, as what to do about it."""
    docstring = function.__doc__
    if not docstring:
        return ["write a docstring"]
    written = sections(docstring)
    missing = [f'add the section "{s}:"' for s in SECTIONS if not written.get(s) and s != "Raises"]
    return [
        *missing,
        *_unit_shortcomings(function, written),
        *_error_shortcomings(function, written),
        *_reference_shortcomings(written),
        *_example_shortcomings(function),
        *_number_shortcomings(function),
    ]


def _unit_shortcomings(function: Calculation, written: dict[str, list[str]]) -> Iterator[str]:
    entries = {entry.partition(":")[0]: entry for entry in written.get("Args", [])}
    parameters = list(inspect.signature(function).parameters)
    if list(entries) != parameters:
        yield f"list the parameters under Args in their order: {', '.join(parameters)}"
    for name in parameters:
        if name in entries and unit_written(entries[name]) != unit_of(name):
            yield f"end the line of {name} with [{unit_of(name)}], or change its suffix"
    result = unit_of(function.__name__)
    if unit_written(" ".join(written.get("Returns", []))) != result:
        yield f"end Returns with [{result}], or change the suffix of the function's name"


def _error_shortcomings(function: Calculation, written: dict[str, list[str]]) -> Iterator[str]:
    named = {entry.partition(":")[0] for entry in written.get("Raises", [])}
    actual = raised(function)
    for name in sorted(actual - named):
        yield f"say under Raises when {name} is raised"
    for name in sorted(named - actual):
        yield f"nothing raises {name}: take it out of Raises"


def _reference_shortcomings(written: dict[str, list[str]]) -> Iterator[str]:
    for entry in written.get("References", []):
        key = entry.partition(":")[0]
        if key not in cited_documents():
            yield f'add "{key}" to rulesets/sources.yaml, or cite a document that is there'
        match = re.search(r"\(([^()]+)\)\.$", entry)
        if not match or match[1] not in CONFIDENCE:
            yield f'end the reference to {key} with one of "({"). (".join(CONFIDENCE)})."'


def _example_shortcomings(function: Calculation) -> Iterator[str]:
    tests = doctest.DocTestFinder(recurse=False).find(function, globs=function.__globals__)
    report: list[str] = []
    results = [doctest.DocTestRunner().run(test, out=report.append) for test in tests]
    if not sum(result.attempted for result in results):
        yield "work one example with >>> under Example"
    if any(result.failed for result in results):
        yield "make the example come out as written:" + "".join(report)


def _number_shortcomings(function: Calculation) -> Iterator[str]:
    constants_used = [n.value for n in ast.walk(parsed(function)) if isinstance(n, ast.Constant)]
    for value in constants_used:
        if isinstance(value, int | float) and value not in NUMBERS_THAT_NEED_NO_NAME:
            yield f"give {value} a name and a source, above the functions"


# The checks

MODULES = list(calculation_modules())
CALCULATIONS = [function for module in MODULES for function in calculations(module)]


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda f: f.__name__)
def test_a_calculation_is_documented_in_full(calculation: Calculation) -> None:
    assert shortcomings(calculation) == []


def test_every_name_that_the_package_offers_is_a_documented_calculation() -> None:
    names = {function.__name__ for function in CALCULATIONS}
    assert set(compliance.electrical.__all__) <= names
    assert len(CALCULATIONS) >= 7


@pytest.mark.parametrize("module", MODULES, ids=lambda m: m.__name__)
def test_a_constant_names_its_source(module: ModuleType) -> None:
    """A comment above it, shared with the constants that follow without a gap.

    It holds a document's key with a confidence in brackets, or starts with a confidence.
    """
    lines = Path(module.__file__ or "").read_text(encoding="utf-8").splitlines()
    lacking = [name for name, comment in constants(lines) if not names_a_source(comment)]
    assert lacking == [], "write above it where it comes from, and how sure we are"


def constants(lines: list[str]) -> Iterator[tuple[str, str]]:
    """Each module constant with the comment that stands above it."""
    comment: list[str] = []
    is_open = False
    for line in lines:
        if line.startswith("#"):
            comment = [*comment, line] if is_open else [line]
            is_open = True
        elif match := re.match(r"([A-Z][A-Z0-9_]*)\b.*=", line):
            is_open = False
            yield match[1], " ".join(part.lstrip("# ") for part in comment)
        else:
            comment, is_open = [], False


def names_a_source(comment: str) -> bool:
    words = "|".join(CONFIDENCE)
    cited = re.search(rf"([a-z0-9-]+)\b[^()]*\(({words})\)", comment)
    keys = set(re.findall(r"[a-z0-9]+(?:-[a-z0-9]+)+", comment))
    if cited and keys & cited_documents():
        return True
    return re.match(rf"({words})\b", comment, re.IGNORECASE) is not None


# The checks notice what they are there for


def sound_v(rated_v: float) -> float:
    """Nothing but an example of a complete docstring.

    Args:
        rated_v: A voltage, over
            two lines. [V]

    Returns:
        The same voltage. [V]

    Raises:
        OutOfRangeError: If ``rated_v`` < 0.

    References:
        common-practice: made up for this test (common practice).

    Example:
        >>> sound_v(3.0)
        3.0
    """
    if rated_v < 0:
        raise OutOfRangeError("rated_v", rated_v, "0 V or more")
    return rated_v


def lacking_a(rated_v: float, length_m: float) -> float:
    """Everything is wrong here.

    Args:
        rated_v: A voltage. [mV]

    Returns:
        A voltage. [V]

    Raises:
        ValueError: Never.

    References:
        unheard-of: somewhere (certain).

    Example:
        >>> lacking_a(1.0, 1.0)
        2.0
    """
    return sound_v(rated_v) * length_m * 3.5


def bare_a() -> float:
    return 1.0


def test_a_complete_docstring_passes() -> None:
    assert shortcomings(sound_v) == []


def test_every_shortcoming_is_noticed() -> None:
    found = "\n".join(shortcomings(lacking_a))
    for expected in (
        "list the parameters under Args in their order: rated_v, length_m",
        "end the line of rated_v with [V]",
        "end Returns with [A]",
        "say under Raises when OutOfRangeError is raised",
        "nothing raises ValueError",
        'add "unheard-of" to rulesets/sources.yaml',
        "end the reference to unheard-of with one of",
        "make the example come out as written",
        "give 3.5 a name",
    ):
        assert expected in found
    assert shortcomings(bare_a) == ["write a docstring"]


@pytest.mark.parametrize(
    ("comment", "is_enough"),
    [
        ("# iec-62446-1, 6.7 (secondary): the factor.", True),
        ("# Memory: usual multiples.", True),
        ("# Common practice: standard test conditions.", True),
        ("# Seems about right.", False),
        ("# unheard-of, 3.2 (secondary): the factor.", False),
        ("# iec-62446-1 says so.", False),
        ("", False),
    ],
)
def test_a_constant_without_a_source_would_be_noticed(comment: str, is_enough: bool) -> None:
    lines = [comment, "FACTOR = 1.25"]
    assert [names_a_source(text) for _, text in constants(lines)] == [is_enough]
