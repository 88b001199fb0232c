"""The shortest list of things to supply: nothing is left open, and nothing is asked for twice."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

import pytest

from compliance.rules.outcome import (
    Finding,
    HoldsUp,
    Need,
    Offer,
    Outcome,
    Requirement,
    Source,
)
from compliance.rules.supply_list import supply_list

ASKED = Requirement(
    "asked", "Asked for", "gb-tried", "use", HoldsUp.USE, "installer", Source("s", "", "memory"),
    "why", "remedy",
)  # fmt: skip


def _gap(
    *things: str, offers: tuple[tuple[str, ...], ...] = (), held: str = "installer"
) -> Finding:
    return Finding(
        replace(ASKED, held_by=held),
        "S1",
        "roof",
        Outcome.NOT_SHOWN,
        needs=tuple(_need(thing) for thing in things),
        offers=tuple(Offer("or", tuple(map(_need, way))) for way in offers),
    )


def _need(thing: str) -> Need:
    path = "evidence: photo" if thing.startswith("photo") else f"path.{thing}"
    return Need(path, "missing", thing)


def _listed(*gaps: Finding) -> list[tuple[tuple[str, ...], int]]:
    return [(step.things, step.closes) for step in supply_list(gaps)]


def test_what_closes_most_comes_first() -> None:
    gaps = _gap("a"), _gap("a"), _gap("a", "b"), _gap("c", "d", "e")
    assert _listed(*gaps) == [(("a",), 2), (("b",), 1), (("c", "d", "e"), 1)]


def test_what_costs_the_same_comes_in_the_order_in_which_it_is_asked_for() -> None:
    # The order of a set of texts is another in each run; each of these shares its first thing.
    others = [f"b{number:02}" for number in range(30)]
    listed = _listed(*(_gap("a", other) for other in others))
    assert listed[0] == (("a", "b00"), 1)
    assert [things for things, _ in listed[1:]] == [(other,) for other in others[1:]]


def test_another_permitted_way_is_taken_where_it_costs_less() -> None:
    gap = _gap("a", "b", offers=(("c",), ("d", "e")))
    assert _listed(gap) == [(("c",), 1)]
    assert _listed(gap, _gap("a"), _gap("b")) == [(("a", "b"), 3)]


def test_evidence_is_asked_for_whichever_way_is_taken() -> None:
    gap = _gap("a", "b", "photo of it", offers=(("c",),))
    assert _listed(gap) == [(("photo of it", "c"), 1)]


def test_a_decision_is_a_thing_to_supply_too() -> None:
    (step,) = supply_list([_gap()._replace(outcome=Outcome.FOR_JUDGEMENT)])
    assert step.things == ("a competent person's decision on S1: Asked for",)


@pytest.mark.parametrize(
    "gap",
    [
        _gap("a")._replace(outcome=Outcome.NOT_MET),
        _gap("a")._replace(outcome=Outcome.MET),
        _gap("a")._replace(outcome=Outcome.NOT_DUE),
        _gap("a")._replace(requirement=replace(ASKED, holds_up=HoldsUp.NOTHING)),
    ],
)
def test_faults_and_what_holds_nothing_up_are_not_in_it(gap: Finding) -> None:
    assert supply_list([gap]) == ()


def test_every_gap_is_closed_once_at_the_end_of_the_list() -> None:
    made = random.Random(20261125)
    for _ in range(200):
        gaps = [
            _gap(*made.sample("abcdefg", made.randint(1, 4)),
                 offers=tuple((made.choice("hijk"),) for _ in range(made.randint(0, 2))))
            for _ in range(made.randint(1, 12))
        ]  # fmt: skip
        steps = supply_list(gaps)
        assert sum(step.closes for step in steps) == len(gaps)
        things = list(itertools.chain.from_iterable(step.things for step in steps))
        assert len(things) == len(set(things))
        assert all(step.closes > 0 for step in steps)
        assert steps == supply_list(gaps)


def test_who_holds_it_and_what_to_bring_stand_beside_it() -> None:
    gaps = (
        _gap("a"),
        _gap("a")._replace(requirement=replace(ASKED, held_by="office", bring="tester")),
    )
    (step,) = supply_list(gaps)
    assert (step.held_by, step.bring) == (("installer", "office"), ("tester",))


def test_a_bare_record_with_hundreds_of_gaps_is_quick() -> None:
    gaps = [_gap(f"a{n % 90}", f"b{n}", offers=((f"c{n % 40}",),)) for n in range(600)]
    assert sum(step.closes for step in supply_list(gaps)) == 600
