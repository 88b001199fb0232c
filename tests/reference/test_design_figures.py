"""What is worked out of a designed circuit or array, against the outside.

Tolerance of a printed figure: half a unit of its last digit, as printed figures are rounded.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from pvlib import pvsystem
from rules.small import check, one

from compliance.electrical import ac, cables, dc, parallel, site, surge
from compliance.rules.outcome import Working


def worked(name: str, record: str) -> dict[str, Working]:
    """A worked-out value of each entry of a record."""
    asked = one("for: string in strings\nbefore: use\nmust: string.in_series >= 1")
    return {w.subject: w for w in check(asked, record).workings if w.quantity == name}


MODULE = "components: {m: {category: module, serials: [X-1, X-2, X-3]}}\n"


@pytest.mark.source(
    document="NumPy: sum and unique", table="a list of strings and serials", confidence="opened"
)
def test_modules_and_serials_are_counted_as_numpy_counts_them() -> None:
    strings = [(9, 1), (7, 2)]
    record = MODULE + "strings:\n"
    for number, (series, rows) in enumerate(strings):
        record += f"  S{number}: {{modules: m, in_series: {series}, parallel: {rows}}}\n"
    modules_fitted = worked("modules_fitted", record)["m"].result
    assert float(modules_fitted) == np.prod(np.array(strings), axis=1).sum()
    serials_listed = worked("serials_listed", record)["m"].result
    assert float(serials_listed) == len(np.unique(["X-1", "X-2", "X-3"]))


@pytest.mark.source(
    document="NumPy: ptp and mean", table="spread of random readings", confidence="opened"
)
def test_a_spread_is_the_range_in_percent_of_the_mean() -> None:
    rng = np.random.default_rng(7)
    for _ in range(100):
        readings = rng.uniform(300, 340, size=rng.integers(2, 6))
        expected = np.ptp(readings) / np.mean(readings) * 100
        assert dc.spread_percent(readings.tolist()) == pytest.approx(expected, rel=1e-12)


@pytest.mark.source(
    document="guides to surge protection: leads a + b of a device together no more than 0.5 m",
    table="0.3 and 0.2 m are just within, as the drawing of 534.4.8 adds them",
    confidence="secondary",
)
def test_both_leads_of_a_surge_device_count() -> None:
    assert surge.total_lead_m(0.3, 0.2) == pytest.approx(0.5)


@pytest.mark.source(
    document="pages of network operators on small generation (G98)",
    table="an inverter of 3.68 kW is one of 16 A at 230 V",
    confidence="secondary",
)
def test_a_circuit_is_designed_for_the_printed_current() -> None:
    """Tolerance: half a unit of the last printed digit, 0.005 kW at 230 V."""
    rated_a = ac.output_current_a(3.68, 1, 230.0)
    assert ac.design_current_a(15.0, rated_a) == pytest.approx(16.0, rel=0, abs=5 / 230)
    assert site.capacity_current_a(3.68, 230.0) == pytest.approx(16.0, rel=0, abs=5 / 230)


@pytest.mark.source(
    document="makers' pages on the weight of solar panels on a roof",
    table="10 to 15 kg/m² with their mounting: a module of 21.5 kg and 1.95 m² on rails",
    confidence="from memory",
)
def test_an_array_adds_the_load_that_installers_know() -> None:
    load = site.array_load_kg_m2([21.5], [1.95], 2.0)
    assert 10 <= load <= 15
    assert load == pytest.approx(site.added_load_kg_m2(10, 21.5, 2.0 * 19.5, 19.5))


@pytest.mark.source(
    document="pvlib 0.16: dc_ohmic_losses and dc_ohms_from_percent",
    table="power lost in the cables of 10 modules, poles of different length and size",
    confidence="opened",
)
def test_the_drop_of_both_poles_takes_the_power_that_their_resistance_takes() -> None:
    ohm = pvsystem.dc_ohms_from_percent(38.94, 9.76, 1.0, modules_per_string=10)
    routes_m, current_a = [15.0, 25.0], 9.76
    milliohms = [ohm * 400 / 15.0, ohm * 600 / 25.0]  # together that resistance
    drop_v = cables.string_drop_v(current_a, routes_m, milliohms)
    assert drop_v * current_a == pytest.approx(pvsystem.dc_ohmic_losses(ohm, current_a), rel=1e-12)
    assert cables.drop_percent(drop_v, 389.4) == pytest.approx(1.0, rel=1e-6)


@pytest.mark.source(
    document="pvlib 0.16: scale_voltage_current_power and its database of modules",
    table="strings of several rows of every 2000th module",
    confidence="opened",
)
def test_strings_on_one_input_and_the_power_of_an_array_scale_as_in_the_model() -> None:
    """The same plain products, written by others: equal but for binary fractions."""
    rows = pvsystem.retrieve_sam("CECMod").T.iloc[::2000]
    for _, row in rows.iterrows():
        one_module = {
            "v_oc": row["V_oc_ref"], "i_sc": row["I_sc_ref"],
            "v_mp": row["V_mp_ref"], "i_mp": row["I_mp_ref"],
            "p_mp": row["V_mp_ref"] * row["I_mp_ref"],
            "i_x": 0.0, "i_xx": 0.0,
        }  # fmt: skip
        frame = {name: np.array([float(value)]) for name, value in one_module.items()}
        scaled = pvsystem.scale_voltage_current_power(pd.DataFrame(frame), voltage=10, current=2)
        isc_a = 1.25 * float(row["I_sc_ref"])
        assert parallel.input_short_circuit_a([isc_a, isc_a]) == pytest.approx(
            1.25 * float(scaled["i_sc"].iloc[0])
        )
        assert parallel.array_power_kw([10, 10], [float(one_module["p_mp"])] * 2) == pytest.approx(
            float(scaled["p_mp"].iloc[0]) / 1000
        )
