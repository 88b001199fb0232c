"""Editions of a ruleset: which one counts for what is of a day, and whether they fit together.

The files of one `ruleset` are its editions. Their days must neither overlap nor leave a hole,
unless each names the other as its permitted `alternative`: then the record states, as
`designed_to`, which of the two a job follows.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from compliance.errors import Place, RulesetError
from compliance.rules.refusals import (
    ChangedMeaningError,
    EditionNameError,
    EditionsError,
    RequirementTwiceError,
)
from compliance.rules.rule import Asking, Head, Rule

STATEMENT = "designed_to"
"""The field of the record that states which of two permitted editions a job follows."""
Needs = tuple[tuple[str, str], ...]


def in_force(head: Head, day: date, stated: Collection[str]) -> bool | None:
    """Whether an edition counts for what is of a day; None where the record has to state it.

    Args:
        head: The edition, which knows the others of its ruleset.
        day: The day that picks the edition.
        stated: The documents that the record says the job was designed to.
    """
    if not head.covers(day):
        return False
    permitted = [other.edition for other in head.others if other.covers(day)]
    if not permitted:
        return True
    named = [edition for edition in (head.edition, *permitted) if edition in stated]
    return named == [head.edition] if len(named) == 1 else None


def lacking_statement(head: Head, day: date) -> Needs:
    """What the record has to state where `in_force` cannot tell."""
    editions = sorted({h.edition for h in (head, *head.others) if h.covers(day)})
    return ((STATEMENT, f"one of {', '.join(editions)}, each permitted for {day.isoformat()}"),)


def covered_from_to(head: Head) -> tuple[date, date | None]:
    """The first day of a ruleset's first edition, and the end of its last if it has one."""
    heads = (head, *head.others)
    ends = [h.end for h in heads if h.end is not None]
    return min(h.start for h in heads), max(ends) if len(ends) == len(heads) else None


# -- the files of a ruleset beside each other -------------------------------------------


@dataclass(frozen=True, slots=True)
class Edition:
    """The head of one file, with what it says of the others and where."""

    head: Head
    alternative: str
    place: Place


def with_others(head: Head, heads: Sequence[Head]) -> Head:
    """A head that knows the other editions of its ruleset."""
    return replace(head, others=tuple(h for h in heads if h.id == head.id and h is not head))


def edition_faults(editions: Sequence[Edition]) -> Iterator[RulesetError]:
    """Whatever keeps the files of each ruleset from being its editions."""
    by_ruleset: dict[str, list[Edition]] = {}
    for edition in editions:
        by_ruleset.setdefault(edition.head.id, []).append(edition)
    for same in by_ruleset.values():
        same.sort(key=lambda edition: edition.head.start)
        yield from _names(same)
        yield from _days(same)


def _names(same: Sequence[Edition]) -> Iterator[RulesetError]:
    known = [edition.head.edition for edition in same]
    first: dict[str, Place] = {}
    for edition in same:
        name = edition.head.edition
        if len(same) > 1 and not name:
            what = f'"{edition.head.id}" has several files, so each needs `edition`'
            yield EditionNameError(what, "", (), edition.place)
        elif name in first:
            what = f'the edition "{name}" already stands in {first[name]}'
            yield EditionNameError(what, "", (), edition.place)
        first.setdefault(name, edition.place)
        if edition.alternative and edition.alternative not in {*known} - {name}:
            what = f'the alternative "{edition.alternative}" is no other edition of this ruleset'
            others = [other for other in known if other and other != name]
            yield EditionNameError(what, edition.alternative, others, edition.place)


def _days(same: Sequence[Edition]) -> Iterator[RulesetError]:
    for edition in same:
        head = edition.head
        if head.end is not None and head.end <= head.start:
            yield EditionsError(head.id, "have one that ends before it begins", edition.place)
    for first, second in itertools.combinations(same, 2):
        if first.head.by != second.head.by:
            what = f"are picked by different dates, {first.head.by} and {second.head.by}"
            yield EditionsError(first.head.id, what, second.place, first.place)
        if _overlap(first.head, second.head) and not _permitted(first, second):
            what = (
                "overlap, and do not each name the other as its permitted `alternative`: from "
                f"{second.head.start.isoformat()} both apply"
            )
            yield EditionsError(first.head.id, what, second.place, first.place)
    reaching = same[0]
    for edition in same[1:]:
        end = reaching.head.end
        if end is not None and end < edition.head.start:
            what = f"leave a hole from {end.isoformat()} to {edition.head.start.isoformat()}"
            yield EditionsError(edition.head.id, what, edition.place, reaching.place)
        if end is not None and (edition.head.end is None or edition.head.end > end):
            reaching = edition


def _overlap(first: Head, second: Head) -> bool:
    return first.end is None or first.end > second.start


def _permitted(first: Edition, second: Edition) -> bool:
    named = (first.alternative, second.alternative)
    return all(named) and named == (second.head.edition, first.head.edition)


# -- ids across editions -----------------------------------------------------------------


def ids_used_twice(rules: Iterable[Rule | Asking]) -> Iterator[RulesetError]:
    """Ids that stand twice, unless in two editions of one ruleset and with one meaning."""
    first: dict[str, _Said] = {}
    in_file: dict[tuple[str, str], _Said] = {}
    for here in map(_said_of, rules):
        before = first.setdefault(here.id, here)
        same_file = in_file.setdefault((here.id, here.place.file), here)
        if before is here:
            continue
        is_edition = here.head.id == before.head.id and same_file is here
        if not is_edition or set(here.same) != set(before.same):
            first_place = before.place if same_file is here else same_file.place
            yield RequirementTwiceError(here.id, first_place, here.place)
            continue
        for key, value in here.same.items():
            if value != before.same[key]:
                yield ChangedMeaningError(here.id, key, before.place, here.place)


@dataclass(frozen=True, slots=True)
class _Said:
    """What must stay the same of a requirement or question in every edition."""

    id: str
    head: Head
    place: Place
    same: Mapping[str, object]


def _said_of(of: Rule | Asking) -> _Said:
    loops = of.wording.loops
    if isinstance(of, Asking):
        return _Said(of.id, of.head, of.place, {"ask": of.ask, "for": loops})
    requirement = of.requirement
    same = {"title": requirement.title, "for": loops}
    return _Said(requirement.id, of.head, of.place, same)
