"""Random vocabularies' worth of expressions and records, for the properties of the language.

Written against `random.Random`, so that Hypothesis can drive it (and shrink) and a plain
seeded generator can run it fast and long.
"""

from __future__ import annotations

import copy
from datetime import date, datetime, timedelta
from random import Random
from typing import Any

from compliance.rules.language.interval import Interval, point, span
from compliance.rules.language.kinds import (
    LimitSign,
    Many,
    Moment,
    Number,
    Text,
    Thing,
    Vocabulary,
    Word,
    YesNo,
)  # fmt: skip
from compliance.units import find
from compliance.values import NOT_YET, NotTaken, NotYet, Over, Under, Unknown

TODAY = date(2026, 6, 15)
WORDS = ("red", "blue", "none-fitted")


def _n(name: str, **role: bool) -> Number:
    return Number(find(name), **role)


TYPES: dict[str, dict[str, Any]] = {
    "job": {
        "things": Many("thing"),
        "acts": Many("act", is_complete=False),
        "hall": Thing("hall"),
        "rate_percent": _n("rate_percent"),
    },
    "thing": {
        "size_v": _n("size_v"),
        "load_a": _n("load_a"),
        "loop_ohm": _n("loop_ohm", is_reading=True),
        "insulation_megohm": _n("insulation_megohm", is_reading=True),
        "rated_kw": _n("rated_kw"),
        "taken_w": _n("taken_w", is_reading=True),
        "cell_c": _n("cell_c", is_reading=True),
        "coldest_c": _n("coldest_c"),
        "count": _n("count"),
        "colour": Word(WORDS),
        "label": Text(),
        "locked": YesNo(),
        "made": Moment(),
        "twin": Thing("thing", is_shared=True),
        "bits": Many("bit"),
        "acts": Many("act", is_complete=False),
        "deep_v": _n("deep_v", is_worked=True),
    },
    "bit": {"mass_kg": _n("mass_kg"), "hue": Word(WORDS), "tag": Text(), "firm": YesNo()},
    "act": {
        "on": Moment(),
        "value_v": _n("value_v", is_reading=True),
        "kind": Word(WORDS),
        "notes": Many("bit"),
    },
    "hall": {"height_m": _n("height_m"), "open": YesNo(), "proof": Thing("act"), "on": Moment()},
}
LIMITS = {
    "least_megohm": LimitSign((Number(find("x_v")),), find("least_megohm")),
    "by_colour_v": LimitSign((Word(WORDS),), find("by_colour_v")),
    "flat_v": LimitSign((), find("flat_v")),
}
EVIDENCE = ("photo", "sheet")
VOCABULARY = Vocabulary(
    TYPES, frozenset({("thing", "deep_v")}), LIMITS, frozenset(EVIDENCE)
)  # fmt: skip
EDGES = tuple(5.0 * (1 + share) for share in (-1.02e-9, -0.98e-9, 0.98e-9, 1.02e-9))
"""Numbers just within and just beyond the tolerance of 1e-9 around 5."""
NUMBERS = (0.0, 1.0, 2.0, 3.0, 5.0, 0.3, -1.0, 200.0, 120.0, 500.0, *EDGES, 1e300)
ROWS = [(120.0, False, 0.5), (500.0, True, 1.0), (float("inf"), True, 2.0)]
BY_COLOUR = {"red": 5.0, "blue": 10.0, "none-fitted": 20.0}


class RandomWorld:
    """A world over one random record, with one quantity and three limit tables."""

    def __init__(self, job: dict[str, Any]) -> None:
        self.job = job
        self.today = TODAY

    def quantity(self, owner: str, name: str, entry: Any) -> float | Unknown:
        assert (owner, name) == ("thing", "deep_v")
        size = entry.get("size_v")
        if size is None:
            return Unknown((("size_v", "missing"),))
        if abs(size) > 1e200:
            return Unknown((("size_v", "outside validity of deep voltage"),))
        return float(size * 1.25 + 0.1)

    def limit(self, name: str, arguments: tuple[Any, ...], day: date) -> Interval | None:
        if name == "flat_v":
            return None if day < date(2020, 1, 1) else point(3.0)
        (argument,) = arguments
        if name == "by_colour_v":
            return span(point(v) for k, v in BY_COLOUR.items() if argument in (None, k))
        low, has_low, rows = -float("inf"), True, []
        for high, has_high, value in ROWS:
            above = argument.high < low or (
                argument.high == low and not (has_low and argument.has_high)
            )
            below = argument.low > high or (
                argument.low == high and not (has_high and argument.has_low)
            )
            if not above and not below:
                rows.append(point(value))
            low, has_low = high, not has_high
        return span(rows)

    def evidence(self, kind: str, entry: Any, before: str) -> tuple[tuple[str, str], ...]:
        return () if kind in entry.get("~proofs", ()) else (("evidence", f"no {kind}"),)


# -- records --------------------------------------------------------------------------


def record(rng: Random) -> dict[str, Any]:
    """A random record: anything may be missing, beyond range, not taken or not yet."""
    job: dict[str, Any] = {"~name": "job"}
    things = [_entry(rng, "thing", 0.25, f"T{i}") for i in range(rng.randrange(4))]
    for thing in things:
        if rng.random() < 0.6:
            thing["twin"] = things[rng.randrange(len(things))]
    if rng.random() < 0.9:
        job["things"] = things
    for name in ("acts", "hall", "rate_percent"):
        value = _value(rng, TYPES["job"][name], 0.2)
        if value is not None:
            job[name] = value
    return job


def _entry(rng: Random, type_name: str, silence: float, name: str) -> dict[str, Any]:
    entry: dict[str, Any] = {"~name": name}
    for field, kind in TYPES[type_name].items():
        if field in ("twin", "deep_v"):
            continue
        value = _value(rng, kind, silence)
        if value is not None:
            entry[field] = value
    if type_name == "thing" and rng.random() < 0.15:
        entry["deep_v"] = rng.choice(NUMBERS[:-1])
    entry["~proofs"] = [k for k in EVIDENCE if rng.random() < 0.6]
    return entry


def _value(rng: Random, kind: Any, silence: float) -> Any:
    if rng.random() < silence:
        return None
    match kind:
        case Number(is_reading=True):
            at = rng.choice(NUMBERS[:-1])
            roll = rng.random()
            if roll < 0.15:
                return Over(at)
            if roll < 0.25:
                return Under(at)
            return NotTaken("rain") if roll < 0.35 else at
        case Number():
            return rng.choice(NUMBERS)
        case Word(words):
            return rng.choice(words)
        case Text():
            return rng.choice(("S1+", "S1-", "left"))
        case YesNo():
            return rng.random() < 0.5
        case Moment():
            roll = rng.random()
            if roll < 0.2:
                return NOT_YET
            day = TODAY + timedelta(days=rng.choice((-400, -2, -1, 0, 1, 2, 400)))
            if roll < 0.5:
                hour, minute = rng.choice(((0, 0), (9, 0), (9, 30), (23, 59)))
                return datetime(day.year, day.month, day.day, hour, minute)
            return day
        case Thing(type_name):
            roll = rng.random()
            if roll < 0.1:
                return NotTaken("no meter")
            if roll < 0.2:  # as where the only test is dated after the day of the check
                return Unknown(((type_name, "dated later"),))
            return _entry(rng, type_name, silence, type_name)
        case Many(type_name):
            return [_entry(rng, type_name, silence, f"{type_name}{i}")
                    for i in range(rng.randrange(3))]  # fmt: skip
    raise AssertionError(kind)


def filled(rng: Random, job: dict[str, Any]) -> dict[str, Any]:
    """The same record with every unknown turned into something known, at random."""
    out = copy.deepcopy(job)
    things = out.get("things")
    if things is None:
        things = out["things"] = [
            _entry(rng, "thing", 0.0, f"N{i}") for i in range(rng.randrange(3))
        ]
    if not things:
        spare = [_entry(rng, "thing", 0.0, "spare")]
        _settle(rng, spare[0], "thing", spare, set())
    else:
        spare = things
    _settle(rng, out, "job", spare, set())
    return out


def _settle(rng: Random, entry: Any, type_name: str, things: list[Any], done: set[int]) -> None:
    if id(entry) in done:
        return
    done.add(id(entry))
    for field, kind in TYPES[type_name].items():
        value = entry.get(field)
        if field == "deep_v":
            continue
        if field == "twin":
            if value is None:
                value = entry[field] = things[rng.randrange(len(things))]
        elif value is None or isinstance(value, NotTaken | Unknown):
            value = entry[field] = _known(rng, kind)
        elif isinstance(value, Over):
            entry[field] = value.limit + rng.choice((1e-13, 1e-6, 1.0, 1e6)) * max(
                1, abs(value.limit)
            )
        elif isinstance(value, Under):
            entry[field] = value.limit - rng.choice((1e-13, 1e-6, 1.0, 1e6)) * max(
                1, abs(value.limit)
            )
        elif isinstance(value, NotYet):
            entry[field] = TODAY + timedelta(days=rng.choice((1, 2, 400)))
        if isinstance(kind, Many):
            if not kind.is_complete and entry[field] and rng.random() < 0.6:
                entry[field] = [*entry[field], _entry(rng, kind.type, 0.0, "later")]
            for item in entry[field]:
                _settle(rng, item, kind.type, things, done)
        elif isinstance(kind, Thing):
            _settle(rng, entry[field], kind.type, things, done)
    if rng.random() < 0.7:
        entry["~proofs"] = list(EVIDENCE)


def _known(rng: Random, kind: Any) -> Any:
    while True:
        value = _value(rng, kind, 0.0)
        if not isinstance(value, NotTaken | Unknown):
            return value


def forgotten(rng: Random, job: dict[str, Any]) -> dict[str, Any]:
    """The same record with one known value gone."""
    out = copy.deepcopy(job)
    held: list[tuple[Any, str]] = []
    _collect(out, "job", held, set())
    if held:
        entry, field = held[rng.randrange(len(held))]
        if field.startswith("~"):
            entry[field] = []
        else:
            del entry[field]
    return out


def _collect(entry: Any, type_name: str, held: list[tuple[Any, str]], done: set[int]) -> None:
    if id(entry) in done:
        return
    done.add(id(entry))
    if entry.get("~proofs"):
        held.append((entry, "~proofs"))
    for field, kind in TYPES[type_name].items():
        value = entry.get(field)
        # A quantity by value stands only in examples: without it, it is worked out again.
        if value is None or field == "deep_v":
            continue
        if isinstance(kind, Many):
            for item in value:
                _collect(item, kind.type, held, done)
        elif isinstance(kind, Thing) and isinstance(value, dict):
            held.append((entry, field))
            _collect(value, kind.type, held, done)
        else:
            held.append((entry, field))


# -- expressions ----------------------------------------------------------------------


class Writer:
    """Writes random well-formed expressions as text."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self.made = 0

    def condition(self, names: dict[str, str], depth: int, nested: int = 0) -> str:
        rng = self.rng
        roll = rng.random()
        if depth <= 0 or roll < 0.35:
            return self.simple(names, depth)
        if roll < 0.6:
            word = " and " if rng.random() < 0.5 else " or "
            return "(" + word.join(
                self.condition(names, depth - 1, nested) for _ in range(rng.choice((2, 2, 3)))
            ) + ")"  # fmt: skip
        if roll < 0.7:
            return f"(not {self.condition(names, depth - 1, nested)})"
        if nested < 2:
            return self.each(names, depth, nested)
        return self.simple(names, depth)

    def each(self, names: dict[str, str], depth: int, nested: int) -> str:
        found = self.collections(names)
        text, type_name, complete = self.rng.choice(found)
        form = self.rng.choice(
            ("all", "any", "unique", "count", "least") if complete else ("any", "count")
        )
        self.made += 1
        name = f"x{self.made}"
        inner = {**names, name: type_name}
        where = ""
        if self.rng.random() < 0.4:
            where = f" if {self.condition(inner, depth - 2, nested + 1)}"
        tail = f"for {name} in {text}{where}"
        if form == "unique":
            field = {"thing": "label", "bit": "tag"}.get(type_name)
            if field is None:
                form = "any"
            else:
                return f"unique({name}.{field} {tail})"
        body = self.condition(inner, depth - 1, nested + 1)
        if form == "count":
            sign = self.rng.choice(("<", "<=", ">", ">="))
            return f"count({body} {tail}) {sign} {self.rng.choice((0, 1, 2))}"
        if form == "least":
            field = {"thing": "size_v", "bit": "mass_kg"}.get(type_name)
            if field:
                pick = self.rng.choice(("min", "max", "sum"))
                sign = self.rng.choice(("<", "<=", ">", ">="))
                return f"{pick}({name}.{field} {tail}) {sign} {self.constant()}"
            form = "any"
        return f"{form}({body} {tail})"

    def collections(self, names: dict[str, str]) -> list[tuple[str, str, bool]]:
        found = [("things", "thing", True), ("acts", "act", False)]
        for name, type_name in names.items():
            if type_name == "thing":
                found += [(f"{name}.bits", "bit", True), (f"{name}.acts", "act", False),
                          (f"{name}.twin.bits", "bit", True)]  # fmt: skip
            if type_name == "act":
                found += [(f"{name}.notes", "bit", True), ("hall.proof.notes", "bit", True)]
        return found

    def prefix(self, names: dict[str, str], type_name: str) -> str | None:
        found = [n for n, t in names.items() if t == type_name]
        if not found:
            return None
        name = self.rng.choice(found)
        return f"{name}.twin" if type_name == "thing" and self.rng.random() < 0.15 else name

    def simple(self, names: dict[str, str], depth: int) -> str:
        rng = self.rng
        forms = [
            "rate_percent <= 5", "hall.open", "hall.height_m > 3", "hall.on <= today",
            "hall.proof.value_v >= 5", "hall.proof.kind == 'red'", "stated(hall.proof.value_v)",
            "shown('photo', hall.proof)", self.moments("hall.on"), self.days("hall.on"),
        ]  # fmt: skip
        thing = self.prefix(names, "thing")
        if thing:
            forms = [
                f"{thing}.colour {rng.choice(('==', '!='))} '{rng.choice(WORDS)}'",
                f"{thing}.colour {rng.choice(('in', 'not in'))} ('red', 'blue')",
                f"{thing}.locked", f"not {thing}.locked", f"{thing}.label == 'S1+'",
                f"{thing}.twin == {thing}", f"{thing}.count == 2",
                self.moments(f"{thing}.made"), self.days(f"{thing}.made"), self.edge(thing),
                f"{thing}.taken_w {self.sign()} {thing}.rated_kw",
                f"{thing}.cell_c - {thing}.coldest_c {self.sign()} 5",
                f"{thing}.insulation_megohm {self.sign()} limits.least_megohm({thing}.deep_v)",
                f"{thing}.insulation_megohm {self.sign()} limits.least_megohm({thing}.size_v)",
                f"limits.by_colour_v({thing}.colour) {self.sign()} {thing}.size_v",
                f"stated({thing}.insulation_megohm)", f"shown('{rng.choice(EVIDENCE)}', {thing})",
                f"{self.volts(thing, depth)} {self.sign()} {self.volts(thing, depth)}",
                f"{self.volts(thing, depth)} {self.sign()} {self.constant()}",
                f"{self.constant()} < {thing}.size_v <= {self.constant()}",
            ]  # fmt: skip
        bit = self.prefix(names, "bit")
        if bit and rng.random() < 0.6:
            forms = [f"{bit}.mass_kg {self.sign()} 2", f"{bit}.hue == 'blue'", f"{bit}.firm"]
        act = self.prefix(names, "act")
        if act and rng.random() < 0.6:
            forms = [f"{act}.value_v {self.sign()} 3", self.moments(f"{act}.on"),
                     f"{act}.kind != 'red'", f"shown('sheet', {act})"]  # fmt: skip
        return rng.choice(forms)

    def moments(self, moment: str) -> str:
        """Two moments compared: with the day of the check, the hall's, or a chain of both."""
        rng = self.rng
        sign = rng.choice(("<", "<=", ">", ">=", "==", "!="))
        other = rng.choice(("today", "hall.on", "hall.proof.on"))
        return rng.choice((
            f"{moment} {sign} {other}", f"{other} {sign} {moment}",
            f"hall.on {self.sign()} {moment} {self.sign()} today",
        ))  # fmt: skip

    def days(self, moment: str) -> str:
        """Days between two moments against a number, or against other days."""
        rng = self.rng
        other = rng.choice(("today", "hall.on"))
        ends = (f"{moment}, {other}", f"{other}, {moment}")
        right = rng.choice(("0", "1", "2", "400", f"days({rng.choice(ends)})"))
        return f"days({rng.choice(ends)}) {self.sign()} {right}"

    def edge(self, thing: str) -> str:
        """A comparison with 5 of a number read or worked out: only the second has a tolerance."""
        rng = self.rng
        left = rng.choice((
            f"{thing}.size_v", f"{thing}.size_v * 1", f"{thing}.size_v + 0",
            f"abs({thing}.size_v)", f"min({thing}.size_v, 200)", f"-(-{thing}.size_v)",
            f"{thing}.loop_ohm * 1 * {thing}.load_a / 1",
        ))  # fmt: skip
        pair = (left, rng.choice(("5", "limits.by_colour_v('red')", f"{thing}.size_v")))
        first, second = pair if rng.random() < 0.5 else pair[::-1]
        return f"{first} {self.sign()} {second}"

    def volts(self, thing: str, depth: int) -> str:
        rng = self.rng
        roll = rng.random()
        if depth <= 0 or roll < 0.4:
            return rng.choice((f"{thing}.size_v", f"{thing}.deep_v", "limits.flat_v()",
                               f"{thing}.load_a * {thing}.loop_ohm"))  # fmt: skip
        a, b = self.volts(thing, depth - 1), self.volts(thing, depth - 1)
        return rng.choice((
            f"({a} + {b})", f"({a} - {b})", f"abs({a})", f"min({a}, {b})", f"max({a}, {b})",
            f"(-{a})", f"({a} * {thing}.count)", f"({a} / {thing}.count)", f"({a} * 0)",
            f"({a} * 2)",
        ))  # fmt: skip

    def sign(self) -> str:
        return self.rng.choice(("<", "<=", ">", ">="))

    def constant(self) -> str:
        return self.rng.choice(("0", "1", "5", "0.3", "200", "-1"))
