"""One requirement on one job: what `rules explain` and `check --explain` both print."""

from __future__ import annotations

from compliance.cli.described import described
from compliance.cli.markdown import as_markdown
from compliance.cli.options import known_requirement
from compliance.cli.report import as_json, found_of
from compliance.cli.requirement import requirement_data
from compliance.cli.wrapping import wrapped
from compliance.rules.basis import quantities_of
from compliance.rules.job import Job
from compliance.rules.outcome import NO_PERMISSION, Checked


def explanation(job: Job, requirement: str, form: str) -> tuple[str, Checked]:
    """The requirement and each subject with what decided it, and the findings themselves.

    Raises:
        CallError: If no requirement is called so.
    """
    known_requirement(requirement, (rule.requirement.id for rule in job.rules.rules))
    checked = job.explained(requirement)
    if form == "json":
        return as_json(checked), checked
    if form == "markdown":
        return as_markdown(checked), checked
    return _text(job, requirement, checked), checked


def _text(job: Job, requirement: str, checked: Checked) -> str:
    lines: list[str] = []
    for rule in job.rules.rules:
        if rule.requirement.id == requirement:
            data = requirement_data(rule, job.rules, checked.on)
            lines += [described(data, briefly=True), ""]
    lines += found_of(checked) or ["It is not applied to this job."]
    lines += _worked_out(job, requirement, checked)
    lines += ["", *wrapped(NO_PERMISSION)]
    return "\n".join(lines)


def _worked_out(job: Job, requirement: str, checked: Checked) -> list[str]:
    """The calculations behind the findings, each in one sentence."""
    used = {
        quantity.name
        for rule in job.rules.rules
        if rule.requirement.id == requirement
        for quantity in quantities_of(rule.clause)
    }
    about = {name for finding in checked.findings for name in finding.subject.split(" / ")}
    lines: list[str] = []
    for working in checked.workings:
        if working.quantity in used and working.subject in about:
            inputs = ", ".join(f"{words} {value}" for words, value in working.inputs)
            text = f"{working.subject}: {working.title} = {working.formula} = {working.result}"
            lines += wrapped(f"{text}; {inputs}", indent="  ")
    return ["", "Worked out", *lines] if lines else []
