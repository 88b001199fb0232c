"""Components as the rules see them: approvals, serial numbers, what points to what."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from compliance.files.yaml import parse_yaml
from compliance.record.components import CATEGORIES
from compliance.record.installation import Installation
from compliance.record.kinds import Texts
from compliance.record.load import record_from
from compliance.record.shape import fields
from compliance.record.view import plural, view
from compliance.values import NOT_YET, Partly

HEAD = "record: installation/1\nreference: J-1\njurisdiction: GB-ENG\ntitle: An invented job\n"


def _job(text: str) -> dict[str, Any]:
    return view(record_from(parse_yaml((HEAD + text).encode(), name="j"), Path()).record)


def test_every_category_has_its_kind_of_entry_and_a_collection_of_it() -> None:
    entries = fields(Installation)["components"].entries
    assert tuple(getattr(e, "tag", "") for e in entries) == CATEGORIES
    lines = "".join(f'  c{n}: {{category: "{word}"}}\n' for n, word in enumerate(CATEGORIES))
    job = _job("components:\n" + lines)
    for number, entry in enumerate(entries):
        assert [c["~name"] for c in job[plural(entry)]] == [f"c{number}"]


def test_the_collections_are_called_as_people_call_them() -> None:
    job = _job("components:\n  b: {category: battery}\n  s: {category: switch-disconnector}\n")
    assert [c["~name"] for c in job["batteries"]] == ["b"]
    assert [c["~name"] for c in job["switch_disconnectors"]] == ["s"]
    assert "batterys" not in job


def test_an_approval_belongs_to_the_part_of_its_component() -> None:
    (module,) = _job(
        "parts: {roof: {kind: array, started: 2026-10-05}}\ncomponents:\n  m:\n"
        "    category: module\n    approval:\n      - {standard: IEC 61215, until: not yet}\n"
    )["components"]
    (approval,) = module["approval"]
    assert approval["part"] is module["part"]
    assert approval["part"]["started"] == date(2026, 10, 5)
    assert approval["until"] is NOT_YET
    assert approval["~name"] == "approval 1"


def test_no_approval_is_not_the_same_as_silence() -> None:
    silent, none = _job(
        "components:\n  a: {category: charger}\n  b: {category: charger, approval: none}\n"
    )["components"]
    assert "approval" not in silent
    assert none["approval"] == []


@pytest.mark.parametrize(
    ("written", "kept"),
    [
        (["A-1", "A-2"], ("A-1", "A-2")),
        (["A-1", "A-2", "A-1"], ("A-1", "A-2")),
        (["A-1", " A-1 "], ("A-1",)),
        (["NL  440", "NL 440"], ("NL 440",)),
        ("A-1", ("A-1",)),
        (["0010", "010"], ("0010", "010")),
    ],
)
def test_serial_numbers_are_texts_of_which_each_stands_once(written: Any, kept: Any) -> None:
    assert Texts().parse(written, "serials") == kept


def test_an_isolator_finds_its_product_and_the_product_its_isolators() -> None:
    job = _job(
        "components:\n  m: {category: module}\n  sw: {category: switch-disconnector}\n"
        "strings: {S1: {modules: m}}\n"
        "isolators:\n  d1: {side: dc, serves: S1, product: sw}\n  d2: {side: dc, serves: S1}\n"
    )
    first, second = job["isolators"]
    (switch,) = job["switch_disconnectors"]
    assert first["product"] is switch
    assert "product" not in second
    assert isinstance(switch["isolators"], Partly)
    assert [i["~name"] for i in switch["isolators"]] == ["d1"]
    assert [path for _, path in switch["isolators"].perhaps] == ["isolators[d2].product"]


def test_connector_pairs_stand_on_their_string_and_mountings_on_their_modules() -> None:
    job = _job(
        "components:\n  m: {category: module}\n  n: {category: module}\n"
        "  p: {category: connector}\n  k: {category: mounting, approved_for: [m]}\n"
        "strings: {S1: {modules: m}, S2: {modules: n}}\n"
        "connector_pairs: {S1-plus: {on: S1, pole: positive, one: p, other: p}}\n"
    )
    first, second = job["strings"]
    (pair,) = first["connector_pairs"]
    assert pair["one"] is pair["other"] is job["connectors"][0]
    assert second["connector_pairs"] == []
    assert [[k["~name"] for k in m["mountings"]] for m in job["modules"]] == [["k"], []]


def test_a_pair_of_connectors_is_of_the_part_of_its_string() -> None:
    job = _job(
        "parts: {a: {kind: array}, b: {kind: array}}\n"
        "strings: {S1: {part: a}, S2: {part: b}}\n"
        "connector_pairs: {p: {on: S2}}\n"
    )
    assert job["connector_pairs"][0]["part"] is job["parts"][1]
