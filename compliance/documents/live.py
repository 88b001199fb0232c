"""What stays live, and from what, once the switches are off, and what is dangerous: sentences.

Nothing is taken for dead that the record does not say; where it is silent the sentence
says so and takes the dangerous case.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from compliance.rules.connections import (
    ARRAY,
    BOARDS,
    INCOMING,
    NETWORK,
    afterwards,
    array_side,
    connections,
    inside,
    switched,
)
from compliance.rules.outcome import Finding, Working

Entry = Mapping[str, Any]

NEVER_PARTED = "no switch of the record parts from the house"


def live_afterwards(view: Entry, workings: Iterable[Working]) -> Iterator[str]:
    """What stays live with every switch off, as the record's connections give it.

    One sentence for each group of places that the same sources reach; then what a person
    who has opened only some of the switches must know.
    """
    volts = {w.subject: w.result for w in workings if w.quantity == "cold_voc_v"}
    strings = {array_side(string): string for string in view.get("strings", ())}
    words, alone = spoken(view), list[Entry]()
    still_live = afterwards(connections(view))
    for sources, terminals in still_live.items():
        if sources == (NETWORK,) and terminals == (INCOMING,):
            continue  # last, in words of its own
        if len(sources) == 1 and len(terminals) == 1 and terminals[0] in strings:
            alone.append(strings[terminals[0]])
            continue
        reached = listed(words.get(terminal, terminal) for terminal in terminals)
        arrays = [strings[terminal] for terminal in terminals if terminal in strings]
        end = _up_to(arrays, volts) if arrays else ""
        end += "".join(_no_switch(s, "isolators" in s) for s in arrays if not s.get("isolators"))
        yield f"{reached[0].upper()}{reached[1:]}: live {_from(sources)}{end}."
    if alone:
        yield _array_side(alone, volts)
    yield from _older_arrays(view)
    for isolator in view.get("ac_isolators", ()):
        yield _network_side(isolator, view)
    yield from _inverters(view.get("inverters", ()))
    boards_are_told = any(BOARDS in terminals for terminals in still_live.values())
    for kept in () if boards_are_told else kept_live_by(view):
        yield f"The boards of the house, with the main switch off: can be live from {kept}."
    yield from _behind(view.get("isolators", ()))
    supply = [isolator["~name"] for isolator in view.get("supply_isolators", ())]
    if supply:
        side = f"the incoming side of {listed(supply)}"
        yield f"The meter, its cables and {side}: always live from the network."


def _from(sources: Sequence[str]) -> str:
    is_array = all(source.startswith(ARRAY) for source in sources)
    return "in daylight" if is_array else f"from {listed(sources)}"


def spoken(view: Entry) -> dict[str, str]:
    """Terminals by name, in words that say where they are."""
    words = {array_side(s): f"modules and cables of {faces([s])}" for s in view.get("strings", ())}
    for junction in view.get("junctions", ()):
        place = junction.get("place", "the record does not say where")
        words[inside(junction)] = f"the box {junction['~name']} ({place})"
    return words


def dangers(gaps: Iterable[Finding]) -> Iterator[str]:
    """Each danger once, with what it was found at and how to make it safe."""
    found: dict[str, list[str]] = {}
    for gap in gaps:
        if gap.is_danger:
            found.setdefault(gap.requirement.danger, []).append(gap.subject)
    for danger, subjects in found.items():
        yield f"{listed(subjects)}: {danger}"


def kept_live_by(view: Entry, apart_from: Entry | None = None) -> Iterator[str]:
    """Each thing that may supply the house by itself, and the switches that part it from there.

    What can only follow the network, or such a thing, is not among them.
    """
    for inverter in view.get("inverters", ()):
        if inverter.get("island_mode") is not False and inverter is not apart_from:
            yield _until_parted(inverter)
    for charger in view.get("chargers", ()):
        if charger.get("vehicle_gives_back") is not False:
            yield f"a car at {charger['~name']}, which {NEVER_PARTED}"
    if "inverters" not in view:
        yield f"an inverter that is not recorded, which {NEVER_PARTED}"


def _until_parted(inverter: Entry) -> str:
    isolators = inverter.get("isolators", ())
    if not isolators or not all(map(switched, isolators)):
        return f"{inverter['~name']}, which {NEVER_PARTED}"
    are = "is" if len(isolators) == 1 else "are"
    return f"{inverter['~name']} until {listed(i['~name'] for i in isolators)} {are} open too"


def faces(strings: Iterable[Entry]) -> str:
    """Strings by name, with the face of the roof that each lies on."""
    return listed(f"{s['~name']} ({s['face']})" if "face" in s else s["~name"] for s in strings)


def listed(names: Iterable[str]) -> str:
    """Names as people say them: `a, b and c`."""
    *rest, last = [*names] or [""]
    return f"{', '.join(rest)} and {last}" if rest else last


def _array_side(strings: Sequence[Entry], volts: Mapping[str, str]) -> str:
    """Strings that every switch parts from all else."""
    names = dict.fromkeys(i["~name"] for s in strings for i in s["isolators"])
    whose = listed(string["~name"] for string in strings)
    far = f"Modules and cables of {whose} as far as {listed(names)}"
    return f"{far}: live in daylight{_up_to(strings, volts)}."


def _no_switch(string: Entry, is_known: bool) -> str:
    name = string["~name"]
    return f"; {name} has no switch" if is_known else f"; the record names no switch for {name}"


def _older_arrays(view: Entry) -> Iterator[str]:
    """Arrays that were there before; their switches are not in the record of this job."""
    end = "live in daylight, and none of the switches named here parts its cables."
    arrays = [
        old.get("array", f"the older array {old['~name']}") for old in view.get("tariffs", ())
    ]
    for array in arrays:
        yield f"{array[0].upper()}{array[1:]}: {end}"
    told = [part.get("dc_on_arrival", "no array there") for part in view.get("parts", ())]
    if not arrays and any(there != "no array there" for there in told):
        yield f"An array that was there before this one, unless it was taken away: {end}"


def _behind(isolators: Iterable[Entry]) -> Iterator[str]:
    """Switches of which the record does not show that they open every conductor."""
    names = [isolator["~name"] for isolator in isolators if not switched(isolator)]
    if names:
        yield (
            f"What lies behind {listed(names)}: not shown to be dead; the record does not show "
            "that every conductor is opened there."
        )


def _up_to(strings: Iterable[Entry], volts: Mapping[str, str]) -> str:
    """The worked-out voltages of strings on the coldest day."""
    names = dict.fromkeys(string["~name"] for string in strings)
    unknown = [name for name in names if name not in volts]
    known = dict.fromkeys(volts[name] for name in names if name in volts)
    if not known:
        return ", at a voltage that was not worked out"
    rest = f" (not worked out for {listed(unknown)})" if unknown else ""
    return f", up to {listed(known)}{rest}"


def _network_side(isolator: Entry, view: Entry) -> str:
    side = isolator.get("network_terminals")
    terminals = f"the {side} terminals" if side else "one side, the record does not say which,"
    boards = [c.get("board", c["~name"]) for c in isolator["serves"].get("circuits", ())]
    where = listed(dict.fromkeys(boards)) or "its board"
    others = kept_live_by(view, apart_from=isolator["serves"])
    sources = ["the network until the main switch is off", *others]
    return (
        f"{terminals[0].upper()}{terminals[1:]} of {isolator['~name']} and the cable to {where}: "
        f"live from {'; from '.join(sources)}."
    )


def _inverters(inverters: Iterable[Entry]) -> Iterator[str]:
    stop = [i["~name"] for i in inverters if i.get("island_mode") is False]
    if stop:
        yield f"The inside of {listed(stop)}: live for some minutes after switching off."
    for inverter in inverters:
        name, island = inverter["~name"], inverter.get("island_mode")
        if island is not False:
            can = "can supply" if island else "may be able to supply, the record does not say,"
            yield f"{name} and what it feeds: {name} {can} by itself while the network is off."
