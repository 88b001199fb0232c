"""One requirement on one job, explained: also what made it met, and why it does not apply.

The check tells reasons only for gaps; here they are found for every subject of one
requirement, by the same reference evaluation.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from compliance.rules.language.explain import facts, grounds
from compliance.rules.language.ruling import subjects
from compliance.rules.language.scene import Scene
from compliance.rules.outcome import Checked, Fact, Finding, Outcome
from compliance.rules.rule import Rule, Rules
from compliance.rules.world import RecordWorld


def explained(checked: Checked, requirement: str, rules: Rules, world: RecordWorld) -> Checked:
    """The findings of one requirement, each with the comparisons that decided it.

    Args:
        checked: The check of the record.
        requirement: The requirement's id.
        rules: The rules that the check used.
        world: The record's world on the day of the check.
    """
    of = [rule for rule in rules.rules if rule.requirement.id == requirement]
    scenes = {
        (id(rule.requirement), name): (rule, scene)
        for rule in of
        for name, scene in _scenes(rule, world)
    }
    only = checked.only(requirement)
    findings = tuple(_with_reasons(finding, scenes) for finding in only.findings)
    return replace(only, findings=findings)


def _scenes(rule: Rule, world: RecordWorld) -> list[tuple[str, Scene]]:
    """Each subject's name and scene, as the check has them."""
    found = []
    for subject in subjects(rule.clause, Scene(world)):
        last = subject.entries[-1] if subject.entries else None
        day = world.day(last, rule.head.by)
        scene = replace(subject.scene, day=day, before=rule.clause.before)
        if not subject.needs and not subject.is_none:
            found.append((" / ".join(e["~name"] for e in subject.entries) or "job", scene))
    return found


def _with_reasons(
    finding: Finding, scenes: Mapping[tuple[int, str], tuple[Rule, Scene]]
) -> Finding:
    rule, scene = scenes.get((id(finding.requirement), finding.subject), (None, None))
    if rule is None or scene is None or finding.facts:
        return finding
    return finding._replace(facts=_reasons(finding, rule, scene))


def _reasons(finding: Finding, rule: Rule, scene: Scene) -> tuple[Fact, ...]:
    clause = rule.clause
    if finding.outcome is Outcome.NOT_APPLICABLE:
        return facts(clause.condition, scene) if clause.condition else ()
    if finding.outcome is not Outcome.MET:
        return finding.facts
    titles = [way.title for way in rule.ways]
    decided = clause.ways[titles.index(finding.way)] if finding.way in titles else clause.must
    return grounds(decided, scene) if decided else ()
