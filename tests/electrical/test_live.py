"""What can still be live, against every position of the switches, one after the other."""

from __future__ import annotations

import itertools
import random

import pytest

from compliance.electrical.live import Wiring

HOUSE = Wiring(
    sources={"network": "cut-out", "array": "roof"},
    switches={
        "main switch": (("meter", "board"),),
        "ac1": (("board way 7", "inverter ac"),),
        "breaker 7": (("board", "board way 7"),),
        "dc1": (("roof cable", "inverter dc"),),
    },
    wires=(("cut-out", "meter"), ("roof", "roof cable")),
)


def test_the_array_side_of_a_dc_isolator_cannot_be_freed() -> None:
    assert HOUSE.freed_by("roof cable") == ()
    assert HOUSE.live(frozenset(HOUSE.switches))["roof cable"] == {"array"}


def test_a_terminal_with_one_source_is_freed_by_any_switch_on_the_way() -> None:
    freed = HOUSE.freed_by("inverter ac")
    assert freed == (frozenset({"ac1"}), frozenset({"breaker 7"}), frozenset({"main switch"}))


def test_an_island_makes_the_board_live_behind_an_open_main_switch() -> None:
    island = Wiring(
        sources=HOUSE.sources,
        switches=HOUSE.switches,
        wires=HOUSE.wires,
        passes=(("inverter dc", "inverter ac"),),
    )
    assert island.live(frozenset({"main switch"}))["board"] == {"array"}
    assert frozenset({"main switch"}) not in island.freed_by("board")
    assert frozenset({"main switch", "dc1"}) in island.freed_by("board")
    assert frozenset({"main switch", "breaker 7"}) in island.freed_by("board")


def test_a_pass_leads_one_way_only() -> None:
    one_way = Wiring(sources={"network": "b"}, switches={}, passes=(("a", "b"),))
    assert one_way.live() == {"a": frozenset(), "b": {"network"}}


def test_what_nothing_reaches_is_free_without_opening_anything() -> None:
    apart = Wiring(sources={"network": "a"}, switches={"s": (("c", "d"),)})
    assert apart.freed_by("d") == (frozenset(),)


def _any_wiring(made: random.Random) -> Wiring:
    terminals = [f"t{n}" for n in range(made.randint(2, 9))]

    def pair() -> tuple[str, str]:
        return made.choice(terminals), made.choice(terminals)

    return Wiring(
        sources={f"source {n}": made.choice(terminals) for n in range(made.randint(1, 4))},
        switches={
            f"s{n}": tuple(pair() for _ in range(made.randint(1, 2)))
            for n in range(made.randint(0, 9))
        },
        wires=tuple(pair() for _ in range(made.randint(0, 3))),
        passes=tuple(pair() for _ in range(made.randint(0, 3))),
    )


def _reached(wiring: Wiring, opened: frozenset[str]) -> dict[str, set[str]]:
    """The oracle: a plain closure over all joints, written without looking at the other."""
    reached = {terminal: set[str]() for terminal in wiring.terminals}
    for source, start in wiring.sources.items():
        reached[start].add(source)
    joints = [*wiring.passes]
    for a, b in wiring.wires:
        joints += [(a, b), (b, a)]
    for name, pairs in wiring.switches.items():
        for a, b in pairs if name not in opened else ():
            joints += [(a, b), (b, a)]
    for _ in range(len(wiring.terminals)):
        for a, b in joints:
            reached[b] |= reached[a]
    return reached


@pytest.mark.parametrize("seed", range(150))
def test_it_agrees_with_every_position_of_the_switches(seed: int) -> None:
    wiring = _any_wiring(random.Random(seed))
    free: dict[str, list[frozenset[str]]] = {terminal: [] for terminal in wiring.terminals}
    for count in range(len(wiring.switches) + 1):
        for some in itertools.combinations(wiring.switches, count):
            opened = frozenset(some)
            reached = _reached(wiring, opened)
            assert wiring.live(opened) == reached
            for terminal, sources in reached.items():
                if not sources and not any(smaller <= opened for smaller in free[terminal]):
                    free[terminal].append(opened)
    for terminal, sets in free.items():
        assert set(wiring.freed_by(terminal)) == set(sets)
        assert len(wiring.freed_by(terminal)) == len(sets)
