"""The same file under two names: told of both, since it is one piece of evidence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from compliance.evidence.seen import Seen


def told_of_twins(seen: Mapping[str, Seen]) -> dict[str, Seen]:
    """The same files, with a remark on each whose bytes stand under another name as well.

    It counts under either name: one photo may show two isolators. Whether the second name is
    a slip, such as a photo that was copied instead of taken, only a person can tell.

    Args:
        seen: What was found on opening each file, by its short name in the record.
    """
    names: dict[str, list[str]] = {}
    for name, one in seen.items():
        if one.sha256:
            names.setdefault(one.sha256, []).append(name)
    return {name: _told(name, one, names.get(one.sha256, []), seen) for name, one in seen.items()}


def _told(name: str, one: Seen, alike: list[str], seen: Mapping[str, Seen]) -> Seen:
    others = [f'{other} ("{seen[other].file}")' for other in alike if other != name]
    if not others:
        return one
    twin = (
        f"{name} holds the very same bytes as {' and '.join(others)}: one piece of evidence, not "
        'more. List it once with everything it is "about:", or put the right file in its place'
    )
    return replace(one, remark="; ".join(text for text in (one.remark, twin) if text))
