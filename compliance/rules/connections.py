"""What is joined to what, as far as the record says: the terminals behind "what is still live".

Derived from `serves`, `input`, `feeds` and `inverter`; nobody types a graph. Where the record
is silent the dangerous case is taken, and said. Several switches between the same two
terminals are taken to stand side by side, so that all of them must be open: right whether
they stand so or one after the other. A circuit's overcurrent device is no switch here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from compliance.electrical.live import Wiring

Entry = Mapping[str, Any]

NETWORK = "network"
ARRAY = "array"
"""How the name of each source begins that is an array in daylight."""
INCOMING = "supply cables, meter and incoming side of the main switch"
BOARDS = "boards of the house"
# Galvanic separation between array and network; other ways of keeping DC out leave a path.
SEPARATED = ("simple separation", "separate transformer")


@dataclass(frozen=True, slots=True)
class Connections:
    """The terminals of a record with what joins them, and what was taken for granted."""

    wiring: Wiring
    assumptions: tuple[str, ...]


def connections(view: Entry) -> Connections:
    """What is joined to what in a record's view."""
    joined = _Joined()
    joined.supply(view)
    for inverter in view.get("inverters", ()):
        joined.inverter(inverter)
    if "inverters" not in view:
        joined.unsaid_inverters()
    for inverter in view.get("inverters", ()):
        if "strings" not in view or not _has_supply(inverter, view):
            joined.unsaid_supply(inverter)
    for string in view.get("strings", ()):
        joined.string(string, view.get("inverters", ()))
    for junction in view.get("junctions", ()):
        joined.junction(junction, view.get("strings", ()))
    for battery in _all_of(view, "battery", "batteries"):
        joined.battery(battery, view.get("inverters", ()))
    for charger in _all_of(view, "charger", "chargers"):
        joined.charger(charger)
    return joined.made()


def switched(isolator: Entry) -> bool:
    """Whether the record shows that a switch opens every conductor."""
    if isolator["side"] == "dc":
        return all(isolator.get(pole, 0) >= 1 for pole in ("breaks_positive", "breaks_negative"))
    return bool(isolator.get("opens") == "all lines and neutral")


def ac_side(inverter: Entry) -> str:
    """The terminal of an inverter towards the house."""
    return f"AC terminals of {inverter['~name']}"


def dc_side(inverter: Entry) -> str:
    """The terminal of an inverter towards its array and battery."""
    return f"DC terminals of {inverter['~name']}"


def array_side(string: Entry) -> str:
    """The modules of a string with their cables, as far as the first switch."""
    return f"modules and cables of {string['~name']}"


def inside(junction: Entry) -> str:
    """The terminals in a box on the DC side."""
    return f"inside of the box {junction['~name']}"


def afterwards(found: Connections) -> dict[tuple[str, ...], tuple[str, ...]]:
    """What stays live with every switch open: the sources, and the terminals that they reach."""
    live = found.wiring.live(frozenset(found.wiring.switches))
    groups: dict[tuple[str, ...], list[str]] = {}
    for terminal in found.wiring.terminals:
        if live[terminal]:
            groups.setdefault(tuple(sorted(live[terminal])), []).append(terminal)
    return {sources: tuple(terminals) for sources, terminals in groups.items()}


def _all_of(view: Entry, kind: str, collection: str) -> list[Entry]:
    """The batteries or chargers of a record, and each part of that kind that shows none."""
    found = [*view.get(collection, ())]
    shown = {thing["part"]["~name"] for thing in found if "part" in thing}
    parts = [part for part in view.get("parts", ()) if part["kind"] == kind]
    return [*found, *(part for part in parts if part["~name"] not in shown)]


def _has_supply(inverter: Entry, view: Entry) -> bool:
    """Whether the record shows what may feed an inverter's DC side."""
    strings = [string["input"] for string in view.get("strings", ())]
    may_be_its = any("inverter" not in end for end in (*strings, *view.get("batteries", ())))
    return bool(inverter.get("strings") or inverter.get("batteries") or may_be_its)


@dataclass(slots=True)
class _Joined:
    """What has been found joined so far."""

    sources: dict[str, str] = field(default_factory=dict)
    switches: dict[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)
    wires: list[tuple[str, str]] = field(default_factory=list)
    passes: list[tuple[str, str]] = field(default_factory=list)
    assumptions: dict[str, None] = field(default_factory=dict)

    def made(self) -> Connections:
        wiring = Wiring(self.sources, self.switches, tuple(self.wires), tuple(self.passes))
        return Connections(wiring, tuple(self.assumptions))

    def assume(self, sentence: str) -> None:
        self.assumptions[sentence] = None

    def supply(self, view: Entry) -> None:
        self.sources[NETWORK] = INCOMING
        isolators = view.get("supply_isolators", ())
        if not isolators:
            self.assume("Main switch: not recorded; the boards are treated as live.")
        self._through(isolators, INCOMING, BOARDS)

    def inverter(self, inverter: Entry) -> None:
        name, ac, dc = inverter["~name"], ac_side(inverter), dc_side(inverter)
        if not inverter.get("circuits"):
            self.assume(f"{name}: its circuit is not recorded; treated as joined to the boards.")
        if not inverter.get("isolators"):
            self.assume(f"{name}: no AC isolator is recorded; treated as joined to the boards.")
        self._through(inverter.get("isolators", ()), BOARDS, ac)
        self._island(inverter)
        if inverter.get("keeps_dc_out") not in SEPARATED:
            self.passes.append((ac, dc))
            self.assume(
                f"{name}: the record shows no transformer that separates its DC side from the "
                "network; treated as live from the AC side (common practice, no source)."
            )

    def _island(self, inverter: Entry) -> None:
        name, island = inverter["~name"], inverter.get("island_mode")
        if island is False:
            self.assume(
                f"{name}: recorded without island mode; taken to give nothing by itself once its "
                "AC side is dead (common practice, no source). While another source holds its AC "
                "side live, it feeds too, and its array is not named there. Once it stops, wait "
                "for its inside to discharge."
            )
            return
        self.passes.append((dc_side(inverter), ac_side(inverter)))
        if island is None:
            self.assume(f"{name}: island mode is not recorded; its AC side is treated as live.")
        self.assume(
            f"{name}: a separate backup output is not in this list; treat it and all that it "
            "feeds as live in every position."
        )

    def unsaid_inverters(self) -> None:
        self.sources["inverter that is not recorded"] = BOARDS
        self.assume("Inverters: not recorded which there are; the boards are treated as live.")

    def unsaid_supply(self, inverter: Entry) -> None:
        name = inverter["~name"]
        self.sources[f"{ARRAY} or battery on {name}, not recorded"] = dc_side(inverter)
        self.assume(f"{name}: what its DC side is fed by is not recorded; treated as live.")

    def string(self, string: Entry, inverters: Iterable[Entry]) -> None:
        name, here = string["~name"], array_side(string)
        self.sources[f"{ARRAY} {name} in daylight"] = here
        known = string["input"].get("inverter")
        if known is None:
            self.assume(f"{name}: its inverter is not recorded; treated as joined to every one.")
        ends = [known] if known is not None else [*inverters]
        if not string.get("isolators"):
            self.assume(f"{name}: no DC isolator is recorded; treated as joined to its inverter.")
        for end in map(dc_side, ends):
            self._through(string.get("isolators", ()), here, end)
        if not ends:
            self._through(string.get("isolators", ()), here, f"inverter end of {name}")

    def junction(self, junction: Entry, strings: Iterable[Entry]) -> None:
        name, here = junction["~name"], inside(junction)
        self.assume(f"{name}: its strings are not recorded; treated as live from each of them.")
        arrays = [array_side(string) for string in strings]
        self.passes += [(array, here) for array in arrays]
        if not arrays:
            self.sources[f"{ARRAY}, its strings not recorded, in daylight"] = here

    def battery(self, battery: Entry, inverters: Iterable[Entry]) -> None:
        name, here = battery["~name"], f"terminals of battery {battery['~name']}"
        self.sources[f"battery {name}"] = here
        known = battery.get("inverter")
        ends = [known] if known is not None else [*inverters]
        if known is None:
            where = "every inverter" if ends else "the boards"
            self.assume(f"{name}: its inverter is not recorded; treated as joined to {where}.")
        for inverter in ends:
            self.wires.append((here, dc_side(inverter)))
            self.passes.append((ac_side(inverter), dc_side(inverter)))  # it charges from there
        if not ends:
            self.wires.append((here, BOARDS))
        self.assume(f"{name}: no switch of the record parts it from its inverter.")

    def charger(self, charger: Entry) -> None:
        name, here = charger["~name"], f"terminals of charger {charger['~name']}"
        self.wires.append((BOARDS, here))
        self.assume(f"{name}: no switch of the record parts it from the boards.")
        gives_back = charger.get("vehicle_gives_back")
        if gives_back is not False:
            self.sources[f"car at {name}"] = here
        if gives_back is None:
            self.assume(f"{name}: not recorded whether a car gives back; treated as a source.")

    def _through(self, isolators: Iterable[Entry], one: str, other: str) -> None:
        """Joins two terminals through switches, or for good where none opens every conductor."""
        isolators = [*isolators]
        for isolator in isolators:
            name = isolator["~name"]
            if switched(isolator):
                self.switches[name] = (*self.switches.get(name, ()), (one, other))
            else:
                self.wires.append((one, other))
                self.assume(f"{name}: not shown to open every conductor; treated as not parting.")
        if not isolators:
            self.wires.append((one, other))
