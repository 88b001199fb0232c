"""Views of invented records, as `compliance.record.view` would make them, from one seed.

Most values are there; some are missing, not taken or beyond the meter's range. A sound
string reads beyond the range of the insulation meter: that is the normal case.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Any

from compliance.values import NOT_YET, NotTaken, Over, Partly, Under

View = dict[str, Any]

TODAY = date(2026, 6, 15)
SILENCE = 0.04
"""How often a value is missing."""


def records(count: int, seed: int = 20261125) -> list[View]:
    """Some records, always the same for one seed."""
    rng = Random(seed)
    return [_Maker(rng, number).job() for number in range(count)]


class _Maker:
    def __init__(self, rng: Random, number: int) -> None:
        self.rng = rng
        self.number = number
        self.tests: list[View] = []

    def job(self) -> View:
        job: View = {"~name": "job", "reference": f"B{self.number}", "title": "an invented job"}
        job["site"] = self.site()
        job["parts"] = [self.part(kind) for kind in ("array", "inverter", "circuit")]
        self.array, self.inverter_part, self.circuit_part = job["parts"]
        job["instruments"] = [self.instrument(n) for n in (1, 2)]
        self.instruments = job["instruments"]
        job["modules"] = [self.module(n) for n in range(1, self.rng.choice((2, 2, 3)))]
        job["inverters"] = [self.inverter(n) for n in range(1, self.rng.choice((2, 2, 3)))]
        self.strings(job)
        job["components"] = [*job["modules"], *job["inverters"]]
        job["ac_isolators"] = [self.ac_isolator(i) for i in job["inverters"]]
        job["dc_isolators"] = self.dc_isolators(job["strings"])
        job["isolators"] = [*job["dc_isolators"], *job["ac_isolators"]]
        self.labels(job)
        self.circuits(job)
        job["tests"] = self.tests
        if self.rng.random() < 0.9:
            job["visits"] = [self.visit(n) for n in range(self.rng.choice((0, 1, 2)))]
        return job

    # -- values -----------------------------------------------------------------------

    def say(self, entry: View, **values: Any) -> View:
        """Writes values into an entry; now and then one is left out."""
        for name, value in values.items():
            if self.rng.random() >= SILENCE:
                entry[name] = value
        return entry

    def reading(self, low: float, high: float, *, digits: int = 2) -> Any:
        roll = self.rng.random()
        if roll < 0.03:
            return NotTaken("no access on the day")
        if roll < 0.04:
            return Over(high * 2)
        if roll < 0.05:
            return Under(low)
        return round(self.rng.uniform(low, high), digits)

    def insulation(self) -> Any:
        roll = self.rng.random()
        if roll < 0.62:
            return Over(self.rng.choice((200.0, 299.0, 500.0)))
        if roll < 0.64:
            return Over(0.5)
        if roll < 0.67:
            return NotTaken("rain")
        if roll < 0.70:
            return round(self.rng.uniform(0.05, 0.9), 2)
        return round(self.rng.uniform(2.0, 180.0), 1)

    def day(self, after: date | None = None) -> date:
        start = after or date(2025, 9, 1)
        return start + timedelta(days=self.rng.randrange(0, 40))

    # -- entries ----------------------------------------------------------------------

    def site(self) -> View:
        supply = self.say(
            {},
            phases=1.0,
            nominal_v=230.0,
            earthing=self.rng.choice(("TN-C-S", "TN-C-S", "TN-S", "TT")),
            ze_ohm=self.reading(0.08, 0.4),
            prospective_fault_ka=self.reading(0.6, 6.0),
        )
        lowest = float(self.rng.choice((-12, -10, -8)))
        return self.say({"supply": supply}, lowest_cell_c=lowest)

    def part(self, kind: str) -> View:
        part: View = {"~name": kind, "kind": kind}
        part["part"] = part
        designed = self.day()
        started = self.day(designed)
        self.say(part, designed=designed, started=started)
        if self.rng.random() < 0.2:
            return self.say(part, in_use=NOT_YET, handed_over=NOT_YET)
        in_use = self.day(started)
        return self.say(part, in_use=in_use, handed_over=self.day(in_use))

    def instrument(self, number: int) -> View:
        due = date(2026, 1, 1) + timedelta(days=self.rng.randrange(-60, 200))
        return self.say({"~name": f"M{number}"}, kind="tester", calibration_due=due)

    def module(self, number: int) -> View:
        return self.say(
            {"~name": f"module {number}", "category": "module", "part": self.array},
            voc_v=round(self.rng.uniform(37.0, 50.0), 1),
            isc_a=round(self.rng.uniform(10.0, 15.0), 1),
            voc_coefficient_percent_per_k=-round(self.rng.uniform(0.24, 0.31), 2),
            max_system_voltage_v=self.rng.choice((1000.0, 1500.0)),
        )

    def inverter(self, number: int) -> View:
        inverter: View = {"~name": f"inverter {number}", "category": "inverter"}
        inverter |= {"part": self.inverter_part, "isolators": [], "circuits": [], "strings": []}
        return self.say(
            inverter,
            serial=f"serial {self.number}-{number if self.rng.random() < 0.95 else 1}",
            rated_kw=self.rng.choice((3.6, 5.0, 6.0)),
            max_input_v=self.rng.choice((550.0, 600.0, 1000.0)),
        )

    def strings(self, job: View) -> None:
        if self.rng.random() < 0.03:
            job["strings"] = []
            return
        open_to_all = []
        job["strings"] = made = []
        for number in range(1, self.rng.randrange(2, 7)):
            string = self.string(f"S{number}", job)
            made.append(string)
            inverter = string["input"].get("inverter")
            if inverter is None:
                open_to_all.append((string, f"strings[{string['~name']}].input.inverter"))
            else:
                inverter["strings"].append(string)
        if open_to_all:
            for inverter in job["inverters"]:
                inverter["strings"] = Partly(inverter["strings"], open_to_all)

    def string(self, name: str, job: View) -> View:
        string: View = {"~name": name, "part": self.array, "isolators": []}
        module = self.rng.choice(job["modules"])
        string["input"] = {}
        if self.rng.random() > 0.02:
            string["input"]["inverter"] = self.rng.choice(job["inverters"])
        rows = self.rng.choice((1.0, 1.0, 2.0))
        self.say(string, modules=module, in_series=float(self.rng.randrange(6, 13)))
        self.say(string, parallel=rows, face="south roof")
        self.test(
            string, "insulation",
            test_voltage_v=self.rng.choice((500.0, 500.0, 500.0, 250.0)),
            positive_earth_megohm=self.insulation(), negative_earth_megohm=self.insulation(),
        )  # fmt: skip
        result = "correct" if self.rng.random() < 0.97 else "reversed"
        self.test(string, "polarity", result=result)
        voltage = module.get("voc_v", 40.0) * string.get("in_series", 8.0)
        factor = self.rng.choice((0.97, 0.97, 0.97, 0.9))
        self.test(
            string, "open-circuit voltage",
            value_v=self.reading(voltage * (factor - 0.01), voltage * (factor + 0.01), digits=1),
            irradiance_w_m2=self.reading(180.0, 950.0, digits=0), cell_c=self.reading(20.0, 45.0),
        )  # fmt: skip
        return string

    def test(self, subject: View, kind: str, **values: Any) -> None:
        name = kind.replace("-", "_").replace(" ", "_")
        roll = self.rng.random()
        if roll < 0.03:
            return
        if roll < 0.05:
            subject[name] = NotTaken("weather")
            return
        made: View = {"~name": f"{kind} of {subject['~name']}", "test": kind, "known": "measured"}
        made |= {"~subject": subject, "of": subject}
        if "part" in subject:
            made["part"] = subject["part"]
        self.say(made, on=self.day(date(2025, 10, 1)), instrument=self.rng.choice(self.instruments))
        subject[name] = self.say(made, **values)
        self.tests.append(made)

    def dc_isolators(self, strings: list[View]) -> list[View]:
        made: list[View] = []
        for number, string in enumerate(strings, 1):
            if self.rng.random() < 0.05:
                continue
            serves = [string]
            isolator: View = {"~name": f"Q{number}", "side": "dc", "part": self.inverter_part}
            isolator |= {"serves": serves, "labels": []}
            self.say(
                isolator,
                lockable=self.rng.random() < 0.95, breaks_positive=1.0, breaks_negative=1.0,
                rated_v=self.rng.choice((600.0, 1000.0)), rated_a=self.rng.choice((25.0, 32.0)),
            )  # fmt: skip
            string["isolators"].append(isolator)
            made.append(isolator)
        return made

    def ac_isolator(self, inverter: View) -> View:
        isolator: View = {"~name": f"QA {inverter['~name']}", "side": "ac", "labels": []}
        isolator |= {"part": self.inverter_part, "serves": inverter}
        inverter["isolators"].append(isolator)
        return self.say(isolator, lockable=self.rng.random() < 0.95)

    def labels(self, job: View) -> None:
        if self.rng.random() < 0.04:
            for isolator in job["isolators"]:
                del isolator["labels"]
            return
        made: list[View] = []
        job["labels"] = made
        for kind, place in (
            ("two supplies", "origin"), ("two supplies", "meter"), ("shutdown order", "inverter"),
            ("live in daylight", "cable route"), ("live in daylight", "cable route"),
        ):  # fmt: skip
            if self.rng.random() < 0.96:
                label: View = {"~name": f"label {len(made) + 1}", "part": self.inverter_part}
                made.append(self.say(label, kind=kind, place=place))
        for isolator in job["dc_isolators"]:
            label = {"~name": f"label {len(made) + 1}", "part": self.inverter_part}
            label["marks"] = isolator
            made.append(self.say(label, kind="dc isolator", place="isolator"))
            isolator["labels"].append(label)

    def circuits(self, job: View) -> None:
        made: list[View] = []
        job["circuits"] = made
        for number in range(1, self.rng.randrange(2, 5)):
            circuit: View = {"~name": f"C{number}", "part": self.circuit_part}
            circuit["device"] = self.say(
                {},
                kind=self.rng.choice(("circuit-breaker", "circuit-breaker", "fuse")),
                curve=self.rng.choice(("B", "B", "C")),
                rated_a=self.rng.choice((16.0, 20.0, 32.0)),
            )
            self.say(circuit, feeds=self.rng.choice(job["inverters"]))
            roll = self.rng.random()
            if roll < 0.8:
                circuit["rcd"] = [self.rcd()]
            elif roll < 0.95:
                circuit["rcd"] = []
            self.test(circuit, "loop impedance", zs_ohm=self.reading(0.2, 2.0))
            self.test(
                circuit,
                "continuity",
                result="continuous" if self.rng.random() < 0.98 else "open",
                r1_r2_ohm=self.reading(0.05, 1.5),
            )
            self.test(circuit, "rcd time", time_ms=self.reading(12.0, 280.0, digits=0))
            made.append(circuit)

    def rcd(self) -> View:
        return self.say(
            {"~name": "rcd", "part": self.circuit_part},
            type=self.rng.choice(("A", "A", "B", "AC")),
            residual_ma=self.rng.choice((30.0, 30.0, 100.0)),
            delay=self.rng.choice(("general", "general", "delayed")),
        )

    def visit(self, number: int) -> View:
        ends = self.rng.choice(("insulated", "joined"))
        left = self.say({}, dc_ends=ends)
        return self.say({"~name": f"visit {number + 1}", "left": left}, on=self.day())
