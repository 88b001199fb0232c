"""Conditions told to people: as the rule writes them, and in words."""

from __future__ import annotations

from random import Random

import pytest
from properties import language_cases as cases
from rules.small import shipped

from compliance.rules.language.nodes import Node
from compliance.rules.language.sentences import sentence
from compliance.rules.language.spelled import spelled
from compliance.rules.language.syntax import condition
from compliance.rules.quantities import QUANTITIES
from compliance.rules.vocabulary import vocabulary

NAMES = {"thing": "thing"}


def _read(text: str) -> Node:
    return condition(text, cases.VOCABULARY, NAMES)


def test_what_is_spelled_reads_back_as_the_same_condition() -> None:
    for seed in range(600):
        node = _read(cases.Writer(Random(seed)).condition(NAMES, 3))
        assert _read(spelled(node)) == node, spelled(node)


@pytest.mark.parametrize(
    "side",
    [
        "thing.size_v - thing.deep_v - limits.flat_v()",
        "thing.size_v - (thing.deep_v - limits.flat_v())",
        "2 * thing.size_v + thing.deep_v / 4",
        "2 * (thing.size_v + thing.deep_v) / 4",
        "2 * (thing.size_v / 4)",
        "min(thing.size_v, -thing.deep_v)",
        "-(thing.size_v + thing.deep_v)",
    ],
)
def test_a_calculation_has_brackets_only_where_it_needs_them(side: str) -> None:
    text = f"thing.size_v <= {side}"
    assert spelled(_read(text)) == text


def test_every_shipped_condition_reads_back_as_the_same() -> None:
    rules = shipped().rules
    names = vocabulary(QUANTITIES, rules.tables.signs)
    for rule in rules.rules:
        types = {name: path.kind.type for name, path in rule.clause.loops}  # type: ignore[union-attr]
        for node in (rule.clause.condition, rule.clause.must, *rule.clause.ways):
            if node is not None:
                assert condition(spelled(node), names, types) == node
                assert sentence(node)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("thing.locked", "the thing's “locked” is yes"),
        ("not thing.locked", "the thing's “locked” is not yes"),
        ("thing.colour != 'red'", "the thing's colour is not red"),
        ("thing.colour in ('red', 'blue')", "the thing's colour is one of red, blue"),
        ("not thing.size_v < 5", "the thing's size voltage is at least 5 V"),
        ("thing.made <= today", "the thing's made is on or before the day of the check"),
        ("stated(hall.open)", "the job's hall “open” is stated"),
        ("shown('photo', thing)", "a photo about this thing is shown"),
        (
            "not (thing.locked or hall.open)",
            "the thing's “locked” is not yes and the job's hall “open” is not yes",
        ),
        (
            "thing.locked and (hall.open or thing.count >= 2)",
            "the thing's “locked” is yes and (the job's hall “open” is yes or the thing's count is "
            "at least 2)",
        ),
        (
            "all(bit.mass_kg > 1 for bit in thing.bits if bit.firm)",
            "for each bit in the thing's bits (only where the bit's “firm” is yes), the bit's mass "
            "is more than 1 kg",
        ),
        (
            "not any(bit.firm for bit in thing.bits)",
            "for no bit in the thing's bits, the bit's “firm” is yes",
        ),
        (
            "days(thing.made, hall.on) <= 28",
            "the number of days from the thing's made to the job's hall day is at most 28 days",
        ),
        (
            "abs(thing.size_v - thing.deep_v) <= limits.flat_v()",
            "the difference between the thing's size voltage and the thing's deep voltage is at "
            "most the limit “flat”",
        ),
        (
            "count(bit.firm for bit in thing.bits) >= 2",
            "the number of entries, each a bit in the thing's bits, for which the bit's “firm” is "
            "yes, is at least 2",
        ),
    ],
)
def test_a_condition_is_said_in_words(text: str, said: str) -> None:
    assert sentence(_read(text)) == said
