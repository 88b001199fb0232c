"""What is found out once and used again must not outlive what it rests on."""

from __future__ import annotations

import pickle
from typing import Any

import pytest
from properties.language_cases import VOCABULARY, RandomWorld

from compliance.record.kinds import Reference
from compliance.record.meant import TESTS as MODELS
from compliance.rules.language.explain import PRINTED, Printed, facts
from compliance.rules.language.nodes import Node, with_parts
from compliance.rules.language.scene import Scene
from compliance.rules.language.syntax import condition
from compliance.rules.language.truth import truth
from compliance.rules.supply import need
from compliance.rules.tests_read import TESTS

STRING = {"~name": "S1"}


def _told(node: Node, size_v: float) -> tuple[Any, ...]:
    names = {"thing": {"~name": "T", "size_v": size_v}}
    return facts(node, Scene(RandomWorld({"~name": "job"}), names, {"thing": "thing"}))


def _wanted() -> str:
    return need("string.earth_megohm", "missing", {"string": STRING}, "S1", {}).supply


def test_every_name_by_which_a_test_can_stand_is_known_to_the_check() -> None:
    references = [
        said
        for model in MODELS.values()
        for said in model.model_fields["of"].metadata
        if isinstance(said, Reference) and said.latest
    ]
    assert {said.back for said in references} == TESTS


def test_a_need_is_said_in_the_words_of_the_jurisdiction_whose_job_is_open() -> None:
    plain = _wanted()
    PRINTED.set(Printed({"earth_megohm": "Isolation gegen Erde"}))
    assert _wanted() == "Isolation gegen Erde of S1, in MΩ"
    PRINTED.set(Printed())
    assert _wanted() == plain == "earth of S1, in MΩ"


def test_a_need_names_the_thing_that_lacks_it_each_time() -> None:
    said = [
        need("string.in_series", "missing", {"string": {"~name": name}}, name, {}).supply
        for name in ("S1", "S2", "S1")
    ]
    assert said == ["in series of S1", "in series of S2", "in series of S1"]


def test_facts_are_told_in_the_words_of_the_jurisdiction_whose_job_is_open() -> None:
    node = condition("thing.size_v >= 5", VOCABULARY, {"thing": "thing"})
    assert _told(node, 3.0)[0].what == "size"
    PRINTED.set(Printed({"size_v": "span"}))
    assert _told(node, 3.0)[0].what == "span"


def test_the_printed_words_come_back_from_a_cache_without_what_was_said_in_them() -> None:
    words = Printed({"in_series": "count"})
    PRINTED.set(words)
    need("string.in_series", "missing", {"string": STRING}, "S1", {})
    again = pickle.loads(pickle.dumps(words))  # noqa: S301 - our own bytes
    assert again == words
    assert len(pickle.dumps(again)) == len(pickle.dumps(Printed({"in_series": "count"})))


def test_a_changed_node_is_not_worth_what_the_old_one_was() -> None:
    node = condition("thing.size_v >= 5", VOCABULARY, {"thing": "thing"})
    scene = Scene(RandomWorld({"~name": "job"}), {"thing": {"~name": "T", "size_v": 6.0}})
    assert truth(node, scene).value is True
    higher = condition("thing.size_v >= 7", VOCABULARY, {"thing": "thing"})
    changed = with_parts(node, (node.left, higher.right))  # type: ignore[union-attr]
    assert truth(changed, scene).value is False
    copied = pickle.loads(pickle.dumps(node))  # noqa: S301 - our own bytes
    assert copied == node
    assert truth(copied, scene).value is True


@pytest.mark.parametrize("kept", ["worked", "walked", "told"])
def test_what_is_kept_on_a_node_is_no_part_of_it(kept: str) -> None:
    node = condition("thing.size_v >= 5", VOCABULARY, {"thing": "thing"})
    before = repr(node), hash(node), pickle.dumps(node)
    _told(node, 3.0)
    object.__setattr__(node, kept, "something")
    assert (repr(node), hash(node), pickle.dumps(node)) == before
