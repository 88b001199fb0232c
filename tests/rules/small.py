"""Small records and rulesets for the tests of the rules, from as few lines as say it."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Mapping
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

from compliance.evidence import Seen
from compliance.files.yaml import parse_yaml, read_yaml
from compliance.record.load import record_from
from compliance.record.view import view
from compliance.rules.check import Checker
from compliance.rules.outcome import Checked, Finding
from compliance.rules.rule import Rules
from compliance.rules.ruleset import load_rules

ROOT = Path(__file__).parents[2]
RULESETS = ROOT / "rulesets"
TODAY = date(2026, 11, 10)
HEAD = "record: installation/1\nreference: R-1\njurisdiction: GB-ENG\ntitle: A job (invented)\n"

RULESET = """\
ruleset: gb-tried
title: A ruleset of one requirement, for a test
jurisdiction: GB
applies: {from: 2019-01-01, by: designed}
sources: [common-practice]
requirements:
"""

REST = """\
    holds_up: use
    held_by: installer
    source: {document: common-practice, confidence: common practice}
    why: For a test.
    remedy: For a test.
    examples:
      - {name: a, outcome: met}
      - {name: b, outcome: not met}
      - {name: c, outcome: not shown}
"""


def view_of(text: str, *, head: str = HEAD, on: date | None = None) -> dict[str, Any]:
    """The view of a record, whose first four lines stand here."""
    tree = parse_yaml((head + text).encode(), name="installation.yaml")
    return view(record_from(tree, Path()).record, on)


@cache
def shipped() -> Checker:
    """The rulesets of this project."""
    return Checker.of(load_rules(RULESETS, "gb"))


def rules_of(text: str) -> Rules:
    """Rules of one ruleset file, beside the real register and limit tables."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        shutil.copy(RULESETS / "sources.yaml", place)
        shutil.copytree(RULESETS / "gb" / "limits", place / "gb" / "limits")
        (place / "gb" / "tried.yaml").write_text(text, "utf-8")
        return load_rules(place, "gb")


def requirement(name: str, keys: str, *, rest: str = REST) -> str:
    """A requirement: its id, the keys from `for` to `danger`, and what every one has."""
    lines = "".join(f"    {line}\n" for line in keys.splitlines())
    return f"  - id: {name}\n    title: Tried\n{lines}{rest}"


def checker_of(*requirements: str, head: str = RULESET) -> Checker:
    """A checker of a few requirements; the limit files that they ask are listed for them."""
    text = "".join(requirements)
    asked = sorted({_limit_files()[table] for table in re.findall(r"limits\.(\w+)", text)})
    if asked and "limits:" not in head:
        head = head.replace("requirements:", f"limits: [{', '.join(asked)}]\nrequirements:")
    return Checker.of(rules_of(head + text))


@cache
def _limit_files() -> dict[str, str]:
    """The limit file, by its name, in which each table stands."""
    files = [read_yaml(path).data for path in (RULESETS / "gb" / "limits").glob("*.yaml")]
    return {str(table): str(file["limits"]) for file in files for table in file["tables"]}


def one(keys: str, *, rest: str = REST, head: str = RULESET) -> Checker:
    """A checker of one requirement `tried`, from its keys."""
    return checker_of(requirement("tried", keys, rest=rest), head=head)


def check(
    checker: Checker,
    record: str,
    *,
    on: date = TODAY,
    seen: Mapping[str, Seen] | None = None,
) -> Checked:
    """The check of a record."""
    return checker.check(view_of(record, on=on), seen or {}, on)


def only(checked: Checked, requirement: str = "tried") -> Finding:
    """The one finding of a requirement."""
    (finding,) = [f for f in checked.findings if f.requirement.id == requirement]
    return finding


def told(checked: Checked, requirement: str = "tried") -> dict[str, str]:
    """The outcome of each subject of a requirement."""
    return {f.subject: f.outcome.value for f in checked.findings if f.requirement.id == requirement}


def whole(file: str = "evidence/a.jpg", taken: datetime | None = None) -> Seen:
    """An evidence file that opened and is complete."""
    return Seen(file, kind="jpeg", sha256="0" * 64, bytes=1, taken=taken)
