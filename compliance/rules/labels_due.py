"""Which labels an installation's switches and sources ask for, and what became of each.

From what the connections make live, not from a fixed list: a label says what an open switch
leaves live, or which switches part something. Signs that rest on nothing live (a diagram,
whom to call, panels on the roof, names of circuits) are not here; the ruleset asks for them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from compliance.rules.connections import ARRAY, Connections, ac_side, dc_side

Entry = Mapping[str, Any]

FIT, KEEP, REMOVE, ASK = "fit", "keep", "remove", "find out"
"""What to do: the last where the record does not say whether an old label is still true."""

NAMES = {"dc": "dc isolator", "ac": "ac isolator", "supply": "main switch"}
ABOUT_LIVE = ("live in daylight", "live from both sides", "two supplies")
"""The kinds that say something is live, and are wrong where it is not."""


@dataclass(frozen=True, slots=True)
class Due:
    """A label that has to be somewhere: where, of which kind, and what it has to tell."""

    where: str
    kind: str
    tells: str
    stands_for: Callable[[Entry], bool]
    """Whether a recorded label of the kind is this one."""


@dataclass(frozen=True, slots=True)
class Scheduled:
    """One label of the schedule; `name` is empty for one that the record does not show."""

    where: str
    kind: str
    what: str
    name: str
    tells: str


def schedule(view: Entry, found: Connections) -> Iterator[Scheduled]:
    """Every label to fit, to keep or to remove, in the order of the installation."""
    labels = [label for label in view.get("labels", ()) if "kind" in label]
    wanted = list(due(view, found))
    placed: set[int] = set()
    for one in wanted:
        fitted = [x for x in labels if x["kind"] == one.kind and one.stands_for(x)]
        placed.update(map(id, fitted))
        names = ", ".join(x["~name"] for x in fitted)
        yield Scheduled(one.where, one.kind, KEEP if fitted else FIT, names, one.tells)
    for label in labels:
        if label["kind"] in ABOUT_LIVE and id(label) not in placed:
            told = "nothing here is shown to be live that way"
            place = str(label.get("place", ""))
            yield Scheduled(place, label["kind"], REMOVE, label["~name"], told)
    yield from map(_old, (old for old in view.get("old_labels", ()) if old.get("now") != "removed"))


def due(view: Entry, found: Connections) -> Iterator[Due]:
    """The labels that the computed state asks for."""
    yield from _at_origin(view)
    for isolator in view.get("isolators", ()):
        yield _at(isolator, NAMES[isolator["side"]], f"{isolator['~name']}: {_parts(isolator)}")
    for isolator in view.get("dc_isolators", ()):
        yield from _at_dc_isolator(isolator, found)
    for isolator in view.get("ac_isolators", ()):
        yield from _at_ac_isolator(isolator, found)
    for inverter in view.get("inverters", ()):
        yield from _at_inverter(inverter, found)
        yield from _at_island(inverter)
    for junction in view.get("junctions", ()):
        yield _at_junction(junction)


def switching_order(view: Entry) -> list[Entry]:
    """Every switch once: inverter by inverter AC before DC, then what is left, the supply last."""
    order: list[Entry] = []
    for inverter in view.get("inverters", ()):
        order += inverter.get("isolators", ())
        for string in inverter.get("strings", ()):
            order += string.get("isolators", ())
    order += [i for side in ("ac", "dc", "supply") for i in view.get("isolators", ())
              if i["side"] == side]  # fmt: skip
    return list({id(isolator): isolator for isolator in order}.values())


# -- one place after the other ----------------------------------------------------------


def _at_origin(view: Entry) -> Iterator[Due]:
    if not view.get("inverters"):
        return
    names = [
        i["~name"] for side in ("supply_isolators", "ac_isolators") for i in view.get(side, ())
    ]
    opened = f"open {' and '.join(names)} before work" if names else "name each switch"
    yield Due(
        "origin", "two supplies", f"two supplies; {opened}",
        lambda label: label.get("place") == "origin",
    )  # fmt: skip
    order = ", ".join(i["~name"] for i in switching_order(view)) or "each switch"
    yield Due(
        "origin or inverter", "shutdown order", f"switch off in this order: {order}",
        lambda label: label.get("place") in ("origin", "inverter"),
    )  # fmt: skip
    fed = [circuit for inverter in view["inverters"] for circuit in inverter.get("circuits", ())]
    for board in dict.fromkeys(map(_board, fed)):
        yield _at_board(board)


def _at_board(board: str) -> Due:
    def is_here(label: Entry) -> bool:
        circuit = label.get("circuit")
        return label.get("place") == "board" and circuit is not None and _board(circuit) == board

    return Due(board, "two supplies", "two supplies; this board is fed from both ends", is_here)


def _board(circuit: Entry) -> str:
    return str(circuit.get("board", circuit["~name"]))


def _at_junction(junction: Entry) -> Due:
    def is_here(label: Entry) -> bool:
        return label.get("junction") is junction

    told = "live in daylight, whatever switch is open"
    return Due(f"box {junction['~name']}", "live in daylight", told, is_here)


def _at_dc_isolator(isolator: Entry, found: Connections) -> Iterator[Due]:
    strings = ", ".join(string["~name"] for string in isolator["serves"])
    told = f"with this switch open, the cables of {strings} stay live in daylight"
    if sources := _live(found, isolator, [dc_side(i) for i in _inverters_of(isolator)]):
        told += f"; the inverter's side can be live from {', '.join(sources)}"
    yield _at(isolator, "live in daylight", told)
    if isolator.get("plugs_beside"):
        yield _at(isolator, "do not unplug under load", "do not part these plugs under load")


def _at_ac_isolator(isolator: Entry, found: Connections) -> Iterator[Due]:
    side = isolator.get("network_terminals")
    ends = f"the {side} terminals stay" if side else "one side, not on record which, stays"
    yield _at(isolator, "two supplies", f"two supplies; with this switch open, {ends} live")
    if sources := _live(found, isolator, [ac_side(isolator["serves"])]):
        told = f"with this switch open, the inverter's side is live from {', '.join(sources)}"
        yield _at(isolator, "live from both sides", told)


def _at_island(inverter: Entry) -> Iterator[Due]:
    if not inverter.get("island_mode"):
        return
    name = inverter["~name"]
    where = ", ".join(dict.fromkeys(map(_board, inverter.get("circuits", ())))) or "board"
    yield Due(
        where, "live without the network", f"live in a power cut; {name} goes on supplying it",
        lambda label: label.get("inverter") is inverter and label.get("place") == "board",
    )  # fmt: skip


def _at_inverter(inverter: Entry, found: Connections) -> Iterator[Due]:
    reach = found.wiring.live().get(dc_side(inverter), frozenset())
    if not any(source.startswith(ARRAY) for source in reach):
        return
    least = found.wiring.freed_by(dc_side(inverter))
    opened = f"parted only by {' and '.join(sorted(least[0]))}" if least else "no switch parts all"
    yield Due(
        f"inverter {inverter['~name']}", "live in daylight",
        f"its DC cables are live in daylight; {opened}",
        lambda label: label.get("inverter") is inverter and label.get("place") == "inverter",
    )  # fmt: skip


def _old(old: Entry) -> Scheduled:
    said = old.get("now")
    what = {"still true": KEEP, "still there and wrong": REMOVE}.get(str(said), ASK)
    told = "whether it is still true is not on record" if what == ASK else str(said)
    where = str(old.get("place", ""))
    return Scheduled(
        where, "from before", what, old["~name"], f"“{old.get('wording', '')}”: {told}"
    )


def _at(isolator: Entry, kind: str, tells: str) -> Due:
    where = f"switch {isolator['~name']}"
    return Due(where, kind, tells, lambda label: label.get("marks") is isolator)


def _parts(isolator: Entry) -> str:
    if isolator["side"] == "supply":
        return "main switch of the house"
    if isolator["side"] == "ac":
        return f"inverter {isolator['serves']['~name']} to the house"
    return f"strings {', '.join(s['~name'] for s in isolator['serves'])} to the inverter"


def _inverters_of(isolator: Entry) -> list[Entry]:
    found = (string["input"].get("inverter") for string in isolator["serves"])
    return list({id(one): one for one in found if one is not None}.values())


def _live(found: Connections, isolator: Entry, terminals: list[str]) -> list[str]:
    """What reaches some terminals with one switch open and every other closed."""
    live = found.wiring.live(frozenset({isolator["~name"]}))
    return sorted({source for terminal in terminals for source in live.get(terminal, ())})
