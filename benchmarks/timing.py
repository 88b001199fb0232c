"""Medians of interleaved rounds, so that a machine's drift falls on all alike."""

from __future__ import annotations

import gc
import statistics
from collections.abc import Callable, Mapping
from time import perf_counter


def medians_s(work: Mapping[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """The median time of each piece of work, every round doing each once. [s]"""
    taken: dict[str, list[float]] = {name: [] for name in work}
    for _ in range(rounds):
        for name, run in work.items():
            gc.collect()
            start = perf_counter()
            run()
            taken[name].append(perf_counter() - start)
    return {name: statistics.median(times) for name, times in taken.items()}
