"""Draws the evidence of `two-inverters-island`: papers, and photos that claim a place at sea."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from photos import paper, photo

AT_SEA = (54.2, -4.0)
"""Latitude and longitude that the photos claim. [deg]"""

DESIGNED = datetime(2026, 10, 16, 9, 0)


def island(folder: Path) -> None:
    """The evidence of `two-inverters-island`."""
    folder.mkdir(parents=True, exist_ok=True)
    _test_paper(folder)
    _datasheets(folder)
    _component_papers(folder)
    _photos_of_the_roof(folder)
    _photos_of_the_inverters(folder)
    _other_photos(folder)


def _test_paper(folder: Path) -> None:
    paper(
        folder / "string-tests.pdf",
        title="String readings, 8 Figurative Rise, Exham",
        lines=[
            "Read on 20 November 2026 by Imre Quill (invented) with PV array tester X-3301.",
            "Polarity of S1 and S2 by meter on 16 November 2026: correct.",
            "S1: 220.9 V at 600 W/m2, cells 18 C. S2: 183.2 V at 500 W/m2, cells 17 C.",
            "Short circuit, S1: 8.25 A at 600 W/m2, 18 C. S2: 6.85 A at 500 W/m2, 17 C.",
            "Operating, S1: 8.0 A at 620 W/m2. S2: 6.6 A at 510 W/m2.",
            "Insulation at 500 V, inverters disconnected, no surge devices on the DC side.",
            "S1: positive over 200, negative over 200 megohm.",
            "S2: positive over 200, negative 84 megohm.",
        ],
        taken=datetime(2026, 11, 20, 15, 10),
    )


def _datasheets(folder: Path) -> None:
    for name, title, lines in (
        ("datasheets", "Figures of the equipment used",
         ["Module FL-410 (invented): Voc 37.2 V, Isc 13.9 A, -0.26 %/K, 1500 V.",
          "Imp 13.1 A; the short-circuit current grows by 0.046 %/K.",
          "Hybrid inverter DP-2H (invented): greatest input voltage 500 V, 2 kW, 9 A.",
          "It supplies the board from array and battery while the network is off.",
          "Its transformer keeps DC from the AC side: an RCD of type A will do.",
          "Inverter TC-15 (invented): greatest input voltage 450 V, 1.5 kW, 6.8 A.",
          "Its maker states that it cannot feed DC fault current: an RCD of type A will do.",
          "Isolators: 1000 V, 25 A with two breaks in each pole."]),
        ("isolator-data", "Figures of the isolators used",
         ["dc-hybrid, dc-plain (invented): category DC-PV2, 1000 V, 25 A with two breaks",
          "in each pole.",
          "ac-hybrid, ac-plain (invented): two poles, 20 A."]),
        ("surge-datasheet", "Figures of the surge device used",
         ["AC surge device GA-275 (invented): type 2, CT2, 275 V for good, level 1.4 kV,",
          "fuse before it of no more than 125 A."]),
        ("cable-datasheet", "Figures of the DC cable used",
         ["Cable WC-6 (invented): designation H1Z2Z2-K, 6 mm2, 1500 V DC.",
          "Insulation and sheath: double insulation."]),
    ):  # fmt: skip
        paper(folder / f"{name}.pdf", title=title, lines=lines, taken=DESIGNED)


def _component_papers(folder: Path) -> None:
    paper(
        folder / "certificates.pdf",
        title="Certificates of the components used",
        lines=[
            "FL-410 (invented), IEC 61215: SL-M-0410-1, 2025-05-12 to 2030-05-11",
            "FL-410 (invented), IEC 61730: SL-M-0410-2, 2025-05-12 to 2030-05-11",
            "DP-2H (invented), IEC 62109: SL-I-0020, 2025-02-03 to 2030-02-02",
            "TC-15 (invented), IEC 62109: SL-I-0015, 2024-09-09 to 2029-09-08",
            "SC-5 (invented), IEC 62619: SL-B-0005, 2025-08-18 to 2030-08-17",
            "CR-Tile (invented), MCS 012: SKR-K-204, from 2024-04-02, no end",
            "PJ-30 (invented), IEC 62852: SL-C-0030, from 2023-03-06, no end",
            "WC-6 (invented), EN 50618: SL-W-0006, from 2022-11-14, no end",
            "CS-25 (invented), IEC 60947-3: SL-S-0025, 2024-06-03 to 2029-06-02",
        ],
        taken=datetime(2026, 10, 16, 9, 40),
    )
    paper(
        folder / "register-extract.pdf",
        title="Type test register, two entries",
        lines=[
            "Maker and model: Dunlin Power (invented), DP-2H",
            "Reference: DUNLI/00208/V2 (invented)",
            "Status: compliant. Capacity: 2 kW, one phase. Firmware family: H2",
            "Maker and model: Teal Converter (invented), TC-15",
            "Reference: TEALC/00077/V1 (invented)",
            "Status: compliant. Capacity: 1.5 kW, one phase. Firmware family: R5",
            "Looked up: 16 October 2026 by Imre Quill (invented)",
        ],
        taken=datetime(2026, 10, 16, 10, 5),
    )
    paper(
        folder / "mounting-datasheet.pdf",
        title="Mounting kit CR-Tile (invented)",
        lines=[
            "Approved with: modules FL-410 (invented)",
            "Resistance to uplift, hooks at 1.0 m: 2100 Pa",
            "Uplift worked out for 8 Figurative Rise, edge zone: 1380 Pa",
        ],
        taken=datetime(2026, 10, 16, 10, 20),
    )


def _photos_of_the_roof(folder: Path) -> None:
    _photo(folder, "cable-warnings", "Warnings on S1+, S1-, S2+, S2-", "cable-run",
           datetime(2026, 11, 16, 10, 25), ["DC cable", "live in daylight"])  # fmt: skip
    _photo(folder, "clamps-and-leads", "Clamps, and leads clear of the tiles", "rails",
           datetime(2026, 11, 16, 13, 40),
           ["Clamps as the maker says", "Leads clipped to the rail"])  # fmt: skip
    _photo(folder, "capped-ends", "Ends of S1 and S2, capped", "cable-ends",
           datetime(2026, 11, 16, 15, 50), ["S1+ S1- S2+ S2-", "Live in daylight"])  # fmt: skip


def _photos_of_the_inverters(folder: Path) -> None:
    for number, (name, plate) in enumerate((
        ("hybrid", ["DP-2H", "DP2H-003318", "2 kW 230 V", "500 V DC max"]),
        ("plain", ["TC-15", "TC15-001974", "1.5 kW 230 V", "450 V DC max"]),
    )):  # fmt: skip
        for minute, (kind, drawing, words) in enumerate((
            ("dc-{}-label", "isolator",
             ["Cables from the roof", "stay live in daylight", "with this switch off"]),
            ("{}-inverter-label", "label",
             ["Cables from the roof", "are live in daylight", "though the display is dark"]),
            ("{}-inverter-plate", "plate", plate),
        )):  # fmt: skip
            taken = datetime(2026, 11, 20, 14, 10 + 5 * number + minute)
            _photo(folder, kind.format(name), f"inv-{name}", drawing, taken, words)


def _other_photos(folder: Path) -> None:
    _photo(folder, "battery", "store-5 on its wall", "battery",
           datetime(2026, 11, 20, 14, 24), ["SC-5", "SC5-000862"])  # fmt: skip
    order = ["To shut down, open", "ac-hybrid, then dc-hybrid,", "then the main switch"]
    _photo(folder, "order-of-switching-off", "Between the two inverters", "label",
           datetime(2026, 11, 20, 14, 27), order)  # fmt: skip
    _photo(folder, "surge-indicator", "Indicator of spd-ac", "surge-device",
           datetime(2026, 11, 20, 14, 31), ["spd-ac", "Read at the end of tests"])  # fmt: skip


def _photo(
    folder: Path, name: str, caption: str, drawing: str, taken: datetime, words: list[str]
) -> None:
    photo(
        folder / f"{name}.jpg",
        caption=caption,
        drawing=drawing,
        taken=taken,
        position=AT_SEA,
        text_lines=words,
    )
