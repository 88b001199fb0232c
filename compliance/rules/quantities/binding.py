"""A quantity: which inputs of the view feed which calculation, and how its working reads."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache, cached_property
from typing import Any, Protocol, cast

from compliance.errors import OutOfRangeError
from compliance.rules.language.calculation import Calculation, Given
from compliance.rules.language.interval import point
from compliance.rules.outcome import Source, Working
from compliance.units import find, rounded, shown
from compliance.values import NotTaken, Over, Under, Unknown

Entry = Mapping[str, Any]
Needs = tuple[tuple[str, str], ...]
"""Path and reason; a path that begins at the job and not at the entry has a slash before it."""


class Asked(Protocol):
    """What a quantity may ask for: the job, other quantities, limits."""

    job: Entry
    today: date

    def worked(self, name: str, entry: Entry) -> float | Over | Unknown | None:
        """Another worked-out value of an entry; None if nothing is called so."""

    def table(self, name: str, at: str | float | None) -> tuple[float | None, Needs]:
        """A limit on the day that counts for the record, at a word, a number or nothing."""

    def listed(self, name: str) -> tuple[str, ...]:
        """The words at which a limit table is asked, as it lists them."""


@dataclass(frozen=True)
class Input:
    """One input: the words for it, and where it comes from.

    `path` starts with a dot at the entry itself, without one at the job; as
    `limits.NAME` it is a limit, asked at the word that `word` leads to.
    """

    words: str
    path: str
    word: str = ""

    @cached_property
    def steps(self) -> tuple[str, ...]:
        """The steps through the record; none for a limit."""
        if self.path.startswith("limits."):
            return ()
        return tuple(self.path.lstrip(".").split("."))

    @property
    def given(self) -> Given:
        """The same for the generated code."""
        if self.path.startswith("limits."):
            steps = tuple(self.word.lstrip(".").split(".")) if self.word else ()
            return Given(steps, not self.word.startswith("."), self.path.partition(".")[2])
        return Given(self.steps, not self.path.startswith("."))

    def rests_on_none(self, worked_out: Collection[str]) -> bool:
        """Whether no step leads to something that is itself worked out."""
        return not any(step in worked_out for step in self.given.steps)

    @property
    def tables(self) -> tuple[str, ...]:
        """The limit table it comes from, if from one."""
        return (self.path.removeprefix("limits."),) if self.path.startswith("limits.") else ()


@dataclass(frozen=True, slots=True)
class Gathered:
    """An input gathered from several entries: gives the numbers, or what they lack."""

    words: str
    gather: Callable[[Entry, Asked], tuple[tuple[float, ...], Needs]]
    path: str
    tables: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Found:
    """One number that takes more than a path to find, as the row of a table for a cable.

    `tables` are the limit tables it may come from; `path` is what it begins with. `at` are
    the paths whose values a working shows beside the words: what the row was sought for.
    """

    words: str
    find: Callable[[Entry, Asked], tuple[float | None, Needs]]
    path: str
    tables: tuple[str, ...] = ()
    at: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()

    def told(self, entry: Entry, asked: Asked) -> str:
        """The words, with what the row was sought for."""
        sought = [(path, walk(path, entry, asked)[0]) for path in self.at]
        known = [(path, value) for path, value in sought if value is not None]
        told = [v if isinstance(v, str) else _written(v, path) for path, v in known]
        return f"{self.words} ({', '.join(told)})" if told else self.words


@dataclass(frozen=True)
class Quantity:
    """One worked-out value of one kind of entry.

    `calculate` takes one keyword argument for each of `inputs` and raises
    OutOfRangeError for what cannot be. It may give `Over`: what is sure to grow beyond that.
    `idle_where_none` names a worked-out value of the same entry: where that is 0, nothing
    rests on this one and its working is not shown.
    """

    owner: str
    name: str
    title: str
    formula: str
    inputs: Mapping[str, Input | Gathered | Found]
    calculate: Callable[..., float | Over]
    source: str
    clause: str
    confidence: str
    note: str = ""
    is_printed: bool = True
    idle_where_none: str = ""

    def value(self, entry: Entry, asked: Asked) -> float | Over | Unknown:
        """The value for an entry, or what it lacks to be worked out."""
        return self.reader(entry, asked)

    @cached_property
    def reader(self) -> Callable[[Entry, Asked], float | Over | Unknown]:
        """What `value` does, as one function, quick where each input is a plain number."""
        return _plain_reader(self)

    def calculation(self, worked_out: Collection[str]) -> Calculation | None:
        """The same for the generated code; None if an input is gathered or itself worked out."""
        code = getattr(self.calculate, "__code__", None)
        names = code.co_varnames[: code.co_argcount] if code else ()
        given = [self.inputs.get(name) for name in names]
        if set(names) != {*self.inputs} or not any(one.steps for one in given if one):
            return None
        if any(not isinstance(one, Input) or not one.rests_on_none(worked_out) for one in given):
            return None
        gives_float = self.calculate.__annotations__.get("return") == "float"
        inputs = tuple(cast("Input", one).given for one in given)
        return Calculation(inputs, self.calculate, gives_float)

    def slowly(self, entry: Entry, asked: Asked) -> float | Over | Unknown:
        """The value for an entry, whatever its inputs are."""
        for given in self.inputs.values():
            if _is_lacking(given, entry, asked):
                return self.lacking(entry, asked)
        return self._explained(entry, asked)

    def lacking(self, entry: Entry, asked: Asked) -> Unknown:
        """A value that surely lacks something; what, is found out when somebody asks."""
        return Unknown(lambda: self._arguments(entry, asked)[1])

    def _explained(self, entry: Entry, asked: Asked) -> float | Over | Unknown:
        arguments, needs = self._arguments(entry, asked)
        if needs:
            return Unknown(needs)
        try:
            value = self.calculate(**arguments)
            return value if isinstance(value, Over) else float(value)
        except OutOfRangeError as beyond:
            named = self.input_named(beyond)
            path = self.inputs[named].path
            path = path[1:] if path.startswith(".") else f"/{path}"
            reason = f"outside validity of {self.title.lower()}: it must be {beyond.right}"
            return Unknown(((path, reason),))

    def input_named(self, beyond: OutOfRangeError) -> str:
        """Which input a calculation refused; the first where it does not say."""
        named = [name for name in self.inputs if name in beyond.name]
        return max(named, key=len, default=next(iter(self.inputs)))

    def working(self, entry: Entry, asked: Asked, titles: Mapping[str, str]) -> Working | None:
        """The calculation as lines; None where it cannot be worked out or nothing rests on it."""
        value = self.value(entry, asked)
        if isinstance(value, Unknown | Over):
            return None
        rests_on = asked.worked(self.idle_where_none, entry) if self.idle_where_none else None
        if isinstance(rests_on, float) and rests_on == 0:
            return None
        arguments, _ = self._arguments(entry, asked)
        told = {n: g.told(entry, asked) for n, g in self.inputs.items() if isinstance(g, Found)}
        return self.worked_through(arguments, value, entry["~name"], titles, told)

    def worked_through(
        self,
        arguments: Mapping[str, Any],
        value: float,
        subject: str,
        titles: Mapping[str, str],
        told: Mapping[str, str] | None = None,
    ) -> Working:
        """The calculation as lines, with the numbers that went in and what came out.

        `told` are words for inputs that say more than their own.
        """
        words = {name: given.words for name, given in self.inputs.items()} | dict(told or {})
        lines = tuple(
            (words[parameter], _written(given, parameter)) for parameter, given in arguments.items()
        )
        source = Source(self.source, self.clause, self.confidence, titles.get(self.source, ""))
        result = rounded(value, find(self.name))
        return Working(
            self.name, self.title, subject, self.formula, lines, result, source, self.note
        )

    def _arguments(self, entry: Entry, asked: Asked) -> tuple[dict[str, Any], Needs]:
        arguments: dict[str, Any] = {}
        needs: dict[tuple[str, str], None] = {}
        for parameter, given in self.inputs.items():
            if isinstance(given, Gathered):
                arguments[parameter], lacking = given.gather(entry, asked)
            elif isinstance(given, Found):
                arguments[parameter], lacking = given.find(entry, asked)
            else:
                arguments[parameter], lacking = _read(given, entry, asked)
            if lacking:
                needs.update(dict.fromkeys(lacking))
        return arguments, tuple(needs)


def _plain_reader(quantity: Quantity) -> Callable[[Entry, Asked], float | Over | Unknown]:
    """One function that reads all inputs and calculates; slowly where one is no plain number."""
    given = list(quantity.inputs.items())
    if not all(isinstance(one, Input) for _, one in given):
        return quantity.slowly
    reads: dict[tuple[str, ...], str] = {("entry",): "entry", ("asked.job",): "asked.job"}
    lines: list[str] = []
    limits: list[str] = []
    values = [_emitted(cast("Input", one), reads, lines, limits) for _, one in given]
    checks = " and ".join(f"{v}.__class__ is float" for v in dict.fromkeys(values))
    arguments = ", ".join(f"{name}={v}" for (name, _), v in zip(given, values, strict=True))
    text = "\n".join([
        "def plain(entry, asked):",
        *(f"    {line}" for line in lines),
        "    try:",
        *(f"        {line}" for line in limits),
        f"        if {checks}:",
        f"            return float(calculate({arguments}))",
        "    except silences:",
        "        pass",
        *_gaps(given, values, reads),
        "    return slowly(entry, asked)",
    ])  # fmt: skip
    silences = (KeyError, OutOfRangeError)  # said in full by the slow way
    namespace: dict[str, Any] = {
        "calculate": quantity.calculate, "silences": silences, "slowly": quantity.slowly,
        "lacking": quantity.lacking, "LACKING": _LACKING,
    }  # fmt: skip
    exec(compile(text, f"<generated for {quantity.name}>", "exec"), namespace)  # noqa: S102 - from the names and repr of the paths in this package's own tables only
    return cast("Callable[[Entry, Asked], float | Over | Unknown]", namespace["plain"])


def _gaps(
    given: list[tuple[str, Any]], values: list[str], reads: Mapping[tuple[str, ...], str]
) -> Iterator[str]:
    """Lines that tell what surely has no value from what was read already."""
    for (_, one), value in zip(given, values, strict=True):
        if not one.steps:
            continue
        root = "entry" if one.path.startswith(".") else "asked.job"
        held, last = reads[(root, *one.steps[:-1])], one.steps[-1]
        missing = f"asked.worked({last!r}, {held}) is None"
        if len(one.steps) > 1:
            missing = f"({held} is None or {missing})"
        yield f"    if {value}.__class__ in LACKING or ({value} is None and {missing}):"
        yield "        return lacking(entry, asked)"


def _is_lacking(given: Input | Gathered | Found, entry: Entry, asked: Asked) -> bool:
    """Whether an input surely has no value; what it lacks costs more to say."""
    value: Any = entry if given.path[0] == "." else asked.job
    for step in given.steps:
        owner, value = value, value.get(step)
        if value is None:
            value = asked.worked(step, owner)
        if value is None or value.__class__ in _LACKING:
            return True
    return False


_LACKING = frozenset({NotTaken, Over, Under, Unknown})


def _emitted(
    given: Input, reads: dict[tuple[str, ...], str], lines: list[str], limits: list[str]
) -> str:
    """Emits the reading of an input, each step once; gives the local name that holds it.

    What is no entry passes through as it is: it is no number, so the slow way says what it is.
    """
    if not given.path.startswith("limits."):
        return _emitted_steps(given.path, reads, lines)
    word = _emitted_steps(given.word, reads, lines) if given.word else ""
    name = f"w{len(limits)}"
    asked = f"asked.table({given.path.partition('.')[2]!r}, {word or None})[0]"
    limits.append(f"{name} = {asked}" + (f" if {word}.__class__ is str else None" if word else ""))
    return name


def _emitted_steps(path: str, reads: dict[tuple[str, ...], str], lines: list[str]) -> str:
    key: tuple[str, ...] = ("entry",) if path.startswith(".") else ("asked.job",)
    for step in path.lstrip(".").split("."):
        held, key = reads[key], (*key, step)
        if key not in reads:
            reads[key] = name = f"v{len(lines)}"
            through = f" if {held}.__class__ is dict else {held}" if len(key) > 2 else ""
            lines.append(f"{name} = {held}.get({step!r}){through}")
    return reads[key]


def _read(given: Input, entry: Entry, asked: Asked) -> tuple[float | None, Needs]:
    if given.path.startswith("limits."):
        word, lacking = walk(given.word, entry, asked) if given.word else (None, ())
        return (None, lacking) if lacking else asked.table(given.path.partition(".")[2], word)
    return walk(given.path, entry, asked)


def walk(path: str, entry: Entry, asked: Asked) -> tuple[Any, Needs]:
    """The known value at a path, or why there is none."""
    value: Any = entry if path[0] == "." else asked.job
    for step, missing in _steps(path):
        owner, value = value, value.get(step)
        if value is None:
            value = asked.worked(step, owner)
            if value is None:
                return None, missing
        if value.__class__ in _LACKING:
            return None, _why_lacking(value, step, missing[0][0])
    return value, ()


@cache
def _steps(path: str) -> tuple[tuple[str, Needs], ...]:
    """The steps of a path, each with what is lacking where nothing is there."""
    steps = path.lstrip(".").split(".")
    root = "" if path.startswith(".") else "/"
    return tuple(
        (step, ((root + ".".join(steps[:count]), "missing"),))
        for count, step in enumerate(steps, 1)
    )


def _why_lacking(value: Any, step: str, path: str) -> Needs:
    """Why there is no plain value where something else stands."""
    if isinstance(value, Unknown):
        return value.needs
    if isinstance(value, NotTaken):
        return ((path, f"not taken: {value.reason}"),)
    side = "above" if isinstance(value, Over) else "below"
    reading = shown(value.limit, find(step))
    return ((path, f"beyond range: a reading {side} {reading}"),)


def _written(value: Any, name: str) -> str:
    """An input with its unit; what was worked out itself to more figures than a result has."""
    unit = find(name)
    each = value if isinstance(value, tuple) else (value,)
    return ", ".join(shown(float(f"{v:.7g}"), unit) for v in each)


def table_of(
    day: date, tables: Any, name: str, at: str | float | None
) -> tuple[float | None, Needs]:
    """A limit as an input: the one value, or that no edition covers the day."""
    sought = point(at) if isinstance(at, float) else at
    arguments = (sought,) if tables.signs[name].arguments else ()
    found = tables.value(name, arguments, day)
    if found is None or not found.is_point:
        return None, ((f"/limits.{name}", f"no edition covers {day.isoformat()}"),)
    return found.low, ()
