"""The checker against a second, plain way of deciding: try every way a gap could turn out.

Four requirements are written out again below as plain functions of known numbers, without
the rule language, intervals or needs. What a record leaves open is filled in with values
far and near; where all of them give one answer, that is the answer, else it is unknown.
Nothing here is taken from the rulesets' text or from the project's calculations.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from itertools import product
from random import Random
from typing import Any

import pytest
from rules.small import check, shipped, told, whole

TODAY = date(2026, 11, 10)
FAR = (-1e9, -1.0, 0.0, 1e-9, 1.0, 200.0, 1e9)
SOURCES = "sheet: {file: a.pdf, kind: test sheet, about: [S1, S2], shows: x, by: p, on: 2026-11-05}"


def settled(answer: Callable[..., bool], *could_be: Iterable[Any]) -> bool | None:
    """The answer that every way of filling the gaps gives, or None if they differ."""
    answers = {answer(*values) for values in product(*could_be)}
    return answers.pop() if len(answers) == 1 else None


def reading(written: str | None) -> tuple[float, ...]:
    """What a reading, as it is written in a record, could be."""
    if written is None or written.startswith("not taken"):
        return FAR
    if written.startswith("over "):
        limit = float(written[5:])
        return (limit + 1e-9, limit + 1, 1e9)
    if written.startswith("under "):
        limit = float(written[6:])
        return (limit - 1e-9, limit - 1, -1e9)
    return (float(written),)


# -- four requirements, by hand -----------------------------------------------------------


def insulation(record: dict[str, Any], name: str) -> str:
    string, test = record["strings"][name], record["insulation"].get(name, {})
    voc, count = record["voc"], string.get("in_series")
    known = None if voc is None or count is None else 1.25 * float(voc) * float(count)

    def passes(positive: float, negative: float, system: float) -> bool:
        least = 0.5 if system < 120 else 1.0
        return positive >= least and negative >= least

    m = settled(passes, reading(test.get("positive")), reading(test.get("negative")),
                FAR[:1] + FAR[-1:] if known is None else (known,))  # fmt: skip
    return outcome(True, m, record)


def isolation(record: dict[str, Any], name: str) -> str:
    isolators = record["isolators"]
    if isolators is None:
        return outcome(True, None, record)
    serving = [i for i in isolators.values() if name in i["serves"]]
    poles = [
        FAR if i.get(p) is None else (float(i[p]),) for i in serving for p in ("plus", "minus")
    ]

    def parts_both(*breaks: float) -> bool:
        return any(a >= 1 and b >= 1 for a, b in zip(breaks[::2], breaks[1::2], strict=True))

    return outcome(True, settled(parts_both, *poles), record)


def loop(record: dict[str, Any], name: str) -> str:
    circuit = record["circuits"][name]
    multiple = {"B": 5, "C": 10, "D": 20, None: None}[circuit.get("curve")]
    rated, nominal = circuit.get("rated"), record["nominal"]
    limit: tuple[float, ...] = (-1e9, 1e9)
    if multiple and rated and nominal:
        limit = (0.95 * float(nominal) / (multiple * float(rated)),)
    applies = settled(
        lambda kind, by: kind == "circuit-breaker" and by == "overcurrent device",
        [circuit["device"]] if circuit["device"] else ["circuit-breaker", "fuse"],
        [circuit["by"]] if circuit["by"] else ["overcurrent device", "RCD"],
    )
    measured = settled(lambda zs, most: zs <= most, reading(circuit.get("zs")), limit)
    if measured is None:
        measured = settled(lambda ze, r, most: ze + r <= most, reading(record["ze"]),
                           reading(circuit.get("r1_r2")), limit)  # fmt: skip
    return outcome(applies, measured, record)


def rcd(record: dict[str, Any], name: str) -> str:
    circuit = record["circuits"][name]
    if circuit["rcd"] == "none":
        return "not applicable"
    if circuit["rcd"] is None:
        return outcome(True, None, record)

    def opens(time: float, delay: str) -> bool:
        least, most = {"general": (0, 300), "delayed": (130, 500)}[delay]
        return least <= time <= most

    delays = [circuit["rcd"]] if circuit["rcd"] != "silent" else ["general", "delayed"]
    return outcome(True, settled(opens, reading(circuit.get("time")), delays), record)


def outcome(applies: bool | None, holds: bool | None, record: dict[str, Any]) -> str:
    if applies is False:
        return "not applicable"
    if holds is True:
        return "met"
    if applies is True and holds is False:
        return "not met"
    return "not due" if record["in_use"] in ("not yet", "2026-11-11") else "not shown"


# -- random records -----------------------------------------------------------------------


def drawn(rng: Random) -> dict[str, Any]:
    """A random job as plain values; None is what its record leaves out."""

    def one(*values: Any) -> Any:
        return rng.choice(values)

    megohms = ("0.3", "0.5", "0.7", "0.999999", "1", "38", "over 200", "over 0.5", "over 0.9",
               "under 0.05", "under 0.7", "not taken: rain", None)  # fmt: skip
    ohms = ("0.2", "0.5", "0.68", "1.09", "1.0925", "1.3", "over 5", "over 0.1", "under 0.1", None)
    names = ("S1", "S2")
    return {
        "in_use": one("2026-11-06", "2026-11-10", "2026-11-11", "not yet", None),
        "voc": one("9.6", "40", None),
        "nominal": one("230", "230", None),
        "ze": one(*ohms),
        "strings": {n: {"in_series": one("10", "9", "24", None)} for n in names},
        "insulation": {
            n: {"positive": one(*megohms), "negative": one(*megohms)}
            for n in names
            if rng.random() < 0.8
        },
        "isolators": one(
            None,
            {},
            *[
                {
                    f"d{i}": {"serves": one(["S1"], ["S2"], ["S1", "S2"]),
                              "plus": one("0", "1", "2", None), "minus": one("0", "1", "2", None)}
                    for i in range(2)
                }
            ]
            * 4,
        ),
        "circuits": {
            n: {
                "device": one("circuit-breaker", "circuit-breaker", "fuse", None),
                "by": one(*["overcurrent device"] * 4, "RCD", None),
                "curve": one("B", "B", "C", None),
                "rated": one("40", "32", None),
                "zs": one(*ohms),
                "r1_r2": one(*ohms),
                "rcd": one("general", "delayed", "silent", "none", None),
                "time": one("24", "129", "130", "300", "301", "500", "501", "over 1999", "under 10",
                            "not taken: load", None),
            }
            for n in ("C1", "C2")
        },
    }  # fmt: skip


def fields(**given: Any) -> str:
    """Fields in braces, those that are said."""
    said = {k: f'"{v}"' if ":" in str(v) else v for k, v in given.items() if v is not None}
    return "{" + ", ".join(f"{k}: {v}" for k, v in said.items()) + "}"


def written(record: dict[str, Any]) -> str:
    """The record of a drawn job."""
    lines = [
        f"parts: {{p1: {fields(kind='array', designed='2026-09-01', in_use=record['in_use'])}}}",
        "people: {p: {name: P (invented)}}",
        f"evidence: {{{SOURCES}}}",
        f"components: {{m: {fields(category='module', voc_v=record['voc'])}}}",
        f"site: {{supply: {fields(nominal_v=record['nominal'], ze_ohm=record['ze'])}}}",
        "strings:",
        *(f"  {n}: {fields(modules='m', part='p1', **s)}" for n, s in record["strings"].items()),
        "circuits:",
    ]
    tests = [
        fields(test="insulation", of=n, positive_earth_megohm=t["positive"],
               negative_earth_megohm=t["negative"])
        for n, t in record["insulation"].items()
    ]  # fmt: skip
    for name, c in record["circuits"].items():
        kind = c["rcd"]
        rcd = {"none": "none", "silent": "{type: A}", None: None}.get(kind, f"{{delay: {kind}}}")
        device = fields(kind=c["device"], curve=c["curve"], rated_a=c["rated"])
        by = f", disconnected_by: {c['by']}" if c["by"] else ""
        said = by + (f", rcd: {rcd}" if rcd else "")
        lines.append(f"  {name}: {{part: p1, device: {device}{said}}}")
        tests += [fields(test="loop impedance", of=name, zs_ohm=c["zs"])] if c["zs"] else []
        tests += [fields(test="continuity", of=name, r1_r2_ohm=c["r1_r2"])] if c["r1_r2"] else []
        tests += [fields(test="rcd time", of=name, time_ms=c["time"])] if c["time"] else []
    if record["isolators"] is not None:
        lines.append("isolators:" if record["isolators"] else "isolators: none")
    for name, i in (record["isolators"] or {}).items():
        serves = f"[{', '.join(i['serves'])}]"
        lines.append("  " + name + ": " + fields(
            side="dc", part="p1", serves=serves, breaks_positive=i["plus"],
            breaks_negative=i["minus"]))  # fmt: skip
    lines.append("tests:" if tests else "tests: none")
    lines += [f"  - {test}" for test in tests]
    return "\n".join(lines) + "\n"


AGAIN = {
    "string-insulation": ("strings", insulation),
    "dc-isolator-for-string": ("strings", isolation),
    "loop-impedance": ("circuits", loop),
    "rcd-opens-in-time": ("circuits", rcd),
}


def subject_of(requirement: str, record: dict[str, Any], name: str) -> str:
    if requirement != "rcd-opens-in-time" or record["circuits"][name]["rcd"] in ("none", None):
        return name
    return f"{name} / rcd"


@pytest.mark.parametrize("start", range(0, 400, 100))
def test_two_ways_of_deciding_agree(start: int) -> None:
    seen: dict[tuple[str, str], int] = {}
    for seed in range(start, start + 100):
        record = drawn(Random(seed))
        checked = check(shipped(), written(record), on=TODAY, seen={"sheet": whole("a.pdf")})
        for requirement, (collection, decide) in AGAIN.items():
            wanted = {
                subject_of(requirement, record, name): decide(record, name)
                for name in record[collection]
            }
            assert told(checked, requirement) == wanted, f"seed {seed}\n{written(record)}"
            for found in wanted.values():
                seen[requirement, found] = seen.get((requirement, found), 0) + 1
        for finding in checked.findings:
            is_open = finding.outcome.value in ("not shown", "not due")
            assert bool(finding.needs) is is_open, "what is lacking is named, and only then"
    for requirement in AGAIN:
        for found in ("met", "not met", "not shown", "not due"):
            assert seen.get((requirement, found), 0) >= 3, f"{requirement} is never {found}"


def test_a_check_of_any_record_ends_with_findings_that_add_up() -> None:
    for seed in range(150):
        rng = Random(seed)
        record = drawn(rng)
        text = written(record)
        lines = text.splitlines()
        for _ in range(rng.randrange(4)):
            number = rng.randrange(len(lines))
            lines[number] = lines[number].replace(", in_series: 9", ", in_series: 0.5")
            lines[number] = lines[number].replace("rated_a: 40", "rated_a: 0")
            lines[number] = lines[number].replace("voc_v: 40", "voc_v: 999999999999")
        checked = check(shipped(), "\n".join(lines) + "\n", on=TODAY)
        assert sum(checked.counts.values()) == len(checked.findings)
        ids = {f.requirement.id for f in checked.findings}
        assert ids == {r.requirement.id for r in shipped().rules.rules}
