"""The first record of a job: what six answers say of it, and where everything else will stand."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterator, Mapping
from types import MappingProxyType
from typing import Any

from compliance.record.arranged import AS_BUILT, SEEN_WORKING, planned
from compliance.record.questions import Answers

_FIGURE = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?|[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_PLAIN = re.compile(r"[A-Za-z][\w ,.()/-]*", re.ASCII)
_KINDS = {"panels": "array", "battery": "battery", "charger": "charger"}
_WORDS = {"panels": "PV system", "battery": "battery", "charger": "car charger"}
_WORK = {"new": "New", "replacement": "Replaced", "addition": "Added"}

_WITH_ANY = ("switch-disconnector", "surge device")
"""Components that any job may have and no answer names."""

Group = dict[str, Any]

SHARED_DAYS = "all-parts"
"""The batch that says the days of all parts of a job."""

ONLY_VISIT = "day of visit 1"

_NOTES = {
    "organisation": "name, address and phone of the firm",
    "customer": "name of the customer",
    "site": "address; lowest_cell_c, the lowest temperature that its cells reach",
    "site.supply.nominal_v": "of one phase to neutral, as public supplies here are declared",
    "parts": "each with its days: agreed, designed, started, covered, in_use, handed_over",
    "people": "a short name each: name, role, competence",
    "instruments": "a short name each: kind, serial, calibration_due",
    "visits": "a day each: on, who, done, and how it was left",
    "components": "maker, model, serials and figures, from plate and datasheet",
    "strings": "in_series: how many modules each has; one entry a string",
    "isolators": "place, rating and what each opens, as it is read there",
    "cables": "one a pole; what it is, where it runs, what is marked on it",
    "circuits": "board and protective device (kind, curve, rated_a), RCD; one entry a circuit",
    "labels": "one entry for each that was fitted, once it hangs",
    "tests": "compliance reading JOB S1 polarity result=correct by=NAME adds one",
    "evidence": "photos and papers under evidence/: file, kind, about, shows, by, on",
}


def skeleton(
    given: Answers,
    *,
    reference: str,
    jurisdiction: str,
    like: Mapping[str, Any] = MappingProxyType({}),
    usual: Collection[str] = (),
) -> bytes:
    """The text of a first `installation.yaml`, one value a line, in block style.

    Only what the answers say stands in it; what is not known is left out, with a word on
    what comes where. `like` is what a like job's record says that stays the same: its
    components take the places of those that the answers name, and how it was put together
    that of what the answers alone can tell. `usual` are the names of the firm's usual batches:
    a batch of that name is done as the firm always does it, once somebody speaks for it.
    """
    parts = _Named(given, like.get("components", {}))
    none_before = "none" if given.old_array == "no old array" else ""
    record: Group = {
        "record": "installation/2",
        "reference": reference,
        "jurisdiction": jurisdiction,
        "title": _title(given),
        "organisation": like.get("organisation"),
        "customer": None,
        "plan": {"work": given.work, "old_array": given.old_array, "visits": str(given.visits)},
        "site": {**like.get("site", {}), "supply": _supply(given)},
        "parts": {name: _part(given, name) for name in part_kinds(given)},
        "tariffs": none_before,
        "people": like.get("people"),
        "instruments": like.get("instruments"),
        "scaffolds": "",
        "visits": None,
        "components": parts.components,
        "strings": {name: _string(parts) for name in _strings(given)} or _no_array(given),
        "connector_pairs": _no_array(given),
        "isolators": dict(_isolators(given, parts)),
        "cables": dict(_cables(given)) or _no_array(given),
        "junctions": _no_array(given),
        "circuits": dict(_circuits(given, parts)),
        "surge": "",
        "labels": None,
        "tests": None,
        "evidence": None,
        "judgements": "",
        "batches": _batches(given),
    }
    arranged = like.get("arranged") or planned(_strings(given), _tested(record))
    for name, held in arranged.items():
        record[name] = {**record[name], **held} if name == "batches" else held
    for name, batch in record["batches"].items():
        if name in usual:
            batch["usual"] = name
        if name in (AS_BUILT, SEEN_WORKING) and given.visits == 1:
            batch["on"] = ONLY_VISIT
    head = "# What is not known yet is left out. Notes like this one say what comes where.\n"
    return (head + "".join(_lines(record))).encode()


def _title(given: Answers) -> str:
    *most, last = (_WORDS[thing] for thing in given.fitted)
    things = f"{', '.join(most)} and {last}" if most else last
    return f"{_WORK[given.work]} {things}"


def _supply(given: Answers) -> Group:
    """Where phases are known, also the voltage that goes with a public low-voltage supply."""
    nominal = "230" if given.phases else ""
    return {"phases": given.phases, "nominal_v": nominal, "earthing": given.earthing}


def _has_inverter(given: Answers) -> bool:
    return given.fitted != ("charger",)


def part_kinds(given: Answers) -> dict[str, str]:
    """The parts that the answers name, each called by its kind."""
    kinds = [_KINDS[thing] for thing in given.fitted]
    if _has_inverter(given):
        kinds.insert(1 if "panels" in given.fitted else 0, "inverter")
    return {kind: kind for kind in kinds}


def _part(given: Answers, kind: str) -> Group:
    """A part; where there are several, the days that they share are said once."""
    part: Group = {"kind": kind}
    if len(part_kinds(given)) > 1:
        part["batch"] = SHARED_DAYS
    else:
        part |= _days(given)
    if kind == "array" and given.old_array == "no old array":
        part["dc_on_arrival"] = "no array there"
    if kind == "array":
        part["nests"] = {"batch": AS_BUILT}
    return part


def _days(given: Answers) -> Group:
    """The days of a part that are those of the only visit, where there is one."""
    if given.visits > 1:
        return {}
    return dict.fromkeys(("started", "covered", "in_use"), ONLY_VISIT)


def _batches(given: Answers) -> Group:
    what = "the days that all parts share, and by: who says so"
    return {SHARED_DAYS: {"what": what, **_days(given)}} if len(part_kinds(given)) > 1 else {}


def _components(given: Answers) -> Iterator[tuple[str, Group]]:
    if "panels" in given.fitted:
        yield "mod", {"category": "module"}
        yield "kit", {"category": "mounting", "kind": given.mounting}
        yield "plug", {"category": "connector"}
        yield "wire", {"category": "cable", "side": "dc"}
    if _has_inverter(given):
        yield "inv", {"category": "inverter"}
    if "battery" in given.fitted:
        yield "bat", {"category": "battery"}
    if "charger" in given.fitted:
        yield "car", {"category": "charger"}


class _Named:
    """The components of a new job by name: those of a like job where it has the kind."""

    def __init__(self, given: Answers, like: Mapping[str, Group]) -> None:
        self.components: Group = {}
        wanted = dict(_components(given))
        kinds = {entry["category"] for entry in wanted.values()}
        alike = {name: entry for name, entry in like.items() if entry["category"] in kinds}
        for name, entry in wanted.items():
            known = [n for n, found in alike.items() if found["category"] == entry["category"]]
            self.components |= {n: {**alike[n], **entry} for n in known} or {name: entry}
        self.components |= {n: e for n, e in like.items() if e["category"] in _WITH_ANY}

    def name(self, category: str) -> str:
        """The first component of a category."""
        return next(n for n, e in self.components.items() if e["category"] == category)


def _no_array(given: Answers) -> str:
    """That there is nothing of an array, where the answers say so: none fitted and no old one."""
    has_array = "panels" in given.fitted or given.old_array != "no old array"
    return "" if has_array else "none"


def _strings(given: Answers) -> list[str]:
    return [f"S{number}" for number in range(1, given.faces + 1)]


def _tested(record: Group) -> dict[str, list[str]]:
    """What of a first record tests are made of, by short name."""
    components = record["components"].items()
    return {
        "strings": [*record["strings"]] if isinstance(record["strings"], dict) else [],
        "parts": [name for name, part in record["parts"].items() if part["kind"] == "array"],
        "circuits": [*record["circuits"]],
        "components.inverter": [n for n, e in components if e["category"] == "inverter"],
        "isolators": [*record["isolators"]],
    }


def _string(parts: _Named) -> Group:
    return {"modules": parts.name("module"), "input": {"inverter": parts.name("inverter")}}


def _isolators(given: Answers, parts: _Named) -> Iterator[tuple[str, Group]]:
    for number, string in enumerate(_strings(given), 1):
        yield f"dc{number}", {"side": "dc", "serves": string}
    if _has_inverter(given):
        yield "ac1", {"side": "ac", "serves": parts.name("inverter")}
    yield "main", {"side": "supply"}


def _cables(given: Answers) -> Iterator[tuple[str, Group]]:
    for string in _strings(given):
        yield f"{string}+", {"serves": string, "pole": "positive"}
        yield f"{string}-", {"serves": string, "pole": "negative"}


def _circuits(given: Answers, parts: _Named) -> Iterator[tuple[str, Group]]:
    if _has_inverter(given):
        yield "C1", {"part": "inverter", "feeds": parts.name("inverter")}
    if "charger" in given.fitted:
        yield f"C{1 + _has_inverter(given)}", {"part": "charger", "feeds": parts.name("charger")}


# -- text -------------------------------------------------------------------------------


def _lines(group: Mapping[str, Any], *above: str) -> Iterator[str]:
    """The lines of a group; what is empty is left out, and what comes there is said."""
    indent = "  " * len(above)
    for name, value in group.items():
        path = ".".join((*above, name))
        note = f"  # {_NOTES[path]}" if path in _NOTES else ""
        if isinstance(value, Mapping):
            inside = list(_lines(value, *above, name))
            if inside:
                yield f"{indent}{name}:{note}\n"
                yield from inside
        elif isinstance(value, list):
            yield f"{indent}{name}:{note}\n"
            yield from _items(value, indent)
        elif value:
            yield f"{indent}{name}: {_written(value)}{note}\n"
        elif value is None:
            yield f"{indent}# {name}: {_NOTES[path]}\n"


def _items(items: list[Any], indent: str) -> Iterator[str]:
    for item in items:
        lines = [item] if isinstance(item, str) else [line for line in _lines(item)]
        first, *rest = [_written(line) + "\n" if line is item else line for line in lines]
        yield f"{indent}  - {first}"
        yield from (f"{indent}    {line}" for line in rest)


def _written(text: str) -> str:
    """A text as YAML, in quotes unless it is plain words, a plain number or a day."""
    is_plain = bool(_FIGURE.fullmatch(text) or _PLAIN.fullmatch(text))
    return text if is_plain and text == text.strip() else json.dumps(text, ensure_ascii=False)
