"""Medians of interleaved rounds, so that a machine's drift falls on all alike."""

from __future__ import annotations

import gc
import statistics
from collections.abc import Callable, Mapping
from time import perf_counter, process_time


def medians_s(
    work: Mapping[str, Callable[[], object]], rounds: int, *, is_wall: bool = False
) -> dict[str, float]:
    """The median time of each piece of work, every round doing each once. [s]

    Processor time, which other work on the machine disturbs least; time on the wall for
    commands, which wait for files and are processes of their own.
    """
    clock = perf_counter if is_wall else process_time
    taken: dict[str, list[float]] = {name: [] for name in work}
    for _ in range(rounds):
        for name, run in work.items():
            gc.collect()
            start = clock()
            run()
            taken[name].append(clock() - start)
    return {name: statistics.median(times) for name, times in taken.items()}
