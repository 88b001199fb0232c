"""What can still be live: which sources reach a terminal, and which switches free it of all.

Pure reachability over terminals, wires, switches and sources; no voltage is worked out.
Whatever can reach a terminal counts as reaching it: a fault of a device that should have
stopped it is what the switch is for.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

Switches = frozenset[str]


@dataclass(frozen=True, slots=True)
class Wiring:
    """An installation as terminals that are joined.

    `wires` join two terminals both ways; `passes` lead one way, as an inverter in island mode
    does from its array to its output; each of `switches` joins its pairs while it is closed;
    `sources` says at which terminal each source of voltage stands.
    """

    sources: Mapping[str, str]
    switches: Mapping[str, tuple[tuple[str, str], ...]]
    wires: tuple[tuple[str, str], ...] = ()
    passes: tuple[tuple[str, str], ...] = ()
    _next: dict[str, list[tuple[str, str]]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        reached: dict[str, list[tuple[str, str]]] = {}
        for switch, (a, b) in self._joints():
            reached.setdefault(a, []).append((b, switch))
            reached.setdefault(b, [])
        object.__setattr__(self, "_next", reached)

    def _joints(self) -> Iterator[tuple[str, tuple[str, str]]]:
        """Every way from a terminal to the next, with the switch on it, if there is one."""
        yield from (("", pair) for pair in self.passes)
        for a, b in self.wires:
            yield from (("", (a, b)), ("", (b, a)))
        for name, pairs in self.switches.items():
            for a, b in pairs:
                yield from ((name, (a, b)), (name, (b, a)))

    @property
    def terminals(self) -> tuple[str, ...]:
        """Every terminal that is joined to anything or holds a source, in order of mention."""
        return tuple(dict.fromkeys((*self._next, *self.sources.values())))

    def live(self, opened: Switches = frozenset()) -> dict[str, frozenset[str]]:
        """The sources that reach each terminal while some switches are open."""
        reached: dict[str, set[str]] = {terminal: set() for terminal in self.terminals}
        for source, start in self.sources.items():
            for terminal in self._paths(start, opened):
                reached[terminal].add(source)
        return {terminal: frozenset(sources) for terminal, sources in reached.items()}

    def freed_by(self, terminal: str) -> tuple[Switches, ...]:
        """The smallest sets of switches whose opening keeps every source from a terminal.

        None of them has a part that would do alone. Nothing if no switch can free it; one
        empty set if nothing reaches it.
        """
        found: set[Switches] = set()
        tried: set[Switches] = set()
        waiting: list[Switches] = [frozenset()]
        while waiting:
            opened = waiting.pop()
            if opened in tried or any(smaller <= opened for smaller in found):
                continue
            tried.add(opened)
            on_the_way = self._switches_to(terminal, opened)
            if on_the_way is None:
                found.add(opened)
            else:
                waiting += [opened | {switch} for switch in on_the_way]
        least = (some for some in found if not any(other < some for other in found))
        return tuple(sorted(least, key=lambda some: (len(some), sorted(some))))

    def _switches_to(self, terminal: str, opened: Switches) -> frozenset[str] | None:
        """The switches on one way from a source to a terminal; None if no source reaches it."""
        for start in self.sources.values():
            ways = self._paths(start, opened)
            if terminal in ways:
                return frozenset(ways[terminal])
        return None

    def _paths(self, start: str, opened: Switches) -> dict[str, tuple[str, ...]]:
        """Every terminal that is reached from one, with the switches on the way there."""
        ways: dict[str, tuple[str, ...]] = {start: ()}
        waiting = deque([start])
        while waiting:
            here = waiting.popleft()
            for there, switch in self._next.get(here, ()):
                if there not in ways and switch not in opened:
                    ways[there] = (*ways[here], switch) if switch else ways[here]
                    waiting.append(there)
        return ways
