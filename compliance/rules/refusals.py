"""What is refused in a ruleset file, one class a cause."""

from __future__ import annotations

from collections.abc import Iterable

from compliance.errors import Place, RulesetError
from compliance.rules.language.problems import nearest

MOST_REQUIREMENTS = 25


class KeysOutOfOrderError(RulesetError):
    """A requirement's keys do not stand in the house order."""

    id = "ruleset.keys-out-of-order"

    def __init__(self, key: str, after: str, place: Place) -> None:
        super().__init__(
            f'"{key}" stands below "{after}"; the keys here keep one order, in which '
            f'"{key}" comes first',
            place,
        )


class MustOrJudgeError(RulesetError):
    """A requirement has both `must` and `judge`, or neither."""

    id = "ruleset.must-or-judge"

    def __init__(self, has_both: bool, place: Place) -> None:
        found = "both `must` and `judge`" if has_both else "neither `must` nor `judge`"
        super().__init__(
            f"it has {found}; write the condition under `must`, or the question for a "
            "competent person under `judge`",
            place,
        )


class MissingExamplesError(RulesetError):
    """A requirement lacks examples of an outcome that could occur."""

    id = "ruleset.missing-examples"

    def __init__(self, missing: Iterable[str], place: Place, *, may_be_never: bool = True) -> None:
        never = ", or name the outcome under `never` with the reason why it cannot occur"
        what = f"no example gives {', '.join(missing)}; add one"
        super().__init__(what + (never if may_be_never else ""), place)


class RequirementTwiceError(RulesetError):
    """Two requirements share an id."""

    id = "ruleset.requirement-twice"

    def __init__(self, name: str, first: Place, place: Place) -> None:
        super().__init__(f'the id "{name}" already stands in {first}; ids are never reused', place)


class ChangedMeaningError(RulesetError):
    """A requirement or question asks something else in another edition of its ruleset."""

    id = "ruleset.changed-meaning"

    def __init__(self, name: str, key: str, first: Place, place: Place) -> None:
        super().__init__(
            f'"{name}" has another `{key}` here than in the edition at {first}; in every edition '
            "an id asks the same of the same things, so what has changed takes a new id",
            place,
        )


class EditionNameError(RulesetError):
    """An edition of a ruleset has no name of its own, or names one that does not exist."""

    id = "ruleset.edition-name"

    def __init__(self, what: str, name: str, known: Iterable[str], place: Place) -> None:
        write = "; write the short name of the document that it follows, as under `sources`"
        right = nearest(name, known) if name else write
        super().__init__(f"{what}{right}", place)


class EditionsError(RulesetError):
    """The editions of a ruleset overlap, leave a hole, or are picked by different dates."""

    id = "ruleset.editions"

    def __init__(self, ruleset: str, what: str, place: Place, first: Place | None = None) -> None:
        also = f"; see also {first}" if first else ""
        super().__init__(f'the editions of "{ruleset}" {what}{also}', place)


class TooManyRequirementsError(RulesetError):
    """A ruleset is longer than one subject should need."""

    id = "ruleset.too-many-requirements"

    def __init__(self, count: int, place: Place) -> None:
        super().__init__(
            f"it holds {count} requirements; at most {MOST_REQUIREMENTS} of one subject stand in "
            "a file: make two files of it",
            place,
        )


class AfterwardsMissingError(RulesetError):
    """A requirement whose evidence gets covered does not say what it takes afterwards."""

    id = "ruleset.afterwards-missing"

    def __init__(self, before: str, place: Place) -> None:
        super().__init__(
            f'evidence must exist before "{before}", so `afterwards` has to say what it takes '
            "once that has passed",
            place,
        )


class PointError(RulesetError):
    """A requirement is due before a point of no return that its subjects never pass."""

    id = "ruleset.point"

    def __init__(self, before: str, right: str, place: Place) -> None:
        super().__init__(f"`before: {before}` cannot stand here: {right}", place)


class LoopError(RulesetError):
    """A requirement's `for` is not written as a loop."""

    id = "ruleset.for"

    def __init__(self, text: str, place: Place) -> None:
        super().__init__(
            f'"{text[:60]}" is no loop; `for` reads "NAME in COLLECTION", such as '
            '"string in strings", and is left out for the whole job',
            place,
        )


class HeadDiffersError(RulesetError):
    """The head of a file lists other sources or limits than its requirements use."""

    id = "ruleset.head-differs"

    def __init__(self, what: str, place: Place) -> None:
        super().__init__(what, place)
