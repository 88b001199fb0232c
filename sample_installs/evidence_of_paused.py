"""Draws the evidence of `old-array-paused-six-weeks`: photos, papers and a meter's file.

The photos claim a place in open sea, since no such house stands anywhere.
"""

from __future__ import annotations

import csv
from datetime import datetime
from pathlib import Path

from photos import paper, photo

AT_SEA = (53.9, -4.2)
"""Latitude and longitude that the photos claim. [deg]"""

PLACE = "2 Pretend Lane, Exham"

READINGS = (
    ("2026-11-12T09:52", "S1", "insulation, positive to earth", ">200", "Mohm", "", ""),
    ("2026-11-12T09:52", "S1", "insulation, negative to earth", "143", "Mohm", "", ""),
    ("2026-11-12T10:12", "S2", "insulation, positive to earth", ">200", "Mohm", "", ""),
    ("2026-11-12T10:12", "S2", "insulation, negative to earth", "118", "Mohm", "", ""),
    ("2026-11-12T10:20", "S2", "open-circuit voltage", "224.3", "V", "290", "9"),
    ("2026-11-12T10:22", "S2", "short-circuit current", "4.02", "A", "291", "9"),
    ("2026-11-12T13:40", "S1", "open-circuit voltage", "223.8", "V", "310", "12"),
    ("2026-11-12T13:42", "S1", "short-circuit current", "4.31", "A", "310", "12"),
)
"""What the invented meter kept: time, string, test, value, unit, W/m², cells in °C."""


def paused(folder: Path) -> None:
    """The evidence of `old-array-paused-six-weeks`."""
    folder.mkdir(parents=True, exist_ok=True)
    _papers_before(folder)
    _component_papers(folder)
    _test_papers(folder)
    _meter_file(folder / "pv-tester-x1007.csv")
    _photos_before_the_pause(folder)
    _photos_after_the_pause(folder)


def _papers_before(folder: Path) -> None:
    paper(
        folder / "laboratory-report.pdf",
        title="Asbestos in a sample of building material",
        lines=[
            "Laboratory: Exham Fibre Laboratory (invented), accreditation 0000 (invented)",
            "Sample: EL-2609-0031, taken 15 September 2026 by the laboratory",
            f"Place: {PLACE}, soffit below the eaves, west side",
            "Material: fibre cement board, grey, painted white",
            "Method: polarised light microscopy",
            "Result: no asbestos found",
            "Reported: 17 September 2026, L. Notreal (invented)",
            "The result is of this sample alone. Boards that look different need their own.",
        ],
        taken=datetime(2026, 9, 17, 14, 20),
    )
    paper(
        folder / "datasheets.pdf",
        title="Figures of the equipment used",
        lines=[
            "Module NL-440 (invented): Voc 38.9 V, Isc 14.1 A, -0.25 %/K, 1500 V.",
            "Imp 13.4 A; the short-circuit current grows by 0.045 %/K.",
            "Inverter CG-4 (invented): greatest input voltage 600 V, 3.68 kW, 16 A.",
            "Its maker states that it cannot feed DC fault current: an RCD of type A will do.",
            "Isolator: 1000 V, 25 A with two breaks in each pole.",
        ],
        taken=datetime(2026, 9, 8, 9, 0),
    )
    paper(
        folder / "isolator-data.pdf",
        title="Figures of the isolators used",
        lines=[
            "dc1 (invented): category DC-PV2, 1000 V, 25 A with two breaks in each pole.",
            "ac1 (invented): two poles, 32 A.",
        ],
        taken=datetime(2026, 9, 8, 9, 10),
    )
    paper(
        folder / "surge-datasheet.pdf",
        title="Figures of the surge device used",
        lines=[
            "AC surge device SA-275 (invented): type 2, CT2, 275 V for good, level 1.5 kV,",
            "fuse before it of no more than 125 A.",
        ],
        taken=datetime(2026, 9, 8, 9, 20),
    )


def _component_papers(folder: Path) -> None:
    paper(
        folder / "cable-datasheet.pdf",
        title="Figures of the DC cable used",
        lines=[
            "Cable BW-6 (invented): designation H1Z2Z2-K, 6 mm2, 1500 V DC.",
            "Insulation and sheath: double insulation.",
        ],
        taken=datetime(2026, 9, 8, 9, 30),
    )
    paper(
        folder / "certificates.pdf",
        title="Certificates of the components used",
        lines=[
            "NL-440 (invented), IEC 61215: ETH-M-0440-1, 2025-03-01 to 2030-02-28",
            "NL-440 (invented), IEC 61730: ETH-M-0440-2, 2025-03-01 to 2030-02-28",
            "CG-4 (invented), IEC 62109: ETH-I-0004, 2024-06-15 to 2029-06-14",
            "FR-Slate (invented), MCS 012: SKR-K-118, from 2023-11-01, no end",
            "CW-30 (invented), IEC 62852: ETH-C-0030, from 2022-01-10, no end",
            "BW-6 (invented), EN 50618: ETH-W-0006, from 2023-05-02, no end",
            "HS-25 (invented), IEC 60947-3: ETH-S-0025, 2024-02-20 to 2029-02-19",
        ],
        taken=datetime(2026, 9, 8, 9, 40),
    )
    paper(
        folder / "register-extract.pdf",
        title="Type test register, one entry",
        lines=[
            "Maker and model: Castor Grid (invented), CG-4",
            "Reference: CASTO/00416/V1 (invented)",
            "Status: compliant",
            "Registered capacity: 3.68 kW, one phase",
            "Firmware family: V3",
            "Looked up: 8 September 2026 by Rowan Vale (invented)",
        ],
        taken=datetime(2026, 9, 8, 9, 50),
    )
    paper(
        folder / "mounting-datasheet.pdf",
        title="Mounting kit FR-Slate (invented)",
        lines=[
            "Approved with: modules NL-440 (invented)",
            "Resistance to uplift, hooks at 0.9 m: 2400 Pa",
            f"Uplift worked out for {PLACE}, edge zone: 1540 Pa",
        ],
        taken=datetime(2026, 9, 8, 10, 10),
    )


def _test_papers(folder: Path) -> None:
    paper(
        folder / "string-tests-september.pdf",
        title=f"String readings before the pause, {PLACE}",
        lines=[
            "Read on 29 September 2026 by Rowan Vale (invented) with PV array tester X-1007.",
            "Polarity of S1 and S2 by meter: correct.",
            "Insulation at 500 V, inverter not yet there, no surge device on the DC side.",
            "S1: positive 84, negative 0.4 megohm. Damp connector at the array, not done.",
            "S2: positive over 200, negative 96 megohm.",
            "dc1 locked open, ends behind it capped, key with R. Vale.",
        ],
        taken=datetime(2026, 9, 29, 16, 30),
    )
    paper(
        folder / "string-tests-november.pdf",
        title=f"String readings after the pause, {PLACE}",
        lines=[
            "Read on 12 November 2026 by Rowan Vale (invented) with PV array tester X-1007.",
            "Connector of S1- at the array cut off and remade; then S1 once more:",
            "S1: polarity correct; at 500 V positive over 200, negative 143 megohm.",
            "S2 once more after six weeks: polarity correct; positive over 200, negative 118.",
            "S1: 223.8 V at 310 W/m2, cells 12 C. S2: 224.3 V at 290 W/m2, cells 9 C.",
            "Short circuit, S1: 4.31 A at 310 W/m2. S2: 4.02 A at 291 W/m2.",
            "Operating, S1: 3.9 A at 300 W/m2. S2: 2.7 A at 205 W/m2.",
            "Voltage, short circuit and insulation taken over from the meter's file.",
        ],
        taken=datetime(2026, 11, 12, 14, 40),
    )


def _meter_file(path: Path) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(("meter", "taken", "string", "test", "value", "unit", "w_per_m2", "cells_c"))
        rows.writerows(("X-1007 (invented)", *reading) for reading in READINGS)


def _photos_before_the_pause(folder: Path) -> None:
    photo(
        folder / "generation-meter.jpg",
        caption="Generation meter of the old array",
        drawing="intake",
        taken=datetime(2026, 9, 28, 7, 52),
        position=AT_SEA,
        text_lines=["28412.6 kWh", "Generation", "of the old array"],
    )
    photo(
        folder / "rails-west.jpg",
        caption="West face, rails fixed",
        drawing="rails",
        taken=datetime(2026, 9, 28, 15, 47),
        position=AT_SEA,
    )
    photo(
        folder / "cable-warnings.jpg",
        caption="Warnings on S1+, S1-, S2+, S2-",
        drawing="cable-run",
        taken=datetime(2026, 9, 29, 10, 12),
        position=AT_SEA,
        text_lines=["DC cable", "live in daylight"],
    )
    photo(
        folder / "clamps-and-leads.jpg",
        caption="Clamps, and leads clear of the slates",
        drawing="rails",
        taken=datetime(2026, 9, 29, 14, 26),
        position=AT_SEA,
        text_lines=["Clamps as the maker says", "Leads clipped to the rail"],
    )
    photo(
        folder / "capped-ends.jpg",
        caption="Ends of S1 and S2 behind dc1, capped",
        drawing="cable-ends",
        taken=datetime(2026, 9, 29, 16, 4),
        position=AT_SEA,
        text_lines=["Not in use", "Live in daylight", "Back on 12 November"],
    )


def _photos_after_the_pause(folder: Path) -> None:
    photo(
        folder / "scaffold.jpg",
        caption="Scaffold with its tag",
        drawing="scaffold",
        taken=datetime(2026, 11, 12, 8, 35),
        position=AT_SEA,
        text_lines=["Inspected", "10 November 2026"],
    )
    for name, caption, drawing, minute, words in (
        ("dc-isolator-label", "dc1 with its label", "isolator", 41,
         ["Cables from the roof", "stay live in daylight", "with this switch off"]),
        ("inverter-label", "Label at the inverter", "label", 44,
         ["Cables from the roof", "are live in daylight", "though the display is dark"]),
        ("inverter-plate", "Rating plate of inv-4", "plate", 47,
         ["CG-4", "CG4-002231", "3.68 kW 230 V", "600 V DC max"]),
        ("surge-ac-indicator", "Indicator of spd-ac", "surge-device", 52,
         ["spd-ac", "Read at the end of tests"]),
    ):  # fmt: skip
        photo(
            folder / f"{name}.jpg",
            caption=caption,
            drawing=drawing,
            taken=datetime(2026, 11, 12, 14, minute),
            position=AT_SEA,
            text_lines=words,
        )
