"""From a ruling to a finding: judgement, points of no return, departures, reasons in words."""

from __future__ import annotations

from compliance.rules.known import RANKS, known
from compliance.rules.language.explain import facts
from compliance.rules.language.nodes import Node
from compliance.rules.language.ruling import Clause, Ruling
from compliance.rules.language.scene import Scene, Verdict, joined
from compliance.rules.language.truth import truth
from compliance.rules.outcome import Fact, Finding, Need, Offer, Outcome
from compliance.rules.plans import Case, Plan
from compliance.rules.points import can_still_be_shown
from compliance.rules.reads_like import reads_like
from compliance.rules.repeats import failed_before
from compliance.rules.statements import judged, set_aside
from compliance.rules.supply import need
from compliance.rules.world import About, Standing

Needs = tuple[tuple[str, str], ...]

# Looking a member up on its class costs more than asking for it.
_MET, _NOT_MET, _NOT_SHOWN = Outcome.MET, Outcome.NOT_MET, Outcome.NOT_SHOWN
_NOT_DUE, _FOR_JUDGEMENT = Outcome.NOT_DUE, Outcome.FOR_JUDGEMENT


def settled(case: Case) -> Finding:
    """What judgement, points of no return and departures make of a ruling."""
    plan, about, ruling = case.plan, case.about, case.ruling
    outcome, needs = ruling.outcome, ruling.needs
    remarks = [case.remark] if case.remark else []
    if outcome is _MET:
        outcome, needs = _if_it_stands(case, remarks)
    if outcome is _FOR_JUDGEMENT:
        outcome, needs = _judged(case, needs, remarks)
    ahead, point = about.point(plan.clause.before)
    facts: tuple[Fact, ...] = ()
    offers: tuple[Offer, ...] = ()
    aside = ""
    if outcome is _NOT_MET:
        aside, fault = set_aside(case)
        remarks += [fault] if fault else []
        if about.last is not None:
            like = reads_like(plan.reads, about.last, about.world)
            remarks += [like] if like else []
        facts = _facts(case)
    elif outcome is _NOT_SHOWN or outcome is _FOR_JUDGEMENT:
        facts = _facts(case) if ruling.would_fail else ()
        if ahead:
            outcome = _NOT_DUE
        elif afterwards := _afterwards(case):
            remarks.append(afterwards)
        if ruling.offers and outcome is not _FOR_JUDGEMENT:
            offers = _offers(case)
            needs = _without_offers(case, needs)
    return Finding(
        plan.requirement,
        about.name,
        about.part,
        outcome,
        facts,
        _needs(case, needs) if needs else (),
        offers,
        None if outcome is _MET else point,
        case.known,
        case.rule.ways[ruling.way].title if ruling.way is not None else "",
        aside,
        " ".join(remarks) if remarks else "",
    )


def plainly_open(plan: Plan, about: About, standing: Standing) -> Finding:
    """What is not shown by its conditions alone; the same as `settled` makes of it."""
    clause, must = plan.clause, plan.rests[0].must
    scene = about.scene(clause, standing.day)
    worth, needs = truth(must, scene)
    told: tuple[Fact, ...] = ()
    if clause.condition is not None:
        applies = truth(clause.condition, scene)
        if applies.value is None:
            needs = joined((applies.needs, needs))
            told = facts(must, scene, is_false=True) if worth is False else ()
    ahead, point = about.point(clause.before)
    return Finding(
        plan.requirement,
        about.name,
        about.part,
        _NOT_DUE if ahead else _NOT_SHOWN,
        told,
        tuple([about.need(one, scene) for one in needs]),
        (),
        point,
        known(plan.rests[0], about, standing.day),
        "",
        "",
        standing.remark,
    )


def plainly_failed(plan: Plan, about: About, standing: Standing) -> Finding:
    """What is not met and was not set aside; the same as `settled` makes of it."""
    clause, remark = plan.clause, standing.remark
    scene = about.scene(clause, standing.day)
    if about.last is not None:
        like = reads_like(plan.reads, about.last, about.world)
        remark = f"{remark} {like}" if remark and like else remark or like
    return Finding(
        plan.requirement,
        about.name,
        about.part,
        _NOT_MET,
        _failing(plan.rests[0].must, clause, scene, is_false=not clause.ways),
        (),
        (),
        about.point(clause.before)[1],
        known(plan.rests[0], about, standing.day),
        "",
        "",
        remark,
    )


def _if_it_stands(case: Case, remarks: list[str]) -> tuple[Outcome, Needs]:
    """What is met, if it is known well enough and no earlier test speaks against it."""
    rule, how = case.rule, case.known
    if rule.known and RANKS[how] > RANKS[rule.known]:
        lacking = f"known only as {how}; it takes {rule.known} or better"
        return _NOT_SHOWN, ((case.about.name, lacking),)
    failed, lacks = failed_before(case)
    if failed:
        remarks.append(failed)
        applies = _applies(case)
        is_open = applies.value is None  # a question that may not arise is not shown
        return _NOT_SHOWN if is_open else _FOR_JUDGEMENT, applies.needs
    return (_NOT_SHOWN, lacks) if lacks else (_MET, case.ruling.needs)


def _judged(case: Case, needs: Needs, remarks: list[str]) -> tuple[Outcome, Needs]:
    """What a competent person decided; what they found met takes its evidence all the same."""
    outcome, said = judged(case)
    remarks += [said] if said else [case.rule.question] if case.rule.question else []
    if outcome is not _MET:
        return outcome, needs
    clause, world = case.plan.clause, case.about.world
    about = case.about.last or world.job
    lacks = joined([world.evidence(kind, about, clause.before) for kind in clause.evidence])
    return (_NOT_SHOWN, lacks) if lacks else (_MET, needs)


def _needs(case: Case, needs: Needs) -> tuple[Need, ...]:
    loops = case.plan.clause.loops
    entries = {name: e for (name, _), e in zip(loops, case.subject.entries, strict=False)}
    about = case.about.name if case.about.entries else "the job"
    job, then = case.about.world.job, _afterwards(case)
    return tuple([need(path, reason, entries, about, job, then) for path, reason in needs])


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


def _facts(case: Case) -> tuple[Fact, ...]:
    clause = case.plan.clause
    if clause.must is None or case.subject.needs:
        return ()
    is_false = not clause.ways and _fails(case.ruling)
    return _failing(clause.must, clause, case.subject.scene, is_false=is_false)


def _failing(must: Node, clause: Clause, scene: Scene, *, is_false: bool) -> tuple[Fact, ...]:
    """What makes the condition fail; where only another way may fail, what makes that fail."""
    found = facts(must, scene, is_false=is_false)
    for way in clause.ways if not found else ():
        found += facts(way, scene)
    return found


def _fails(ruling: Ruling) -> bool:
    return ruling.would_fail or ruling.outcome is _NOT_MET


def _applies(case: Case) -> Verdict:
    condition = case.rule.clause.condition
    return truth(condition, case.subject.scene) if condition else Verdict(True)
