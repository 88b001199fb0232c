"""House rules of the documents: one way to text, one adapter a library, no words of a maker."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCES = sorted((Path(__file__).parents[2] / "compliance").rglob("*.py"))


def imported(path: Path) -> Iterator[str]:
    """Every name that a module imports, with the module that it comes from."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


def importers(*starts: str) -> set[str]:
    return {path.name for path in SOURCES if any(n.startswith(starts) for n in imported(path))}


def test_one_module_builds_paragraphs_of_a_pdf_and_it_marks_up_by_the_one_helper() -> None:
    paragraph = ("reportlab.platypus.Paragraph", "reportlab.platypus.paragraph")
    assert importers(*paragraph) == {"flowables.py"}
    source = (Path(SOURCES[0].parent) / "documents" / "flowables.py").read_text("utf-8")
    built = [
        node
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("Paragraph", "Words")
    ]
    assert [ast.unparse(node.args[0]) for node in built] == ["markup(runs) or '&nbsp;'"]


@pytest.mark.parametrize(
    ("library", "modules"),
    [
        ("reportlab", {"flowables.py", "pdf.py", "typeface.py", "curve.py"}),
        ("docx", {"docx.py"}),
        ("pikepdf", {"tags.py", "papers.py"}),
        ("markdown_it", {"markdown.py"}),
        ("jinja2", {"braces.py", "letters.py"}),  # letters are plain text, without a tree
        ("openpyxl", {"lists.py", "sheets.py"}),
        ("holidays", {"calendars.py"}),
    ],
)
def test_each_library_has_its_adapters(library: str, modules: set[str]) -> None:
    assert importers(library) == modules


def test_the_one_helper_is_all_that_escapes_for_a_pdf() -> None:
    assert importers("xml.sax.saxutils") == {"text.py", "docx.py"}


def test_the_typeface_comes_with_its_licence() -> None:
    folder = Path(SOURCES[0].parent) / "documents" / "fonts"
    assert "Permission is hereby granted" in (folder / "LICENCE-DejaVu.txt").read_text("utf-8")
    assert len(list(folder.glob("*.ttf"))) == 3
