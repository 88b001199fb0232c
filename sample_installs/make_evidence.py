"""Draws the evidence of the invented samples: pictures and one-page papers.

    python sample_installs/make_evidence.py [FOLDER]

The same files come out every time with the same libraries. They are committed, so that a
sample works without this script.
"""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path

from evidence_of_island import island
from evidence_of_paused import paused
from evidence_of_twelve import twelve
from photos import paper, photo

LABEL = ["Cables from the roof", "stay live in daylight", "with this switch off"]
INVERTER_LABEL = ["Cables from the roof", "are live in daylight", "though the display is dark"]


def bungalow(folder: Path) -> None:
    """The evidence of `bungalow-two-faces`."""
    folder.mkdir(parents=True, exist_ok=True)
    paper(
        folder / "string-tests.pdf",
        title="String readings, 11 Example Row, Exham",
        lines=[
            "Read on 14 October 2026 by Rowan Vale (invented) with PV array tester X-1007.",
            "Polarity of S1 and S2 by meter on 7 October 2026: correct.",
            "S1: 341.2 V at 612 W/m2, cells 24 C. S2: 262.8 V at 455 W/m2, cells 22 C.",
            "Short circuit, S1: 8.55 A at 612 W/m2, 24 C. S2: 6.3 A at 455 W/m2, 22 C.",
            "Operating, S1: 8.4 A at 640 W/m2. S2: 6.6 A at 500 W/m2.",
            "Insulation at 500 V. S1: positive over 200, negative 38 megohm.",
            "S2: positive over 200, negative over 200 megohm.",
            "Inverter and surge devices disconnected during the insulation test.",
        ],
        taken=datetime(2026, 10, 14, 16, 5),
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
        taken=datetime(2026, 9, 14, 9, 0),
    )
    photo(
        folder / "dc-isolator-label.jpg",
        caption="dc1 with its label",
        drawing="isolator",
        taken=datetime(2026, 10, 14, 15, 41),
        text_lines=LABEL,
    )
    photo(
        folder / "capped-ends.jpg",
        caption="Ends of S1, capped",
        drawing="cable-ends",
        taken=datetime(2026, 10, 7, 16, 32),
        text_lines=["S1+", "S1-"],
    )
    surge_and_cables_of_bungalow(folder)
    bungalow_components(folder)


def surge_and_cables_of_bungalow(folder: Path) -> None:
    """What shows the surge devices and the DC cables of `bungalow-two-faces`."""
    paper(
        folder / "surge-datasheets.pdf",
        title="Figures of the surge devices used",
        lines=[
            "DC surge device SD-600 (invented): type 2, 600 V for good, level 1.8 kV.",
            "AC surge device SA-275 (invented): type 2, CT2, 275 V for good, level 1.5 kV,",
            "fuse before it of no more than 125 A.",
            "Inverter CG-5 (invented): bears an impulse of 4 kV at its DC input.",
        ],
        taken=datetime(2026, 9, 14, 9, 20),
    )
    _cable_datasheet(folder, datetime(2026, 9, 14, 9, 30))
    for side, minute in (("dc", 50), ("ac", 55)):
        photo(
            folder / f"surge-{side}-indicator.jpg",
            caption=f"Indicator of spd-{side}",
            drawing="plate",
            taken=datetime(2026, 10, 14, 15, minute),
            text_lines=[f"Surge device spd-{side}", "Indicator: good", "Read at the end of tests"],
        )
    _cable_warnings(folder, datetime(2026, 10, 7, 11, 5))
    _seen_from_the_scaffold(folder, datetime(2026, 10, 7, 14, 20))


def _cable_datasheet(folder: Path, taken: datetime) -> None:
    paper(
        folder / "cable-datasheet.pdf",
        title="Figures of the DC cable used",
        lines=[
            "Cable BW-6 (invented): designation H1Z2Z2-K, 6 mm2, 1500 V DC.",
            "Insulation and sheath: double insulation.",
        ],
        taken=taken,
    )


def _cable_warnings(folder: Path, taken: datetime) -> None:
    photo(
        folder / "cable-warnings.jpg",
        caption="Warnings on S1+, S1-, S2+, S2-",
        drawing="cable-ends",
        taken=taken,
        text_lines=["DC cable", "live in daylight"],
    )


def _seen_from_the_scaffold(folder: Path, taken: datetime) -> None:
    photo(
        folder / "clamps-and-leads.jpg",
        caption="Clamps, and leads clear of the tiles",
        drawing="rails",
        taken=taken,
        text_lines=["Clamps as the maker says", "Leads clipped to the rail"],
    )


def bungalow_components(folder: Path) -> None:
    """What shows the approval and identity of the components of `bungalow-two-faces`."""
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
        taken=datetime(2026, 9, 14, 9, 30),
    )
    paper(
        folder / "register-extract.pdf",
        title="Type test register, one entry",
        lines=[
            "Maker and model: Castor Grid (invented), CG-5",
            "Reference: CASTO/00417/V1 (invented)",
            "Status: compliant",
            "Registered capacity: 5 kW, one phase",
            "Firmware family: V3",
            "Looked up: 14 September 2026 by Rowan Vale (invented)",
        ],
        taken=datetime(2026, 9, 14, 9, 50),
    )
    paper(
        folder / "mounting-datasheet.pdf",
        title="Mounting kit FR-Slate (invented)",
        lines=[
            "Approved with: modules NL-440 (invented)",
            "Resistance to uplift, hooks at 0.9 m: 2400 Pa",
            "Uplift worked out for 11 Example Row, edge zone: 1650 Pa",
        ],
        taken=datetime(2026, 9, 14, 10, 10),
    )
    photo(
        folder / "inverter-plate.jpg",
        caption="Rating plate of inv-5",
        drawing="plate",
        taken=datetime(2026, 10, 14, 15, 52),
        text_lines=["CG-5", "CG5-000417", "5 kW 230 V", "600 V DC max"],
    )


def terrace(folder: Path) -> None:
    """The evidence of `terrace-eight-faults`."""
    folder.mkdir(parents=True, exist_ok=True)
    paper(
        folder / "string-tests.pdf",
        title="String readings, 27 Specimen Street, Exham",
        lines=[
            "Read on 6 November 2026 by Rowan Vale (invented) with PV array tester X-1007.",
            "Polarity by meter on 5 November 2026. S1: correct. S2: reversed.",
            "S1: 291.5 V at 480 W/m2, cells 20 C. S2: 292.0 V at 470 W/m2, cells 19 C.",
            "Short circuit, S1: 6.55 A at 480 W/m2, 20 C. S2: 6.45 A at 470 W/m2, 19 C.",
            "Insulation at 500 V, inverter disconnected, no surge devices.",
            "S1: positive 0.3, negative 41 megohm.",
            "S2: positive over 200 megohm.",
        ],
        taken=datetime(2026, 11, 6, 15, 20),
    )
    paper(
        folder / "datasheets.pdf",
        title="Figures of the equipment used",
        lines=[
            "Module NL-415 (invented): Voc 37.6 V, Isc 13.9 A, -0.27 %/K, 1500 V.",
            "The short-circuit current grows by 0.045 %/K.",
            "Inverter CG-4 (invented): greatest input voltage 600 V, 3.68 kW.",
            "Isolators: dc1 1000 V, 25 A; dc2 1000 V, 16 A, two breaks in each pole.",
        ],
        taken=datetime(2026, 9, 25, 9, 0),
    )
    for name, minute in (("dc1", 12), ("dc2", 14)):
        photo(
            folder / f"{name}-label.jpg",
            caption=f"{name} with its label",
            drawing="isolator",
            taken=datetime(2026, 11, 6, 15, minute),
            text_lines=LABEL,
        )
    surge_and_cables_of_terrace(folder)
    terrace_components(folder)


def surge_and_cables_of_terrace(folder: Path) -> None:
    """What shows the DC cables of `terrace-eight-faults`, and why it has no surge device."""
    paper(
        folder / "surge-declaration.pdf",
        title="Owner's declaration on surge protection",
        lines=[
            "27 Specimen Street, Exham. No surge device is to be fitted on the AC side.",
            "I know that wiring and appliances can be damaged by surges and that nothing",
            "else is at stake in this house. I accept that loss as tolerable.",
            "T. Standin (invented), 23 September 2026",
        ],
        taken=datetime(2026, 9, 23, 10, 0),
    )
    _cable_datasheet(folder, datetime(2026, 9, 25, 9, 30))
    _cable_warnings(folder, datetime(2026, 11, 3, 13, 40))
    _seen_from_the_scaffold(folder, datetime(2026, 11, 3, 14, 55))


def bungalow_isolation(folder: Path) -> None:
    """What `bungalow-two-faces` shows of its isolators and of the label at the inverter."""
    paper(
        folder / "isolator-data.pdf",
        title="Figures of the isolators used",
        lines=[
            "dc1 (invented): category DC-PV2, 1000 V, 25 A with two breaks in each pole.",
            "ac1 (invented): two poles, 32 A.",
        ],
        taken=datetime(2026, 9, 14, 9, 10),
    )
    photo(
        folder / "inverter-label.jpg",
        caption="Label at the inverter",
        drawing="label",
        taken=datetime(2026, 10, 14, 15, 47),
        text_lines=INVERTER_LABEL,
    )


def terrace_isolation(folder: Path) -> None:
    """The same of `terrace-eight-faults`."""
    paper(
        folder / "isolator-data.pdf",
        title="Figures of the isolators used",
        lines=[
            "dc1 (invented): category DC-PV1, 1000 V, 25 A with two breaks in each pole.",
            "dc2 (invented): category DC-PV1, 1000 V, 16 A with two breaks in each pole.",
            "ac1 (invented): two poles, 32 A.",
        ],
        taken=datetime(2026, 9, 25, 9, 10),
    )
    photo(
        folder / "inverter-label.jpg",
        caption="Label at the inverter in the loft",
        drawing="label",
        taken=datetime(2026, 11, 6, 15, 21),
        text_lines=INVERTER_LABEL,
    )


def terrace_components(folder: Path) -> None:
    """What shows the approval and identity of the components of `terrace-eight-faults`."""
    paper(
        folder / "certificates.pdf",
        title="Certificates of the components used",
        lines=[
            "NL-415 (invented), IEC 61215: ETH-M-0415-1, 2024-09-01 to 2029-08-31",
            "NL-415 (invented), IEC 61730: ETH-M-0415-2, 2024-09-01 to 2029-08-31",
            "CG-4 (invented), IEC 62109: ETH-I-0004, 2024-06-15 to 2029-06-14",
            "FR-Slate (invented), MCS 012: SKR-K-118, from 2023-11-01, no end",
            "CW-30 (invented), IEC 62852: ETH-C-0030, from 2022-01-10, no end",
            "BW-6 (invented), EN 50618: ETH-W-0006, from 2023-05-02, no end",
            "HS-25 (invented), IEC 60947-3: ETH-S-0025, 2024-02-20 to 2029-02-19",
            "HS-16 (invented), IEC 60947-3: ETH-S-0016, 2024-02-20 to 2029-02-19",
        ],
        taken=datetime(2026, 9, 25, 9, 30),
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
            "Looked up: 25 September 2026 by Rowan Vale (invented)",
        ],
        taken=datetime(2026, 9, 25, 9, 50),
    )
    paper(
        folder / "mounting-datasheet.pdf",
        title="Mounting kit FR-Slate (invented)",
        lines=[
            "Approved with: modules NL-415 (invented)",
            "Resistance to uplift, hooks at 0.9 m: 2400 Pa",
            "Uplift worked out for 27 Specimen Street, edge zone: 1480 Pa",
        ],
        taken=datetime(2026, 9, 25, 10, 10),
    )
    photo(
        folder / "inverter-plate.jpg",
        caption="Rating plate of inv-4",
        drawing="plate",
        taken=datetime(2026, 11, 6, 15, 31),
        text_lines=["CG-4", "CG4-002209", "3.68 kW 230 V", "600 V DC max"],
    )


def garage(folder: Path) -> None:
    """The evidence of `garage-second-life-modules`."""
    folder.mkdir(parents=True, exist_ok=True)
    paper(
        folder / "certificates.pdf",
        title="Certificates of the components used",
        lines=[
            "NL-250 (invented), IEC 61215: ETH-M-0250-1, 2010-06-01 to 2013-05-31",
            "NL-250 (invented), IEC 61730: ETH-M-0250-2, 2012-06-01 to 2017-05-31",
            "CG-3 (invented), IEC 62109: ETH-I-0003, 2024-06-15 to 2029-06-14",
            "FR-Tray (invented), MCS 012: SKR-K-131, from 2024-01-15, no end",
            "CW-30 (invented), IEC 62852: ETH-C-0030, from 2022-01-10, no end",
            "BW-4 (invented), EN 50618: ETH-W-0004, 2021-11-12 to 2026-11-11",
            "HV-2 (invented), IEC 61643-11: ETH-V-0002, 2024-02-20 to 2029-02-19",
            "KS-5 (invented), IEC 62619: ETH-B-0005, 2025-04-01 to 2030-03-31",
        ],
        taken=datetime(2026, 11, 2, 9, 30),
    )
    paper(
        folder / "register-extract.pdf",
        title="Type test register, one entry",
        lines=[
            "Maker and model: Castor Grid (invented), CG-3",
            "Reference: CASTO/00415/V1 (invented)",
            "Status: compliant",
            "Registered capacity: 3.68 kW, one phase",
            "Firmware family: V3",
            "Looked up: 20 October 2026 by Ash Merrin (invented)",
        ],
        taken=datetime(2026, 10, 20, 9, 50),
    )
    paper(
        folder / "mounting-datasheet.pdf",
        title="In-roof kit FR-Tray (invented)",
        lines=[
            "Approved with: modules NL-250 (invented)",
            "Resistance to uplift: 1800 Pa",
            "Uplift worked out for 3 Mockup Close, edge zone: 1320 Pa",
            "Class of external fire performance with NL-250: not available",
        ],
        taken=datetime(2026, 10, 20, 10, 10),
    )


def first_notes(folder: Path) -> None:
    """The one photo of `first-notes-only`."""
    folder.mkdir(parents=True, exist_ok=True)
    photo(
        folder / "array.jpg",
        caption="Panels up",
        drawing="array",
        taken=datetime(2026, 11, 19, 14, 2),
        position=(53.9, -4.2),
    )


if __name__ == "__main__":
    samples = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    bungalow(samples / "bungalow-two-faces" / "evidence")
    terrace(samples / "terrace-eight-faults" / "evidence")
    bungalow_isolation(samples / "bungalow-two-faces" / "evidence")
    terrace_isolation(samples / "terrace-eight-faults" / "evidence")
    garage(samples / "garage-second-life-modules" / "evidence")
    paused(samples / "old-array-paused-six-weeks" / "evidence")
    island(samples / "two-inverters-island" / "evidence")
    twelve(samples / "semi-twelve-faults" / "evidence")
    first_notes(samples / "first-notes-only" / "evidence")
