"""Any worked-out value or limit by hand: what it takes, its working, where it comes from.

The same calculations, tables and words as in a check, fed with numbers that a person gives
instead of a record.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import nan
from typing import Any

from compliance.errors import CallError, ComplianceError, OutOfRangeError, RecordError, raise_all
from compliance.record.figures import figure
from compliance.record.problems import did_you_mean
from compliance.rules.language.interval import point
from compliance.rules.language.kinds import Word
from compliance.rules.limits import LimitTables
from compliance.rules.outcome import Source, Working
from compliance.rules.quantities import QUANTITIES, Quantity
from compliance.rules.quantities.binding import Found, Gathered, Input
from compliance.rules.quantities.by_hand import BY_HAND, ByHand
from compliance.units import COUNT, Unit, find, shown

NO_PERMISSION = (
    "A figure worked out by hand is no permission to energise. A competent person checks it, what "
    "went into it and where it comes from."
)
SUBJECT = "by hand"
_CALCULATED: Mapping[str, Quantity] = {q.name: q for q in (*QUANTITIES.values(), *BY_HAND)}


class NothingSoCalledError(CallError):
    """No worked-out value and no limit has the name."""

    id = "call.nothing-so-called"

    def __init__(self, name: str, known: Sequence[str]) -> None:
        hint = did_you_mean(name, known)
        super().__init__(f'nothing to calculate is called "{name}". {hint} --list shows them all.')


class NotCalculatedError(CallError):
    """A value that is counted in a record and not calculated from numbers."""

    id = "call.not-calculated"

    def __init__(self, quantity: Quantity) -> None:
        super().__init__(
            f'"{quantity.name}" ({quantity.title.lower()}) is counted in a record; there is '
            "nothing to calculate by hand"
        )


class InputShapeError(CallError):
    """An input is not written as NAME=VALUE, or stands twice."""

    id = "call.input-shape"


class UnknownInputError(CallError):
    """An input that the calculation does not have."""

    id = "call.unknown-input"

    def __init__(self, name: str, sheet: Sheet) -> None:
        known = [i.name for i in sheet.inputs]
        hint = did_you_mean(name, known) if known else "It takes none."
        super().__init__(f'{sheet.name} has no input "{name}". {hint}')


class MissingInputError(CallError):
    """An input that was not given."""

    id = "call.missing-input"

    def __init__(self, missing: Entering, sheet: Sheet) -> None:
        super().__init__(f"{sheet.name} needs {missing.name}=..., {missing.told}")


class UnreadableInputError(CallError):
    """An input that is no number of its unit, or no word of its list."""

    id = "call.unreadable-input"

    def __init__(self, entering: Entering, why: str) -> None:
        super().__init__(f"{entering.name}, {entering.told}: {why}")


class NoEditionError(CallError):
    """A limit that no edition of its table gives for the day."""

    id = "call.no-edition"

    def __init__(self, name: str, day: date, first: date) -> None:
        super().__init__(
            f"no edition of {name} is in force on {day.isoformat()}; the first is from "
            f"{first.isoformat()}: give another day with --on"
        )


@dataclass(frozen=True, slots=True)
class Entering:
    """One input as a person enters it: `valid` is its range, `table` the limit that gives it."""

    name: str
    words: str
    unit: str
    valid: str
    is_list: bool = False
    table: str = ""

    @property
    def told(self) -> str:
        """The input in words, with its unit, range and where to find it."""
        parts = [self.words, f"in {self.unit}" if self.unit else ""]
        parts += ["one number for each, with commas between" if self.is_list else "", self.valid]
        parts += [f"from the limit {self.table}" if self.table else ""]
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What can be worked out by hand, what it takes and where it comes from."""

    name: str
    title: str
    of: str
    unit: str
    formula: str
    inputs: tuple[Entering, ...]
    source: Source | None
    note: str


@dataclass(frozen=True, slots=True)
class Result:
    """A value by hand, with its working, and what else it says in words and figures."""

    value: float
    sheet: Sheet
    working: Working
    also: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Desk:
    """Everything that can be worked out by hand on a day."""

    tables: LimitTables
    titles: Mapping[str, str]
    day: date

    def sheets(self) -> Iterator[Sheet]:
        """What there is to calculate: worked-out values of a record, others, then the limits."""
        for quantity in _CALCULATED.values():
            if quantity.is_printed:
                yield self._of_quantity(quantity)
        for name in self.tables.signs:
            yield self._of_limit(name)

    def worked(self, name: str, said: Sequence[str]) -> Result:
        """A value from inputs as they are typed, `NAME=VALUE` each.

        Raises:
            CallError: If there is no such value, or an input is missing, unknown or unreadable;
                `Problems` if several are.
            OutOfRangeError: If an input lies outside the range of validity.
        """
        quantity = _CALCULATED.get(name)
        if quantity is not None and not quantity.is_printed:
            raise NotCalculatedError(quantity)
        if quantity is not None:
            sheet = self._of_quantity(quantity)
            arguments = _entered(sheet, said)
            value = float(quantity.calculate(**arguments))
            working = quantity.worked_through(arguments, value, SUBJECT, self.titles)
            also = quantity.told(arguments) if isinstance(quantity, ByHand) else ()
            return Result(value, sheet, working, also)
        if name in self.tables.signs:
            return self._limit(name, said)
        raise NothingSoCalledError(name, [sheet.name for sheet in self.sheets()])

    def _of_quantity(self, quantity: Quantity) -> Sheet:
        valid = _ranges(quantity)
        return Sheet(
            quantity.name,
            quantity.title,
            quantity.owner.replace("_", " "),
            find(quantity.name).symbol,
            quantity.formula,
            tuple(_entering(n, i, valid.get(n, "")) for n, i in quantity.inputs.items()),
            Source(
                quantity.source,
                quantity.clause,
                quantity.confidence,
                self.titles.get(quantity.source, ""),
            ),
            quantity.note,
        )

    def _of_limit(self, name: str) -> Sheet:
        by = self.tables.arguments.get(name)
        inputs = () if by is None else (self._asked_by(name, *by),)
        return Sheet(
            name, self.tables.titles[name], "limit", find(name).symbol, "limit table", inputs,
            self.tables.source(name, self.day), self.tables.note(name, self.day),
        )  # fmt: skip

    def _asked_by(self, name: str, argument: str, meaning: str) -> Entering:
        (kind,) = self.tables.signs[name].arguments
        unit = find(argument)
        if isinstance(kind, Word):
            return Entering(argument, meaning, "", f"one of {', '.join(kind.words)}")
        return Entering(argument, meaning, unit.symbol, "" if unit.is_point else _from_zero(unit))

    def _limit(self, name: str, said: Sequence[str]) -> Result:
        sheet = self._of_limit(name)
        words = {
            argument: kind.words
            for argument, kind in zip(
                [i.name for i in sheet.inputs], self.tables.signs[name].arguments, strict=True
            )
            if isinstance(kind, Word)
        }
        arguments = _entered(sheet, said, words)
        for argument, value in arguments.items():
            unit = find(argument)
            if argument not in words and not unit.is_point and value < 0:
                raise OutOfRangeError(argument, value, _from_zero(unit))
        asked = tuple(v if n in words else point(v) for n, v in arguments.items())
        found = self.tables.value(name, asked, self.day)
        if found is None or sheet.source is None:
            raise NoEditionError(name, self.day, self.tables.first_day(name))
        lines = tuple(
            (i.words, v if i.name in words else shown(v, find(i.name)))
            for i, v in zip(sheet.inputs, arguments.values(), strict=True)
        )
        formula = f"limit table, as in force on {self.day.isoformat()}"
        return Result(
            found.low,
            sheet,
            Working(
                name, sheet.title, SUBJECT, formula, lines, shown(found.low, find(name)),
                sheet.source, sheet.note,
            ),
        )  # fmt: skip


def _from_zero(unit: Unit) -> str:
    return f"{shown(0, unit)} or more"


def _entering(name: str, given: Input | Gathered | Found, valid: str) -> Entering:
    table = " or ".join(given.tables)
    unit = find(name)
    symbol = "" if unit is COUNT else unit.symbol
    return Entering(name, given.words, symbol, valid, isinstance(given, Gathered), table)


def _ranges(quantity: Quantity) -> dict[str, str]:
    """The range of each input, as the calculation itself tells it when given no number.

    One input after the other is refused; each is then set to a value that is allowed.
    """
    found: dict[str, list[str]] = {}
    tried: dict[str, Any] = {
        name: () if isinstance(given, Gathered) else nan for name, given in quantity.inputs.items()
    }
    for _ in range(2 * len(tried)):
        try:
            quantity.calculate(**tried)
        except OutOfRangeError as beyond:
            name = quantity.input_named(beyond)
            if beyond.right in found.get(name, ()):
                break  # what it allows has not helped: it looks at several inputs at once
            found.setdefault(name, []).append(beyond.right)
            if tried[name] == ():
                tried[name] = (nan, nan)
            elif beyond.allowed is None:
                break
            else:
                is_list = isinstance(tried[name], tuple)
                tried[name] = (beyond.allowed,) * 2 if is_list else beyond.allowed
        except (ArithmeticError, ValueError, IndexError):
            break  # it has no bounds of its own
        else:
            break
    lists = {name for name, given in quantity.inputs.items() if isinstance(given, Gathered)}
    return {
        name: (", each " if name in lists else ", ").join(map(_plainly, right))
        for name, right in found.items()
    }


def _plainly(right: str) -> str:
    """A range without the outer bounds, which only keep a calculation from overflowing."""
    return right.partition(", and between ")[0]


def _entered(
    sheet: Sheet, said: Sequence[str], words: Mapping[str, Sequence[str]] | None = None
) -> dict[str, Any]:
    """The inputs that were typed, in the sheet's order; everything wrong told at once."""
    known = {entering.name: entering for entering in sheet.inputs}
    problems: list[ComplianceError] = []
    read: dict[str, Any] = {}
    for text in said:
        name, found, value = text.partition("=")
        if not found:
            what = f'"{text}" is not an input; write its name, an equals sign and the number'
            problems.append(InputShapeError(f"{what}: {next(iter(known), 'NAME')}=..."))
        elif name not in known:
            problems.append(UnknownInputError(name, sheet))
        elif name in read:
            problems.append(InputShapeError(f'"{name}" is given twice; give it once'))
        else:
            read[name] = None
            try:
                read[name] = _value(known[name], value.strip(), (words or {}).get(name))
            except RecordError as problem:
                problems.append(UnreadableInputError(known[name], problem.what))
    missing = [entering for name, entering in known.items() if name not in read]
    raise_all([*problems, *(MissingInputError(entering, sheet) for entering in missing)])
    return {name: read[name] for name in known}


def _value(entering: Entering, text: str, words: Sequence[str] | None) -> Any:
    if words is not None:
        if text not in words:
            raise RecordError(f'"{text}" is none of them. {did_you_mean(text, words)}')
        return text
    unit = find(entering.name)
    if entering.is_list:
        return tuple(figure(one.strip(), unit) for one in text.split(","))
    return figure(text, unit)
