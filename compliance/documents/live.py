"""What stays live, and from what, once the switches are off: sentences from the record.

Nothing is taken for dead that the record does not say; where it is silent the sentence
says so and takes the dangerous case.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from compliance.rules.outcome import Working

Entry = Mapping[str, Any]


def live_afterwards(view: Entry, workings: Iterable[Working]) -> Iterator[str]:
    """One sentence for each thing that stays live with every switch off."""
    volts = {w.subject: w.result for w in workings if w.quantity == "cold_voc_v"}
    for isolator in view.get("dc_isolators", ()):
        yield _array_side(isolator, volts)
    for string in view.get("strings", ()):
        if not string.get("isolators"):
            yield _unswitched(string, "isolators" in string, volts)
    for junction in view.get("junctions", ()):
        place = junction.get("place", "the record does not say where")
        yield f"The box {junction['~name']} ({place}): live in daylight, no switch parts it."
    for isolator in view.get("ac_isolators", ()):
        yield _network_side(isolator)
        yield _inverter_side(isolator["serves"])
    for isolator in view.get("supply_isolators", ()):
        yield (
            f"The meter, its cables and the incoming side of {isolator['~name']}: always live from "
            "the network."
        )


def faces(strings: Iterable[Entry]) -> str:
    """Strings by name, with the face of the roof that each lies on."""
    return listed(f"{s['~name']} ({s['face']})" if "face" in s else s["~name"] for s in strings)


def listed(names: Iterable[str]) -> str:
    """Names as people say them: `a, b and c`."""
    *rest, last = [*names] or [""]
    return f"{', '.join(rest)} and {last}" if rest else last


def _array_side(isolator: Entry, volts: Mapping[str, str]) -> str:
    return (
        f"The modules of {faces(isolator['serves'])} and their cables as far as "
        f"{isolator['~name']}: live in daylight{_up_to(isolator['serves'], volts)}."
    )


def _unswitched(string: Entry, is_known: bool, volts: Mapping[str, str]) -> str:
    why = "it has no switch of its own" if is_known else "the record names no switch for it"
    return (
        f"The modules of {faces([string])} and their cables all the way to the inverter: live in "
        f"daylight{_up_to([string], volts)}; {why}."
    )


def _up_to(strings: Iterable[Entry], volts: Mapping[str, str]) -> str:
    """The worked-out voltages of strings on the coldest day."""
    known = dict.fromkeys(volts[s["~name"]] for s in strings if s["~name"] in volts)
    return f", up to {listed(known)}" if known else ", at a voltage that was not worked out"


def _network_side(isolator: Entry) -> str:
    side = isolator.get("network_terminals")
    terminals = f"the {side} terminals" if side else "one side, the record does not say which,"
    boards = [c.get("board", c["~name"]) for c in isolator["serves"].get("circuits", ())]
    where = listed(dict.fromkeys(boards)) or "its board"
    return (
        f"{terminals[0].upper()}{terminals[1:]} of {isolator['~name']} and the cable to {where}: "
        "live from the network until the main switch is off too."
    )


def _inverter_side(inverter: Entry) -> str:
    name, island = inverter["~name"], inverter.get("island_mode")
    if island is False:
        return f"The inside of {name}: live for some minutes after it has stopped."
    can = "can supply" if island else "may be able to supply, the record does not say,"
    return f"{name} and what is joined to it: {name} {can} by itself while the network is off."
