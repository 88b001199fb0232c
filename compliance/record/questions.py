"""The six things that are asked before a job has a record; no datasheet is needed for any."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from compliance.errors import CallError

MOST_VISITS = 20


@dataclass(frozen=True, slots=True)
class Question:
    """One question; it is answered by the number of a choice, or where there are none by a count.

    `says` is what each choice means, in the order of `choices`.
    """

    name: str
    ask: str
    choices: tuple[str, ...] = ()
    says: tuple[tuple[str, ...], ...] = ()

    def answer(self, text: str) -> tuple[str, ...]:
        """What an answer means.

        Raises:
            CallError: If it is no number of a choice, or no count that can be.
        """
        most = len(self.choices) or MOST_VISITS
        number = int(text) if text.isascii() and text.strip().isdigit() else 0
        if not 1 <= number <= most:
            raise CallError(f'"{text}" answers nothing. {self.ask} Give a number from 1 to {most}')
        return self.says[number - 1] if self.says else (str(number),)


QUESTIONS = (
    Question(
        "fitted", "What is fitted?",
        ("solar panels", "solar panels and a battery", "solar panels and a car charger",
         "solar panels, a battery and a car charger", "a battery", "a car charger",
         "a battery and a car charger"),
        (("panels",), ("panels", "battery"), ("panels", "charger"),
         ("panels", "battery", "charger"), ("battery",), ("charger",), ("battery", "charger")),
    ),
    Question(
        "work", "Is it new, a replacement or an addition?",
        ("new", "a replacement of what is there", "an addition to what is there"),
        (("new",), ("replacement",), ("addition",)),
    ),
    Question(
        "roof", "Where do the panels go?",
        ("above a pitched roof, on one face", "above a pitched roof, on two faces",
         "in a pitched roof in place of its covering, on one face",
         "in a pitched roof in place of its covering, on two faces", "on a flat roof",
         "on the ground", "nowhere: no panels are fitted"),
        (("above roof", "1"), ("above roof", "2"), ("in-roof", "1"), ("in-roof", "2"),
         ("flat roof", "1"), ("ground", "1"), ()),
    ),
    Question(
        "supply", "How many phases has the supply, and how is it earthed?",
        ("one phase, TN-C-S", "one phase, TN-S", "one phase, TT", "three phases, TN-C-S",
         "three phases, TN-S", "three phases, TT", "not known yet"),
        (("1", "TN-C-S"), ("1", "TN-S"), ("1", "TT"), ("3", "TN-C-S"), ("3", "TN-S"),
         ("3", "TT"), ()),
    ),
    Question(
        "old array", "Is there an old array, and does it earn a tariff?",
        ("there is no old array", "an old array that earns no tariff",
         "an old array that earns a tariff", "not known yet"),
        (("no old array",), ("earns no tariff",), ("earns a tariff",), ()),
    ),
    Question("visits", "How many visits are planned?"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Answers:
    """What was answered; an empty one was not known."""

    fitted: tuple[str, ...]
    work: str
    mounting: str
    faces: int
    phases: str
    earthing: str
    old_array: str
    visits: int


def answers(texts: Sequence[str]) -> Answers:
    """The answers to the questions, in their order.

    Raises:
        CallError: If one is missing or answers nothing, or if two contradict each other.
    """
    if len(texts) != len(QUESTIONS):
        asked = "; ".join(question.name for question in QUESTIONS)
        raise CallError(
            f"{len(texts)} answers were given to {len(QUESTIONS)} questions ({asked}); give one "
            "number for each, such as 2,1,1,1,1,3"
        )
    fitted, (work,), roof, supply, old, (visits,) = (
        question.answer(text) for question, text in zip(QUESTIONS, texts, strict=True)
    )
    mounting, faces = roof or ("", "0")
    phases, earthing = supply or ("", "")
    given = Answers(
        fitted, work, mounting, int(faces), phases, earthing, old[0] if old else "", int(visits)
    )
    for contradiction in _contradictions(given):
        raise CallError(contradiction)
    return given


def _contradictions(given: Answers) -> Iterator[str]:
    has_panels, is_old = "panels" in given.fitted, given.old_array.startswith("earns")
    if has_panels and not given.mounting:
        yield "panels are fitted, yet they go nowhere; say where they go, or that none are fitted"
    if given.mounting and not has_panels:
        yield "a place for panels is named, yet none are fitted; answer the third question with 7"
    if has_panels and given.work == "new" and is_old:
        yield (
            "the panels are new, yet there is an old array; say whether they replace it (2) or "
            "are an addition to it (3)"
        )
    if given.fitted == ("panels",) and given.work != "new" and given.old_array == "no old array":
        yield (
            f"the panels are said to be {_A[given.work]}, yet there is no old array; say that "
            "they are new (1), or that there is one"
        )


_A = {"replacement": "a replacement", "addition": "an addition"}
