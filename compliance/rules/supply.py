"""From a need, as the rule's path and reason, to the sentence for the person who can give it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from compliance.rules.editions import STATEMENT
from compliance.rules.language.explain import PRINTED, plain_name
from compliance.rules.outcome import Need
from compliance.rules.shown import TOO_LATE
from compliance.rules.tests_read import TESTS
from compliance.units import COUNT, find

Entry = Mapping[str, Any]


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
    if path.startswith("evidence: ") or path == STATEMENT or reason.startswith("known only"):
        return Need(path, reason, _of_subject(path, reason, subject))
    whose, start = _lacking(_split(path), entries, job)
    return PRINTED.get().said((path, reason, whose, start), _need)


def _too_late(reason: str, subject: str, afterwards: str) -> str:
    """What is wanted of a photo that nobody can take any more."""
    if reason != "missing" and not reason.endswith(TOO_LATE):
        return f"the photo of {subject} put right, which can no longer be taken: {reason}"
    then = " ".join(afterwards.split()).rstrip(".")
    return f"{then} (for {subject}; or the photo that was taken in time, if there is one)"


def _of_subject(path: str, reason: str, subject: str) -> str:
    """What is needed of the subject itself: evidence, an edition, a better way to know."""
    if path == STATEMENT:
        return f"which edition the job was designed to, as `{STATEMENT}`: {reason}"
    if not path.startswith("evidence: "):
        return f"{subject}: {reason}"
    kind = path.partition(": ")[2]
    if reason == "missing":
        return f"a {kind} about {subject}, with a named person's statement of what it shows"
    return f"a {kind} about {subject} that counts: {reason}"


def _lacking(steps: tuple[str, ...], entries: Mapping[str, Entry], job: Entry) -> tuple[str, int]:
    """The thing that lacks what a path leads to, and how many steps lead to that thing."""
    own = entries.get(steps[0])
    held: Any = job if own is None else own
    whose, start = ("the job", 0) if own is None else (own["~name"], 1)
    before = len(steps) + start - 1  # what the job itself holds at the end is no thing on the way
    for index in range(start, len(steps)):
        step = steps[index]
        if "[" in step:
            whose, held, start = step[step.index("[") + 1 : -1], None, index + 1
        elif held.__class__ is dict:
            held = held.get(step)
            is_thing = held.__class__ is dict and "~name" in held and "~subject" not in held
            if is_thing and index < before:
                whose, start = held["~name"], index + 1
    return whose, start


def _need(key: tuple[str, str, str, int]) -> Need:
    """A need with its sentence, naming the thing that lacks it and not the way there."""
    path, reason, whose, start = key
    what = _worded(_split(path)[start:], whose)
    return Need(path, reason, _sentence(what, path, reason, is_list="." not in path and not start))


def _sentence(what: str, path: str, reason: str, *, is_list: bool) -> str:
    if reason == "missing":
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


def _worded(steps: Sequence[str], whose: str) -> str:
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


@lru_cache(maxsize=4096)
def _split(path: str) -> tuple[str, ...]:
    """The steps of a path; a dot inside brackets belongs to a name."""
    if "[" not in path:
        return tuple(path.split("."))
    steps, depth = [""], 0
    for character in path:
        depth += (character == "[") - (character == "]")
        if character == "." and depth == 0:
            steps.append("")
        else:
            steps[-1] += character
    return tuple(steps)
