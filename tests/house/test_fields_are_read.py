"""A field exists only if something reads it, and its name can stand in a rule."""

from __future__ import annotations

import keyword
import re
from pathlib import Path

from compliance.files.resources import rulesets_folder
from compliance.record.entry import Group
from compliance.record.installation import Installation
from compliance.record.shape import fields

ROOT = Path(__file__).parents[2]
# What reads the record besides rules and quantities: the check, the documents and the office.
READERS = [
    *(ROOT / "compliance" / "rules").rglob("*.py"),
    *(ROOT / "compliance" / "documents").glob("*.py"),
    *(ROOT / "compliance" / "pack").glob("*.py"),
    *(ROOT / "compliance" / "portfolio").glob("*.py"),
    *(ROOT / "compliance" / "record").glob("[lmosv]*.py"),
]


def _fields(model: type[Group], seen: set[type[Group]]) -> set[tuple[str, str]]:
    if model in seen:
        return set()
    seen.add(model)
    found: set[tuple[str, str]] = set()
    for name, shape in fields(model).items():
        found.add((model.type_name(), name))
        for inner in [*shape.entries, *([shape.section] if shape.section else [])]:
            found |= _fields(inner, seen)
    return found


def test_every_field_is_read_by_a_rule_a_quantity_the_check_or_a_document() -> None:
    rules = "\n".join(
        line
        for path in rulesets_folder().rglob("*.yaml")
        for line in path.read_text("utf-8").splitlines()
    )
    conditions = re.findall(r"[a-z_][a-z_0-9]*\.([a-z_0-9.]+)|\bin ([a-z_.]+)", rules)
    steps = {step for pair in conditions for text in pair for step in text.split(".")}
    code = "\n".join(path.read_text("utf-8") for path in READERS)
    words = set(re.findall(r"[\"'.]([a-z_][a-z_0-9]*)", code))
    unread = sorted(
        f"{owner}.{name}"
        for owner, name in _fields(Installation, set())
        if name not in steps and name not in words
    )
    # Readings and figures that documents print by going through all that an entry has:
    printed_with_the_entry = {"inverter.rated_kw"}
    unread = [name for name in unread if name not in printed_with_the_entry]
    assert not unread, f"nothing reads {', '.join(unread)}: read it, or take it out of its model"


def test_no_field_is_named_like_a_word_of_the_rule_language() -> None:
    taken = {"today", "limits", "all", "any", "count", "sum", "min", "max", "unique", "abs"}
    names = {name for _, name in _fields(Installation, set())}
    assert not [name for name in names if keyword.iskeyword(name) or name in taken]
