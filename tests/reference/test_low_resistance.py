"""Below what resistance a reader asks, against copper that is as good as copper gets."""

from __future__ import annotations

import pytest
from rules.small import check, shipped

COPPER_OHM_MM2_PER_M = 0.017241  # IEC 60028, at 20 °C
COEFFICIENT_PER_K = 0.00393
LOW = "less-resistance-than-the-cable-has"


def asked(length_m: float, line_mm2: float, protective_mm2: float, read_ohm: float) -> bool:
    """Whether a reader asks about R1 + R2 of a cable."""
    record = (
        f"circuits: {{C1: {{length_m: {length_m:g}, cable: {{insulation: 70 °C thermoplastic,"
        f" size_mm2: {line_mm2:g}, protective_mm2: {protective_mm2:g}}}}}}}\n"
        f"tests: [{{test: continuity, of: C1, r1_r2_ohm: {read_ohm:.3f}}}]\n"
    )
    return LOW in {question.id for question in check(shipped(), record).questions}


@pytest.mark.source(
    document="IEC 60028: resistivity of annealed copper, 1/58 Ω·mm²/m at 20 °C",
    table="full section and -10 °C, against the greatest resistance that IEC 60228 allows",
    confidence="from memory",
)
@pytest.mark.parametrize(
    ("line_mm2", "protective_mm2"),
    [(1, 1), (1.5, 1), (2.5, 1.5), (4, 1.5), (6, 2.5), (10, 4), (16, 6)],
)
def test_a_sound_cable_in_the_frost_is_never_asked_about(
    line_mm2: float, protective_mm2: float
) -> None:
    """One with copper enough is asked about once half of it is not there."""
    cold = 1 + COEFFICIENT_PER_K * (-10 - 20)
    for length_m in (1, 5, 20, 100):
        sound_ohm = COPPER_OHM_MM2_PER_M * (1 / line_mm2 + 1 / protective_mm2) * length_m * cold
        assert not asked(length_m, line_mm2, protective_mm2, sound_ohm)
        if sound_ohm > 0.5:
            assert asked(length_m, line_mm2, protective_mm2, sound_ohm / 2)
