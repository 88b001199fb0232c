"""Random rulesets of this project's vocabulary, and random records as views, for the whole check.

Drawn from `random.Random` like `language_cases`. The rulesets are loaded from text once; the
views are made directly, since loading thousands of records would take longer than checking
them. `tests/properties/test_check.py` says what is tried with them.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from random import Random
from typing import Any
from unittest.mock import patch

from rules.small import checker_of, whole

from compliance.evidence import Seen
from compliance.rules import findings
from compliance.rules.check import Checker
from compliance.rules.known import known
from compliance.rules.language.compile import Decided
from compliance.rules.language.ruling import Ruling, Subject, ruling, subjects
from compliance.rules.language.scene import Scene
from compliance.rules.outcome import Finding, Outcome
from compliance.rules.plans import Case, Plan
from compliance.rules.settled import settled
from compliance.rules.world import About, Standing
from compliance.values import NOT_YET, NotTaken, Over, Under

TODAY = date(2026, 11, 10)
RULESETS = 24
POINTS = {"start": "started", "cover": "covered", "use": "in_use", "handover": "handed_over"}
Job = dict[str, Any]

# -- rulesets -----------------------------------------------------------------------------

OF_STRING = (
    "string.in_series >= 8", "string.in_series == 9", "string.face in ('south', 'east')",
    "string.polarity.result == 'correct'", "string.polarity.on <= today",
    "string.polarity.on == string.insulation.on", "stated(string.insulation.test_voltage_v)",
    "days(string.polarity.on, today) <= 3", "days(string.part.agreed, string.polarity.on) > 0",
    "string.insulation.positive_earth_megohm >= limits.insulation_megohm(string.system_voltage_v)",
    "string.insulation.negative_earth_megohm >= 1", "string.insulation.positive_earth_megohm >= 1",
    "string.cold_voc_v <= string.input.inverter.max_input_v",
    "string.open_circuit_voltage.value_v <= string.expected_voc_v",
    "abs(string.open_circuit_voltage.value_v - 340) <= 17",
    "any(i.breaks_positive >= 1 and i.breaks_negative >= 1 for i in string.isolators)",
    "all(i.lockable for i in string.isolators)", "count(i.lockable for i in string.isolators) >= 1",
    "shown('photo', string)", "site.lowest_cell_c <= -10",
)  # fmt: skip
OF_ISOLATOR = (
    "isolator.lockable", "isolator.rated_v >= string.cold_voc_v", "isolator.breaks_positive >= 1",
    "isolator.rated_v > string.system_voltage_v * 1.2",
)  # fmt: skip
OF_VISIT = ("visit.left.dc_ends in ('joined', 'insulated')", "stated(visit.left.dc_ends)",
            "visit.left.dc_ends != 'bare'")  # fmt: skip
OF_JOB = (
    "site.supply.ze_ohm <= 0.35", "site.supply.nominal_v == 230", "site.lowest_cell_c <= -10",
    "any(t.on <= today for t in tests)", "count(s.in_series >= 8 for s in strings) >= 1",
    "all(s.polarity.result == 'correct' for s in strings)",
)  # fmt: skip
LOOPS = (
    ("string in strings", OF_STRING), ("string in strings", OF_STRING),
    ("[string in strings, isolator in string.isolators]", OF_STRING + OF_ISOLATOR),
    ("visit in visits", OF_VISIT), ("", OF_JOB),
)  # fmt: skip


def _condition(rng: Random, pool: tuple[str, ...]) -> str:
    roll = rng.random()
    first, second = rng.choice(pool), rng.choice(pool)
    if roll < 0.5:
        return first
    if roll < 0.7:
        return f"{first} and {second}"
    return f"{first} or {second}" if roll < 0.85 else f"not ({first}) or {second}"


def _requirement(rng: Random, number: int) -> str:
    loop, pool = rng.choice(LOOPS)
    is_visit, is_question = "visit in" in loop, rng.random() < 0.2
    before = "leaving" if is_visit else rng.choice(tuple(POINTS))
    if before == "cover" and loop != "string in strings":
        before = "use"  # a switch stays in reach, a job is not covered
    source = "{document: common-practice, confidence: common practice}"
    lines = [f"for: {loop}"] if loop else []
    lines += [f"if: {_condition(rng, pool)}"] if rng.random() < 0.35 else []
    lines += [f"before: {before}"]
    lines += ["judge: Is it well?"] if is_question else [f"must: {_condition(rng, pool)}"]
    if not is_question and rng.random() < 0.25:
        lines += [
            "or_by:",
            f'  - {{title: W, must: "{_condition(rng, pool)}", source: {source}}}',
        ]
    lines += [f"evidence: [{rng.choice(('photo', 'test sheet'))}]"] if rng.random() < 0.35 else []
    lines += [f"known: {rng.choice(('seen', 'measured'))}"] if rng.random() < 0.25 else []
    lines += ["danger: Keep away."] if rng.random() < 0.3 else []
    lines += [f"holds_up: {rng.choice(('use', 'certificate', 'nothing'))}"]
    lines += [f"set_aside_by: {rng.choice(('designer', 'scheme', 'nobody'))}"]
    lines += ["held_by: installer", f"source: {source}", "why: W.", "remedy: R."]
    is_hidden_later = before in ("start", "cover", "leaving")
    lines += ["afterwards: A."] if is_hidden_later or rng.random() < 0.5 else []
    lines += ["examples:", *(f"  - {{name: {o}, outcome: {o}}}"
                             for o in ("met", "not met", "not shown"))]  # fmt: skip
    body = "".join(f"    {line}\n" for line in lines)
    return f"  - id: r{number}\n    title: Tried {number}\n{body}"


@cache
def checker(number: int) -> Checker:
    """One of the random rulesets, ready to check."""
    rng = Random(f"ruleset {number}")
    return checker_of(*(_requirement(rng, n) for n in range(10)))


@cache
def slow_checker(number: int) -> Checker:
    """The same, decided by the reference alone, each finding by the way that fits all.

    To be called inside `settling_all`.
    """
    rules = checker(number).rules

    def decide(world: Any, day: Any, *_: Any, reasons: bool = False) -> list[Decided]:
        made: list[Decided] = []
        for index, rule in enumerate(rules.rules):
            for subject in subjects(rule.clause, Scene(world, before=rule.clause.before)):
                last = subject.entries[-1] if subject.entries else None
                scene = replace(subject.scene, day=day(last, rule.clause.by))
                found = ruling(rule.clause, subject._replace(scene=scene))
                outcome = None if reasons and found.way is not None else found.outcome
                made.append(((index,), subject.entries, (outcome,)))
        return made

    made = Checker.of(rules, decide)
    for index in range(len(rules.rules)):
        plan = made.plans.of(index)
        plan.at_once = plan.open_plainly = False
    return made


@contextmanager
def settling_all() -> Iterator[None]:
    """What is not met goes the long way too, as if something might have been set aside."""

    def settled_all(plan: Plan, about: About, standing: Standing) -> Finding:
        subject = Subject(about.entries, about.scene(plan.clause, standing.day))
        how = known(plan.rests[0], about, standing.day)
        case = Case(plan, about, subject, Ruling(Outcome.NOT_MET), standing.remark, how)
        return settled(case)

    with patch.object(findings, "plainly_failed", settled_all):
        yield


# -- records ------------------------------------------------------------------------------


def _said(rng: Random, **fields: Any) -> Job:
    """Fields, most of them said; each is given as what it may be."""
    return {name: rng.choice(values) for name, values in fields.items() if rng.random() < 0.85}


def _day(rng: Random) -> Any:
    """A day around the day of the check, with or without a time, or one still to come."""
    roll = rng.random()
    if roll < 0.15:
        return NOT_YET
    day = TODAY + timedelta(days=rng.choice((-6, -4, -1, 0, 1)))
    return day if roll < 0.8 else datetime(day.year, day.month, day.day, 16, 30)


def _part(rng: Random, name: str) -> Job:
    dates = {field: _day(rng) for field in POINTS.values() if rng.random() < 0.8}
    part = {"~name": name, "kind": "array", "designed": date(2026, 9, 1), **dates}
    part |= _said(rng, agreed=(date(2026, 8, 1), date(2026, 11, 8)))
    part["part"] = part
    return part


MEGOHMS = (0.3, 0.7, 0.7, 0.999999, 1.0, 38.0, Over(200.0), Over(200.0), Over(0.5), Under(0.05),
           NotTaken("rain"))  # fmt: skip
FIELDS: dict[str, dict[str, tuple[Any, ...]]] = {
    "insulation": {
        "positive_earth_megohm": MEGOHMS,
        "negative_earth_megohm": MEGOHMS,
        "test_voltage_v": (500.0,),
    },
    "polarity": {"result": ("correct", "correct", "reversed")},
    "open_circuit_voltage": {
        "value_v": (338.0, 323.0, 322.9, 300.0, Over(300.0)),
        "cell_c": (24.0, 25.0, 120.0),
        "irradiance_w_m2": (540.0, 1000.0, 40.0),
    },
}


def _test(rng: Random, kind: str, string: Job, fields: Any, earlier: list[Job]) -> Job:
    on = (date(2026, 11, 9), TODAY, date(2026, 11, 5))
    test: Job = {
        "~name": f"{kind} of {string['~name']}", "~subject": string, "test": kind, "of": string,
        "part": string["part"], "known": rng.choice(("measured", "measured", "seen", "told")),
        **_said(rng, on=on, **fields),
    }  # fmt: skip
    if earlier:
        test["~earlier"] = list(earlier)
        if rng.random() < 0.4:
            test["after"] = "a connector was replaced"
    return test


def _tests(rng: Random, string: Job) -> list[Job]:
    made: list[Job] = []
    for kind, fields in FIELDS.items():
        earlier: list[Job] = []
        for _ in range(rng.choice((0, 1, 1, 1, 2, 3))):
            earlier.append(_test(rng, kind, string, fields, earlier))
        if earlier:
            string[kind] = earlier[-1]
            made += earlier
        elif rng.random() < 0.15:
            string[kind] = NotTaken("rain")
    return made


def _evidence(rng: Random, person: Job) -> tuple[list[Job], dict[str, Seen]]:
    items: list[Job] = []
    seen: dict[str, Seen] = {}
    for number in range(rng.randrange(6)):
        name = f"e{number}"
        kind = rng.choice(("photo", "photo", "test sheet"))
        item = {"~name": name, "file": f"{name}.jpg", "kind": kind,
                "about": tuple(rng.sample(("S1", "S2", "d1", "job"), rng.choice((1, 2)))),
                **_said(rng, shows=("x",), by=(person,))}  # fmt: skip
        day = TODAY + timedelta(days=rng.choice((-7, -4, -1, 0, 1)))
        if rng.random() < 0.8:
            item["on"] = day
        items.append(item)
        taken = datetime(day.year, day.month, day.day, 9, 0) if rng.random() < 0.4 else None
        if rng.random() < 0.9:
            seen[name] = whole(f"{name}.jpg", taken)
    return items, seen


def _statements(rng: Random, person: Job, proof: Job) -> tuple[list[Job], list[Job]]:
    subjects_ = ("S1", "S2", "S1 / d1", "S2 / d1", "visit", None)

    def about() -> Job:
        subject = rng.choice(subjects_)
        said = {"requirement": f"r{rng.randrange(10)}", "by": person, "grounds": "G",
                "on": TODAY + timedelta(days=rng.choice((-2, 0, 1)))}  # fmt: skip
        return said if subject is None else {**said, "subject": subject}

    departures = [{**about(), "role": rng.choice(("designer", "scheme")), "evidence": proof}
                  for _ in range(rng.randrange(12))]  # fmt: skip
    judgements = [{**about(), "outcome": rng.choice(("met", "not met"))}
                  for _ in range(rng.randrange(12))]  # fmt: skip
    return departures, judgements


def _strings(rng: Random, parts: list[Job], kit: list[Job], isolators: list[Job]) -> list[Job]:
    module, inverter = kit
    made = []
    for name in ("S1", "S2"):
        string = {
            "~name": name, "part": rng.choice(parts), "input": _said(rng, inverter=(inverter,)),
            **_said(rng, in_series=(8.0, 9.0), face=("south", "west"), modules=(module,),
                    isolators=([], isolators[:1], isolators)),
        }  # fmt: skip
        string["~tests"] = _tests(rng, string)
        made.append(string)
    return made


def _isolators(rng: Random, part: Job) -> list[Job]:
    return [
        {"~name": f"d{n}", "part": part,
         **_said(rng, lockable=(True, False), rated_v=(600.0, 300.0), breaks_positive=(0.0, 2.0),
                 breaks_negative=(1.0, 2.0))}
        for n in (1, 2)
    ]  # fmt: skip


def record(rng: Random) -> tuple[Job, dict[str, Seen]]:
    """A random record's view, and what was seen of its files."""
    parts = [_part(rng, name) for name in ("roof", "loft")[: rng.choice((1, 1, 2))]]
    person = {"~name": "p", "name": "P (invented)"}
    kit = [
        {"~name": "m", **_said(rng, voc_v=(38.9, 9.6), voc_coefficient_percent_per_k=(-0.25,))},
        {"~name": "i", **_said(rng, max_input_v=(600.0, 380.0))},
    ]
    isolators = _isolators(rng, parts[0])
    strings = _strings(rng, parts, kit, isolators)
    items, seen = _evidence(rng, person)
    proof = {"~name": "proof", "file": "proof.pdf", "kind": "declaration", "about": ("job",),
             "shows": "x", "by": person, "on": date(2026, 11, 4)}  # fmt: skip
    seen["proof"] = whole("proof.pdf")
    departures, judgements = _statements(rng, person, proof)
    job: Job = {
        "~name": "job", "reference": "R-1", "title": "A job (invented)", "parts": parts,
        "people": [person], "components": kit, "isolators": isolators,
        "evidence": [*items, proof], "departures": departures, "judgements": judgements,
    }  # fmt: skip
    job |= _site(rng) | _lists(rng, strings)
    if any("~earlier" in test for test in job.get("tests", ())):
        job["~repeats"] = True
    return job, seen


def _site(rng: Random) -> Job:
    supply = _said(rng, nominal_v=(230.0, 240.0), ze_ohm=(0.35, 0.4, Over(5.0)))
    return {"site": {**_said(rng, lowest_cell_c=(-15.0, -5.0)), "supply": supply}}


def _lists(rng: Random, strings: list[Job]) -> Job:
    """The lists of a job that may be left out; the strings may be `none`."""
    tests = [test for string in strings for test in string.pop("~tests")]
    left = _said(rng, dc_ends=("joined", "bare"))
    visit = {"~name": "visit", "on": TODAY + timedelta(days=rng.choice((-1, 0, 1))), "left": left}
    strings = rng.choice((strings, strings, strings, []))
    lists = {"strings": strings, "tests": tests, "visits": [visit]}
    return {name: value for name, value in lists.items() if rng.random() < 0.95}


def forgettable(job: Job, seen: dict[str, Seen]) -> list[tuple[Job, str]]:
    """What can be forgotten one at a time, as the entry and the field; see the law."""
    held: list[tuple[Job, str]] = [(job, n) for n in ("strings", "tests", "visits") if n in job]
    groups = [job["site"], job["site"]["supply"], *job["components"], *job["isolators"]]
    for string in job.get("strings", ()):
        groups += [string, string["input"], *(string[k] for k in FIELDS if k in string)]
    groups += [visit["left"] for visit in job.get("visits", ())]
    groups += [part for part in job["parts"] if "agreed" in part]
    kept = {*POINTS.values(), *FIELDS, "part", "of", "test", "known", "after", "kind", "designed"}
    for group in groups:
        if isinstance(group, dict):
            held += [(group, f) for f in group if f not in kept and not f.startswith("~")]
    for item in job["evidence"]:
        held += [(item, f) for f in ("shows", "by") if f in item]
        taken = seen[item["~name"]].taken if item["~name"] in seen else None
        held += [(item, "on")] if "on" in item and taken is None else []
    return held
