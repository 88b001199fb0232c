"""The checker against a second, plain way of deciding: try every way a gap could turn out.

Ten requirements are written out again below as plain functions of known numbers, without
the rule language, intervals or needs. What a record leaves open is filled in with values
far and near; where all of them give one answer, that is the answer, else it is unknown.
Written from what the requirements say in words and from the design (5.4 to 5.8); nothing here
is taken from the project's calculations. `COMPLIANCE_RECORDS=20000` runs that many records.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterable
from datetime import date
from itertools import product
from random import Random
from typing import Any

import pytest
from rules.drawn_jobs import drawn, seen_of, written, written_tests
from rules.small import check, shipped

from compliance.rules.outcome import Checked
from compliance.rules.rule import Rule

TODAY = date(2026, 11, 10)
FAR = (-1e9, -1.0, 0.0, 1e-9, 1.0, 200.0, 1e9)
RECORDS = int(os.environ.get("COMPLIANCE_RECORDS", "300"))


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


def figure(written: str | None) -> tuple[float, ...]:
    """What a figure could be: itself, or anything."""
    return FAR if written is None else (float(written),)


def at_most(a: float, b: float) -> bool:
    """Worked-out numbers count as equal within a thousand-millionth."""
    return a - b <= 1e-9 * abs(b)


def days(written: str | None) -> tuple[int, ...]:
    """What a date could be, as a count of days."""
    if written is None:
        return (1, TODAY.toordinal(), 2_000_000)
    if written == "not yet":
        return (TODAY.toordinal() + 1, TODAY.toordinal() + 400)
    return (date.fromisoformat(written[:10]).toordinal(),)


def is_ahead(written: str | None) -> bool:
    """Whether a day still lies ahead; one that is not said does not."""
    return written is not None and days(written)[0] > TODAY.toordinal()


def is_shown(record: dict[str, Any], kind: str, name: str, point: str | None = None) -> bool:
    """Whether any evidence of a kind counts for an entry of the roof."""
    return any(
        e["kind"] == kind and name in e["about"] and counts(e, record, point)
        for e in record["evidence"].values()
    )


def counts(item: dict[str, Any], record: dict[str, Any], point: str | None) -> bool:
    if item["file"] != "whole" or item["shows"] is None or item["by"] is None:
        return False
    on = item["on"]
    if on is None or is_ahead(on):
        return False
    if item["kind"] != "photo":
        return True
    started, passed = record["started"], record[point] if point else None
    too_early = started not in (None, "not yet") and on < started
    too_late = passed not in (None, "not yet") and on > passed
    return not too_early and not too_late


# -- ten requirements, by hand ------------------------------------------------------------


def polarity(record: dict[str, Any], name: str) -> dict[str, str]:
    made = [t for t in record["polarity"][name] if not is_ahead(t["on"])]
    last = made[-1] if made else {}
    is_correct = {"correct": True, "reversed": False, None: None}[last.get("result")]
    found = outcome(True, is_correct, record, is_shown(record, "test sheet", name))
    if found != "met":
        return {name: found}
    known = last["known"] or ("measured" if last["instrument"] else "told")
    if known not in ("measured", "meter file", "seen"):
        return {name: outcome(True, None, record)}
    if any(t["result"] == "reversed" for t in made[:-1]) and last["after"] is None:
        return {name: "not due" if is_ahead(record["in_use"]) else "for judgement"}
    return {name: "met"}


def cold_voltage(record: dict[str, Any], name: str) -> dict[str, str]:
    inverter = record["max_input"] if record["strings"][name]["input"] else None

    def bears(cold: float, input_v: float, system_v: float) -> bool:
        return at_most(cold, input_v) and at_most(cold, system_v)

    m = settled(bears, cold_volts(record, name), figure(inverter), figure(record["max_system"]))
    return {name: outcome(True, m, record, is_shown(record, "datasheet", name))}


def cold_volts(record: dict[str, Any], name: str) -> tuple[float, ...]:
    """Modules in series at the lowest cell temperature: each K below 25 °C adds its percent."""
    count, module = record["strings"][name]["in_series"], record["voc"]
    slope, lowest = record["coefficient"], record["lowest"]
    if None in (count, module, slope, lowest) or not -1 <= float(slope) <= -0.05:
        return FAR
    if not -40 <= float(lowest) <= 25:
        return FAR
    per_module = float(module) + float(module) * (float(slope) / 100) * (float(lowest) - 25)
    return (float(count) * per_module,)


def rating(record: dict[str, Any], name: str) -> dict[str, str]:
    if record["isolators"] is None:
        return {name: outcome(True, None, record)}
    serving = {n: i for n, i in record["isolators"].items() if name in i["serves"]}
    found = {n: isolator_bears(record, name, n) for n in serving}
    return {f"{name} / {n}": o for n, o in found.items()} or {name: "not applicable"}


def isolator_bears(record: dict[str, Any], name: str, isolator: str) -> str:
    given, rows = record["isolators"][isolator], record["strings"][name]["parallel"]
    short = record["isc"]
    greatest = FAR if rows is None or short is None else (float(rows) * float(short) * 5 / 4,)

    def bears(cold: float, rated_v: float, current: float, rated_a: float) -> bool:
        return at_most(cold, rated_v) and at_most(current, rated_a)

    m = settled(bears, cold_volts(record, name), figure(given["rated_v"]), greatest,
                figure(given["rated_a"]))  # fmt: skip
    return outcome(True, m, record, is_shown(record, "datasheet", isolator))


def labelled(record: dict[str, Any]) -> dict[str, str]:
    ahead = is_ahead(record["handed_over"])
    if record["isolators"] is None:  # the whole job's handover is that of its last part
        last = ahead or is_ahead(record["inverter_handed_over"])
        return {"job": "not due" if last else "not shown"}
    found = {n: label_at(record, n, ahead) for n in record["isolators"]}
    return found or {"job": "not applicable"}


def label_at(record: dict[str, Any], isolator: str, ahead: bool) -> str:
    labels = record["labels"]
    if labels is None:
        return "not due" if ahead else "not shown"
    kinds = {"live in daylight": (True,), "shutdown order": (False,), None: (True, False)}
    places = {"isolator": (True,), "inverter": (False,), None: (True, False)}
    belongs = [
        (True, False) if la["marks"] is None else (la["marks"] == isolator,) for la in labels
    ]
    m = settled(
        lambda *said: any(all(said[n : n + 3]) for n in range(0, len(said), 3)),
        *(
            could
            for label, belongs_here in zip(labels, belongs, strict=True)
            for could in (kinds[label["kind"]], places[label["place"]], belongs_here)
        ),
    )
    shown = is_shown(record, "photo", isolator, "handed_over")
    return outcome(True, m, record, shown, is_late=not ahead)


def in_reach(record: dict[str, Any]) -> dict[str, str]:
    said = [j for j in record["judgements"] if not is_ahead(j["on"])]
    last = sorted(said, key=lambda j: j["on"])[-1:]  # of one day, the lower one
    waits = "not due" if is_ahead(record["inverter_handed_over"]) else "for judgement"
    return {"i1": last[0]["outcome"] if last else waits}


def checked_lately(record: dict[str, Any], test: dict[str, Any]) -> bool | None:
    """Whether the meter agreed within 31 days before; one check shows nothing of others."""
    if record["accuracy"] in (None, "none"):
        return None if record["accuracy"] is None else False
    found = settled(
        lambda check, on: 0 <= on - check <= 31, days(record["accuracy_on"]), days(test["on"])
    )
    return True if found and record["accuracy"] == "agrees" else None


def in_calibration(record: dict[str, Any]) -> Counter[tuple[str, str]]:
    written = list(written_tests(record))
    made = [t for t in written if not is_ahead(t["on"])]
    ahead = is_ahead(record["handed_over"])
    if not made:
        last = ahead or is_ahead(record["inverter_handed_over"])
        waits = "not due" if last else "not shown"
        return Counter([("job", waits if written else "not applicable")])
    found: Counter[tuple[str, str]] = Counter()
    for test in made:
        due = record["calibration_due"] if test["instrument"] else None
        in_time = settled(lambda on, last: on <= last, days(test["on"]), days(due))
        reads_true = checked_lately(record, test) if test["instrument"] else None
        both = (in_time, reads_true)
        m = True if True in both else None if None in both else False
        day = f" on {test['on']}" if test["on"] else ""
        found[f"{test['test']} of {test['of']}{day}",
              outcome(True, m, record, is_late=not ahead)] += 1  # fmt: skip
    return found


def insulation(record: dict[str, Any], name: str) -> dict[str, str]:
    string, test = record["strings"][name], record["insulation"].get(name, {})
    voc, count = record["voc"], string.get("in_series")
    known = None if voc is None or count is None else 1.25 * float(voc) * float(count)

    def passes(positive: float, negative: float, system: float) -> bool:
        least = 0.5 if system < 120 else 1.0
        return positive >= least and negative >= least

    m = settled(passes, reading(test.get("positive")), reading(test.get("negative")),
                FAR[:1] + FAR[-1:] if known is None else (known,))  # fmt: skip
    return {name: outcome(True, m, record, is_shown(record, "test sheet", name))}


def isolation(record: dict[str, Any], name: str) -> dict[str, str]:
    isolators = record["isolators"]
    if isolators is None:
        return {name: outcome(True, None, record)}
    serving = [i for i in isolators.values() if name in i["serves"]]
    poles = [
        FAR if i.get(p) is None else (float(i[p]),) for i in serving for p in ("plus", "minus")
    ]

    def parts_both(*breaks: float) -> bool:
        return any(a >= 1 and b >= 1 for a, b in zip(breaks[::2], breaks[1::2], strict=True))

    return {name: outcome(True, settled(parts_both, *poles), record)}


def loop(record: dict[str, Any], name: str) -> dict[str, str]:
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
    return {name: outcome(applies, measured, record)}


def rcd(record: dict[str, Any], name: str) -> dict[str, str]:
    circuit = record["circuits"][name]
    if circuit["rcd"] == "none":
        return {name: "not applicable"}
    if circuit["rcd"] is None:
        return {name: outcome(True, None, record)}

    def opens(time: float, delay: str) -> bool:
        least, most = {"general": (0, 300), "delayed": (130, 500)}[delay]
        return least <= time <= most

    delays = [circuit["rcd"]] if circuit["rcd"] != "silent" else ["general", "delayed"]
    found = outcome(True, settled(opens, reading(circuit.get("time")), delays), record)
    return {f"{name} / rcd": found}


def outcome(
    applies: bool | None,
    holds: bool | None,
    record: dict[str, Any],
    is_shown: bool = True,
    is_late: bool | None = None,
) -> str:
    """The table of outcomes, then the point of no return: switching on unless `is_late` says."""
    if applies is False:
        return "not applicable"
    if holds is True and is_shown:
        return "met"
    if applies is True and holds is False:
        return "not met"
    late = not is_ahead(record["in_use"]) if is_late is None else is_late
    return "not shown" if late else "not due"


# -- the two side by side -----------------------------------------------------------------

OF_EACH: dict[str, tuple[str, Callable[..., dict[str, str]]]] = {
    "string-polarity": ("strings", polarity),
    "cold-voltage-within-equipment": ("strings", cold_voltage),
    "string-insulation": ("strings", insulation),
    "dc-isolator-for-string": ("strings", isolation),
    "dc-isolator-rating": ("strings", rating),
    "loop-impedance": ("circuits", loop),
    "rcd-opens-in-time": ("circuits", rcd),
}
OF_ALL: dict[str, Callable[..., Any]] = {
    "label-at-dc-isolator": labelled,
    "ac-isolator-in-reach": in_reach,
    "instrument-in-calibration": in_calibration,
}
REACHED = {
    "string-polarity": ("met", "not met", "not shown", "not due", "for judgement"),
    "dc-isolator-rating": ("met", "not met", "not shown", "not due", "not applicable"),
    "loop-impedance": ("met", "not met", "not shown", "not due", "not applicable"),
    "rcd-opens-in-time": ("met", "not met", "not shown", "not due", "not applicable"),
    "label-at-dc-isolator": ("met", "not met", "not shown", "not due", "not applicable"),
    "ac-isolator-in-reach": ("met", "not met", "for judgement", "not due"),
    **dict.fromkeys(
        ("cold-voltage-within-equipment", "string-insulation", "dc-isolator-for-string",
         "instrument-in-calibration"),
        ("met", "not met", "not shown", "not due"),
    ),
}  # fmt: skip


def decided(record: dict[str, Any]) -> dict[str, Counter[tuple[str, str]]]:
    """Every finding of the ten requirements, worked out by hand."""
    found: dict[str, Counter[tuple[str, str]]] = {}
    for requirement, (collection, decide) in OF_EACH.items():
        pairs = [pair for name in record[collection] for pair in decide(record, name).items()]
        found[requirement] = Counter(pairs)
    for requirement, decide_all in OF_ALL.items():
        by_hand = decide_all(record)
        found[requirement] = by_hand if isinstance(by_hand, Counter) else Counter(by_hand.items())
    return found


def given(checked: Checked) -> dict[str, Counter[tuple[str, str]]]:
    """The same findings as the tool gives them."""
    found: dict[str, Counter[tuple[str, str]]] = {r: Counter() for r in REACHED}
    for finding in checked.findings:
        if finding.requirement.id in found:
            found[finding.requirement.id][finding.subject, finding.outcome.value] += 1
    return found


@pytest.mark.parametrize("quarter", range(4))
def test_two_ways_of_deciding_agree(quarter: int) -> None:
    for seed in range(quarter, RECORDS, 4):
        record = drawn(Random(seed))
        checked = check(shipped(), written(record), on=TODAY, seen=seen_of(record))
        assert given(checked) == decided(record), f"seed {seed}\n{written(record)}"
        for finding in checked.findings:
            is_open = finding.outcome.value in ("not shown", "not due")
            is_asked = finding.outcome.value == "not due" and not finding.needs
            assert bool(finding.needs) is is_open or is_asked, "what is lacking is named"
        assert counted(checked, record)


def test_the_drawn_records_reach_every_outcome() -> None:
    seen: Counter[tuple[str, str]] = Counter()
    for seed in range(600):
        for requirement, findings in decided(drawn(Random(seed))).items():
            seen.update((requirement, outcome) for _, outcome in findings)
    for requirement, outcomes in REACHED.items():
        for found in outcomes:
            assert seen[requirement, found] >= 2, f"{requirement} is never {found}"


def loops_of(rule: Rule) -> tuple[str, ...]:
    """What a requirement loops over, as its file says it."""
    return tuple(path.text for _, path in rule.clause.loops)


def counted(checked: Checked, record: dict[str, Any]) -> bool:
    """Findings are the sum of max(1, subjects) over the requirements; six counts add up to it."""
    isolators, labels = record["isolators"], record["labels"]
    serving = [sum(n in i["serves"] for i in (isolators or {}).values()) for n in ("S1", "S2")]
    rcds = [c["rcd"] not in ("none", None) for c in record["circuits"].values()]
    made = sum(not is_ahead(t["on"]) for t in written_tests(record))
    by_loop = {
        (): 1, ("strings",): 2, ("circuits",): 2, ("inverters",): 1, ("visits",): 0,
        ("isolators",): len(isolators or ()), ("dc_isolators",): len(isolators or ()),
        ("ac_isolators",): 0, ("supply_isolators",): 0, ("labels",): len(labels or ()),
        ("tests",): made, ("modules",): 1,
        ("strings", "string.isolators"): sum(max(1, n) for n in serving),
        ("circuits", "circuit.rcd"): sum(max(1, n) for n in rcds),
    }  # fmt: skip
    loops = [loops_of(r) for r in shipped().rules.rules]
    known = [loop for loop in loops if loop in by_loop]
    ids = {r.requirement.id for r in shipped().rules.rules if loops_of(r) in by_loop}
    own = [f for f in checked.findings if f.requirement.id in ids]
    assert len(own) == sum(max(1, by_loop[loop]) for loop in known)
    assert len(checked.counts) == 6
    return sum(checked.counts.values()) == len(checked.findings)


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
