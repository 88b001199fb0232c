"""From a need, as the rule's path and reason, to the sentence for the person who can give it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from compliance.rules.editions import STATEMENT
from compliance.rules.language.explain import plain_name
from compliance.rules.outcome import Need
from compliance.rules.shown import TOO_LATE
from compliance.units import COUNT, find

Entry = Mapping[str, Any]

TESTS = frozenset(
    {
        "insulation",
        "polarity",
        "open_circuit_voltage",
        "loop_impedance",
        "continuity",
        "rcd_time",
        "short_circuit_current",
        "operating_current",
        "frame_continuity",
        "fault_current",
        "rcd_button",
        "loss_of_mains",
        "switching",
    }
)


def need(
    path: str,
    reason: str,
    entries: Mapping[str, Entry],
    subject: str,
    job: Entry,
    afterwards: str = "",
) -> Need:
    """One need with its sentence.

    Args:
        path: The path as the rule writes it, `string.insulation.positive_earth_megohm`.
        reason: Why it is unknown.
        entries: What the rule's local names stand for.
        subject: The subject of the finding.
        job: The view, from which paths without a local name start.
        afterwards: What it takes now; empty as long as a photo can still be taken.
    """
    if afterwards and path == "evidence: photo":
        return Need(path, reason, _too_late(reason, subject, afterwards))
    return Need(path, reason, _Sentence(entries, job).of(path, reason, subject))


def _too_late(reason: str, subject: str, afterwards: str) -> str:
    """What is wanted of a photo that nobody can take any more."""
    if reason != "missing" and not reason.endswith(TOO_LATE):
        return f"the photo of {subject} put right, which can no longer be taken: {reason}"
    then = " ".join(afterwards.split()).rstrip(".")
    return f"{then} (for {subject}; or the photo that was taken in time, if there is one)"


class _Sentence:
    """Words for what is needed, naming the thing that lacks it and not the way there."""

    def __init__(self, entries: Mapping[str, Entry], job: Entry) -> None:
        self.entries = entries
        self.job = job

    def of(self, path: str, reason: str, subject: str) -> str:
        if path.startswith("evidence: "):
            kind = path.partition(": ")[2]
            if reason == "missing":
                return f"a {kind} about {subject}, with a named person's statement of what it shows"
            return f"a {kind} about {subject} that counts: {reason}"
        if path == STATEMENT:
            return f"which edition the job was designed to, as `{STATEMENT}`: {reason}"
        if reason.startswith("known only"):
            return f"{subject}: {reason}"
        what = self.what(path)
        if reason == "missing":
            is_list = "." not in path and path not in self.entries
            return f'{what}, or "none" if there are none' if is_list else what
        if reason.startswith("not taken"):
            return f"{what} ({reason})"
        if reason.startswith("beyond range"):
            return f"{what}, read with a meter that reaches the limit ({reason})"
        if reason.startswith("one more entry"):
            return f"one more entry in {what}, or the statement that there is none"
        if reason == "not yet":
            return f"{what}, once the day has come"
        return f"{what}: {reason}"

    def what(self, path: str) -> str:
        steps = _split(path)
        held: Any = self.entries.get(steps[0])
        whose, last = "the job", len(steps) - 1
        if held is not None:
            whose, steps = held["~name"], steps[1:]
        else:
            held = self.job
        rest = steps
        for index, step in enumerate(steps):
            if "[" in step:
                whose, held = step[step.index("[") + 1 : -1], None
                rest = steps[index + 1 :]
                continue
            held = held.get(step) if isinstance(held, dict) else None
            is_entry = isinstance(held, dict) and "~name" in held and "~subject" not in held
            if is_entry and index < last:
                whose, rest = held["~name"], steps[index + 1 :]
        return _worded(rest, whose)


def _worded(steps: list[str], whose: str) -> str:
    if not steps:
        return f"what {whose} is"
    unit = find(steps[-1])
    in_unit = f", in {unit.symbol}" if unit is not COUNT else ""
    if steps[0] in TESTS:
        test = f"the {plain_name(steps[0])} test of {whose}"
        inner = " ".join(plain_name(s) for s in steps[1:])
        return f"{test}: {inner}{in_unit}" if inner else test
    if steps[0] in ("site", "customer") and len(steps) > 1:
        whose, *steps = f"the {steps[0]}", *steps[1:]
    if steps[0] == "left" and len(steps) > 1:
        inner = " ".join(plain_name(s) for s in steps[1:])
        return f"how it was left, {inner}: {whose}"
    return f"{' '.join(plain_name(s) for s in steps)} of {whose}{in_unit}"


def _split(path: str) -> list[str]:
    """The steps of a path; a dot inside brackets belongs to a name."""
    if "[" not in path:
        return path.split(".")
    steps, depth = [""], 0
    for character in path:
        depth += (character == "[") - (character == "]")
        if character == "." and depth == 0:
            steps.append("")
        else:
            steps[-1] += character
    return steps
