"""Surge protection against what others printed or measured."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from compliance.electrical import (
    critical_length_m,
    least_continuous_voltage_v,
    level_with_leads_kv,
    route_length_m,
    weakest_section_mm2,
)
from compliance.electrical.surge import LEAD_VOLTAGE_KV_PER_M
from compliance.rules.language.interval import point
from compliance.rules.limits import LimitTables
from compliance.rules.ruleset import load_rules

Published = Callable[[str], list[dict[str, str]]]
DAY = date(2026, 9, 14)


@pytest.fixture(scope="module")
def limits() -> LimitTables:
    return load_rules(Path(__file__).parents[2] / "rulesets", "gb").tables


def value(limits: LimitTables, name: str, *words: str) -> float:
    found = limits.value(name, words, DAY)
    assert found is not None
    assert found.is_point
    return found.low


@pytest.mark.source(
    document="photovoltaique.guidenr.fr, Les parafoudres CC, after UTE C 15-712-1",
    table="critical length by use",
    confidence="secondary",
)
def test_factors_of_the_critical_length_are_the_printed_ones(
    published: Published, limits: LimitTables
) -> None:
    rows = published("critical_length.csv")
    assert len(rows) == 3
    for row in rows:
        factor = value(limits, "critical_length_factor", row["building"])
        assert factor == float(row["printed_factor"])
        # At one flash for each km² and year the length is the factor itself, in metres.
        assert critical_length_m(factor, 1.0) == float(row["printed_factor"])


@pytest.mark.source(
    document="photovoltaique.guidenr.fr, Les parafoudres CC, after UTE C 15-712-1",
    table="Ng = Nk/10, and 115/Ng for a dwelling",
    confidence="secondary",
)
def test_a_dwelling_with_25_days_of_thunder_has_a_critical_length_of_46_m() -> None:
    """By hand: 115 / (25 / 10) = 46 m."""
    days_of_thunder = 25
    assert critical_length_m(115, days_of_thunder / 10) == pytest.approx(46.0, rel=1e-12)


@pytest.mark.source(
    document="photovoltaique.guidenr.fr, Les parafoudres CC, after UTE C 15-712-1",
    table="lengths of array, box and inverter: L = L1 + (L3 + L4) where cables share a path",
    confidence="secondary",
)
def test_lengths_are_added_as_the_guide_does() -> None:
    """L1 along the shared path once, then the two that part: 10 + (4 + 6) m."""
    assert route_length_m([10.0, 4.0, 6.0]) == 20.0


@pytest.mark.source(
    document="dwelling example of the project's reference facts",
    table="115 / 0.7, computed from the formula",
    confidence="from memory",
)
def test_critical_length_of_the_remembered_example() -> None:
    """Tolerance: half of the last digit, 164.3."""
    assert critical_length_m(115, 0.7) == pytest.approx(164.3, rel=0, abs=0.05)


@pytest.mark.source(
    document="electrical-installation.org, characteristics of SPDs",
    table="J24, after table 53C of iec-60364-5-53: Uc at least 1.1 Uo in TT and TN-S",
    confidence="secondary",
)
def test_least_continuous_voltage_is_a_tenth_above_the_supply() -> None:
    """The same page lists the usual device voltages: 260 V suits 230 V, and not 240 V."""
    assert least_continuous_voltage_v(230.0) == pytest.approx(253.0, rel=1e-12)
    assert least_continuous_voltage_v(230.0) < 260 < least_continuous_voltage_v(240.0)


@pytest.mark.source(
    document="electrical-installation.org, characteristics of SPDs",
    table="J25, impulse withstand of category II at 230/400 V: 2.5 kV",
    confidence="secondary",
)
def test_the_level_of_ac_devices_is_what_ordinary_appliances_withstand(
    limits: LimitTables,
) -> None:
    assert value(limits, "ac_level_kv") == 2.5


@pytest.mark.source(
    document="zotup.com, How to contain the length of SPD connections",
    table="each metre of cable adds 1000 V",
    confidence="secondary",
)
def test_a_metre_of_lead_adds_a_kilovolt() -> None:
    assert level_with_leads_kv(1.5, 0.5, 0.5) - 1.5 == pytest.approx(1.0, rel=1e-12)


@pytest.mark.source(
    document="dairyland.com, Conductor length issues",
    table="voltage with and without 300 mm of lead at 50 kA",
    confidence="secondary",
)
def test_measured_leads_give_about_a_kilovolt_a_metre_at_10_ka(published: Published) -> None:
    """The lead's voltage grows with the current's steepness; scaled from 50 kA to 10 kA.

    Tolerance 20 %: the page does not print the wave's shape, and rounds to 100 V.
    """
    without, with_leads = published("lead_voltage.csv")
    added_v = float(with_leads["printed_v"]) - float(without["printed_v"])
    at_10_ka = added_v * 10 / float(with_leads["surge_ka"])
    kv_per_m = at_10_ka / 1000 / float(with_leads["lead_m"])
    assert pytest.approx(kv_per_m, rel=0.2) == LEAD_VOLTAGE_KV_PER_M


@pytest.mark.source(
    document="engineering bulletin of a maker of devices, studylib.net/doc/18539766",
    table="1 µH/m and 10 kA in 8 µs give 1250 V/m, in the real world less",
    confidence="secondary",
)
def test_a_metre_of_lead_stays_below_what_inductance_alone_gives() -> None:
    inductance_h_per_m, current_a, rise_s = 1e-6, 10_000, 8e-6
    printed_kv_per_m = inductance_h_per_m * current_a / rise_s / 1000
    assert printed_kv_per_m == pytest.approx(1.25, rel=1e-12)
    assert 0.5 * printed_kv_per_m < LEAD_VOLTAGE_KV_PER_M <= printed_kv_per_m


@pytest.mark.source(
    document="guide to surge protection of a British maker, page 24-25 of its technical guides",
    table="leads preferably 0.5 m, in no case above 1 m; 16 mm² for type 1",
    confidence="secondary",
)
def test_leads_and_the_earth_of_type_1_are_the_printed_limits(limits: LimitTables) -> None:
    assert value(limits, "surge_leads_m") == 1.0
    assert value(limits, "surge_earth_mm2", "1") == 16
    assert weakest_section_mm2([25.0, 16.0]) >= value(limits, "surge_earth_mm2", "1")


@pytest.mark.source(
    document="bs-7671-2018-a2", table="534.4.10, 6 mm² for type 2", confidence="from memory"
)
def test_the_earth_of_type_2_is_the_remembered_limit(limits: LimitTables) -> None:
    """An older British guide still prints 4 mm²; we hold the later, stricter figure."""
    assert value(limits, "surge_earth_mm2", "2") == 6
    assert weakest_section_mm2([16.0, 4.0]) < value(limits, "surge_earth_mm2", "2")


@pytest.mark.source(
    document="supplier's page on PV surge protection (chscontrols.se), after en-50539-12",
    table="above 10 m of cable a further device",
    confidence="secondary",
)
def test_a_second_device_belongs_at_the_array_beyond_10_m(limits: LimitTables) -> None:
    assert value(limits, "second_surge_device_m") == 10


@pytest.mark.source(
    document="a cable maker's page (kbe-elektrotechnik.com) on PV cable",
    table="57 A for 4 mm² laid freely",
    confidence="secondary",
)
def test_touching_cables_carry_less_than_a_maker_prints_for_free_ones(limits: LimitTables) -> None:
    found = limits.value("pv_cable_current_a", (point(4.0),), DAY)
    assert found is not None
    assert 0.6 * 57 < found.low < 57
