"""Questions: what a reader of the record would ask, with the innocent cause beside it.

Never a finding: a question is not counted, holds nothing up and changes no exit code.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from compliance.rules.editions import STATEMENT, in_force
from compliance.rules.language.explain import facts
from compliance.rules.language.nodes import Not
from compliance.rules.language.ruling import ruling, subject_of
from compliance.rules.language.truth import Scene, World
from compliance.rules.outcome import Outcome, Question
from compliance.rules.rule import Asking

Entry = Mapping[str, Any]


def question_of(
    asking: Asking,
    entries: tuple[Entry, ...],
    outcome: Outcome | None,
    world: World,
    day: date | None,
) -> Question | None:
    """The question about one subject, or None if there is nothing to ask.

    Args:
        asking: The question as its ruleset has it.
        entries: The subject, outer first.
        outcome: What the generated function decided; None where the reference must.
        world: The record that is read.
        day: The day of the subject's part that picks the edition, if it is known.
    """
    stated = world.job.get(STATEMENT, ())
    if not in_force(asking.head, day or world.today, stated):
        return None  # also where the record has to state the edition: no question unasked for
    subject = subject_of(asking.clause, entries, Scene(world, day=day))
    if outcome is None:
        outcome = ruling(asking.clause, subject).outcome
    if outcome is not Outcome.FOR_JUDGEMENT:
        return None
    condition = asking.clause.condition
    read = () if condition is None else facts(Not(condition), subject.scene)
    last: Entry = entries[-1] if entries else {}
    return Question(
        asking.id,
        asking.head.name,
        " / ".join(e["~name"] for e in entries) or "job",
        str(last.get("part", {}).get("~name", "")),
        asking.ask,
        asking.innocent,
        tuple((fact.what, fact.found) for fact in read),
    )
