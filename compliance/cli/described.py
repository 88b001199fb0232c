"""One requirement in lines for a terminal, from the data of `requirement.py`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from compliance.cli.wrapping import wrapped
from compliance.rules.outcome import STOPS, HoldsUp
from compliance.rules.points import PRINTED

Data = Mapping[str, Any]
Row = tuple[str, str]


def described(data: Data, *, briefly: bool = False) -> str:
    """A requirement in lines; `briefly` where its findings on a job follow."""
    lines = wrapped(f"{data['id']}: {data['title']}")
    last = ""
    for label, text in _rows(data, briefly):
        if text:
            lines += wrapped(" ".join(text.split()), f"{'' if label == last else label:<12}")
            last = label
    if data["examples"] and not briefly:
        lines += ["", "  Examples, which are run as tests"]
        for example in data["examples"]:
            needs = f", needs {', '.join(example['needs'])}" if example["needs"] else ""
            text = f"{example['name']}: given {example['given']}"
            lines += wrapped(text, f"{example['outcome']:<14}")
            lines += wrapped(needs.removeprefix(", "), " " * 14) if needs else []
    return "\n".join(lines)


def described_question(data: Data) -> str:
    """A question in lines, with when it is asked and its innocent cause."""
    lines = wrapped(f"{data['id']}: {data['ask']}")
    rows = [("applies to", ", ".join(f"each {t}" for t in data["applies_to"]) or "the whole job")]
    rows += [*_conditions("asked if", data["if"]), ("innocent", data["innocent"])]
    last = ""
    for label, text in rows:
        lines += wrapped(" ".join(text.split()), f"{'' if label == last else label:<12}")
        last = label
    return "\n".join([*lines, *wrapped("A question is no finding; it holds nothing up.")])


def _rows(data: Data, briefly: bool) -> Iterator[Row]:
    yield from _asks(data)
    yield from _carries(data)
    yield from _rests(data, briefly)
    yield from _sure(data, briefly)
    yield "why", data["why"]
    yield "remedy", data["remedy"]
    if not briefly:
        yield "afterwards", data["afterwards"]
        for outcome, reason in data["never"].items():
            yield "cannot be", f"{outcome}: {reason}"
        for survivor in data["survivors"]:
            yield "not tested", f"{survivor['change']}: {survivor['reason']}"


def _asks(data: Data) -> Iterator[Row]:
    yield "applies to", ", ".join(f"each {t}" for t in data["applies_to"]) or "the whole job"
    yield "edition", f"{data['ruleset']['id']}: {edition(data['ruleset'])}"
    yield from _conditions("if", data["if"])
    yield "before", PRINTED[data["before"]]
    yield from _conditions("must", data["must"])
    yield "decide", data["judge"]
    for way in data["or_by"]:
        yield "or", f"{way['title']}: {way['words']}"
        yield "or", f"[{way['text']}]"
        yield "or", _cited(way["source"])
    for item in data["evidence"]:
        yield "evidence", f"{item['kind']}: {item['counts_when']}"
    if data["known"]:
        *better, least = data["known"]
        yield "known", " or ".join(filter(None, (", ".join(better), least)))


def _conditions(label: str, condition: Data | None) -> Iterator[Row]:
    if condition:
        yield label, condition["words"]
        yield label, f"[{condition['text']}]"


def _carries(data: Data) -> Iterator[Row]:
    yield "danger", data["danger"]
    yield "holds up", STOPS[HoldsUp(data["holds_up"])]
    by = data["set_aside_by"]
    yield "set aside", f"by the {by}, in writing with evidence" if by != "nobody" else "by nobody"
    yield "held by", data["held_by"]
    yield "bring", data["bring"]


def _rests(data: Data, briefly: bool) -> Iterator[Row]:
    yield "source", _cited(data["source"])
    if briefly:
        return
    yield "source", data["source"]["published"]
    for limit in data["limits"]:
        yield "limit", f"{limit['title']} [limits.{limit['name']}]"
        for rows in limit["editions"]:
            yield "limit", _edition_of(rows)
    for quantity in data["quantities"]:
        unit = f", in {quantity['unit']}" if quantity["unit"] else ""
        yield "worked out", f"{quantity['title']}{unit} [{quantity['name']}]"
        yield "worked out", f"= {quantity['formula']}"
        yield "worked out", f"from {', '.join(quantity['inputs'])}"
        yield "worked out", _cited(quantity["source"])
        yield "worked out", quantity["note"]


def _edition_of(rows: Data) -> str:
    values = (f"{v['at']}: {v['value']}" if v["at"] else v["value"] for v in rows["values"])
    until = f" until {rows['until']}" if rows["until"] else ""
    force = "" if rows["in_force"] else ", not in force today"
    return f"{', '.join(values)}; from {rows['from']}{until}{force}; {_cited(rows['source'])}"


def _sure(data: Data, briefly: bool) -> Iterator[Row]:
    """What each word for how sure we are means, of those that were used."""
    sources = [data["source"], *(way["source"] for way in data["or_by"])]
    if not briefly:
        sources += [rows["source"] for limit in data["limits"] for rows in limit["editions"]]
        sources += [quantity["source"] for quantity in data["quantities"]]
    for word, meaning in {s["confidence"]: s["meaning"] for s in sources}.items():
        yield "how sure", f"{word}: {meaning}"


def _cited(source: Data) -> str:
    clause = f", {source['clause']}" if source["clause"] else ""
    return f"{source['title']}{clause} ({source['confidence']})"


def edition(ruleset: Data) -> str:
    """When a ruleset applies, in words."""
    until = f" and before {ruleset['until']}" if ruleset["until"] else ""
    what = ruleset["by"].replace("_", " ")
    named = f"edition {ruleset['edition']}, " if ruleset["edition"] else ""
    return f"{ruleset['jurisdiction']}, {named}for what was {what} from {ruleset['from']}{until}"


def listed(data: Data) -> str:
    """Every requirement on one line, below its ruleset."""
    rows = [*data["requirements"], *data["questions"]]
    widest = max((len(row["id"]) for row in rows), default=0)
    lines: list[str] = []
    for ruleset in data["rulesets"]:
        head = f"{ruleset['title']} ({ruleset['id']}; {edition(ruleset)})"
        lines += ["", *wrapped(head)] if lines else wrapped(head)
        for requirement in data["requirements"]:
            if (requirement["ruleset"], requirement["from"]) == (ruleset["id"], ruleset["from"]):
                lines.append(f"  {requirement['id']:<{widest}}  {requirement['title']}")
    if data["questions"]:
        lines += ["", *wrapped("Questions that a reader of the record would ask; never findings")]
    for question in data["questions"]:
        lines.append(f"  {question['id']:<{widest}}  {question['ask'].partition('?')[0]}?")
    return "\n".join(lines)
