"""Tests that were made, one entry each; a repeated test is a further entry below."""

from __future__ import annotations

from typing import Annotated, ClassVar

from compliance.record.entry import Batched
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
    "short-circuit current",
    "operating current",
    "frame continuity",
    "circuit insulation",
    "circuit polarity",
    "fault current",
    "rcd button",
    "loss of mains",
    "switching",
)
CONDITIONS = ("irradiance_w_m2", "cell_c", "test_voltage_v", "inverter", "surge_devices")
"""What a test is made under; all the rest that a kind of test has of its own is read."""
SURGE_DEVICES = ("none fitted", "disconnected", "connected")


class Test(Batched):
    """What every test has: what, when, by whom, with which instrument.

    `not_taken` says why the whole test was not made. `after` says what was done since the
    test before it (a repair, a better instrument), when a test is repeated. `is_seen` says of a
    kind of test that it needs no instrument that reads; `as_it_should_be` is its good result,
    where that is a word.
    """

    is_seen: ClassVar[bool] = False
    as_it_should_be: ClassVar[str] = ""

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
    inverter: Annotated[str, words("disconnected", "connected")] | None = None
    surge_devices: Annotated[str, words(*SURGE_DEVICES)] | None = None
    positive_earth_megohm: Reading | None = None
    negative_earth_megohm: Reading | None = None


class Polarity(Test):
    """Polarity of a string's cables, by meter."""

    tag: ClassVar[str] = "polarity"
    as_it_should_be: ClassVar[str] = "correct"

    of: Annotated[str, Reference("strings", back="polarity", latest=True)]
    result: Annotated[str, words("correct", "reversed")] | None = None


class OpenCircuitVoltage(Test):
    """Open-circuit voltage of a string, with the light and temperature it was read at.

    Where an earth fault is looked for, each pole to earth as well, the negative with its minus.
    """

    tag: ClassVar[str] = "open-circuit voltage"

    of: Annotated[str, Reference("strings", back="open_circuit_voltage", latest=True)]
    value_v: Reading | None = None
    irradiance_w_m2: Reading | None = None
    cell_c: Reading | None = None
    positive_to_earth_v: Reading | None = None
    negative_to_earth_v: Reading | None = None


class LoopImpedance(Test):
    """Earth fault loop impedance at the far end of a circuit."""

    tag: ClassVar[str] = "loop impedance"

    of: Annotated[str, Reference("circuits", back="loop_impedance", latest=True)]
    zs_ohm: Reading | None = None


class Continuity(Test):
    """Continuity of a circuit's protective conductor, with the line conductor (R1 + R2)."""

    tag: ClassVar[str] = "continuity"
    as_it_should_be: ClassVar[str] = "continuous"

    of: Annotated[str, Reference("circuits", back="continuity", latest=True)]
    result: Annotated[str, words("continuous", "open")] | None = None
    r1_r2_ohm: Reading | None = None


class RcdTime(Test):
    """Time in which a circuit's RCD opens at its rated residual current."""

    tag: ClassVar[str] = "rcd time"

    of: Annotated[str, Reference("circuits", back="rcd_time", latest=True)]
    time_ms: Reading | None = None


class ShortCircuitCurrent(Test):
    """Short-circuit current of a string, with the light and temperature it was read at."""

    tag: ClassVar[str] = "short-circuit current"

    of: Annotated[str, Reference("strings", back="short_circuit_current", latest=True)]
    value_a: Reading | None = None
    irradiance_w_m2: Reading | None = None
    cell_c: Reading | None = None


class OperatingCurrent(Test):
    """Current of a string while its inverter works freely, with the light it was read at."""

    tag: ClassVar[str] = "operating current"

    of: Annotated[str, Reference("strings", back="operating_current", latest=True)]
    value_a: Reading | None = None
    irradiance_w_m2: Reading | None = None


class FrameContinuity(Test):
    """Continuity of the conductor that earths or bonds an array's frame, end to end."""

    tag: ClassVar[str] = "frame continuity"
    as_it_should_be: ClassVar[str] = "continuous"

    of: Annotated[str, Reference("parts", back="frame_continuity", latest=True)]
    result: Annotated[str, words("continuous", "open")] | None = None
    resistance_ohm: Reading | None = None


class CircuitInsulation(Test):
    """Insulation resistance of a dead AC circuit: live conductors to earth, and to each other."""

    tag: ClassVar[str] = "circuit insulation"

    of: Annotated[str, Reference("circuits", back="insulation", latest=True)]
    test_voltage_v: Figure | None = None
    surge_devices: Annotated[str, words(*SURGE_DEVICES)] | None = None
    live_earth_megohm: Reading | None = None
    live_live_megohm: Reading | None = None


class CircuitPolarity(Test):
    """Polarity of an AC circuit: switches and breakers in the line, terminals not exchanged."""

    tag: ClassVar[str] = "circuit polarity"
    as_it_should_be: ClassVar[str] = "correct"

    of: Annotated[str, Reference("circuits", back="polarity", latest=True)]
    result: Annotated[str, words("correct", "reversed")] | None = None


class FaultCurrent(Test):
    """Greatest prospective fault current at the board that a circuit starts from."""

    tag: ClassVar[str] = "fault current"

    of: Annotated[str, Reference("circuits", back="fault_current", latest=True)]
    value_ka: Reading | None = None


class RcdButton(Test):
    """What a circuit's RCD does when its own test button is pressed."""

    tag: ClassVar[str] = "rcd button"
    is_seen: ClassVar[bool] = True
    as_it_should_be: ClassVar[str] = "opened"

    of: Annotated[str, Reference("circuits", back="rcd_button", latest=True)]
    result: Annotated[str, words("opened", "stayed closed")] | None = None


class LossOfMains(Test):
    """What a working inverter does when its supply is switched off."""

    tag: ClassVar[str] = "loss of mains"
    is_seen: ClassVar[bool] = True
    as_it_should_be: ClassVar[str] = "stopped"

    of: Annotated[str, Reference("components.inverter", back="loss_of_mains", latest=True)]
    result: Annotated[str, words("stopped", "kept running")] | None = None


class Switching(Test):
    """What an isolator does when it is operated, seen with a meter behind it."""

    tag: ClassVar[str] = "switching"
    is_seen: ClassVar[bool] = True
    as_it_should_be: ClassVar[str] = "opens and closes"

    of: Annotated[str, Reference("isolators", back="switching", latest=True)]
    result: Annotated[str, words("opens and closes", "stays closed", "stays open")] | None = None
