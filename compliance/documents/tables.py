"""The tables that templates ask for by name: their columns, and what stands in an empty one.

    shaped("string-readings", [["S1", "insulation, positive to earth", "over 200 MΩ", ..], ..])

Test results are one reading a row, whatever was tested: nothing is squeezed, a second
reading of the same thing is a second row, and a reading not taken has a row that says why.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from compliance.documents.tree import Cell, Column, Table


@dataclass(frozen=True, slots=True)
class Shape:
    """Caption, columns, and what is printed instead of rows."""

    caption: str
    columns: tuple[Column, ...]
    empty: str


_READINGS = (
    Column("Tested", 1.1),
    Column("Reading of", 2),
    Column("Reading", 1.2),
    Column("Would be right", 1.4),
    Column("Instrument, person and day", 2),
)
_WALK = (
    Column("What", 1.1),
    Column("The record claims", 2.6),
    Column("Shown by", 1),
    Column("Seen", 1.5),
)
RATINGS_A = (6, 10, 16, 20, 25, 32, 40, 50)
"""Usual rated currents of circuit-breakers (EN 60898-1, from memory)."""

_TO_TAKE = (
    Column("Test and reading", 1.47),
    Column("Read", 1.73),
    Column("Would be right", 2.41),
)
_SEEN = (
    Column("What", 1.2),
    Column("Where", 1.8),
    Column("As recorded", 2.6),
    Column("Evidence", 1.4),
)

SHAPES: Mapping[str, Shape] = {
    "counts": Shape(
        "All findings by outcome",
        (Column("Outcome", 1.2), Column("Findings", 0.6, "right"), Column("What it means", 4)),
        "No requirement was applied.",
    ),
    "open-gaps": Shape(
        "Where the gaps are",
        (Column("Section", 1.4), Column("Who can close them", 1.6),
         Column("Found wrong", 1, "right"), Column("Not shown or not decided", 1.4, "right")),
        "There is no gap.",
    ),
    "supply": Shape(
        "The fewest things that can close the most gaps",
        (Column("What to supply", 4), Column("Who has it", 1.2),
         Column("Closes", 0.6, "right")),
        "Nothing is lacking that could be supplied.",
    ),
    "system": Shape(
        "What was installed",
        (Column("What", 1), Column("As recorded", 2.4)),
        "The record says nothing about the equipment.",
    ),
    "part-dates": Shape(
        "Dates of each part",
        (
            Column("Part", 1.6),
            Column("Agreed"),
            Column("Designed"),
            Column("Work started"),
            Column("Covered over"),
            Column("Switched on"),
            Column("Handed over"),
        ),
        "The record names no part and no date.",
    ),
    "walk-supply": Shape("Supply and boards", _WALK, "The record claims nothing here."),
    "walk-inverters": Shape("Inverters, batteries, switches", _WALK,
                            "The record claims nothing here."),
    "walk-route": Shape("Along the DC cables", _WALK, "The record claims nothing here."),
    "walk-roof": Shape("Roof, from where it can be seen in safety", _WALK,
                       "The record claims nothing here."),
    "walk-readings": Shape(
        "Readings to take again",
        (Column("Of", 0.6), Column("Reading of", 1.8), Column("On record", 1.1),
         Column("Would be right", 1.6), Column("Read again", 1)),
        "The record holds no reading.",
    ),
    "freeing": Shape(
        "What can be live, and what frees it",
        (Column("Prove dead at", 1.3), Column("Can be made live by", 1.3),
         Column("Open and lock off", 1.1), Column("Stays live beside it", 1.9)),
        "The record names nothing that is joined to anything.",
    ),
    "label-schedule": Shape(
        "Labels to fit, to keep, to remove",
        (Column("Do", 0.5), Column("Where and which", 1.4), Column("What it has to tell", 2.4),
         Column("On record as", 1)),
        "The record names no switch and no label.",
    ),
    "visits": Shape(
        "Visits",
        (
            Column("Day", 1),
            Column("Who"),
            Column("What was done", 2),
            Column("How it was left", 2.4),
        ),
        "The record names no visit.",
    ),
    "people": Shape(
        "Who did the work",
        (
            Column("Person", 1.6),
            Column("Role", 1.2),
            Column("Competent by", 1.8),
            Column("Tests made", 2.4),
        ),
        "The record names nobody.",
    ),
    "instruments": Shape(
        "What was measured with",
        (
            Column("Instrument", 1.6),
            Column("Serial number and ratings", 1.3),
            Column("Known to read true by", 1.8),
            Column("Used for", 2),
        ),
        "The record names no instrument.",
    ),
    "string-readings": Shape(
        "Readings on strings", _READINGS, "No reading on a string is recorded."
    ),
    "like-strings": Shape(
        "Like strings of one inverter, side by side",
        (Column("String", 0.7), Column("Reading of", 1.2), Column("As read", 1.7),
         Column("At 25 °C and 1000 W/m²", 1.1, "right"), Column("Off the middle one", 1.7),
         Column("That is", 0.9)),
        "No two strings of one kind were read on one inverter.",
    ),
    "then-and-now": Shape(
        "Then and now",
        (Column("String", 0.7), Column("Reading of", 1.1), Column("Then", 1.7),
         Column("Now", 1.7), Column("Difference", 0.8, "right"), Column("That is", 1.5)),
        "Nothing was read on two days.",
    ),
    "circuit-readings": Shape(
        "Readings on circuits", _READINGS, "No reading on a circuit is recorded."
    ),
    "equipment-readings": Shape(
        "Readings on the array's frame, on inverters and on isolators",
        _READINGS,
        "No reading on a frame, an inverter or an isolator is recorded.",
    ),
    "alterations": Shape(
        "Altered after a test",
        (Column("What", 1), Column("Day", 1), Column("What was done", 4)),
        "No alteration after a test is recorded.",
    ),
    "isolators": Shape(
        "Means of switching off", _SEEN, "The record names no isolator."
    ),
    "switch-steps": Shape(
        "Switch off in this order",
        (Column("Step", 0.5), Column("Switch", 0.9), Column("Where it is", 2.4),
         Column("What it does", 2.6)),
        "The record names no switch. Call the installer; in danger, keep away.",
    ),
    "visit-readings": Shape(
        "Readings made that day",
        (Column("Tested", 0.8), Column("Readings", 4), Column("Instrument, person and time", 2)),
        "No reading of that day is recorded.",
    ),
    "visit-photos": Shape(
        "Photos and papers of that day",
        (Column("File", 1.4), Column("About", 1.2), Column("Shows", 2.6),
         Column("By and when", 1.8)),
        "No photo and no paper of that day is recorded.",
    ),
    "left-state": Shape(
        "As it was left",
        (Column("What", 1.2), Column("As recorded", 2.6)),
        "The record names no visit.",
    ),
    "labels": Shape("Labels", _SEEN, "The record names no label."),
    "contents": Shape(
        "Documents and data",
        (Column("File and what it is", 1.2), Column("SHA-256", 1)),
        "Nothing else belongs to this pack.",
    ),
    "exhibits": Shape(
        "Evidence as it was handed in",
        (Column("Seen", 1.5), Column("What is recorded of it", 2.5)),
        "No evidence is recorded.",
    ),
    "departures": Shape(
        "Departures from the design requirements",
        (Column("Requirement", 1.5), Column("About"), Column("Set aside by", 1.3),
         Column("Grounds", 2.5)),
        "No departure is recorded.",
    ),
    "evidence": Shape(
        "Evidence",
        (
            Column("File", 1.8),
            Column("Shows", 1.6),
            Column("About", 1),
            Column("By and when", 1.5),
            Column("SHA-256 begins with", 1.2),
        ),
        "No evidence is recorded.",
    ),
    # -- the visit sheet --
    "photos": Shape(
        "Photos, and what each must show",
        (Column("Before", 0.55), Column("It must show", 4.5), Column("Photo", 0.67)),
        "No photo is asked for that is not there yet.",
    ),
    "dead-tests": Shape(
        "First: everything locked off and proved dead", _TO_TAKE, "No dead test is still open."
    ),
    "string-tests": Shape(
        "Then: strings, parted from the inverter and live in any light",
        _TO_TAKE,
        "No test of a string is still open.",
    ),
    "live-tests": Shape(
        "Last: live, once the tests above are right and a competent person allows it",
        _TO_TAKE,
        "No live test is still open.",
    ),
    "loop-limits": Shape(
        "Loop impedance limit of a circuit-breaker, in Ω, by its curve and its rated current",
        (Column("Curve", 0.7), *(Column(f"{a} A", 1, "right") for a in RATINGS_A)),
        "Each circuit's limit stands beside its reading.",
    ),
    # -- the component register --
    "component-gaps": Shape(
        "Open questions about components",
        (Column("About", 1), Column("Requirement and outcome", 2), Column("What settles it", 2.2),
         Column("Who can", 1), Column("Holds up", 1)),
        "Nothing about the components is open, as far as the rulesets named below ask.",
    ),
    "components": Shape(
        "Types and units",
        (Column("Component", 1.3), Column("Maker and model", 1.5), Column("Origin", 0.8),
         Column("Where", 1.7), Column("Serial number", 1.1), Column("Evidence", 1.2)),
        "The record names no component.",
    ),
    "approvals": Shape(
        "What each component is approved under",
        (Column("Component", 1), Column("Standard", 1), Column("Number and giver", 1.9),
         Column("Valid", 1.5), Column("On the day", 0.9), Column("Certificate", 1.1)),
        "The record names no component.",
    ),
    "energy-strings": Shape(
        "What goes into the year",
        (Column("String", 1), Column("Power", 1, "right"),
         Column("Yield of its face", 1.2, "right"), Column("Shade factor", 1, "right"),
         Column("Energy of a year", 1.3, "right")),
        "The record has no string.",
    ),
    "energy-months": Shape(
        "The year, month by month",
        (Column("Month", 1.2), Column("Energy", 1, "right"), Column("Month", 1.2),
         Column("Energy", 1, "right")),
        "Something that the year rests on is not recorded, so it is not shared out.",
    ),
    "type-tests": Shape(
        "Register beside inverter",
        (Column("Inverter", 1.5), Column("Reference and status", 1.7),
         Column("Capacity: register / plate", 1.2), Column("Firmware: register / read", 1.2),
         Column("Looked up", 0.9)),
        "The record names no inverter.",
    ),
    "mountings": Shape(
        "Mounting kits",
        (Column("Kit", 1.3), Column("Approved with modules", 1.3),
         Column("Uplift: resists / to be expected", 1.5), Column("Fire", 1.7)),
        "The record names no mounting kit.",
    ),
    "connector-pairs": Shape(
        "Plug connectors that were mated on site",
        (Column("Pair", 1.8), Column("One half", 1.5), Column("Other half", 1.5)),
        "The record names no pair of connectors.",
    ),
    "reused": Shape(
        "What is known of their first life",
        (Column("Component", 1), Column("First installed", 0.9), Column("Looked at by", 1.3),
         Column("Found", 2.4)),
        "No component is recorded as reused.",
    ),
    "notices": Shape(
        "What was looked up",
        (Column("Component", 1.8), Column("Looked up", 0.9), Column("Notices found", 2.4)),
        "The record names no component.",
    ),
    "serials": Shape(
        "Serial numbers of modules",
        (Column("Modules", 0.8), Column("Numbers", 0.6), Column("Serial numbers", 4)),
        "No serial number of a module is recorded.",
    ),
}  # fmt: skip


def shaped(name: str, rows: Iterable[Sequence[Cell]]) -> Table:
    """The table of that name with these rows, each as long as there are columns."""
    shape = SHAPES[name]
    return Table(shape.caption, shape.columns, tuple(map(tuple, rows)), shape.empty)
