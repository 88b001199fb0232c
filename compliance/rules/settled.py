"""From a ruling to a finding: judgement, points of no return, departures, reasons in words."""

from __future__ import annotations

from compliance.rules.known import RANKS, Case, failed_before
from compliance.rules.language.explain import facts
from compliance.rules.language.scene import Verdict, joined
from compliance.rules.language.truth import truth
from compliance.rules.outcome import Fact, Finding, Need, Offer, Outcome, made_finding
from compliance.rules.points import can_still_be_shown
from compliance.rules.reads_like import reads_like
from compliance.rules.statements import judged, set_aside
from compliance.rules.supply import need

Needs = tuple[tuple[str, str], ...]


def settled(case: Case) -> Finding:
    """What judgement, points of no return and departures make of a ruling."""
    rule, about = case.rule, case.about
    world, last = about.world, about.last
    outcome, needs = case.ruling.outcome, case.ruling.needs
    how = case.known
    if outcome is Outcome.MET and rule.known and RANKS[how] > RANKS[rule.known]:
        outcome = Outcome.NOT_SHOWN
        needs = ((about.name, f"known only as {how}; it takes {rule.known} or better"),)
    remarks = [case.remark] if case.remark else []
    if outcome is Outcome.MET:
        failed, lacks = failed_before(case)
        if failed:
            applies = _applies(case)
            is_open = applies.value is None  # a question that may not arise is not shown
            outcome = Outcome.NOT_SHOWN if is_open else Outcome.FOR_JUDGEMENT
            needs = applies.needs
            remarks.append(failed)
        elif lacks:
            outcome, needs = Outcome.NOT_SHOWN, lacks
    if outcome is Outcome.FOR_JUDGEMENT:
        outcome, said = judged(case)
        remarks += [said] if said else [rule.question] if rule.question else []
        lacks = joined(
            world.evidence(kind, last or world.job, rule.clause.before)
            for kind in rule.clause.evidence
        )
        if outcome is Outcome.MET and lacks:
            outcome, needs = Outcome.NOT_SHOWN, lacks
    ahead, point = about.point(rule.clause.before)
    if outcome in (Outcome.NOT_SHOWN, Outcome.FOR_JUDGEMENT):
        if ahead:
            outcome = Outcome.NOT_DUE
        elif _afterwards(case):
            remarks.append(_afterwards(case))
    way = rule.ways[case.ruling.way].title if case.ruling.way is not None else ""
    aside, fault = set_aside(case) if outcome is Outcome.NOT_MET else ("", "")
    remarks += [fault] if fault else []
    if outcome is Outcome.NOT_MET:
        like = reads_like(rule.clause.must, last, world)
        remarks += [like] if like else []
    offers = (
        _offers(case)
        if case.ruling.offers and outcome in (Outcome.NOT_SHOWN, Outcome.NOT_DUE)
        else ()
    )
    return made_finding(
        rule.requirement,
        about.name,
        about.part,
        outcome,
        _facts(case, outcome),
        _needs(case, _without_offers(case, needs) if offers else needs),
        offers,
        point,
        how,
        way,
        aside,
        " ".join(remarks),
    )


def _needs(case: Case, needs: Needs) -> tuple[Need, ...]:
    if not needs:
        return ()
    loops = case.rule.clause.loops
    entries = {name: e for (name, _), e in zip(loops, case.subject.entries, strict=False)}
    about = case.about.name if case.about.entries else "the job"
    job, then = case.about.world.job, _afterwards(case)
    return tuple(need(path, reason, entries, about, job, then) for path, reason in needs)


def _afterwards(case: Case) -> str:
    """What it takes once the point has passed; empty as long as it can still be shown."""
    before, world = case.rule.clause.before, case.about.world
    if not case.rule.requirement.afterwards:
        return ""
    if can_still_be_shown(before, case.about.last, world.job, world.today):
        return ""
    return case.rule.requirement.afterwards


def _offers(case: Case) -> tuple[Offer, ...]:
    return tuple(
        Offer(way.title, _needs(case, needs))
        for way, needs in zip(case.rule.ways, case.ruling.offers, strict=False)
    )


def _without_offers(case: Case, needs: Needs) -> Needs:
    """The needs without what only the other ways lack."""
    must = case.rule.clause.must
    own = truth(must, case.subject.scene).needs if must else ()
    others = {need for offered in case.ruling.offers for need in offered}
    return tuple(need for need in needs if need in own or need not in others)


def _facts(case: Case, outcome: Outcome) -> tuple[Fact, ...]:
    must = case.rule.clause.must
    fails = outcome is Outcome.NOT_MET or case.ruling.would_fail
    if must is None or not fails or case.subject.needs:
        return ()
    decided = case.ruling
    is_false = decided.outcome is Outcome.NOT_MET or decided.would_fail
    is_false = is_false and not case.rule.clause.ways  # else a way may be what fails
    found = facts(must, case.subject.scene, is_false=is_false)
    for way in case.rule.clause.ways if not found else ():
        found += facts(way, case.subject.scene)
    return found


def _applies(case: Case) -> Verdict:
    condition = case.rule.clause.condition
    return truth(condition, case.subject.scene) if condition else Verdict(True)
