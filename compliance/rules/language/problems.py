"""What can be wrong with an expression; found when a ruleset loads, never later."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from compliance.errors import RulesetError


def nearest(name: str, names: Iterable[str]) -> str:
    """A hint that names the nearest right name, or a few that would do."""
    known = sorted(names)
    close = get_close_matches(name, known, n=1, cutoff=0.6)
    if close:
        return f'; did you mean "{close[0]}"?'
    if not known:
        return ""
    some = ", ".join(known[:8]) + (", ..." if len(known) > 8 else "")
    return f"; what it knows here is {some}"


class UnknownNameError(RulesetError):
    """A name that no field, quantity, limit or local name has."""

    id = "ruleset.unknown-name"

    def __init__(self, name: str, owner: str, names: Iterable[str]) -> None:
        super().__init__(f'"{name}" is no name of {owner}{nearest(name, names)}')


class UnknownWordError(RulesetError):
    """A word that is not in its field's closed list."""

    id = "ruleset.unknown-word"

    def __init__(self, word: str, field: str, words: Iterable[str]) -> None:
        super().__init__(f'"{word}" can never be the value of {field}{nearest(word, words)}')


class UnitsDifferError(RulesetError):
    """Two numbers of different dimension meet."""

    id = "ruleset.units-differ"

    def __init__(self, what: str, left: str, right: str) -> None:
        super().__init__(f"{what} sets {left} against {right}; both sides need the same dimension")


class KindsDifferError(RulesetError):
    """Something stands where another kind of thing belongs."""

    id = "ruleset.kinds-differ"

    def __init__(self, what: str, found: str, right: str) -> None:
        super().__init__(f"{what} is {found}; {right} belongs here")


class NotInTheLanguageError(RulesetError):
    """Syntax that the rule language does not have."""

    id = "ruleset.not-in-the-language"

    def __init__(self, what: str, instead: str) -> None:
        super().__init__(f"{what} is not part of the rule language; {instead}")


class TooMuchError(RulesetError):
    """An expression too long or too deep to be read by a person."""

    id = "ruleset.too-much"

    def __init__(self, what: str, most: int) -> None:
        super().__init__(f"the expression has {what}; at most {most} are read: split the rule")


class NotSureError(RulesetError):
    """A question that a so-far collection can never answer."""

    id = "ruleset.not-sure"

    def __init__(self, form: str, collection: str) -> None:
        super().__init__(
            f'"{form}" over {collection}, which only lists what is there so far, can never be '
            "sure; write the rule once for each entry, with `for`"
        )


class HiddenNameError(RulesetError):
    """A local name that hides another."""

    id = "ruleset.hidden-name"

    def __init__(self, name: str) -> None:
        super().__init__(f'the local name "{name}" hides another name; choose a different one')
