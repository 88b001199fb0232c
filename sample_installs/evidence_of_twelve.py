"""Draws the evidence of `semi-twelve-faults`. The photos claim a place in open sea."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from photos import paper, photo

AT_SEA = (53.9, -4.2)
"""Latitude and longitude that the photos claim. [deg]"""

PLACE = "5 Counterfeit Road, Exham"


def twelve(folder: Path) -> None:
    """The evidence of `semi-twelve-faults`."""
    folder.mkdir(parents=True, exist_ok=True)
    _papers(folder)
    _component_papers(folder)
    _photos(folder)


def _papers(folder: Path) -> None:
    paper(
        folder / "string-tests.pdf",
        title=f"String readings, {PLACE}",
        lines=[
            "Read on 22 October 2026 by Rowan Vale (invented) with PV array tester X-1007.",
            "Polarity of S1 and S2 by meter on 20 October 2026: correct.",
            "S1: 338.6 V at 520 W/m2, cells 21 C. S2: 301.2 V at 522 W/m2, cells 21 C.",
            "Short circuit, S1: 7.25 A at 520 W/m2. S2: 7.21 A at 522 W/m2.",
            "Operating, S1: 6.5 A at 500 W/m2. S2: 6.4 A at 498 W/m2.",
            "Insulation at 250 V. S1: positive over 200, negative 120 megohm.",
            "S2: positive over 200, negative over 200 megohm.",
            "Inverter and surge devices disconnected during the insulation test.",
        ],
        taken=datetime(2026, 10, 22, 12, 40),
    )
    paper(
        folder / "datasheets.pdf",
        title="Figures of the equipment used",
        lines=[
            "Module NL-440 (invented): Voc 38.9 V, Isc 14.1 A, -0.25 %/K, 1500 V.",
            "Imp 13.4 A; the short-circuit current grows by 0.045 %/K.",
            "Inverter CG-5 (invented): greatest input voltage 600 V, 5 kW.",
            "Its maker states that it cannot feed DC fault current: an RCD of type A will do.",
            "Isolator: 1000 V, 25 A with two breaks in each pole.",
        ],
        taken=datetime(2026, 9, 21, 9, 0),
    )
    paper(
        folder / "isolator-data.pdf",
        title="Figures of the isolators used",
        lines=[
            "dc1 (invented): category DC-PV2, 1000 V, 25 A with two breaks in each pole.",
            "ac1 (invented): two poles, 32 A.",
        ],
        taken=datetime(2026, 9, 21, 9, 10),
    )
    paper(
        folder / "surge-datasheets.pdf",
        title="Figures of the surge devices used",
        lines=[
            "DC surge device SD-600 (invented): type 2, 600 V for good, level 1.8 kV.",
            "AC surge device SA-275 (invented): type 2, CT2, 275 V for good, level 1.5 kV,",
            "fuse before it of no more than 125 A.",
            "Inverter CG-5 (invented): bears an impulse of 4 kV at its DC input.",
        ],
        taken=datetime(2026, 9, 21, 9, 20),
    )


def _component_papers(folder: Path) -> None:
    paper(
        folder / "cable-datasheet.pdf",
        title="Figures of the DC cable used",
        lines=[
            "Cable BW-6 (invented): designation H1Z2Z2-K, 6 mm2, 1500 V DC.",
            "Insulation and sheath: double insulation.",
        ],
        taken=datetime(2026, 9, 21, 9, 30),
    )
    paper(
        folder / "certificates.pdf",
        title="Certificates of the components used",
        lines=[
            "NL-440 (invented), IEC 61215: ETH-M-0440-1, 2025-03-01 to 2030-02-28",
            "NL-440 (invented), IEC 61730: ETH-M-0440-2, 2025-03-01 to 2030-02-28",
            "CG-5 (invented), IEC 62109: ETH-I-0005, 2024-06-15 to 2029-06-14",
            "FR-Slate (invented), MCS 012: SKR-K-118, from 2023-11-01, no end",
            "CW-30 (invented), IEC 62852: ETH-C-0030, from 2022-01-10, no end",
            "BW-6 (invented), EN 50618: ETH-W-0006, from 2023-05-02, no end",
            "HS-25 (invented), IEC 60947-3: ETH-S-0025, 2024-02-20 to 2029-02-19",
        ],
        taken=datetime(2026, 9, 21, 9, 40),
    )
    paper(
        folder / "register-extract.pdf",
        title="Type test register, one entry",
        lines=[
            "Maker and model: Castor Grid (invented), CG-5",
            "Reference: CASTO/00417/V1 (invented)",
            "Status: withdrawn on 1 September 2026",
            "Registered capacity: 5 kW, one phase",
            "Firmware family: V3",
            "Looked up: 21 September 2026 by Rowan Vale (invented)",
        ],
        taken=datetime(2026, 9, 21, 9, 50),
    )
    paper(
        folder / "mounting-datasheet.pdf",
        title="Mounting kit FR-Slate (invented)",
        lines=[
            "Approved with: modules NL-440 (invented)",
            "Resistance to uplift, hooks at 1.2 m: 1500 Pa",
            f"Uplift worked out for {PLACE}, edge zone: 1720 Pa",
        ],
        taken=datetime(2026, 9, 21, 10, 10),
    )


def _photos(folder: Path) -> None:
    roof, tests = datetime(2026, 10, 20), datetime(2026, 10, 22)
    for name, caption, drawing, taken, words in (
        ("cable-warnings", "Warnings on S1+, S1-, S2+, S2-", "cable-run",
         roof.replace(hour=10, minute=21), ["DC cable", "live in daylight"]),
        ("clamps-and-leads", "Clamps, and leads clear of the slates", "rails",
         roof.replace(hour=14, minute=33),
         ["Clamps as the maker says", "Leads clipped to the rail"]),
        ("array", "The array, eighteen modules, part of it", "array",
         roof.replace(hour=15, minute=8), []),
        ("dc-isolator-label", "dc1 with its label", "isolator", tests.replace(hour=12, minute=51),
         ["Cables from the roof", "stay live in daylight", "with this switch off"]),
        ("inverter-label", "Label at the inverter", "label", tests.replace(hour=12, minute=54),
         ["Cables from the roof", "are live in daylight", "though the display is dark"]),
        ("inverter-plate", "Rating plate of inv-5", "plate", tests.replace(hour=12, minute=57),
         ["CG-5", "CG5-000588", "5 kW 230 V", "600 V DC max"]),
        ("board", "House board, way 3", "board", tests.replace(hour=13, minute=2),
         ["Sockets", "Lights", "Shower", "Cooker", "Boiler"]),
        ("surge-dc-indicator", "Indicator of spd-dc", "surge-device",
         tests.replace(hour=13, minute=5), ["spd-dc", "Read at the end of tests"]),
        ("surge-ac-indicator", "Indicator of spd-ac", "surge-device",
         tests.replace(hour=13, minute=7), ["spd-ac", "Read at the end of tests"]),
    ):  # fmt: skip
        photo(
            folder / f"{name}.jpg",
            caption=caption,
            drawing=drawing,
            taken=taken,
            position=AT_SEA,
            text_lines=words,
        )
