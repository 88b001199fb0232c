"""One requirement as plain data: all that a person who manages compliance would ask of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from compliance.rules.basis import limits_of, quantities_of
from compliance.rules.language.explain import plain_name
from compliance.rules.language.interval import INF, Interval
from compliance.rules.language.kinds import Number
from compliance.rules.language.nodes import Node
from compliance.rules.language.sentences import sentence
from compliance.rules.limits import LimitTables, Rows
from compliance.rules.outcome import Source
from compliance.rules.quantities import Quantity
from compliance.rules.rule import KNOWN, Asking, Example, Head, Rule, Rules
from compliance.rules.shown import counts_when
from compliance.units import COUNT, Unit, find, shown

CONFIDENCE = {
    "opened": "the document itself was read",
    "secondary": "taken from others who quote or explain the document, which was not opened",
    "memory": "remembered and not looked up; look it up before you rely on it",
    "common practice": "how the trade does it; no document says so",
}
"""What each word for how sure we are of a source means."""

Data = dict[str, Any]


def requirement_data(rule: Rule, rules: Rules, today: date) -> Data:
    """All that is known of a requirement, as plain data; `described` puts it in lines."""
    requirement, clause, wording = rule.requirement, rule.clause, rule.wording
    return {
        "id": requirement.id,
        "title": requirement.title,
        "ruleset": ruleset_data(rule.head),
        "applies_to": list(wording.loops),
        "if": _condition(wording.condition, clause.condition),
        "before": requirement.before,
        "must": _condition(wording.must, clause.must),
        "judge": rule.question,
        "or_by": [
            {"title": way.title, "source": _source(way.source, rules), **_said(way.must, node)}
            for way, node in zip(rule.ways, clause.ways, strict=True)
        ],
        "evidence": [
            {"kind": kind, "counts_when": counts_when(kind, clause.before)}
            for kind in clause.evidence
        ],
        "known": list(KNOWN[: KNOWN.index(rule.known) + 1]) if rule.known else [],
        "danger": requirement.danger,
        "holds_up": requirement.holds_up.value,
        "set_aside_by": rule.set_aside_by,
        "held_by": requirement.held_by,
        "bring": requirement.bring,
        "source": _source(requirement.source, rules),
        "limits": [_limit(name, rules, today) for name in limits_of(clause)],
        "quantities": [_quantity(quantity, rules) for quantity in quantities_of(clause)],
        "why": requirement.why,
        "remedy": requirement.remedy,
        "afterwards": requirement.afterwards,
        "examples": [_example(example) for example in rule.examples],
        "never": dict(rule.never),
        "survivors": [{"change": s.change, "reason": s.reason} for s in rule.survivors],
    }


def ruleset_data(head: Head) -> Data:
    """A ruleset's head: what it is called, where and for what it applies."""
    return {
        "id": head.id,
        "title": head.title,
        "jurisdiction": head.jurisdiction,
        "from": head.start.isoformat(),
        "until": head.end.isoformat() if head.end else None,
        "by": head.by,
        "edition": head.edition,
    }


def _condition(text: str, node: Node | None) -> Data | None:
    return None if node is None else _said(text, node)


def _said(text: str, node: Node) -> Data:
    return {"words": sentence(node), "text": " ".join(text.split())}


def _source(source: Source, rules: Rules) -> Data:
    return {
        "document": source.document,
        "title": source.title or rules.titles.get(source.document, ""),
        "published": rules.published.get(source.document, ""),
        "clause": source.clause,
        "confidence": source.confidence,
        "meaning": CONFIDENCE[source.confidence],
    }


def _quantity(quantity: Quantity, rules: Rules) -> Data:
    source = Source(quantity.source, quantity.clause, quantity.confidence)
    return {
        "name": quantity.name,
        "title": quantity.title,
        "unit": find(quantity.name).symbol,
        "formula": quantity.formula,
        "inputs": [given.words for given in quantity.inputs.values()],
        "source": _source(source, rules),
        "note": quantity.note,
    }


# -- limits -----------------------------------------------------------------------------


def _limit(name: str, rules: Rules, today: date) -> Data:
    tables = rules.tables
    return {
        "name": name,
        "title": tables.titles[name],
        "unit": find(name).symbol,
        "editions": [
            {
                "from": rows.start.isoformat(),
                "until": rows.end.isoformat() if rows.end else None,
                "in_force": rows.covers(today),
                "source": _source(rows.source, rules),
                "values": [{"at": at, "value": value} for at, value in _values(name, rows, tables)],
            }
            for rows in tables.editions(name)
        ],
    }


def _values(name: str, rows: Rows, tables: LimitTables) -> Iterator[tuple[str, str]]:
    unit = find(name)
    for word, value in rows.words.items():
        yield word, shown(value, unit)
    (argument,) = tables.signs[name].arguments or (None,)
    asked_in = argument.unit if isinstance(argument, Number) else None
    for span, value in rows.spans:
        yield _span(span, asked_in or COUNT), shown(value, unit)


def _span(span: Interval, unit: Unit) -> str:
    low = "" if span.low == -INF else f"{'from' if span.has_low else 'above'} "
    low += shown(span.low, unit) if low else ""
    high = "" if span.high == INF else f"{'up to' if span.has_high else 'below'} "
    high += shown(span.high, unit) if high else ""
    return " ".join(filter(None, (low, high)))


# -- examples ---------------------------------------------------------------------------


def _example(example: Example) -> Data:
    return {
        "name": example.name,
        "given": given_words(example),
        "outcome": example.outcome,
        "needs": None if example.needs is None else list(example.needs),
    }


def given_words(example: Example) -> str:
    """What an example gives, as one sentence without its full stop."""
    given = example.given if isinstance(example.given, Mapping) else {}
    said = [_group(str(name), value) for name, value in given.items()]
    said += [] if example.has_evidence else ["no evidence"]
    said += ["the point of no return still ahead"] if example.is_ahead else []
    said += [f"decided as {example.judged}"] if example.judged else []
    return "; ".join(said) or "nothing"


def _group(name: str, value: Any) -> str:
    """What is given of one name: `string: system voltage 470 V, topology string`."""
    inner = ", ".join(f"{words} {said}".strip() for words, said in _given("", value, name))
    is_group = bool(value) and isinstance(value, Mapping | list)
    return f"{plain_name(name)}{':' if is_group else ''} {inner}"


def _given(words: str, value: Any, name: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping) and value:
        for key, inner in value.items():
            yield from _given(f"{words} {plain_name(str(key))}".strip(), inner, str(key))
    elif isinstance(value, list) and value:
        for number, inner in enumerate(value, 1):
            yield from _given(f"{words} {number}".strip(), inner, name)
    else:
        yield words, _value(value, name)


def _value(value: Any, name: str) -> str:
    if value is None or isinstance(value, Mapping | list):
        return "of which nothing is known"
    text, unit = str(value), find(name).symbol
    is_figure = text.removeprefix("over ").removeprefix("under ").lstrip("-")[:1].isdigit()
    return f"{text} {unit}" if unit and is_figure else text


def question_data(asking: Asking) -> Data:
    """A question that a reader of the record would ask, as plain data."""
    return {
        "id": asking.id,
        "ask": " ".join(asking.ask.split()),
        "ruleset": ruleset_data(asking.head),
        "applies_to": list(asking.wording.loops),
        "if": _condition(asking.wording.condition, asking.clause.condition),
        "innocent": " ".join(asking.innocent.split()),
    }


def list_data(rules: Rules) -> Data:
    """Every ruleset and every requirement of it, as plain data."""
    heads = {(rule.head.id, rule.head.start): rule.head for rule in rules.rules}
    return {
        "rulesets": [ruleset_data(head) for head in heads.values()],
        "requirements": [
            {
                "id": rule.requirement.id,
                "title": rule.requirement.title,
                "ruleset": rule.head.id,
                "from": rule.head.start.isoformat(),
                "before": rule.requirement.before,
                "holds_up": rule.requirement.holds_up.value,
            }
            for rule in rules.rules
        ],
        "questions": [
            {"id": q.id, "ask": " ".join(q.ask.split()), "ruleset": q.head.id}
            for q in rules.questions
        ],
    }
