"""One job opened and checked: record, view, evidence and findings together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from compliance.errors import RecordError, raise_all
from compliance.evidence import Seen, look
from compliance.record import problems as wrong
from compliance.record.load import Loaded, load_record
from compliance.record.view import View, view
from compliance.rules.check import Checker, RecordWorld
from compliance.rules.outcome import Checked
from compliance.rules.ruleset import Rules, load_rules
from compliance.rules.wanted import Wanted, wanted


@dataclass(frozen=True, slots=True)
class Job:
    """A job folder with everything the check made of it."""

    loaded: Loaded
    view: View
    seen: Mapping[str, Seen]
    rules: Rules
    checked: Checked

    def wanted(self) -> Wanted:
        """What would be right of each reading; see `compliance.rules.wanted`."""
        world = RecordWorld(self.view, self.checked.on, self.rules.tables, self.seen)
        return wanted(self.rules, world)


def open_job(folder: Path, rulesets: Path, *, today: date, on: date | None = None) -> Job:
    """Opens and checks a job folder.

    Args:
        folder: The job folder.
        rulesets: The rulesets folder.
        today: The day it is; used where neither `on` nor the record's `closed` says otherwise.
        on: The day of the check, if it is not today.

    Raises:
        ComplianceError: If the record or a ruleset cannot be used.
    """
    loaded = load_record(folder)
    rules = load_rules(rulesets, loaded.record.jurisdiction.partition("-")[0].lower())
    seen = {
        name: look(folder, evidence.file)
        for name, evidence in (loaded.record.evidence or {}).items()
    }
    day = on or loaded.record.closed or today
    job = view(loaded.record, day)
    checked = Checker.of(rules).check(job, seen, day)
    raise_all(_statements_about_nothing(loaded, rules, checked))
    return Job(loaded, job, seen, rules, checked)


def _statements_about_nothing(
    loaded: Loaded, rules: Rules, checked: Checked
) -> Iterator[RecordError]:
    """Departures and judgements that name no requirement, or no subject of it."""
    known = {rule.requirement.id for rule in rules.rules}
    for collection in ("departures", "judgements"):
        for index, said in enumerate(getattr(loaded.record, collection) or ()):
            place = loaded.tree.place((collection, index, "requirement"))
            if said.requirement not in known:
                yield wrong.UnknownRequirementError(said.requirement, known, place)
                continue
            subjects = {f.subject for f in checked.findings if f.requirement.id == said.requirement}
            about = said.subject or "job"
            if subjects and about not in subjects:
                place = loaded.tree.place((collection, index, "subject"))
                yield wrong.UnknownSubjectError(about, said.requirement, subjects, place)
