"""What a column of a meter's file may be called, and which reading of which test it means."""

from __future__ import annotations

from compliance.record.kinds import ReadingKind, Reference
from compliance.record.meant import TESTS, subject_of
from compliance.record.naming import Aliases
from compliance.record.shape import fields
from compliance.record.site import Supply
from compliance.record.tests import CONDITIONS, Test

SUBJECT = "of"
EVERY_TEST = ("on", "by", "instrument", "after")

Meaning = tuple[type[Test] | None, str]
"""The test and the field that a column means; no test for what counts for a whole row."""


def _called(model: type[Test]) -> tuple[str, str]:
    """A test by its own name, and as its subject has it: `polarity` of a circuit."""
    kind = fields(model)[SUBJECT].kind
    back = kind.back if isinstance(kind, Reference) else ""
    return model.tag, back.replace("_", " ")


MODELS: dict[str, list[type[Test]]] = {}
for _model in TESTS.values():
    MODELS.setdefault(subject_of(_model), []).append(_model)


def names_at_the_supply(aliases: Aliases) -> dict[str, str]:
    """What the readings at the origin may be called, by the field that each name means."""
    read = [name for name, field in fields(Supply).items() if isinstance(field.kind, ReadingKind)]
    trade = {a.casefold(): f for a, meant in aliases.items() for f in meant if f in read}
    return {**trade, **{name: name for name in read}}


def meanings(to: str, aliases: Aliases, usual: Aliases) -> dict[str, list[Meaning]]:
    """What each name of a column may mean for subjects of a collection."""
    meant: dict[str, list[Meaning]] = {}

    def mean(name: str, meaning: Meaning) -> None:
        found = meant.setdefault(name.casefold(), [])
        if meaning not in found:
            found.append(meaning)

    for model in MODELS[to]:
        own = [f for f in fields(model) if f not in fields(Test) and f != SUBJECT]
        values = [f for f in own if f not in CONDITIONS]
        for field in own:
            meaning: Meaning = (None if field in CONDITIONS else model, field)
            for name in (field, *(a for a, fs in aliases.items() if field in fs)):
                mean(name, meaning)
            for test in _called(model) if meaning[0] else ():
                mean(f"{test} {field}", meaning)
        main = [f for f in values if f == "result" or f.startswith("value_")] or values
        for test in _called(model) if len(main) == 1 else ():
            mean(test, (model, main[0]))
    for field in EVERY_TEST:
        mean(field, (None, field))
    for name, tests in usual.items():
        found = meant.get(name.casefold(), [])
        chosen = [meaning for meaning in found if meaning[0] and meaning[0].tag in tests]
        meant |= {name.casefold(): chosen} if chosen else {}
    return meant
