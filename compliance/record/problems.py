"""What can be wrong with a record, one class a cause; messages say what to write instead."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from compliance.errors import Place, RecordError


class Refused(ValueError):  # noqa: N818 - carries one of ours through pydantic, never shown
    """A value was refused; `problem` says why, `field` which field below it is meant."""

    def __init__(self, problem: RecordError, field: str = "") -> None:
        super().__init__(problem.what)
        self.problem = problem
        self.field = field


MOST_COMPARED = 300


def cut(text: str) -> str:
    """What was written, short enough for a message."""
    return text if len(text) <= 60 else f"{text[:57]}..."


def did_you_mean(name: str, names: Iterable[str]) -> str:
    """The nearest known name as a hint, or the names that are known."""
    known = sorted(names)
    alike = sorted(known, key=lambda other: abs(len(other) - len(name)))[:MOST_COMPARED]
    close = get_close_matches(name[:60], alike, n=1, cutoff=0.6)
    if close:
        return f'Did you mean "{cut(close[0])}"?'
    if not known:
        return "There are none to name yet."
    some = ", ".join(cut(name) for name in known[:12])
    return f"Known here: {some}{', ...' if len(known) > 12 else ''}."


class TooManyProblemsError(RecordError):
    """There are more problems than anyone reads in one go."""

    id = "record.too-many-problems"

    def __init__(self, most: int, place: Place | None = None) -> None:
        super().__init__(
            f"there are more than {most} problems; these are the first of them. Put them right "
            "and read the record again.",
            place,
        )


class SaysNothingError(RecordError):
    """Null, an empty value, n/a, tbc and their like."""

    id = "record.says-nothing"

    def __init__(self, text: str, place: Place | None = None) -> None:
        written = f'"{cut(text)}" says' if text else "An empty value says"
        super().__init__(
            f"{written} nothing that can be relied on. Leave the line out if it is not known; "
            'write "none" for a list known to be empty, "not yet" for a date still ahead, '
            '"not taken: reason" for a reading nobody made.',
            place,
        )


class NotANumberError(RecordError):
    """A number is not written as a plain decimal."""

    id = "record.not-a-number"

    def __init__(self, text: str, unit: str, example: str, place: Place | None = None) -> None:
        in_unit = f" in {unit}" if unit else ""
        super().__init__(
            f'"{cut(text)}" is not a plain number{in_unit}; write digits and one point, such as '
            f"{example}.",
            place,
        )


class WrongUnitError(RecordError):
    """A number is written with a unit behind it."""

    id = "record.unit-written"

    def __init__(self, text: str, number: str, unit: str, place: Place | None = None) -> None:
        field = f"this field is in {unit}" if unit else "this field is a count"
        super().__init__(
            f'"{cut(text)}" has a unit in it; {field}. Convert it if need be and write the number '
            f"alone, such as {number}.",
            place,
        )


class TooPreciseError(RecordError):
    """A number has more digits than can be kept exactly."""

    id = "record.too-many-digits"

    def __init__(self, text: str, place: Place | None = None) -> None:
        super().__init__(
            f'"{cut(text)}" has more than 12 digits; no meter shows so many. Write at most 12. '
            "If it is a serial or certificate number, it belongs in a text field.",
            place,
        )


class BeyondRangeError(RecordError):
    """A figure, which is not a reading, is written as beyond range."""

    id = "record.beyond-range"

    def __init__(self, text: str, place: Place | None = None) -> None:
        super().__init__(
            f'"{cut(text)}" is for readings beyond a meter\'s range; this field is a rated or '
            "counted figure: write the figure itself.",
            place,
        )


class NotTakenError(RecordError):
    """`not taken` stands without a reason, or where no reading stands."""

    id = "record.not-taken"

    def __init__(self, text: str, right: str, place: Place | None = None) -> None:
        super().__init__(f'"{cut(text)}": {right}', place)


class NotADateError(RecordError):
    """A date is not written in full, or there is no such day."""

    id = "record.not-a-date"

    def __init__(
        self,
        text: str,
        why: str,
        place: Place | None = None,
        *,
        may_have_time: bool = True,
        may_lie_ahead: bool = True,
    ) -> None:
        right = "year-month-day such as 2026-02-08"
        right += ", with a time of day as 2026-02-08T14:30" if may_have_time else ""
        right += ', or "not yet"' if may_lie_ahead else ""
        super().__init__(f'"{cut(text)}" {why}; write {right}.', place)


class NotYesOrNoError(RecordError):
    """Something other than yes or no."""

    id = "record.not-yes-or-no"

    def __init__(self, text: str, place: Place | None = None) -> None:
        super().__init__(f'"{cut(text)}" is neither "yes" nor "no"; write one of the two.', place)


class UnknownWordError(RecordError):
    """A word that is not in the field's closed list."""

    id = "record.unknown-word"

    def __init__(self, text: str, words: Iterable[str], place: Place | None = None) -> None:
        known = list(words)
        hint = get_close_matches(text, known, n=1, cutoff=0.6)
        mean = f' Did you mean "{hint[0]}"?' if hint else ""
        super().__init__(
            f'"{cut(text)}" is not one of the words this field knows: {", ".join(known)}.{mean}',
            place,
        )


class BlockOutsideTextError(RecordError):
    """A block scalar (`|` or `>`) where no free text belongs."""

    id = "record.block-outside-text"

    def __init__(self, text: str, place: Place | None = None) -> None:
        super().__init__(
            f'this field holds "{cut(text)}" written as a block of text (after > or |); write it '
            'on the same line. For a reading above the meter\'s range write "over 200".',
            place,
        )


class NotAnEntryError(RecordError):
    """A single value where a group of fields belongs, or the other way about."""

    id = "record.wrong-shape"

    def __init__(self, found: str, right: str, place: Place | None = None) -> None:
        super().__init__(f"there is {found} here; {right}", place)


class NoRangeError(RecordError):
    """Serial numbers from one to another that do not follow each other."""

    id = "record.no-range"

    def __init__(self, text: str, most: int, place: Place | None = None) -> None:
        super().__init__(
            f'"{cut(text)}" is no row of serial numbers that follow each other: both have the '
            f"same letters and as many digits, the second is higher, and they are at most {most}. "
            "Write such as NL-0121 to NL-0136, or one a line.",
            place,
        )


class EmptyListError(RecordError):
    """An empty list or mapping."""

    id = "record.empty-list"

    def __init__(self, place: Place | None = None) -> None:
        super().__init__(
            "an empty list does not say whether there is nothing or nothing is known yet; write "
            '"none" if there is nothing, or leave the line out.',
            place,
        )


class NamesNothingError(RecordError):
    """A reference that is written names nothing: it is an empty list, or "none"."""

    id = "record.names-nothing"

    def __init__(self, what: str = "entries", place: Place | None = None) -> None:
        super().__init__(
            f"this names none of the {what}; write the short name of one of them. Where none is "
            "right, leave this line out, and the whole entry where it has to have the line: a "
            "switch that serves nothing is not recorded.",
            place,
        )


class LoopOfReferencesError(RecordError):
    """Evidence files are said to be about one another, in a circle, or about themselves."""

    id = "record.loop-of-references"

    def __init__(self, circle: Iterable[str], place: Place | None = None) -> None:
        names = [f'"{cut(name)}"' for name in circle]
        round_it = names if len(names) <= 6 else [*names[:5], "...", names[-1]]
        super().__init__(
            f"these files are about one another in a circle: {' -> '.join(round_it)}. Say of each "
            "what it shows of the installation: a string, a switch, a circuit, a component.",
            place,
        )


class UnknownFieldError(RecordError):
    """A field that no model has."""

    id = "record.unknown-field"

    def __init__(self, name: str, names: Iterable[str], place: Place | None = None) -> None:
        super().__init__(
            f'"{name}" is no field that anything reads here. {did_you_mean(name, names)}', place
        )


class MissingFieldError(RecordError):
    """A field that holds the record together is left out."""

    id = "record.missing-field"

    def __init__(self, name: str, right: str, place: Place | None = None) -> None:
        super().__init__(f'"{name}" has to be said here: {right}', place)


class WrongFormatError(RecordError):
    """The first line does not name a format this version reads."""

    id = "record.wrong-format"

    def __init__(self, text: str, place: Place | None = None) -> None:
        super().__init__(
            f'"{cut(text)}" is not a format this version reads; the first line is '
            '"record: installation/2".',
            place,
        )


class UnknownReferenceError(RecordError):
    """A short name that nothing of the right kind has."""

    id = "record.unknown-reference"

    def __init__(
        self, text: str, what: str, names: Iterable[str], place: Place | None = None
    ) -> None:
        self.text = text
        super().__init__(
            f'"{cut(text)}" names nothing among the {what} of this record. '
            f"{did_you_mean(text, names)}",
            place,
        )


class PlannedOnlyError(RecordError):
    """What is said to be there is planned only: nobody speaks for its batch yet."""

    id = "record.planned-only"

    def __init__(self, name: str, batch: str, place: Place | None = None) -> None:
        super().__init__(
            f'"{cut(name)}" is planned only: nobody says yet that it is there. Add `by` and `on` '
            f"to the batch {cut(batch)}, or take its line `batch` out and say here what it is.",
            place,
        )


class NameTwiceError(RecordError):
    """Two entries share a short name."""

    id = "record.name-twice"

    def __init__(self, name: str, first: Place, place: Place | None = None) -> None:
        super().__init__(
            f'the short name "{name}" already stands on line {first.line} ({first.field}); give '
            "each entry of the record a name of its own, so that evidence can point at it.",
            place,
        )


class NameOfFirmError(RecordError):
    """An entry of a job has a short name that the firm's file gives to something."""

    id = "record.name-of-firm"

    def __init__(self, name: str, firm: Place, place: Place | None = None) -> None:
        super().__init__(
            f'the short name "{name}" is the firm\'s ({firm.file}, line {firm.line}: '
            f"{firm.field}); the firm's names and the job's are one list. Give this entry "
            "another name.",
            place,
        )


class UnknownUsualError(RecordError):
    """A usual part that the firm's file does not have."""

    id = "record.unknown-usual"

    def __init__(
        self,
        text: str,
        collection: str,
        names: Iterable[str],
        has_firm: bool,
        place: Place | None = None,
    ) -> None:
        where = (
            f"the {collection} of the firm's file. {did_you_mean(text, names)}"
            if has_firm
            else "the firm's parts, for there is no firm.yaml in the folder above this job"
        )
        super().__init__(f'"{cut(text)}" names nothing among {where}', place)


class AnotherKindError(RecordError):
    """A usual part is of another kind than the entry that takes from it."""

    id = "record.another-kind"

    def __init__(self, text: str, tag: str, found: str, place: Place | None = None) -> None:
        super().__init__(
            f'the firm\'s "{cut(text)}" is of {tag} {cut(found)}, and this entry is not; name a '
            f"usual part of the same {tag}.",
            place,
        )


class UsualOfUsualError(RecordError):
    """A usual part of the firm takes from another one, or from itself."""

    id = "record.usual-of-usual"

    def __init__(self, name: str, text: str, place: Place | None = None) -> None:
        super().__init__(
            f'the firm\'s "{cut(name)}" takes from "{cut(text)}"; a usual part says all of itself, '
            'so that none can wait for another. Write its figures here; "usual" belongs in a job.',
            place,
        )


class NotForAFirmError(RecordError):
    """A firm's usual site or batch says what somebody has to see at each house."""

    id = "record.not-for-a-firm"

    def __init__(self, field: str, what: str, known: Iterable[str], place: Place) -> None:
        super().__init__(
            f'"{cut(field)}" has to be seen at each house, or decided for it. What a firm can say '
            f"{what}: {', '.join(known)}.",
            place,
        )


class FirmFormatError(RecordError):
    """The first line of a firm's file does not name a format this version reads."""

    id = "record.firm-format"

    def __init__(self, place: Place | None = None) -> None:
        super().__init__('the first line of a firm\'s file is "firm: firm/1"', place)


class NotANameError(RecordError):
    """A short name that could not be told from what other words of a record mean."""

    id = "record.not-a-name"

    def __init__(self, name: str, why: str, place: Place | None = None) -> None:
        super().__init__(
            f'"{name}" cannot be the short name of an entry: {why}. A letter and a number do, '
            "such as S1.",
            place,
        )


class OrderOfTestsError(RecordError):
    """Tests of one subject do not stand in the order of their dates."""

    id = "record.order-of-tests"

    def __init__(self, test: str, subject: str, day: str, earlier: str, place: Place) -> None:
        super().__init__(
            f"this {test} test of {subject} is dated {day} but stands below one of {earlier}; "
            "tests of one subject stand in the order they were made, the latest last.",
            place,
        )


class DatesContradictError(RecordError):
    """Two dates of a record cannot both be right."""

    id = "record.dates-contradict"

    def __init__(
        self, field: str, day: str, other: str, why: str, first: Place, place: Place
    ) -> None:
        super().__init__(
            f"{field} is {day} here, but {other} (line {first.line}): {why}. Put right the one "
            "that is wrong, or leave out the one that is not known.",
            place,
        )


class VisitBeforeStartError(RecordError):
    """A visit is dated before work on any part of the job started."""

    id = "record.visit-before-start"

    def __init__(self, day: str, started: str, first: Place, place: Place) -> None:
        super().__init__(
            f"this visit is dated {day}, before work on any part started: the first did on "
            f"{started} (line {first.line}). Put right the date that is wrong; a look round "
            "before the work is no visit and has no line here.",
            place,
        )


class WhichPartError(RecordError):
    """An entry could belong to two parts and does not say which."""

    id = "record.which-part"

    def __init__(self, name: str, parts: Iterable[str], place: Place | None = None) -> None:
        known = ", ".join(parts)
        super().__init__(
            f'"{name}" could belong to more than one part of the job ({known}); say which with '
            '"part:".',
            place,
        )


class UnknownRequirementError(RecordError):
    """A departure or judgement names a requirement that no ruleset has."""

    id = "record.unknown-requirement"

    def __init__(self, name: str, names: Iterable[str], place: Place | None = None) -> None:
        super().__init__(
            f'no ruleset in use has a requirement "{name}". {did_you_mean(name, names)}', place
        )


class UnknownDocumentError(RecordError):
    """What a job was designed to is no document that the rulesets know."""

    id = "record.unknown-document"

    def __init__(self, name: str, names: Iterable[str], place: Place | None = None) -> None:
        super().__init__(
            f'no document that the rulesets cite is called "{name}"; say by its short name what '
            f"the job was designed to. {did_you_mean(name, names)}",
            place,
        )


class UnknownSubjectError(RecordError):
    """A departure or judgement names a subject its requirement is not applied to."""

    id = "record.unknown-subject"

    def __init__(
        self, name: str, requirement: str, names: Iterable[str], place: Place | None = None
    ) -> None:
        super().__init__(
            f'"{requirement}" is not applied to "{name}". {did_you_mean(name, names)}', place
        )


class NobodySaysItError(RecordError):
    """A batch says something of its entries, and nobody is named who says so."""

    id = "record.nobody-says-it"

    def __init__(self, name: str, field: str, place: Place | None = None) -> None:
        super().__init__(
            f'"{cut(field)}" is said of the batch {cut(name)}, but not who says so. Add `by`, and '
            "`on` for the day; until then its tests and labels are only planned.",
            place,
        )
