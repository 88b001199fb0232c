"""How many jobs to look at, how they are shared out, and what the number can show.

Exact for a finite number of jobs (hypergeometric); nothing is approximated.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from compliance.errors import CallError


def bad_jobs(population: int, rate: float) -> int:
    """The least number of bad jobs at which a rate is reached; at least one."""
    return max(1, math.ceil(rate * population - 1e-9))


def discovery_size(population: int, rate: float, confidence: float) -> int:
    """The least sample that holds a bad job with a given confidence, if a rate or more are bad.

    Args:
        population: All jobs. [count]
        rate: The rate of bad jobs that must not stay hidden, 0 to 1.
        confidence: The least probability of drawing at least one of them, 0 to 1.

    Returns:
        The size; all jobs at the most. [count]

    Raises:
        CallError: If a rate or confidence is not between 0 and 1.
    """
    for name, value in (("rate", rate), ("confidence", confidence)):
        if not 0 < value < 1:
            raise CallError(f"{name} is {value:g}; write it between 0 and 1, such as 0.05 or 5 %")
    bad = bad_jobs(population, rate)
    missed, size = 1.0, 0
    while missed > 1 - confidence and size < population:
        missed *= max(0, population - bad - size) / (population - size)
        size += 1
    return size


def chance_of_at_most(population: int, bad: int, size: int, found: int) -> float:
    """The probability of finding at most so many bad jobs in a sample without replacement."""
    ways = _log_ways(population, size)
    return math.fsum(
        math.exp(_log_ways(bad, k) + _log_ways(population - bad, size - k) - ways)
        for k in range(max(0, size - population + bad), min(found, bad, size) + 1)
    )


def _log_ways(of: int, taken: int) -> float:
    return math.lgamma(of + 1) - math.lgamma(taken + 1) - math.lgamma(of - taken + 1)


def shared_out(
    size: int, population: Mapping[str, int], weights: Mapping[str, float] | None = None
) -> dict[str, int]:
    """A sample shared out over strata, in proportion to their jobs times their weights.

    By largest remainder, never more than a stratum holds; what a full stratum cannot take
    goes to the others.

    Raises:
        CallError: If more jobs are asked for than there are.
    """
    if size > sum(population.values()):
        raise CallError(f"{size} jobs are asked for, and there are {sum(population.values())}")
    weighed = {name: count * (weights or {}).get(name, 1.0) for name, count in population.items()}
    sizes = dict.fromkeys(population, 0)
    while (rest := size - sum(sizes.values())) > 0:
        room = [n for n in population if sizes[n] < population[n]]
        total = math.fsum(weighed[n] for n in room) or 1.0
        shares = {n: rest * weighed[n] / total for n in room}
        for name in room:
            sizes[name] = min(population[name], sizes[name] + math.floor(shares[name] + 1e-9))
        rest = size - sum(sizes.values())
        by_remainder = sorted(room, key=lambda n: (-(shares[n] % 1), list(population).index(n)))
        for name in by_remainder[:rest]:
            sizes[name] += sizes[name] < population[name]
    return sizes
