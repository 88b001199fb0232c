"""A jurisdiction's words: what people in the trade there call a field."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Annotated

from compliance.files.resources import rulesets_folder
from compliance.files.yaml import Tree, parse_yaml
from compliance.record.entry import Group
from compliance.record.kinds import CollectionKind, FreeText
from compliance.record.refusing import read_as

WORDS = "words.yaml"


class WordsWritten(Group):
    """The file `rulesets/<jurisdiction>/words.yaml`."""

    aliases: Annotated[dict[str, list[FreeText]], CollectionKind()]
    printed: Annotated[dict[str, FreeText] | None, CollectionKind()] = None


def load_aliases(rulesets: Path, jurisdiction: str) -> Mapping[str, list[str]]:
    """The trade's names of fields, with the fields that each may mean; none without a file.

    Raises:
        RulesetError: If the file cannot be used.
    """
    written = _words(rulesets, jurisdiction)
    return written.aliases if written else {}


def spoken_in(tree: Tree) -> Mapping[str, list[str]]:
    """The trade's names of fields where a record says that its job is; none where it does not."""
    jurisdiction = str(tree.data.get("jurisdiction", "")).partition("-")[0].strip().lower()
    return load_aliases(rulesets_folder(), jurisdiction) if jurisdiction.isalpha() else {}


def load_printed(rulesets: Path, jurisdiction: str) -> dict[str, str]:
    """What is printed for a field's name where the jurisdiction says so; none without a file.

    Raises:
        RulesetError: If the file cannot be used.
    """
    written = _words(rulesets, jurisdiction)
    return dict(written.printed or {}) if written else {}


def _words(rulesets: Path, jurisdiction: str) -> WordsWritten | None:
    path = rulesets / jurisdiction / WORDS
    return _read(path.read_bytes(), str(path)) if path.is_file() else None


@cache
def _read(data: bytes, name: str) -> WordsWritten:
    """Read once for all records of one run, which may be thousands."""
    return read_as(WordsWritten, parse_yaml(data, name=name))
