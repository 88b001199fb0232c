"""The truth rules of the language, row by row, with values worked out by hand."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from properties.language_cases import VOCABULARY, RandomWorld

from compliance.rules.language.scene import Scene, Verdict
from compliance.rules.language.syntax import condition
from compliance.rules.language.truth import truth
from compliance.values import NOT_YET, NotTaken, Over, Under


def _worth(text: str, thing: dict[str, Any] | None = None, **job: Any) -> Verdict:
    names = {} if thing is None else {"thing": "thing"}
    node = condition(text, VOCABULARY, names)
    held = {} if thing is None else {"thing": {"~name": "T", **thing}}
    world = RandomWorld({"~name": "job", **job})
    return truth(node, Scene(world, held, {"thing": "thing"}))


ROWS = [
    ("thing.size_v <= 5", {"size_v": 5.0}, True),
    ("thing.size_v < 5", {"size_v": 5.0}, False),
    ("thing.size_v <= 5 or thing.size_v > 5", {}, None),  # by parts; no tautology is looked for
    ("thing.loop_ohm > 200", {"loop_ohm": Over(200.0)}, True),
    ("thing.loop_ohm >= 200", {"loop_ohm": Over(200.0)}, True),
    ("thing.loop_ohm <= 200", {"loop_ohm": Over(200.0)}, False),
    ("thing.loop_ohm >= 201", {"loop_ohm": Over(200.0)}, None),
    ("thing.loop_ohm < 0.05", {"loop_ohm": Under(0.05)}, True),
    ("thing.loop_ohm >= 0.05", {"loop_ohm": Under(0.05)}, False),
    ("thing.loop_ohm < 0.04", {"loop_ohm": Under(0.05)}, None),
    ("thing.loop_ohm <= 5", {"loop_ohm": NotTaken("rain")}, None),
    ("thing.size_v * 0 <= 0", {}, True),
    ("min(3, thing.size_v) >= 5", {}, False),
    ("max(3, thing.size_v) >= 3", {}, True),
    ("abs(thing.size_v) >= 0", {}, True),
    ("thing.size_v / thing.count <= 5", {"size_v": 5.0, "count": 0.0}, None),
    ("thing.taken_w <= thing.rated_kw", {"taken_w": 3680.0, "rated_kw": 3.68}, True),
    ("thing.taken_w <= thing.rated_kw", {"taken_w": 3681.0, "rated_kw": 3.68}, False),
    ("thing.deep_v <= 12.6", {"deep_v": 12.6 * (1 + 5e-10)}, True),  # worked out: tolerance
    ("thing.size_v <= 12.6", {"size_v": 12.6 * (1 + 5e-10)}, False),  # read: exact
    ("thing.deep_v < 12.6", {"deep_v": 12.6 * (1 - 5e-10)}, False),
    ("thing.cell_c - thing.coldest_c >= 30", {"cell_c": 15.0, "coldest_c": -15.0}, True),
    ("1 < thing.size_v <= 3", {"size_v": 1.0}, False),
    ("thing.colour != 'red'", {"colour": "blue"}, True),
    ("thing.colour not in ('red', 'blue')", {}, None),
    ("thing.locked", {"locked": False}, False),
    ("not thing.locked", {}, None),
    ("stated(thing.loop_ohm)", {"loop_ohm": Over(1.0)}, True),
    ("stated(thing.loop_ohm)", {"loop_ohm": NotTaken("rain")}, None),
    ("shown('photo', thing)", {"~proofs": ["photo"]}, True),
    ("shown('photo', thing)", {"~proofs": ["sheet"]}, None),
    ("thing.made <= today", {"made": date(2026, 6, 15)}, True),
    ("thing.made <= today", {"made": NOT_YET}, False),
    ("thing.made > today", {"made": NOT_YET}, True),
    ("thing.made <= today", {"made": datetime(2026, 6, 15, 23, 0)}, True),  # days compare
    ("thing.made < hall.on", {"made": datetime(2026, 6, 1, 9, 0)}, None),
    ("days(thing.made, today) <= 14", {"made": date(2026, 6, 1)}, True),
    ("thing.insulation_megohm >= limits.least_megohm(thing.size_v)",
     {"insulation_megohm": 0.2}, False),  # fails whatever row the missing argument falls in
    ("thing.insulation_megohm >= limits.least_megohm(thing.size_v)",
     {"insulation_megohm": 2.0}, True),
    ("thing.insulation_megohm >= limits.least_megohm(thing.size_v)",
     {"insulation_megohm": 0.7}, None),
    ("thing.insulation_megohm >= limits.least_megohm(thing.size_v)",
     {"insulation_megohm": 0.7, "size_v": 119.9}, True),
    ("thing.insulation_megohm >= limits.least_megohm(thing.size_v)",
     {"insulation_megohm": 0.7, "size_v": 120.0}, False),
]  # fmt: skip


@pytest.mark.parametrize(("text", "thing", "worth"), ROWS)
def test_a_row_of_the_table_of_forms(text: str, thing: dict[str, Any], worth: bool | None) -> None:
    found = _worth(text, thing)
    assert found.value is worth
    assert bool(found.needs) is (worth is None)


KNOWN = {"size_v": 9.0, "locked": True, "label": "a"}
LOW = {"size_v": 1.0, "locked": False, "label": "b"}
OVER_A_COLLECTION: list[tuple[str, Any, bool | None]] = [
    ("all(t.size_v > 5 for t in things)", None, None),
    ("all(t.size_v > 5 for t in things)", [], True),
    ("all(t.size_v > 5 for t in things)", [KNOWN, {}], None),
    ("all(t.size_v > 5 for t in things)", [LOW, {}], False),
    ("all(t.size_v > 5 for t in things if t.locked)", [KNOWN, LOW], True),
    ("all(t.size_v > 5 for t in things if t.locked)", [{"size_v": 1.0}], None),
    ("all(t.size_v > 5 for t in things if t.locked)", [{"size_v": 9.0}], True),
    ("any(t.size_v > 5 for t in things)", None, None),
    ("any(t.size_v > 5 for t in things)", [], False),
    ("any(t.size_v > 5 for t in things)", [LOW, {}], None),
    ("any(t.size_v > 5 for t in things)", [KNOWN, {}], True),
    ("count(t.size_v > 5 for t in things) >= 0", None, True),
    ("count(t.size_v > 5 for t in things) >= 1", None, None),
    ("count(t.size_v > 5 for t in things) >= 1", [], False),
    ("count(t.size_v > 5 for t in things) >= 1", [KNOWN, {}], True),
    ("count(t.size_v > 5 for t in things) <= 1", [KNOWN, {}], None),
    ("count(t.size_v > 5 for t in things) <= 2", [KNOWN, {}], True),
    ("sum(t.size_v for t in things) <= 10", [], True),
    ("sum(t.size_v for t in things) <= 10", [KNOWN, LOW], True),
    ("sum(t.size_v for t in things) <= 10", [KNOWN, {}], None),
    ("min(t.size_v for t in things) > 5", [], True),
    ("max(t.size_v for t in things) > 5", [], False),
    ("min(t.size_v for t in things) > 5", [LOW, {}], False),
    ("max(t.size_v for t in things) > 5", [KNOWN, {}], True),
    ("unique(t.label for t in things)", [], True),
    ("unique(t.label for t in things)", [{}], True),
    ("unique(t.label for t in things)", [KNOWN, {}], None),
    ("unique(t.label for t in things)", [KNOWN, KNOWN], False),
    ("unique(t.label for t in things)", [KNOWN, LOW], True),
]


@pytest.mark.parametrize(("text", "things", "worth"), OVER_A_COLLECTION)
def test_a_row_of_the_table_of_collections(text: str, things: Any, worth: bool | None) -> None:
    job = {} if things is None else {"things": [{"~name": f"T{i}", **t} for i, t in
                                                enumerate(things)]}  # fmt: skip
    found = _worth(text, **job)
    assert found.value is worth
    assert bool(found.needs) is (worth is None)


SO_FAR: list[tuple[str, Any, bool | None]] = [
    ("any(a.value_v > 5 for a in acts)", None, None),
    ("any(a.value_v > 5 for a in acts)", [], False),
    ("any(a.value_v > 5 for a in acts)", [{"value_v": 1.0}], None),
    ("any(a.value_v > 5 for a in acts)", [{"value_v": 9.0}], True),
    ("count(a.value_v > 5 for a in acts) >= 1", [{"value_v": 9.0}], True),
    ("count(a.value_v > 5 for a in acts) <= 3", [{"value_v": 9.0}], None),
    ("count(a.value_v > 5 for a in acts) <= 3", [], True),
]


@pytest.mark.parametrize(("text", "acts", "worth"), SO_FAR)
def test_a_so_far_collection_proves_presence_never_absence(
    text: str, acts: Any, worth: bool | None
) -> None:
    job = {} if acts is None else {"acts": [{"~name": f"a{i}", **a} for i, a in enumerate(acts)]}
    found = _worth(text, **job)
    assert found.value is worth
    assert bool(found.needs) is (worth is None)


def test_the_first_missing_step_is_what_is_needed() -> None:
    assert _worth("hall.proof.value_v >= 5").needs == (("hall", "missing"),)
    found = _worth("hall.proof.value_v >= 5", hall={"~name": "hall"})
    assert found.needs == (("hall.proof", "missing"),)
    found = _worth("hall.proof.value_v >= 5", hall={"~name": "h", "proof": NotTaken("no meter")})
    assert found.needs == (("hall.proof", "not taken: no meter"),)


def test_a_quantity_needs_what_its_inputs_lack() -> None:
    assert _worth("thing.deep_v >= 5", {}).needs == (("thing.size_v", "missing"),)


def test_true_and_false_parts_add_no_need() -> None:
    found = _worth("thing.size_v > 5 and thing.locked", {"size_v": 9.0})
    assert found.needs == (("thing.locked", "missing"),)
