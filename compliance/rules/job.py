"""One job opened and checked: record, view, evidence and findings together."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from compliance.errors import RecordError, raise_all
from compliance.evidence import Seen, look_again
from compliance.files.cache import Cache, NoCache
from compliance.record.opened import STATEMENTS, Opened, open_record
from compliance.rules.asked import Asked, asked
from compliance.rules.beside import Beside, ThenAndNow, like_strings, then_and_now
from compliance.rules.compiled import checker
from compliance.rules.editions import STATEMENT
from compliance.rules.explained import explained
from compliance.rules.language.explain import PRINTED
from compliance.rules.outcome import Checked
from compliance.rules.rule import Rules
from compliance.rules.wanted import Wanted, wanted
from compliance.rules.world import RecordWorld


@dataclass(frozen=True, slots=True)
class Job:
    """A job folder with everything the check made of it."""

    opened: Opened
    seen: Mapping[str, Seen]
    rules: Rules
    checked: Checked

    @property
    def folder(self) -> Path:
        """The job folder."""
        return self.opened.folder

    @property
    def view(self) -> dict[str, Any]:
        """The record as rules and documents read it."""
        return self.opened.view

    def wanted(self) -> Wanted:
        """What would be right of each reading; see `compliance.rules.wanted`."""
        return wanted(self.rules, self._world())

    def asked(self, kinds: Collection[str]) -> list[Asked]:
        """What open requirements ask of tests of some kinds; see `compliance.rules.asked`."""
        return asked(self.rules, self._world(), self.checked.findings, kinds)

    def worked(self, quantity: str, entry: Mapping[str, Any]) -> float | None:
        """A quantity of an entry, which need not stand in the record; None if it is not known."""
        value = self._world().worked(quantity, entry)
        return value if isinstance(value, float) else None

    def like_strings(self) -> list[Beside]:
        """Like strings beside each other at equal conditions; see `compliance.rules.beside`."""
        return list(like_strings(self._world()))

    def then_and_now(self) -> list[ThenAndNow]:
        """What was read twice, at equal conditions; see `compliance.rules.beside`."""
        return list(then_and_now(self._world()))

    def explained(self, requirement: str) -> Checked:
        """The findings of one requirement with reasons; see `compliance.rules.explained`."""
        return explained(self.checked, requirement, self.rules, self._world())

    def _world(self) -> RecordWorld:
        return RecordWorld(self.view, self.checked.on, self.rules.tables, self.seen)


def open_job(
    folder: Path,
    rulesets: Path,
    *,
    today: date,
    on: date | None = None,
    cache: Cache | None = None,
    firm: Path | None = None,
    as_planned: bool = False,
) -> Job:
    """Opens and checks a job folder.

    Args:
        folder: The job folder.
        rulesets: The rulesets folder.
        today: The day it is; used where neither `on` nor the record's `closed` says otherwise.
        on: The day of the check, if it is not today.
        cache: Where earlier work may be taken from. Without one nothing kept is trusted,
            which is how packs are made.
        firm: The folder that holds `firm.yaml`; the one above the job if left out.
        as_planned: Whether what is planned only counts as there, as for a visit sheet.

    Raises:
        ComplianceError: If the record or a ruleset cannot be used.
    """
    cache = NoCache() if cache is None else cache
    opened = open_record(folder, cache, today=today, on=on, firm=firm, as_planned=as_planned)
    job = opened.view
    ready = checker(rulesets, job["jurisdiction"].partition("-")[0].lower(), cache)
    PRINTED.set(ready.rules.printed)
    files = {item["~name"]: item["file"] for item in job.get("evidence", ())}
    seen = look_again(folder, files, cache)
    checked = ready.check(job, seen, opened.on)
    raise_all(_statements_about_nothing(opened, ready.rules, checked))
    return Job(opened, seen, ready.rules, checked)


def _statements_about_nothing(
    opened: Opened, rules: Rules, checked: Checked
) -> Iterator[RecordError]:
    """Departures and judgements that name no requirement, or no subject of it; documents."""
    for document in opened.view.get(STATEMENT, ()):
        if document not in rules.titles:
            from compliance.record.problems import UnknownDocumentError

            place = opened.places[STATEMENT, 0, ""]
            yield UnknownDocumentError(document, rules.titles, place)
    known = {rule.requirement.id for rule in rules.rules}
    for collection in STATEMENTS:
        for index, said in enumerate(opened.view.get(collection, ())):
            if said["requirement"] not in known:
                from compliance.record.problems import UnknownRequirementError

                place = opened.places[collection, index, "requirement"]
                yield UnknownRequirementError(said["requirement"], known, place)
                continue
            subjects = {
                f.subject for f in checked.findings if f.requirement.id == said["requirement"]
            }
            about = said.get("subject", "job")
            if subjects and about not in subjects:
                from compliance.record.problems import UnknownSubjectError

                place = opened.places[collection, index, "subject"]
                yield UnknownSubjectError(about, said["requirement"], subjects, place)
