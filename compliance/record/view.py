"""The view: a record as the plain dicts, lists, numbers, words and dates that rules read.

References are followed both ways, the last test of each kind stands on its subject,
every entry knows its short name and its part. What was left out is absent; the other
ways of saying nothing are the values of `compliance.values`. Text is normalised here,
so that rules compare it as it stands.

Keys that begin with `~` are for the check itself; no rule can name them: `~name` is the
short name, `~earlier` the tests that a repeated test stands in for.

A view is of a day: what a test dated later reads is not known yet on that day.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from compliance.record.entry import Entry, Group
from compliance.record.installation import Installation
from compliance.record.kinds import Reference
from compliance.record.parts import fitting_parts
from compliance.record.shape import FieldShape, fields
from compliance.record.site import Alteration, Visit, visit_names
from compliance.record.tests import Test
from compliance.values import NotTaken, Partly, Unknown, plain

View = dict[str, Any]


def view(record: Installation, on: date | None = None) -> View:
    """The view of a record: the job as a dict, entries below it as further dicts.

    Args:
        record: The record.
        on: The day of the check. The last test on or before it counts; a test dated later
            is left out, and where there is no other its subject says so; a later alteration
            is left out; how a later visit leaves the site is not known. None: all count,
            whatever their dates.
    """
    return _Builder(record, on).built()


@dataclass(frozen=True, slots=True)
class _Link:
    """A reference still to be followed: the group that holds it, and the entry it is part of."""

    held: View
    entry: View
    name: str
    kind: Reference
    written: Any


class _Builder:
    def __init__(self, record: Installation, on: date | None) -> None:
        self.record = record
        self.on = on
        self.later: list[Test] = []
        self.named: dict[str, dict[str, View]] = {}
        self.types: dict[int, type[Group]] = {}
        self.links: list[_Link] = []

    def built(self) -> View:
        job: View = {"~name": "job"}
        self.fill(job, self.record, job)
        self.expect_backs()
        for link in self.links:
            self.follow(link)
        self.leave_open(job)
        self.tell_apart(job)
        self.give_parts(job)
        self.settle_tests(job)
        return job

    # -- values -----------------------------------------------------------------------

    def fill(self, out: View, group: Group, entry: View) -> None:
        for name, shape in fields(type(group)).items():
            value = getattr(group, name)
            if value is None:
                continue
            if shape.section is not None:
                out[name] = {}
                self.fill(out[name], value, entry)
            elif shape.collection is not None:
                made = list(self.entries(shape, value))
                if made or not value:  # tests that are all still to come are no "none"
                    out[name] = made
            elif isinstance(shape.kind, Reference):
                self.links.append(_Link(out, entry, name, shape.kind, value))
            else:
                out[name] = plain(value) if isinstance(value, str) else value

    def entries(self, shape: FieldShape, value: Any) -> Iterator[View]:
        if isinstance(value, Mapping):
            pairs = [(str(key), entry) for key, entry in value.items()]
        else:
            pairs = list(zip(_labels(shape, value), value, strict=True))
        for key, entry in pairs:
            is_later = self.lies_ahead(entry)
            if is_later and isinstance(entry, Test):
                self.later.append(entry)
                continue
            if is_later and isinstance(entry, Alteration):
                continue
            made: View = {"~name": key}
            self.types[id(made)] = type(entry)
            self.fill(made, entry, made)
            if is_later:
                made["left"] = {}  # nobody knows yet how a visit will leave the site
                made.pop("scaffold_inspected", None)
            if isinstance(value, Mapping):
                self.named.setdefault(shape.name, {})[key] = made
            yield made

    def lies_ahead(self, entry: Entry) -> bool:
        """Whether it is a test, visit or alteration dated after the day that the view is of."""
        if not isinstance(entry, Test | Visit | Alteration) or entry.on is None or self.on is None:
            return False
        return entry.on.isoformat()[:10] > self.on.isoformat()[:10]

    # -- references -------------------------------------------------------------------

    def expect_backs(self) -> None:
        """Where a collection is known, what nothing in it refers to has an empty list of it."""
        for name, shape in fields(Installation).items():
            if getattr(self.record, name) is None:
                continue
            for back in (b for kind in shape.entries for _, b in backs(kind)):
                if not back.latest:
                    for target in self.targets(back):
                        target.setdefault(back.back, [])

    def targets(self, reference: Reference) -> Iterator[View]:
        for to in reference.targets:
            collection, _, kind = to.partition(".")
            for entry in self.named.get(collection, {}).values():
                if not kind or self.types[id(entry)].type_name() == kind:
                    yield entry

    def follow(self, link: _Link) -> None:
        collection = link.kind.to.partition(".")[0]
        names = link.written if link.kind.many else (link.written,)
        found = [self.named[collection][name] for name in names]
        link.held[link.name] = found if link.kind.many else found[0]
        if link.kind.latest:
            self.stand(link, found[0])
        elif link.kind.back:
            for target in found:
                target[link.kind.back].append(link.entry)

    def leave_open(self, job: View) -> None:
        """An entry that leaves a reference out may belong to everything it could refer to."""
        silent: dict[tuple[int, str], tuple[View, list[tuple[View, str]]]] = {}
        for name, shape in fields(Installation).items():
            for entry in job.get(name, ()) if shape.collection is not None else ():
                for steps, back in backs(self.types[id(entry)]):
                    if back.latest or _said(entry, steps):
                        continue
                    path = f"{name}[{entry['~name']}].{'.'.join(steps)}"
                    for target in self.targets(back):
                        _, found = silent.setdefault((id(target), back.back), (target, []))
                        found.append((entry, path))
        for (_, name), (target, perhaps) in silent.items():
            target[name] = Partly(target[name], perhaps)

    def stand(self, link: _Link, subject: View) -> None:
        """A test stands on its subject in place of the one before it."""
        earlier = subject.get(link.kind.back)
        if earlier is not None:
            link.entry["~earlier"] = [*earlier.get("~earlier", ()), earlier]
        link.entry["~subject"] = subject
        subject[link.kind.back] = link.entry

    def tell_apart(self, job: View) -> None:
        """Named entries of several kinds also stand in a collection of each kind."""
        for name, shape in fields(Installation).items():
            if name in job and shape.is_named and shape.tag_field:
                for kind in shape.entries:
                    job[plural(kind)] = [e for e in job[name] if self.types[id(e)] is kind]

    # -- parts and tests --------------------------------------------------------------

    def give_parts(self, job: View) -> None:
        parts = self.named.get("parts", {})
        kinds = {name: part["kind"] for name, part in parts.items()}
        for part in parts.values():
            part["part"] = part
        for collection in self.named.values():
            for entry in collection.values():
                kind = self.types[id(entry)]
                if "part" in entry or not issubclass(kind, Entry):
                    continue
                fitting = fitting_parts(kind, kinds)
                if fitting:
                    entry["part"] = parts[fitting[0]]
        self.lend_parts(job)

    def lend_parts(self, job: View) -> None:
        """What stands inside an entry, or hangs on one, is of that entry's part."""
        lent = [(c, r) for c in job.get("circuits", ()) for r in c.get("rcd", ())]
        lent += [(c, a) for c in job.get("components", ()) for a in c.get("approval", ())]
        lent += [(pair["on"], pair) for pair in job.get("connector_pairs", ())]
        for owner, entry in lent:
            if "part" in owner:
                entry["part"] = owner["part"]

    def settle_tests(self, job: View) -> None:
        """Tests take their subject's part; one not taken is no test made."""
        made = []
        for test in job.get("tests", ()):
            subject = test["~subject"]
            if "part" in subject:
                test["part"] = subject["part"]
            test.setdefault("known", "measured" if "instrument" in test else "told")
            if "not_taken" not in test:
                made.append(test)
                if "~earlier" in test:
                    job["~repeats"] = True
        for collection in self.named.values():
            for entry in collection.values():
                for name, value in entry.items():
                    if isinstance(value, dict) and "not_taken" in value:
                        entry[name] = NotTaken(value["not_taken"])
        if "tests" in job:
            job["tests"] = made
        self.wait_for_later_tests()

    def wait_for_later_tests(self) -> None:
        """What has only a test dated after the day of the check says so."""
        reason = "dated after the day of this check"
        for test in self.later:
            for (field,), kind in backs(type(test)):
                subject = self.named[kind.to.partition(".")[0]][getattr(test, field)]
                subject.setdefault(kind.back, Unknown(((kind.back, reason),)))


def _labels(shape: FieldShape, entries: list[Entry]) -> Iterator[str]:
    """What people call the entries of a list, which have no short names."""
    if Visit in shape.entries:
        return visit_names(visit.on.isoformat() for visit in entries if isinstance(visit, Visit))
    return (_label(shape, entry, number) for number, entry in enumerate(entries, 1))


def _label(shape: FieldShape, entry: Group, number: int) -> str:
    if isinstance(entry, Test):
        day = f" on {entry.on.isoformat()}" if entry.on else ""
        return f"{entry.test} of {getattr(entry, 'of', '')}{day}"
    word = shape.name.removesuffix("s")
    at_most_one = shape.collection is not None and shape.collection.at_most_one
    return word if at_most_one else f"{word} {number}"


def plural(kind: type[Group]) -> str:
    """The name of the collection of one kind of entry: `inverters`, `dc_isolators`."""
    name = kind.type_name()
    return f"{name[:-1]}ies" if name.endswith("y") else f"{name}s"


def backs(
    kind: type[Group], steps: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], Reference]]:
    """Every reference of a kind of entry that its target finds back by a name, and its path."""
    for shape in fields(kind).values():
        here = (*steps, shape.name)
        if isinstance(shape.kind, Reference) and shape.kind.back:
            yield here, shape.kind
        elif shape.section is not None:
            yield from backs(shape.section, here)


def _said(entry: View, steps: tuple[str, ...]) -> bool:
    *sections, last = steps
    for section in sections:
        entry = entry[section]
    return last in entry
