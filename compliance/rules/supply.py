"""From a need, as the rule's path and reason, to the sentence for the person who can give it."""

from __future__ import annotations

from compliance.rules.language.explain import plain_name
from compliance.rules.outcome import Need
from compliance.units import COUNT, find

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


def need(path: str, reason: str, names: dict[str, str], subject: str) -> Need:
    """One need with its sentence.

    Args:
        path: The path as the rule writes it, `string.insulation.positive_earth_megohm`.
        reason: Why it is unknown.
        names: What the rule's local names stand for, `{"string": "S1"}`.
        subject: The subject of the finding.
    """
    return Need(path, reason, _sentence(path, reason, names, subject))


def _sentence(path: str, reason: str, names: dict[str, str], subject: str) -> str:
    if path.startswith("evidence: "):
        kind = path.partition(": ")[2]
        if reason == "missing":
            return f"a {kind} about {subject}, with a named person's statement of what it shows"
        return f"a {kind} about {subject} that counts: {reason}"
    if reason.startswith("known only"):
        return f"{subject}: {reason}"
    what = _what(path, names)
    if reason == "missing":
        is_list = "." not in path and path not in names
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


def _what(path: str, names: dict[str, str]) -> str:
    root, *steps = _split(path)
    whose = names.get(root, "")
    if not whose:
        if "[" in root:
            whose = root[root.index("[") + 1 : -1]
        else:
            steps, whose = [root, *steps], "the job"
    for index, step in enumerate(steps):
        if "[" in step:
            whose = step[step.index("[") + 1 : -1]
            return _what(".".join(["~", *steps[index + 1 :]]), {"~": whose})
    if not steps:
        return f"what {whose} is"
    unit = find(steps[-1])
    in_unit = f", in {unit.symbol}" if unit is not COUNT else ""
    if steps[0] in TESTS:
        test = f"the {plain_name(steps[0])} test of {whose}"
        inner = " ".join(plain_name(s) for s in steps[1:])
        return f"{test}: {inner}{in_unit}" if inner else test
    return f"{' '.join(plain_name(s) for s in steps)} of {whose}{in_unit}"


def _split(path: str) -> list[str]:
    """The steps of a path; a dot inside brackets belongs to a name."""
    steps, depth = [""], 0
    for character in path:
        depth += (character == "[") - (character == "]")
        if character == "." and depth == 0:
            steps.append("")
        else:
            steps[-1] += character
    return steps
