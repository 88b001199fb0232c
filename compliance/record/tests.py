"""Tests that were made, one entry each; a repeated test is a further entry below."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Entry
from compliance.record.kinds import (
    Day,
    Figure,
    FreeText,
    Reading,
    ReasonKind,
    Reference,
    words,
)

KINDS = (
    "insulation",
    "polarity",
    "open-circuit voltage",
    "loop impedance",
    "continuity",
    "rcd time",
)


class Test(Entry):
    """What every test has: what, when, by whom, with which instrument.

    `not_taken` says why the whole test was not made. `after` says what was done since the
    test before it (a repair, a better instrument), when a test is repeated.
    """

    test: Annotated[str, words(*KINDS)]
    on: Day | None = None
    by: Annotated[str, Reference("people")] | None = None
    instrument: Annotated[str, Reference("instruments")] | None = None
    known: (
        Annotated[str, words("measured", "meter file", "seen", "document", "told", "assumed")]
        | None
    ) = None
    after: FreeText | None = None
    not_taken: Annotated[str, ReasonKind()] | None = None


class Insulation(Test):
    """Insulation resistance of a string, each pole to earth."""

    tag: ClassVar[str] = "insulation"

    of: Annotated[str, Reference("strings", back="insulation", latest=True)]
    test_voltage_v: Figure | None = None
    positive_earth_megohm: Reading | None = None
    negative_earth_megohm: Reading | None = None


class Polarity(Test):
    """Polarity of a string's cables, by meter."""

    tag: ClassVar[str] = "polarity"

    of: Annotated[str, Reference("strings", back="polarity", latest=True)]
    result: Annotated[str, words("correct", "reversed")] | None = None


class OpenCircuitVoltage(Test):
    """Open-circuit voltage of a string, with the light and temperature it was read at."""

    tag: ClassVar[str] = "open-circuit voltage"

    of: Annotated[str, Reference("strings", back="open_circuit_voltage", latest=True)]
    value_v: Reading | None = None
    irradiance_w_m2: Reading | None = None
    cell_c: Reading | None = None


class LoopImpedance(Test):
    """Earth fault loop impedance at the far end of a circuit."""

    tag: ClassVar[str] = "loop impedance"

    of: Annotated[str, Reference("circuits", back="loop_impedance", latest=True)]
    zs_ohm: Reading | None = None


class Continuity(Test):
    """Continuity of a circuit's protective conductor, with the line conductor (R1 + R2)."""

    tag: ClassVar[str] = "continuity"

    of: Annotated[str, Reference("circuits", back="continuity", latest=True)]
    result: Annotated[str, words("continuous", "open")] | None = None
    r1_r2_ohm: Reading | None = None


class RcdTime(Test):
    """Time in which a circuit's RCD opens at its rated residual current."""

    tag: ClassVar[str] = "rcd time"

    of: Annotated[str, Reference("circuits", back="rcd_time", latest=True)]
    time_ms: Reading | None = None
