"""What is measured: agreement first, then times, as ratios to the hand-written checks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from benchmarks import adapter, by_hand, by_hand_reasons, engines
from benchmarks.checks import CHECKS
from benchmarks.records import TODAY, View
from benchmarks.timing import medians_s
from compliance.rules.language.compile import one_by_one
from compliance.rules.outcome import Finding, Outcome

SUBSET = tuple(check for check in CHECKS if check.id in by_hand_reasons.WITH_REASONS)
GAPS_OF_SILENCE = (Outcome.NOT_SHOWN, Outcome.NOT_DUE)


class DisagreementError(Exception):
    """Two ways of deciding differ, so that their times may not be compared."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: a time a finding, and what it is compared with."""

    what: str
    us_per_finding: float
    ratio: float
    against: str
    target: str = ""


@dataclass(frozen=True, slots=True)
class Stranger:
    """What a general-purpose engine made of the checks."""

    name: str
    findings: int
    agreeing: int
    ratio: float
    silence: Counter[str] = field(default_factory=Counter)
    """What it said where a value is missing, not taken or beyond range."""
    left_out: Sequence[str] = ()


def assert_agreement(jobs: Sequence[View], today: date = TODAY) -> Counter[Outcome]:
    """Compares every finding of every record; gives how many there are of each outcome.

    Raises:
        DisagreementError: If the hand-written checks and the engine differ anywhere.
    """
    engine, few = adapter.checker(CHECKS), adapter.checker(SUBSET)
    asked = adapter.requirements(few)
    counted: Counter[Outcome] = Counter()
    for job in jobs:
        ours = _keyed(one_by_one(adapter.outcomes(engine, job, today)))
        _same(ours, _keyed(one_by_one(by_hand.outcomes(job, today))), job)
        told = adapter.findings(few, job, today).findings
        _same(_by_name(told), _by_name(by_hand_reasons.findings(job, today, asked)), job)
        full = adapter.findings(engine, job, today)
        in_order = sorted(ours.items(), key=lambda item: item[0][0])
        _same([f.outcome for f in full.findings], [outcome for _, outcome in in_order], job)
        counted.update(ours.values())
    return counted


def _keyed(
    found: Iterable[tuple[int, Sequence[Mapping[str, Any]], Outcome]],
) -> dict[tuple[int, tuple[str, ...]], Outcome]:
    return {(n, tuple(e["~name"] for e in entries)): o for n, entries, o in found}


def _by_name(findings: Iterable[Finding]) -> list[Finding]:
    return sorted(findings, key=lambda finding: (finding.requirement.id, finding.subject))


def _same(ours: object, other: object, job: View) -> None:
    if ours != other:
        raise DisagreementError(f"{job['reference']}: {ours} is not {other}")


def deciding(jobs: Sequence[View], rounds: int, findings: int) -> list[Row]:
    """Times of deciding, the hand-written checks first."""
    engine, few = adapter.checker(CHECKS), adapter.checker(SUBSET)
    asked = adapter.requirements(few)
    work: dict[str, Callable[[View], object]] = {
        "by hand": lambda job: by_hand.outcomes(job, TODAY),
        "outcomes": lambda job: adapter.outcomes(engine, job, TODAY),
        "reasons": lambda job: adapter.findings(engine, job, TODAY),
        "few by hand": lambda job: by_hand_reasons.findings(job, TODAY, asked),
        "few reasons": lambda job: adapter.findings(few, job, TODAY),
    }
    taken = medians_s({name: _all(run, jobs) for name, run in work.items()}, rounds)
    hand, few_hand = taken["by hand"], taken["few by hand"]
    few_count = sum(len(by_hand_reasons.findings(job, TODAY, asked)) for job in jobs)
    a, b = findings / 1e6, few_count / 1e6
    few_reasons = taken["few reasons"]
    return [
        Row("by hand, outcomes", hand / a, 1.0, "itself"),
        Row("rule language, outcomes", taken["outcomes"] / a, taken["outcomes"] / hand,
            "by hand, outcomes", "1.0"),
        Row("rule language, full reasons", taken["reasons"] / a, taken["reasons"] / hand,
            "by hand, outcomes", "5"),
        Row(f"by hand with reasons, {len(SUBSET)} checks", few_hand / b, 1.0, "itself"),
        Row(f"rule language, reasons, {len(SUBSET)} checks", few_reasons / b,
            few_reasons / few_hand, "by hand with reasons", "2"),
    ]  # fmt: skip


def _all(run: Callable[[View], object], jobs: Sequence[View]) -> Callable[[], None]:
    def everything() -> None:
        for job in jobs:
            run(job)

    return everything


def stranger(engine: engines.Engine, jobs: Sequence[View], rounds: int) -> Stranger:
    """A general-purpose engine on the checks that it has a form for."""
    made, left_out = engines.prepared(engine, CHECKS, jobs, TODAY)
    said = [(one.expected, one.outcome()) for one in made]
    silence = Counter(str(o) for expected, o in said if expected in GAPS_OF_SILENCE)
    agreeing = sum(_agrees(expected, outcome) for expected, outcome in said)
    hand = _all(lambda job: by_hand.outcomes(job, TODAY), jobs)
    work: dict[str, Callable[[], object]] = {
        "hand": hand,
        "other": lambda: [one.outcome() for one in made],
    }
    taken = medians_s(work, rounds)
    findings = sum(len(list(one_by_one(by_hand.outcomes(job, TODAY)))) for job in jobs)
    ratio = (taken["other"] / len(made)) / (taken["hand"] / findings)
    return Stranger(engine.name, len(made), agreeing, ratio, silence, left_out)


def _agrees(expected: Outcome, outcome: str) -> bool:
    """A raised exception is taken as `not shown` or `not due`, which is kind to the engine."""
    if outcome == engines.RAISED:
        return expected in GAPS_OF_SILENCE
    return outcome == expected
