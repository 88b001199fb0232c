"""A folder of invented jobs, drawn from a seed: every nation, half-filled ones, notices sent
in time, late, not at all."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from random import Random

NATIONS = ("GB-ENG", "GB-WLS", "GB-SCT", "GB-NIR")
NOTICES = ("network notice", "scheme certificate",
           "building regulations notice", "building regulations certificate")  # fmt: skip
FIRST, LAST = date(2026, 3, 1), date(2027, 1, 20)
TODAY = date(2026, 11, 26)


def make_jobs(folder: Path, count: int, seed: int = 20261126) -> list[Path]:
    """Writes so many job folders."""
    rng = Random(seed)
    made = []
    for number in range(count):
        job = folder / f"job-{number:04}"
        job.mkdir(parents=True)
        (job / "installation.yaml").write_text(record(rng, number), "utf-8")
        made.append(job)
    return made


def record(rng: Random, number: int) -> str:
    """One small record."""
    lines = [
        "record: installation/1",
        f"reference: J-{number:04}",
        f"jurisdiction: {rng.choice(NATIONS)}",
        f"title: Job {number} (invented)",
    ]
    if rng.random() < 0.2:
        lines.append(f"closed: {_day(rng)}")
    if rng.random() < 0.9:
        lines += ["organisation:", f"  name: Firm {rng.randint(1, 3)} (invented)"]
    if rng.random() < 0.7:
        lines += ["customer:", f"  name: Customer {rng.randint(1, 5)} (invented)"]
    building = rng.choice(("dwelling", "dwelling", "other building", ""))
    supply = rng.choice(("1", "1", "3", ""))
    lines += ["site:", f"  building: {building}"] if building else []
    if supply:
        lines += [] if building else ["site:"]
        lines += ["  supply:", f"    phases: {supply}"]
    if rng.random() < 0.4:
        lines += [] if building or supply else ["site:"]
        lines += ["  agreement:", f"    on: {_day(rng)}"]
    kinds = rng.sample(("array", "inverter", "battery", "charger", "circuit"), rng.randint(1, 4))
    lines.append("parts:")
    told: list[str] = []
    for kind in kinds:
        lines += _part(rng, kind, told)
    if told:
        lines += ["notifications:", *told]
    if rng.random() < 0.7:
        lines += _inverters(rng, [kind for kind in kinds if kind in ("array", "inverter")])
    if rng.random() < 0.6:
        names = ["people:", "  p1: {name: P. One (invented), role: installer}"]
        names += ["  p2: {name: P. Two (invented), role: installer}"] if rng.random() < 0.3 else []
        lines += names
    return "\n".join(lines) + "\n"


def _part(rng: Random, kind: str, told: list[str]) -> list[str]:
    lines = [f"  the-{kind}:", f"    kind: {kind}"]
    roll = rng.random()
    if roll < 0.1:
        return lines
    if roll < 0.2:
        started = rng.choice((f"{_day(rng)}", "not yet", ""))
        lines += [f"    started: {started}"] if started else []
        return [*lines, "    in_use: not yet"]
    used = _day(rng)
    lines.append(f"    in_use: {used}")
    if rng.random() < 0.7:
        lines.append(f"    started: {used - timedelta(rng.randint(0, 20))}")
    after = used + timedelta(rng.randint(0, 50))
    if rng.random() < 0.5:
        lines.append(f"    handed_over: {rng.choice((after, 'not yet'))}")
    for notice in NOTICES:
        if rng.random() < 0.3:
            told.append(f"  - {{notice: {notice}, of: the-{kind}, on: {after}}}")
    return lines


def _inverters(rng: Random, parts: list[str]) -> list[str]:
    """Up to three inverters below, at and above what the operator is only told of."""
    lines = []
    count = rng.randint(1, 3) if parts else 0
    for number in range(count):
        said = ["category: inverter", f"part: the-{rng.choice(parts)}"]
        rated = rng.choice((1.5, 2, 3, 3.68, 5, 8, 11.04, None))
        said += [f"rated_kw: {rated}"] if rated else []
        said += [f"type_test: {{capacity_kw: {rated}}}"] if rated and rng.random() < 0.3 else []
        phases = rng.choice((1, 1, 3, None) if count == 1 else (1, 1, 3))
        said += [f"phases: {phases}"] if phases else []
        lines.append(f"  inv-{number}: {{{', '.join(said)}}}")
    return ["components:", *lines] if lines else []


def _day(rng: Random) -> date:
    return FIRST + timedelta(rng.randint(0, (LAST - FIRST).days))
