"""Random jobs as plain values, and their records as text: for the second way of deciding.

None is what a record leaves out. `tests/rules/test_agreement.py` decides them by hand.
"""

from __future__ import annotations

from collections.abc import Iterable
from random import Random
from typing import Any

from rules.small import whole

from compliance.evidence import Seen

REACH = {"requirement": "ac-isolator-in-reach", "subject": "i1", "by": "p", "grounds": "g"}


def drawn(rng: Random) -> dict[str, Any]:
    """A random job as plain values; None is what its record leaves out."""

    def one(*values: Any) -> Any:
        return rng.choice(values)

    megohms = ("0.3", "0.5", "0.7", "0.999999", "1", "38", "over 200", "over 0.5", "over 0.9",
               "under 0.05", "under 0.7", "not taken: rain", None)  # fmt: skip
    ohms = ("0.2", "0.5", "0.68", "1.09", "1.0925", "1.3", "over 5", "over 0.1", "under 0.1", None)
    names = ("S1", "S2")
    record = {
        "started": one("2026-11-02", "2026-11-05", "not yet", None),
        "in_use": one("2026-11-06", "2026-11-10", "2026-11-11", "not yet", None),
        "handed_over": one("2026-11-06", "2026-11-10", "2026-11-11", "not yet", None),
        "inverter_handed_over": one("2026-11-09", "2026-11-11", "not yet", None),
        "voc": one("9.6", "40", "40", None),
        "isc": one("10", "12", None),
        "coefficient": one("-0.25", "-0.25", "-0.25", "-2", None),
        "max_system": one("1000", "440", "396", None),
        "max_input": one("600", "440", "1056", None),
        "lowest": one("-15", "-15", "-10", "40", None),
        "accuracy": one(None, "none", "agrees", "agrees", "differs"),
        "accuracy_on": one("2026-10-05", "2026-10-09", "2026-10-10", "2026-11-09", "2026-11-10"),
        "calibration_due": one("2026-11-09", "2026-11-10", "2027-02-01", "not yet", None),
        "nominal": one("230", "230", None),
        "ze": one(*ohms),
        "strings": {
            n: {"in_series": one("10", "9", "24", None), "parallel": one("1", "2", None),
                "input": one("i1", "i1", None)}
            for n in names
        },
        "polarity": {n: repeated(rng) for n in names},
        "evidence": {
            "sheet": proof(rng, "test sheet", ["S1", "S2"]),
            "data": proof(rng, "datasheet", ["S1", "S2", "d0", "d1"]),
            "photo": proof(rng, "photo", one(["d0"], ["d1"], ["d0", "d1"])),
            "other": proof(rng, one("photo", "datasheet"), one(["d0"], ["S1"])),
        },
        "labels": one(
            None,
            [],
            *[[{"kind": one("live in daylight", "live in daylight", "shutdown order", None),
                "place": one("isolator", "isolator", "isolator", "inverter", None),
                "marks": one("d0", "d1", None)} for _ in range(2)]] * 5,
        ),
        "judgements": [
            {"on": one("2026-11-08", "2026-11-10", "2026-11-11"), "outcome": one("met", "not met")}
            for _ in range(one(0, 0, 1, 2, 3))
        ],
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
                              "plus": one("0", "1", "2", None), "minus": one("0", "1", "2", None),
                              "rated_v": one("440", "396", "1056", "600", None),
                              "rated_a": one("12.5", "15", "25", "32", None)}
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
    early, late = record["in_use"], record["handed_over"]
    if "not yet" not in (early, late) and None not in (early, late) and late < early:
        record["handed_over"] = early  # else the record contradicts itself, and is refused
    return record if record["isolators"] else without_isolators(record)


def without_isolators(record: dict[str, Any]) -> dict[str, Any]:
    """The job with nothing that speaks of an isolator."""
    for item in record["evidence"].values():
        item["about"] = [name for name in item["about"] if name[0] != "d"] or ["S1"]
    for label in record["labels"] or ():
        label["marks"] = None
    return record


def meter(record: dict[str, Any]) -> str:
    """The one instrument: when its calibration ends, and one check of its accuracy."""
    checks = record["accuracy"]
    if checks in ("agrees", "differs"):
        checks = f"[{{on: {record['accuracy_on']}, result: {checks}}}]"
    due = record["calibration_due"]
    said = {"calibration_due": due, "checks": checks}
    return "{" + ", ".join(f"{name}: {v}" for name, v in said.items() if v) + "}"


def repeated(rng: Random) -> list[dict[str, Any]]:
    """Polarity tests of one string in the order they were made, some of them still to come."""
    on = sorted(rng.choice(("2026-11-05", "2026-11-09", "2026-11-10", "2026-11-11"))
                for _ in range(rng.choice((0, 1, 1, 2, 2))))  # fmt: skip
    return [
        {"on": day, "result": rng.choice(("correct", "correct", "correct", "reversed", None)),
         "instrument": rng.choice(("meter", "meter", None)), "after": rng.choice((None, "mended")),
         "known": rng.choice((None, None, "seen", "told"))}
        for day in on
    ]  # fmt: skip


def proof(rng: Random, kind: str, about: list[str]) -> dict[str, Any]:
    """One file, most of the time one that counts."""
    day = rng.choice(("2026-11-01", "2026-11-03", "2026-11-06", "2026-11-07", "2026-11-10",
                      "2026-11-10", "2026-11-11", None))  # fmt: skip
    is_plain = rng.random() < 0.5
    return {
        "kind": kind,
        "about": about,
        "on": "2026-11-06" if is_plain else day,
        "shows": "x" if is_plain or rng.random() < 0.8 else None,
        "by": "p" if is_plain or rng.random() < 0.8 else None,
        "file": "whole" if is_plain else rng.choice(("whole", "whole", "broken", "gone")),
    }


def seen_of(record: dict[str, Any]) -> dict[str, Seen]:
    """What was found on opening the files."""
    found = {"whole": whole("a.jpg"), "broken": Seen("a.jpg", kind="jpeg", fault="Cut off.")}
    return {n: found[e["file"]] for n, e in record["evidence"].items() if e["file"] != "gone"}


def written_tests(record: dict[str, Any]) -> Iterable[dict[str, Any]]:
    """Every test of a drawn job, as it is written."""
    plain = {"on": None, "instrument": None}
    for name, test in record["insulation"].items():
        yield {**plain, "test": "insulation", "of": name, "positive_earth_megohm": test["positive"],
               "negative_earth_megohm": test["negative"]}  # fmt: skip
    for name, tests in record["polarity"].items():
        yield from ({"test": "polarity", "of": name, **test} for test in tests)
    for name, c in record["circuits"].items():
        for kind, field, value in (("loop impedance", "zs_ohm", c["zs"]),
                                   ("continuity", "r1_r2_ohm", c["r1_r2"]),
                                   ("rcd time", "time_ms", c["time"])):  # fmt: skip
            if value:
                yield {**plain, "test": kind, "of": name, field: value}


def fields(**given: Any) -> str:
    """Fields in braces, those that are said."""
    quoted = {k: f'"{v}"' if ":" in str(v) and str(v)[0] != "{" else v for k, v in given.items()}
    said = {k: v for k, v in quoted.items() if v is not None}
    return "{" + ", ".join(f"{k}: {v}" for k, v in said.items()) + "}"


def written(record: dict[str, Any]) -> str:
    """The record of a drawn job."""
    roof = fields(kind="array", designed="2026-09-01", started=record["started"],
                  in_use=record["in_use"], handed_over=record["handed_over"])  # fmt: skip
    loft = fields(kind="inverter", designed="2026-09-01",
                  handed_over=record["inverter_handed_over"])  # fmt: skip
    module = fields(category="module", part="p1", voc_v=record["voc"], isc_a=record["isc"],
                    voc_coefficient_percent_per_k=record["coefficient"],
                    max_system_voltage_v=record["max_system"])  # fmt: skip
    inverter = fields(category="inverter", part="p2", max_input_v=record["max_input"])
    supply = fields(nominal_v=record["nominal"], ze_ohm=record["ze"])
    lines = [
        f"parts: {{p1: {roof}, p2: {loft}}}",
        "people: {p: {name: P (invented)}}",
        f"instruments: {{meter: {meter(record)}}}",
        "evidence:",
        *(f"  {n}: {proof_written(e)}" for n, e in record["evidence"].items()),
        f"components: {{m: {module}, i1: {inverter}}}",
        f"site: {fields(lowest_cell_c=record['lowest'], supply=supply)}",
        "strings:",
        *(f"  {n}: {string_written(s)}" for n, s in record["strings"].items()),
        *labels_written(record["labels"]),
        "judgements:" if record["judgements"] else "judgements: none",
        *(f"  - {fields(**REACH, **said)}" for said in record["judgements"]),
        "circuits:",
    ]  # fmt: skip
    tests = [fields(**test) for test in written_tests(record)]
    for name, c in record["circuits"].items():
        kind = c["rcd"]
        rcd = {"none": "none", "silent": "{type: A}", None: None}.get(kind, f"{{delay: {kind}}}")
        device = fields(kind=c["device"], curve=c["curve"], rated_a=c["rated"])
        by = f", disconnected_by: {c['by']}" if c["by"] else ""
        said = by + (f", rcd: {rcd}" if rcd else "")
        lines.append(f"  {name}: {{part: p1, device: {device}{said}}}")
    if record["isolators"] is not None:
        lines.append("isolators:" if record["isolators"] else "isolators: none")
    for name, i in (record["isolators"] or {}).items():
        serves = f"[{', '.join(i['serves'])}]"
        lines.append("  " + name + ": " + fields(
            side="dc", part="p1", serves=serves, breaks_positive=i["plus"],
            breaks_negative=i["minus"], rated_v=i["rated_v"], rated_a=i["rated_a"]))  # fmt: skip
    lines.append("tests:" if tests else "tests: none")
    lines += [f"  - {test}" for test in tests]
    return "\n".join(lines) + "\n"


def proof_written(item: dict[str, Any]) -> str:
    about = f"[{', '.join(item['about'])}]"
    rest = {k: item[k] for k in ("kind", "on", "shows", "by")}
    return fields(file="a.jpg", about=about, **rest)


def string_written(string: dict[str, Any]) -> str:
    inverter = string["input"] and fields(inverter=string["input"])
    return fields(modules="m", part="p1", **{**string, "input": inverter})


def labels_written(labels: list[dict[str, Any]] | None) -> list[str]:
    if not labels:
        return [] if labels is None else ["labels: none"]
    return ["labels:", *(f"  l{n}: {fields(part='p1', **la)}" for n, la in enumerate(labels))]
