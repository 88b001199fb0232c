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
    usual_tests: Annotated[dict[str, list[FreeText]] | None, CollectionKind()] = None
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
    return load_aliases(rulesets_folder(), _jurisdiction(tree))


def usual_tests_in(tree: Tree) -> Mapping[str, list[str]]:
    """Which tests are meant, where a job is, by a name that is of readings of several."""
    written = _words(rulesets_folder(), _jurisdiction(tree))
    return (written.usual_tests or {}) if written else {}


def load_printed(rulesets: Path, jurisdiction: str) -> dict[str, str]:
    """What is printed for a field's name where the jurisdiction says so; none without a file.

    Raises:
        RulesetError: If the file cannot be used.
    """
    written = _words(rulesets, jurisdiction)
    return dict(written.printed or {}) if written else {}


def _jurisdiction(tree: Tree) -> str:
    return str(tree.data.get("jurisdiction", "")).partition("-")[0].strip().lower()


def _words(rulesets: Path, jurisdiction: str) -> WordsWritten | None:
    path = rulesets / jurisdiction / WORDS
    is_there = jurisdiction.isalpha() and path.is_file()
    return _read(path.read_bytes(), str(path)) if is_there else None


@cache
def _read(data: bytes, name: str) -> WordsWritten:
    """Read once for all records of one run, which may be thousands."""
    return read_as(WordsWritten, parse_yaml(data, name=name))
