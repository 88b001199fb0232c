"""How much a usual job takes to type: two strings, a hybrid inverter, two new AC circuits.

The record under `usual/` is complete: nothing is held up. Counted are the values that
differ from what `compliance new` wrote and are not lent by the firm, readings and
references included; photos are not counted. The aim is 60 (issue 6). It is not reached,
and this test says by how much: the figures may only come down.
"""

from __future__ import annotations

import shutil
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from compliance.files.resources import rulesets_folder
from compliance.files.yaml import parse_yaml, read_yaml
from compliance.record.questions import answers
from compliance.record.skeleton import skeleton
from compliance.rules.job import open_job

USUAL = Path(__file__).parent / "usual"
EVIDENCE = Path(__file__).parents[2] / "sample_installs" / "bungalow-two-faces" / "evidence"
ANSWERS = "1,1,2,1,1,3"
AIM = 60
MOST = {
    "tests": 158,
    "evidence": 56,
    "labels": 46,
    "cables": 44,
    "connector_pairs": 40,
    "visits": 57,
    "surge": 24,
    "components": 24,
    "circuits": 6,
    "isolators": 15,
    "parts": 19,
    "batches": 12,
    "site": 20,
    "bonds": 2,
    "strings": 10,
    "judgements": 6,
    "old_labels": 4,
    "scaffolds": 2,
    "disturbed": 4,
    "tariffs": 1,
    "title": 1,
    "closed": 1,
    "customer": 1,
    "junctions": 1,
    "alterations": 1,
    "departures": 1,
}
"""What each part of the record took when this was last looked at.

It rose twice: from 522 to 543, when the rulesets on work before start and on tariffs came, and
to 559 with what is seen from the scaffold and what can be live when everybody has left. The
design of circuits, strings, roof, board and connection added eleven, and fourteen went with the
circuits that the firm now lends.
"""


def leaves(data: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every value with its path; a value in a list is known by its place."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from leaves(value, (*path, str(key)))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from leaves(value, (*path, index))
    else:
        yield (*path, str(data))


@pytest.fixture(scope="module")
def typed() -> Counter[str]:
    """How many values were typed, by the part of the record they stand in."""
    first = skeleton(answers(ANSWERS.split(",")), reference="job", jurisdiction="GB-ENG")
    written = set(leaves(parse_yaml(first, name="new").data))
    data: dict[str, Any] = dict(read_yaml(USUAL / "job" / "installation.yaml").data)
    data["evidence"] = {n: e for n, e in data["evidence"].items() if e["kind"] != "photo"}
    return Counter(str(leaf[0]) for leaf in leaves(data) if leaf not in written)


def test_the_usual_job_is_complete(tmp_path: Path) -> None:
    shutil.copytree(USUAL, tmp_path / "usual")
    shutil.copytree(EVIDENCE, tmp_path / "usual" / "job" / "evidence")
    job = open_job(tmp_path / "usual" / "job", rulesets_folder(), today=date(2026, 11, 25))
    assert not job.checked.gaps
    assert len(job.view["strings"]) == len(job.view["circuits"]) == 2


def test_without_its_firm_the_usual_job_cannot_be_read(tmp_path: Path) -> None:
    shutil.copytree(USUAL / "job", tmp_path / "alone" / "job")
    with pytest.raises(Exception, match="names nothing among"):
        open_job(tmp_path / "alone" / "job", rulesets_folder(), today=date(2026, 11, 25))


def test_what_a_usual_job_takes_to_type_only_comes_down(typed: Counter[str]) -> None:
    more = {part: count for part, count in typed.items() if count > MOST.get(part, 0)}
    assert not more, f"more has to be typed than before: {more}"
    assert sum(typed.values()) == sum(MOST.values()), "fewer: bring MOST down, and tell issue 6"


def test_the_aim_is_not_reached_yet(typed: Counter[str]) -> None:
    assert sum(typed.values()) > AIM, "reached: ask for no more than 60 from now on"
