"""Any record that the models can hold is checked to the end, whatever it says or leaves out.

Records are drawn from the models themselves, so that a new field is tried as soon as it
exists; now and then a value is one that nobody would write.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from random import Random
from typing import Any

from rules.small import HEAD, TODAY, shipped, view_of

from compliance.errors import ComplianceError
from compliance.record.batch import Batch
from compliance.record.entry import Group
from compliance.record.evidence import Evidence
from compliance.record.installation import Installation
from compliance.record.kinds import (
    AboutKind,
    FigureKind,
    MomentKind,
    ReadingKind,
    ReasonKind,
    Reference,
    Texts,
    Words,
    YesNoKind,
)
from compliance.record.shape import FieldShape, fields
from compliance.rules.outcome import Outcome, findings_data

DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
FIGURES = ("0", "1", "8", "-15", "0.4", "-0.27", "230", "600", "999999999999", "0.000001")
DAYS = ("2018-05-01", "2026-09-01", "2026-11-02", "2026-11-10", "2026-11-11", "2026-11-02T10:30")
ODD = ("none", "not yet", "over 200", '"not taken: rain"', "tbc", "1e3", "job", "[]", "{a: b}")
TOP = ("record", "reference", "jurisdiction", "title")
ENTRIES = 9


def scalar(shape: FieldShape, rng: Random) -> str:
    """A value as it may be written in a field, right most of the time."""
    if rng.random() < 0.001:  # a record holds about 1000 values
        return rng.choice(ODD)
    match shape.kind:
        case FigureKind():
            return rng.choice(FIGURES)
        case ReadingKind():
            return rng.choice((*FIGURES, "over 200", "under 0.05", '"not taken: rain"'))
        case Words(known):
            return rng.choice(known)
        case YesNoKind():
            return rng.choice(("yes", "no"))
        case MomentKind() as kind:
            days = DAYS if kind.may_have_time else DAYS[:-1]
            return rng.choice((*days, "not yet") if kind.may_lie_ahead else days)
        case Reference() as kind:
            known = [name for to in kind.targets for name in named(to)]
            return (
                f"[{', '.join(rng.sample(known, min(2, len(known))))}]"
                if kind.many
                else rng.choice(known)
            )
        case AboutKind():
            return rng.choice((*named("strings"), *named("isolators"), "job"))
        case ReasonKind():
            return "rain came first"
        case Texts():
            return rng.choice(("A-1", "[A-1, A-2, A-1]", "[A-1, A-2, A-3, A-4]"))
    return rng.choice(("Specimen Street", "east", "no", "string-polarity", "ac-isolator-in-reach"))


def named(to: str) -> Iterator[str]:
    """The short names that the entries of a collection have, or those of one kind in it."""
    collection, _, kind = to.partition(".")
    shape = fields(Installation)[collection]
    for number in range(ENTRIES):
        if not kind or kind_of(shape, number).type_name() == kind:
            yield f"{collection}-{number}"


def kind_of(shape: FieldShape, number: int) -> type[Group]:
    return shape.entries[number % len(shape.entries)]


def group(model: type[Group], rng: Random, silence: float) -> dict[str, Any]:
    """Fields of a group; those that an entry must have are there."""
    made: dict[str, Any] = {}
    for name, shape in fields(model).items():
        if name == "usual" or (name in TOP and model is Installation):
            continue  # `usual` names what a firm's file lends, and there is none here
        if name == "tests" and model is Evidence:
            continue  # they would be read from a file that is not there
        model_field = next(f for n, f in model.model_fields.items() if (f.alias or n) == name)
        leaves_out = silence / 10 if model is Installation else silence  # else little holds
        is_needed = model_field.is_required() or (model is Batch and name == "by")
        if rng.random() < leaves_out and not is_needed:
            continue
        made[name] = value(name, shape, rng, silence)
        tag = getattr(model, "tag", "")
        if isinstance(shape.kind, Words) and tag in shape.kind.words:
            made[name] = tag
    return made


def value(name: str, shape: FieldShape, rng: Random, silence: float) -> Any:
    if shape.section is not None:
        return group(shape.section, rng, silence)
    if shape.collection is None:
        return scalar(shape, rng)
    if shape.collection.at_most_one:
        return "none" if rng.random() < 0.3 else group(shape.entries[0], rng, silence) or "none"
    if shape.is_named:
        return {
            f"{name}-{n}": {**group(kind_of(shape, n), rng, silence), **part(shape, n)}
            for n in range(ENTRIES)
        }
    return [group(kind_of(shape, n), rng, silence) for n in range(rng.randrange(1, 9))]


def part(shape: FieldShape, number: int) -> dict[str, str]:
    return {"part": f"parts-{number}"} if "part" in fields(kind_of(shape, number)) else {}


def flow(node: Any) -> str:
    if isinstance(node, dict):
        return "{" + ", ".join(f"{k}: {flow(v)}" for k, v in node.items()) + "}"
    return f"[{', '.join(map(flow, node))}]" if isinstance(node, list) else node


IN_ORDER = ("agreed", "started", "in_use", "handed_over")
AFTER_THE_START = {*IN_ORDER[2:], "covered"}


def without_contradictions(job: dict[str, Any]) -> dict[str, Any]:
    """The job with its dates in an order in which they could have come about."""
    for part in job.get("parts", {}).values():
        fields_of = [f for f in IN_ORDER if DAY.match(part.get(f, ""))]
        days = sorted(part[f][:10] for f in fields_of)
        part.update(zip(fields_of, days, strict=True))
        if "started" in part and DAY.match(part.get("covered", "")):
            part["covered"] = max(part["started"], part["covered"][:10])
            if part["started"] == "not yet":
                del part["covered"]
    starts = [part.get("started", "") for part in job.get("parts", {}).values()]
    last = max((start for start in starts if DAY.match(start)), default="")
    for entry in (*job.get("visits", ()), *job.get("tests", ())):
        if DAY.match(entry.get("on", "")):
            entry["on"] = max(entry["on"][:10], last)
    return without_days_out_of_order(job)


def without_days_out_of_order(job: dict[str, Any]) -> dict[str, Any]:
    tests = sorted(job.get("tests", ()), key=lambda test: str(test.get("on", ""))[:10])
    for test in tests:
        test.pop("on", None) if "T" in test.get("on", "") else None
    return {**job, **({"tests": tests} if tests else {})}


def test_any_record_is_checked_to_the_end() -> None:
    accepted = 0
    outcomes: set[Outcome] = set()
    for seed in range(400):
        rng = Random(seed)
        job = without_contradictions(group(Installation, rng, rng.choice((0.0, 0.2, 0.6))))
        text = "".join(f"{name}: {flow(node)}\n" for name, node in job.items())
        refusal = ""
        try:
            view = view_of(text, head=HEAD)
        except ComplianceError as problem:
            refusal = str(problem)
        assert "Input should" not in refusal
        if refusal:
            continue
        accepted += 1
        checked = shipped().check(view, {}, TODAY)
        assert sum(checked.counts.values()) == len(checked.findings)
        assert findings_data(checked)["counts"].keys() == {o.value for o in Outcome}
        for finding in checked.findings:
            outcomes.add(finding.outcome)
            if finding.outcome is Outcome.NOT_SHOWN:
                assert all(need.supply for need in finding.needs), finding
                assert finding.needs, finding
            assert not (finding.outcome is Outcome.MET and finding.needs), finding
    assert accepted > 50, f"only {accepted} records loaded: the test tries too little"
    assert outcomes == set(Outcome)
