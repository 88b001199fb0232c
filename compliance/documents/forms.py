"""From what a template receives of a job to its document, and to files in both forms."""

from __future__ import annotations

from pathlib import Path
from typing import Any, TypeAlias

from compliance.documents.commissioning import said
from compliance.documents.content import load_template
from compliance.documents.tree import Document, Table
from compliance.rules.job import Job

Given: TypeAlias = "tuple[dict[str, Any], dict[str, Table]]"
"""The values and the tables that a template receives."""


def rendered(job: Job, name: str, given: Given, templates: Path) -> Document:
    """One document of a job, not yet in any form of file."""
    values, tables = given
    author = said(job.view["organisation"], "name", "the installer")
    return load_template(templates / f"{name}.md.j2").render(values, tables, author=author)


def both_forms(
    document: Document, job: Job, name: str, *, is_draft: bool = False
) -> dict[str, bytes]:
    """A document of a job as PDF and DOCX, by the names of their files.

    Raises:
        DocumentError: If a text of the record can't be printed whole and literal.
    """
    footer = f"{job.checked.reference}, record {job.opened.sha256[:12]}, {job.checked.on}"
    return in_both(document, footer, name, is_draft=is_draft)


def in_both(document: Document, footer: str, name: str, *, is_draft: bool) -> dict[str, bytes]:
    """Any document as PDF and DOCX, by the names of their files."""
    from compliance.documents.docx import docx_bytes
    from compliance.documents.pdf import pdf_bytes

    return {
        f"{name}.pdf": pdf_bytes(document, footer=footer, draft=is_draft),
        f"{name}.docx": docx_bytes(document, footer=footer, draft=is_draft),
    }
