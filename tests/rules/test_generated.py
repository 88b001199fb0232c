"""What the generated function leaves out or keeps from one entry to the next changes no outcome."""

from __future__ import annotations

from typing import Any

import pytest
from properties import language_cases as cases

from compliance.rules.language.calculation import Shortcuts
from compliance.rules.language.compile import Decider, decider, one_by_one, source
from compliance.rules.language.ruling import Clause, ruling, subjects
from compliance.rules.language.scene import Scene
from compliance.rules.language.syntax import MOST_NESTED, collection, condition
from compliance.rules.outcome import Outcome

EACH = (("thing", collection("things", cases.VOCABULARY, {})[0]),)
SMALL, LARGE = {"~name": "small", "size_v": 3.0}, {"~name": "large", "size_v": 9.0}
TOLD = Shortcuts(fields=cases.TYPES)


def _clause(text: str) -> Clause:
    return Clause(EACH, None, condition(text, cases.VOCABULARY, {"thing": "thing"}))


def _outcomes(decide: Decider, job: dict[str, Any]) -> list[Outcome | None]:
    made = decide(cases.RandomWorld(job), lambda _entry, _by: None)
    return [outcome for _, _, outcome in one_by_one(made)]


@pytest.mark.parametrize("told", [TOLD, Shortcuts()], ids=["told", "untold"])
def test_what_entries_share_is_read_anew_where_it_is_another_or_none(told: Shortcuts) -> None:
    twins = [SMALL, SMALL, None, None, SMALL, LARGE, None, LARGE, SMALL]
    things = [{"~name": f"T{n}", "twin": twin} for n, twin in enumerate(twins)]
    things += [{"~name": "silent"}, {"~name": "last", "twin": LARGE}]
    job = {"~name": "job", "things": things}
    clause = _clause("thing.twin.size_v <= 5")
    right = {3.0: Outcome.MET, 9.0: Outcome.NOT_MET, None: Outcome.NOT_SHOWN}
    sizes = [(thing.get("twin") or {}).get("size_v") for thing in things]
    assert _outcomes(decider([clause], told), job) == [right[size] for size in sizes]


def test_a_shared_entry_below_one_that_is_not_there_is_not_the_last_one_seen() -> None:
    below = {"~name": "B", "twin": SMALL}
    things = [{"~name": "T0", "twin": below}, {"~name": "T1"}, {"~name": "T2", "twin": below}]
    job = {"~name": "job", "things": things}
    clause = _clause("thing.twin.twin.size_v <= 5")
    assert _outcomes(decider([clause], TOLD), job) == [Outcome.MET, Outcome.NOT_SHOWN, Outcome.MET]


@pytest.mark.parametrize("text", [
    "any(b.mass_kg >= 2 and b.firm for b in thing.bits)",
    "all(b.mass_kg >= 2 and b.firm for b in thing.bits if b.hue == 'red')",
    "all(any(c.firm for c in thing.bits) for b in thing.bits if b.hue == 'red')",
    "min(b.mass_kg for b in thing.bits) <= 2",
    "max(b.mass_kg for b in thing.bits) >= 2",
    "sum(b.mass_kg for b in thing.bits) >= 4",
    "count(b.firm for b in thing.bits if b.hue == 'red') >= 1",
])  # fmt: skip
def test_entries_with_gaps_decide_as_the_reference_says(text: str) -> None:
    masses, firms, hues = (None, 1.0, 2.0), (None, True, False), (None, "red", "blue")
    clause = _clause(text)
    decide = decider([clause], TOLD)
    kinds = [
        {k: v for k, v in (("mass_kg", m), ("firm", f), ("hue", h)) if v is not None}
        for m in masses for f in firms for h in hues
    ]  # fmt: skip
    for first in kinds:
        for second in (*kinds, None):
            bits = [{"~name": "b", **bit} for bit in (first, second) if bit is not None]
            job = {"~name": "job", "things": [{"~name": "T", "bits": bits}]}
            (subject,) = subjects(clause, Scene(cases.RandomWorld(job)))
            assert _outcomes(decide, job) == [ruling(clause, subject).outcome], bits


def test_a_long_chain_of_conditions_is_not_written_out_for_each_way_it_can_go() -> None:
    def length(count: int) -> int:
        chain = " and ".join(["b.mass_kg >= 2"] * count)
        return len(source([_clause(f"any({chain} for b in thing.bits)")], TOLD))

    assert length(24) < 2.5 * length(12)
    nested = "any(b0.firm for b0 in thing.bits)"
    for n in range(1, MOST_NESTED):
        nested = f"all({nested} for b{n} in thing.bits if b{n}.hue == 'red')"
    assert len(source([_clause(nested)], TOLD)) < 2_000 * MOST_NESTED
