"""What the first lines of a bad input say must be told about it; shared by its runners.

    # expect: LINE:COL cause.name "words the message must hold"

One such line for each problem, in the order of the file, and no other problem may be told.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from compliance.errors import ComplianceError, Problems

EXPECT = re.compile(r'# expect: (\d+):(\d+) (\S+) "(.+)"')
# A library's own words, and words that blame; what stands in quotes is the person's.
NOT_OUR_WORDS = re.compile(
    r"\b(input should|validation|pydantic|ruamel|yaml\.org|traceback|NoneType|invalid|illegal"
    r"|error|union|literal|dict|str|function-\w+)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Expected:
    """One problem that a bad input must give."""

    line: int
    column: int
    cause: str
    words: str


def expected(case: Path) -> list[Expected]:
    """What a case's first lines expect."""
    found = []
    for line in case.read_text("utf-8").splitlines():
        match = EXPECT.fullmatch(line)
        if match is None:
            break
        found.append(Expected(int(match[1]), int(match[2]), match[3], match[4]))
    return found


def cases(folder: Path) -> list[Path]:
    """Every bad input below a folder."""
    return sorted(folder.rglob("*.yaml"))


def name_of(case: Path) -> str:
    """A case as the test report calls it."""
    return f"{case.parent.name}/{case.stem}"


def each(problem: ComplianceError) -> list[ComplianceError]:
    """One problem, or the several that it holds."""
    return list(problem.problems) if isinstance(problem, Problems) else [problem]


def compare(case: Path, told: list[ComplianceError]) -> None:
    """Every problem at its place, with its words, in order, and in our language."""
    wanted = expected(case)
    assert wanted, f"{case} says nothing of what is expected"
    found = [(p.place.line, p.place.column, p.id) if p.place else p.id for p in told]
    assert found == [(w.line, w.column, w.cause) for w in wanted], "\n".join(map(str, told))
    for problem, want in zip(told, wanted, strict=True):
        assert want.words in problem.what, str(problem)
        own_words = re.sub(r'"[^"]*"|`[^`]*`', "", problem.what)
        assert not NOT_OUR_WORDS.search(own_words), problem.what
        assert len(problem.what) < 700, "a message is read, not scrolled"
