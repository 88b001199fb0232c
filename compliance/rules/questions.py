"""Questions: what a reader of the record would ask, with the innocent cause beside it.

Never a finding: a question is not counted, holds nothing up and changes no exit code.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from compliance.rules.editions import STATEMENT, in_force
from compliance.rules.language.explain import words, written
from compliance.rules.language.nodes import Each, Node, Path, parts_of
from compliance.rules.language.ruling import ruling, subject_of
from compliance.rules.language.scene import Scene, World
from compliance.rules.language.truth import entries as entries_of
from compliance.rules.language.walks import walk
from compliance.rules.outcome import Outcome, Question
from compliance.rules.rule import Asking
from compliance.units import COUNT, find, rounded
from compliance.values import Unknown

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
    read = () if condition is None else dict.fromkeys(_read(condition, subject.scene))
    last: Entry = entries[-1] if entries else {}
    return Question(
        asking.id,
        asking.head.name,
        " / ".join(e["~name"] for e in entries) or "job",
        str(last.get("part", {}).get("~name", "")),
        asking.ask,
        asking.innocent,
        tuple(read),
    )


def _read(node: Node, scene: Scene) -> Iterator[tuple[str, str]]:
    """What a condition reads of the record, each value with its name; not what is not there."""
    if isinstance(node, Path):
        value, _ = walk(node, scene)
        if value is None or isinstance(value, Unknown):
            return
        unit = find(node.steps[-1]) if node.steps else COUNT
        is_worked = node.is_quantity and isinstance(value, float)
        yield words(node, scene), rounded(value, unit) if is_worked else written(value, unit)
    elif isinstance(node, Each):
        items, _ = walk(node.source, scene)
        for inner, let_in in entries_of(node, items or [], scene):
            if let_in.value:
                yield from _read(node.body, inner)
    else:
        for part in parts_of(node):
            yield from _read(part, scene)
