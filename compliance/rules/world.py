"""One record as the rules see it: its view, the day, limits, and what is found out only once."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, NamedTuple

from compliance.evidence import Seen
from compliance.rules.editions import STATEMENT, covered_from_to, in_force
from compliance.rules.language.interval import Interval
from compliance.rules.language.kinds import Word
from compliance.rules.language.ruling import Clause
from compliance.rules.language.scene import Scene
from compliance.rules.limits import LimitTables
from compliance.rules.outcome import Need
from compliance.rules.points import ahead_and_day, day_of, lies_ahead
from compliance.rules.quantities import QUANTITIES, table_of
from compliance.rules.rule import Head
from compliance.rules.shown import lacking
from compliance.rules.supply import need
from compliance.values import Over, Unknown

Entry = Mapping[str, Any]
Needs = tuple[tuple[str, str], ...]

_OWNERS = {name: owner for owner, name in QUANTITIES}


class RecordWorld:
    """The world of one record: its view, the day, limits, quantities worked out once, evidence."""

    def __init__(
        self, job: Entry, today: date, tables: LimitTables, seen: Mapping[str, Seen]
    ) -> None:
        self.job = job
        self.today = today
        self.tables = tables
        self.seen = seen
        self.worked_out: dict[tuple[int, str], float | Over | Unknown] = {}
        """Values worked out so far, each once: by the identity of its entry, and by name."""
        self.has_repeats = "~repeats" in job
        self._found: dict[Any, Any] = {}
        """Days, standings, limits, points ahead, each found once; their keys are of four sorts."""

    def limit(self, name: str, arguments: tuple[Any, ...], day: date) -> Interval | None:
        """The limit in force on a day."""
        return self.tables.value(name, arguments, day)

    def quantity(self, owner: str, name: str, entry: Entry) -> float | Over | Unknown:
        """A worked-out value of an entry, worked out on first demand."""
        key = (id(entry), name)
        value = self.worked_out.get(key)
        if value is None:
            value = self.worked_out[key] = QUANTITIES[owner, name].reader(entry, self)
        return value

    def let_go(self) -> None:
        """Forgets worked-out values: what one lacks refers back to this world, and a circle
        would wait for the garbage collector, record after record."""
        self.worked_out.clear()

    def worked(self, name: str, entry: Entry) -> float | Over | Unknown | None:
        """The same by name alone, for quantities that use others."""
        owner = _OWNERS.get(name)
        return None if owner is None else self.quantity(owner, name, entry)

    def table(self, name: str, at: str | float | None) -> tuple[float | None, Needs]:
        """A limit as the input of a quantity, on the day the job was designed."""
        found = self._found.get((name, at))
        if found is None:
            day = self.day(None, "designed") or self.today
            found = self._found[name, at] = table_of(day, self.tables, name, at)
        return found

    def listed(self, name: str) -> tuple[str, ...]:
        """The words at which a limit table is asked."""
        (argument,) = self.tables.signs[name].arguments
        return argument.words if isinstance(argument, Word) else ()

    def evidence(self, kind: str, entry: Entry, before: str) -> Needs:
        """What is lacking for evidence of a kind to count for an entry."""
        return lacking(kind, entry, before, self.job, self.seen, self.today)

    def standing(self, head: Head, subject: Entry | None) -> Standing:
        """Whether an edition counts for a subject, or for the job; the same for all of one part."""
        key = (id(head), id(None if subject is None else subject.get("part")))
        found = self._found.get(key)
        if found is None:
            found = self._found[key] = _standing(head, self.day(subject, head.by), self)
        return found

    def is_ahead(self, before: str, subject: Entry | None) -> bool:
        """Whether a point of no return still lies ahead of a subject, or of the job."""
        if subject is None:
            found = self._found.get(before)
            if found is None:
                found = self._found[before] = lies_ahead(before, None, self.job, self.today)
            return found
        return lies_ahead(before, subject, self.job, self.today)

    def day(self, subject: Entry | None, by: str) -> date | None:
        """The date of a subject's part that picks an edition."""
        if subject is not None and "part" in subject:
            known = subject["part"].get(by)
            if known.__class__ is date:  # the usual case, asked once for each subject
                return known
        key = (id(subject), by)
        if key not in self._found:
            self._found[key] = day_of(by, subject, self.job)
        found: date | None = self._found[key]
        return found


class Standing(NamedTuple):
    """Whether an edition counts for a subject, by which day, and what is to be said of that.

    `counts` is None where the record has to state the edition; `uncovered` says so if no
    edition covers the day: nothing of the ruleset was checked.
    """

    day: date | None
    counts: bool | None
    remark: str
    uncovered: str


class About:
    """One subject of one record, as every rule about it needs it; found out once."""

    __slots__ = ("_scenes", "entries", "found", "known_rank", "last", "name", "part", "world")

    def __init__(self, entries: tuple[Entry, ...], world: RecordWorld) -> None:
        self.entries = entries
        self.world = world
        self.found: dict[Any, Any] = {}
        """How what rules rest on is known, by its number; points of no return, by name; needs
        with their sentences, by path and reason."""
        self.known_rank: int | None = None
        """How well the subject itself is known, by `compliance.rules.known`."""
        self._scenes: tuple[Scene, ...] = ()
        self.last: Entry | None = None
        self.name = "job"
        self.part = ""
        if not entries:
            return
        last = self.last = entries[-1]
        self.name = last["~name"]
        if len(entries) > 1:
            self.name = " / ".join([entry["~name"] for entry in entries])
        if "part" in last:
            self.part = last["part"].get("~name", "")

    def scene(self, clause: Clause, day: date | None) -> Scene:
        """The subject's scene under a rule that loops to all of its entries."""
        before = clause.before
        for found in self._scenes:
            if found.before == before and (found.day is day or found.day == day):
                return found
        names: dict[str, Entry] = {}
        labels: dict[str, str] = {}
        for (name, _), entry in zip(clause.loops, self.entries, strict=True):
            names[name] = entry
            labels[name] = name
        made = Scene(self.world, names, labels, day, before)
        self._scenes += (made,)
        return made

    def point(self, before: str) -> tuple[bool, date | None]:
        """Whether a point of no return still lies ahead of the subject, and its day if known."""
        found: tuple[bool, date | None] | None = self.found.get(before)
        if found is None:
            world = self.world
            found = self.found[before] = ahead_and_day(before, self.last, world.job, world.today)
        return found

    def need(self, lacking: tuple[str, str], scene: Scene) -> Need:
        """What a rule lacks, by its path and reason, with its sentence."""
        found: Need | None = self.found.get(lacking)
        if found is None:
            subject = self.name if self.entries else "the job"
            found = self.found[lacking] = need(*lacking, scene.names, subject, self.world.job)
        return found


def _standing(head: Head, known: date | None, world: RecordWorld) -> Standing:
    day = known or world.today
    counts = in_force(head, day, world.job.get(STATEMENT, ()))
    is_covered = counts is not False or any(one.covers(day) for one in (head, *head.others))
    return Standing(
        known,
        counts,
        "" if known else _edition_remark(head),
        "" if is_covered else _uncovered(head, day),
    )


def _uncovered(head: Head, day: date) -> str:
    start, end = covered_from_to(head)
    return (
        f"{head.title}: not checked for what was {head.by.replace('_', ' ')} on "
        f"{day.isoformat()}; {head.id} applies from {start.isoformat()}"
        + (f" until {end.isoformat()}" if end else "")
    )


def _edition_remark(head: Head) -> str:
    return (
        f"The record does not say when this part was {head.by.replace('_', ' ')}; the "
        "edition in force on the day of the check was used."
    )
