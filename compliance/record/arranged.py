"""How a like job was put together: what a new one of its kind is planned as, until it is seen.

Taken over is what is settled at the desk: which string feeds which input, which switch, cable
and surge device serves what, the products and the words of the labels, which tests are made
with which instrument, and the papers about products. Never what somebody has to see or read
at this house: places, lengths, ratings on site, marks, serial numbers, readings, days. What can be
said once of all of it is left to batches that nobody speaks for yet: one for what is seen once
it is fitted, one for the tests of each instrument (`compliance.record.said_once`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from compliance.record.joined import mappings
from compliance.record.meant import TESTS, subject_of

Group = dict[str, Any]

_BATCHES = {
    "strings": "string-tests",
    "parts": "circuit-tests",
    "circuits": "circuit-tests",
    "components.inverter": "circuit-tests",
    "isolators": "circuit-tests",
}
"""The batch of tests of each kind of subject that are read with an instrument."""

_PRODUCT = ("usual", "part")
KEPT: Mapping[str, tuple[str, ...]] = {
    "strings": ("modules", "parallel", "input", "fuse"),
    "connector_pairs": ("on", "at", "pole", "one"),
    "isolators": (*_PRODUCT, "side", "serves", "product"),
    "surge": (*_PRODUCT, "side", "serves", "place", "type", "earth_path", "connected",
              "before_rcd", "continuous_v", "protection_level_kv", "disconnector", "backup_a",
              "greatest_backup_a", "connection_type"),
    "cables": (*_PRODUCT, "serves", "pole", "designation", "insulation", "rated_v", "size_mm2"),
    "circuits": (*_PRODUCT, "feeds", "disconnected_by", "device", "cable", "rcd"),
    "labels": (*_PRODUCT, "kind", "place", "marks", "inverter", "junction", "circuit", "names",
               "wording", "lasting", "language"),
    "scaffolds": ("serves",),
}  # fmt: skip
"""What is settled at the desk, by collection."""

AS_BUILT = "as-built"
"""The batch of all that is seen on the walk round once everything is fitted."""
ONCE_FITTED = "all as it was found once it was fitted: by, on, and what is the same for all"
SEEN_WORKING = "seen-working"
ONCE_MADE = "tests, once they were made: by, on, and what is the same for all"
SEEN = ("strings", "connector_pairs", "isolators", "surge", "cables", "labels")

PAPERS = ("datasheet", "certificate", "declaration", "register extract")


def arranged(data: Mapping[str, Any], parts: Mapping[str, str], faces: int) -> Group:
    """Of a like job's record as it was written, how the new one is planned.

    Args:
        data: The like job's record.
        parts: The kinds of the new job's parts, by short name.
        faces: How many strings the new job has.

    Returns:
        The collections to begin with; nothing if the like job has other parts or strings.
    """
    theirs = {str(name): str(part.get("kind")) for name, part in mappings(data, "parts")}
    if sorted(theirs.values()) != sorted(parts.values()) or len(set(theirs.values())) < len(theirs):
        return {}
    if len(list(mappings(data, "strings"))) != faces:
        return {}
    ours = {kind: name for name, kind in parts.items()}
    called = {name: ours[kind] for name, kind in theirs.items()}
    made: Group = {c: dict(_kept(data, c, called)) for c in KEPT if data.get(c) != "none"}
    made |= {c: "none" for c in ("connector_pairs", "cables", "junctions") if data.get(c) == "none"}
    tests = list(_tests(data, called))
    made["tests"] = tests
    made["judgements"] = list(_judgements(data, called))
    made["batches"] = {AS_BUILT: {"what": ONCE_FITTED}} | dict(_test_batches(tests))
    return {name: held for name, held in made.items() if held}


def visits(data: Mapping[str, Any], planned: int) -> list[Group]:
    """Who went on each visit, with what access, and as the firm usually does.

    Taken over where as many are planned; for a single one it is the last, which finished the job.
    """
    there = [visit for _, visit in mappings(data, "visits")]
    there = there[-1:] if planned == 1 else there
    kept = [{k: v[k] for k in ("usual", "who", "access") if k in v} for v in there]
    return kept if len(there) == planned and all(kept) else []


def papers(
    data: Mapping[str, Any], planned: Mapping[str, Any], components: Mapping[str, Any]
) -> dict[str, Group]:
    """The papers about products, of those that the new job has too."""
    known = set(components)
    for collection in KEPT:
        for name, entry in mappings(planned, collection):
            known |= {str(name), str(entry.get("product", name))}
    found: dict[str, Group] = {}
    for name, said in _spoken(data, "evidence"):
        about = said.get("about", ())
        listed = [str(a) for a in (about if isinstance(about, list) else [about])]
        still = [each for each in listed if each in known]
        if str(said.get("kind")) in PAPERS and still:
            kept: Group = {k: said[k] for k in ("file", "kind", "shows", "by", "on") if k in said}
            found[name] = kept | {"about": still}
    return found


def planned(strings: Iterable[str], subjects: Mapping[str, Iterable[str]]) -> Group:
    """What any job of some strings and subjects of tests needs, before anything of it is seen.

    Args:
        strings: The short names of the strings.
        subjects: The short names by what tests are of, such as `components.inverter`.
    """
    pairs = {
        f"{string}-{end}-{pole}": {"on": string, "at": end, "pole": pole, "batch": AS_BUILT}
        for string in strings
        for end in ("array", "inverter")
        for pole in ("positive", "negative")
    }
    tests = [
        {"test": tag, "of": name, "batch": SEEN_WORKING if model.is_seen else _BATCHES[to]}
        for to in _BATCHES
        for name in subjects.get(to, ())
        for tag, model in TESTS.items()
        if subject_of(model) == to
    ]
    made: Group = {"tests": tests, "batches": dict(_test_batches(tests))}
    if pairs:
        made["connector_pairs"] = pairs
        made["batches"] = {AS_BUILT: {"what": ONCE_FITTED}} | made["batches"]
    return made


def _kept(
    data: Mapping[str, Any], collection: str, called: Mapping[str, str]
) -> Iterator[tuple[str, Group]]:
    for name, entry in mappings(data, collection):
        kept = {key: entry[key] for key in KEPT[collection] if key in entry}
        if collection == "isolators" and entry.get("side") == "supply":
            kept.pop("usual", None)  # the house's own main switch, not one that the firm brings
        for key in {"part", "serves"} & kept.keys():
            kept[key] = _ours(kept[key], called)
        if collection in SEEN:
            kept["batch"] = AS_BUILT
        yield str(name), kept


def _ours(named: Any, called: Mapping[str, str]) -> Any:
    """What the like job's parts are called in the new one; other names stay as they are."""
    if isinstance(named, list):
        return [called.get(str(each), each) for each in named]
    return called.get(str(named), named)


def _judgements(data: Mapping[str, Any], called: Mapping[str, str]) -> Iterator[Group]:
    """What a person has to decide once more, of what the new job has by the same name."""
    for _, entry in mappings(data, "judgements"):
        kept = {k: _ours(entry[k], called) for k in ("requirement", "subject") if k in entry}
        yield kept | {"batch": AS_BUILT}


def _tests(data: Mapping[str, Any], called: Mapping[str, str]) -> Iterator[Group]:
    """Each test of each subject once, in the batch of what it is made with."""
    met: set[tuple[str, str]] = set()
    for _, said in _spoken(data, "tests"):
        test, of = str(said["test"]), str(said["of"])
        if (test, of) in met:
            continue
        met.add((test, of))
        yield {"test": test, "of": called.get(of, of), "batch": _made_with(said)}


def _made_with(said: Mapping[str, Any]) -> str:
    if str(said.get("known")) == "seen":
        return SEEN_WORKING
    return f"read-with-{said['instrument']}" if "instrument" in said else "read"


def _test_batches(tests: list[Group]) -> Iterator[tuple[str, Group]]:
    for name in dict.fromkeys(test["batch"] for test in tests):
        said: Group = {"what": ONCE_MADE}
        if name == SEEN_WORKING:
            said["known"] = "seen"
        elif name.startswith("read-with-"):
            said["instrument"] = name.removeprefix("read-with-")
        yield name, said


def _spoken(data: Mapping[str, Any], collection: str) -> Iterator[tuple[str, Group]]:
    """The entries of a collection with what their batches say of them."""
    batches = dict(mappings(data, "batches"))
    for name, entry in mappings(data, collection):
        yield str(name), {**batches.get(str(entry.get("batch", "")), {}), **entry}
