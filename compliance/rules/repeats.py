"""Tests made again: an earlier one that failed, with nothing said of what was done in between."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, cast

from compliance.rules.language.nodes import Node
from compliance.rules.language.scene import Scene, Verdict, joined
from compliance.rules.language.truth import truth
from compliance.rules.plans import Case, deciding
from compliance.rules.tests_read import tests_read
from compliance.rules.world import RecordWorld

Entry = Mapping[str, Any]
Needs = tuple[tuple[str, str], ...]


def failed_before(case: Case) -> tuple[str, Needs]:
    """Says so if an earlier entry of a test would have failed, with no reason in between.

    Also what is lacking to tell, unless it is the earlier test that does not say it: a gap
    elsewhere in the record must not hide a failure.
    """
    must = deciding(case)
    if must is None or not case.about.world.has_repeats:
        return "", ()
    lacks: list[Needs] = []
    for test in list(tests_read(must, case.subject.scene)):
        following = [*test.get("~earlier", ()), test]
        for before, after in itertools.pairwise(following):
            if "after" in after:
                continue
            found = _truth_with(must, before, test, case.subject.scene)
            if found.value is False:
                return (
                    f"An earlier {test['test']} test failed and nothing says what was done before "
                    "it was repeated; a competent person decides whether the later one stands."
                ), ()
            own = _stands_as(test)
            lacks.append(tuple(need for need in found.needs if own not in need[0].split(".")))
    return "", joined(lacks)


def _stands_as(test: Entry) -> str:
    """The name by which the latest test of a kind stands on its subject."""
    (name,) = [name for name, value in test["~subject"].items() if value is test]
    return str(name)


def _truth_with(must: Node, earlier: Entry, latest: Entry, scene: Scene) -> Verdict:
    """The condition on an earlier test, with nothing worked out from the latest."""
    old, subject = cast("RecordWorld", scene.world), latest["~subject"]
    name = _stands_as(latest)
    subject[name] = earlier
    try:
        world = RecordWorld(old.job, old.today, old.tables, old.seen)
        return truth(must, replace(scene, world=world))
    finally:
        subject[name] = latest
