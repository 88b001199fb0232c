"""Which test of a subject a person means: by its name, a part of it, or its reading's name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, get_args

from compliance.errors import CallError
from compliance.record.entry import Group
from compliance.record.installation import AnyTest, Installation
from compliance.record.kinds import Reference
from compliance.record.naming import Aliases, meant_by, short_names
from compliance.record.problems import did_you_mean
from compliance.record.shape import fields
from compliance.record.tests import Test

Tests = Mapping[str, type[Test]]
TESTS: Tests = {model.tag: model for model in get_args(get_args(AnyTest)[0])}
_OF_ANY_TEST = frozenset(fields(Test)) | {"of"}


def tests_of(subject: str, data: Mapping[str, Any]) -> Tests:
    """The kinds of test that a subject of a record can have, by name.

    Raises:
        CallError: If the record holds no such subject, or no test is of such a thing; it says
            what is there and how a subject is added.
    """
    names = short_names(data)
    found = {
        tag: model for tag, model in TESTS.items() if subject in names.get(subject_of(model), ())
    }
    if found:
        return found
    tested = {
        to: [*names[to]] for to in dict.fromkeys(map(subject_of, TESTS.values())) if to in names
    }
    if any(subject in some for some in names.values()):
        raise CallError(f'no test is made of "{subject}". {_there(tested)}')
    all_names = [name for some in tested.values() for name in some]
    close = did_you_mean(subject, all_names)
    raise CallError(
        f'"{subject}" is not in this record. {f"{close} " if close.startswith("Did") else ""}'
        f"{_there(tested)} A new one is there with its first value: compliance set JOB "
        f"circuits.{subject}.device.rated_a 16, or compliance set JOB strings.{subject}.in_series 8"
    )


def test_meant(word: str, subject: str, tests: Tests, aliases: Aliases, usual: Aliases) -> str:
    """The one test of a subject that a word means.

    A test's whole name comes first, then the trade's name of a reading (`Zs`), then words of
    a test's name that only one of the subject's tests has (`polarity`).

    Args:
        word: What the person typed.
        subject: The subject, for messages.
        tests: The kinds of test it can have.
        aliases: The trade's names of fields.
        usual: Which test is meant by a name that is of readings of several.

    Raises:
        CallError: If no test, or more than one, can be meant; with the subject's tests.
    """
    plain = _plain(word)
    alike = {_plain(tag): tag for tag in tests}
    if plain in alike:
        return alike[plain]
    found = [*_with_reading(word, tests, aliases, usual)]
    found = found or [tag for name, tag in alike.items() if f" {plain} " in f" {name} "]
    if len(found) == 1:
        return found[0]
    if found:
        raise CallError(f'"{word}" of {subject} may mean {" or ".join(found)}; write which')
    close = did_you_mean(plain, tests)
    raise CallError(
        f'there is no test "{word}" of {subject}. {f"{close} " if close.startswith("Did") else ""}'
        f"Tests of {subject}: {', '.join(tests)}.{_of_the_site(word, aliases)}"
    )


def test_read(
    keys: Iterable[str], subject: str, tests: Tests, aliases: Aliases, usual: Aliases
) -> str:
    """The one test that the first key naming a reading of a subject means; raises alike."""
    keys = list(keys)
    named = [key for key in keys if not meant_by(key, Test, aliases) and key not in _OF_ANY_TEST]
    if not named:
        raise CallError(f"say which test of {subject} it is: {', '.join(tests)}")
    return test_meant(named[0], subject, tests, aliases, usual)


def subject_of(model: type[Test]) -> str:
    """Among what the subjects of a kind of test are named, such as `components.inverter`."""
    kind = fields(model)["of"].kind
    assert isinstance(kind, Reference)  # noqa: S101 - for the type checker: every test is of one
    return kind.to


def _plain(word: str) -> str:
    return " ".join(word.replace("_", " ").replace("-", " ").casefold().split())


def _there(tested: Mapping[str, list[str]]) -> str:
    if not tested:
        return "It holds nothing yet that a test is of."
    some = (f"{to.rpartition('.')[2]} {', '.join(names)}" for to, names in tested.items())
    return f"Tests are of: {'; '.join(some)}."


def _with_reading(word: str, tests: Tests, aliases: Aliases, usual: Aliases) -> Iterator[str]:
    """The tests that have a reading of this name, or the one of them that is usually meant."""
    having = [
        tag for tag, model in tests.items() if set(meant_by(word, model, aliases)) - _OF_ANY_TEST
    ]
    chosen = next((tags for name, tags in usual.items() if name.casefold() == word.casefold()), ())
    yield from [tag for tag in having if tag in chosen] or having


def _of_the_site(word: str, aliases: Aliases) -> str:
    """Where the record has a value of this name that no test is needed for."""
    for path, group in _sections(Installation, ""):
        for name in meant_by(word, group, aliases):
            return f' "{word}" is a value of the site: compliance set JOB {path}{name} VALUE'
    return ""


def _sections(group: type[Group], path: str) -> Iterator[tuple[str, type[Group]]]:
    for name, shape in fields(group).items():
        if shape.section is not None:
            yield f"{path}{name}.", shape.section
            yield from _sections(shape.section, f"{path}{name}.")
