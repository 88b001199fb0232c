"""Currents of strings against general-purpose models of other people's modules.

The same two witnesses as for voltages (`test_voc_against_pvlib.py`), both in pvlib and
offline; modules are taken by position only, never by name.

Why tolerances are what they are. The fit behind the single-diode rows bends each module's
α by its own `Adjust` percent, and its photocurrent lies above Isc by the share that leaks
through the shunt, up to 5 % for a few rows: so nine in ten are held to 1.5 %, all to 6 %.
The current of greatest power is taken without temperature: the model moves it by up to
4 % between 5 and 60 °C. The empirical model has a spectral term, left at its reference
here, and measured coefficients of its own.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pandas as pd
import pytest
from numpy.typing import NDArray
from pvlib import pvsystem

from compliance.electrical import (
    current_spread_percent,
    expected_operating_current_a,
    expected_short_circuit_current_a,
)

Values = NDArray[np.float64]
LIGHT_W_M2 = (200.0, 400.0, 600.0, 800.0, 1000.0, 1200.0)
CELLS_C = (5.0, 25.0, 40.0, 60.0)

single_diode = pytest.mark.source(
    document="pvlib 0.16: calcparams_cec and singlediode on its rating database of 2019",
    table="200 of 20,946 crystalline modules",
    confidence="opened",
)


@cache
def rating_database() -> pd.DataFrame:
    return pvsystem.retrieve_sam("CECMod").T


@cache
def fitted() -> pd.DataFrame:
    rows = rating_database()
    crystalline = rows[rows["Technology"].isin(["Mono-c-Si", "Multi-c-Si"])]
    return crystalline.iloc[np.linspace(0, len(crystalline) - 1, 200).astype(int)]


def column(rows: pd.DataFrame, name: str) -> Values:
    return rows[name].astype(float).to_numpy()


def modelled(rows: pd.DataFrame, cell_c: float, irradiance_w_m2: float, key: str) -> Values:
    """The outside answer: `i_sc` or `i_mp` of the single-diode equation."""
    names = ("alpha_sc", "a_ref", "I_L_ref", "I_o_ref", "R_sh_ref", "R_s", "Adjust")
    circuit = pvsystem.calcparams_cec(
        irradiance_w_m2, cell_c, *(column(rows, name) for name in names)
    )
    return np.asarray(pvsystem.singlediode(*circuit)[key])


def short_circuit_a(rows: pd.DataFrame, cell_c: float, irradiance_w_m2: float) -> Values:
    """Our answer, module by module; α goes in as a datasheet prints it, in %/K."""
    isc_a = column(rows, "I_sc_ref")
    coefficient = column(rows, "alpha_sc") / isc_a * 100
    return np.array(
        [
            expected_short_circuit_current_a(1, i, c, cell_c, irradiance_w_m2)
            for i, c in zip(isc_a, coefficient, strict=True)
        ]
    )


@single_diode
@pytest.mark.parametrize("irradiance_w_m2", LIGHT_W_M2)
@pytest.mark.parametrize("cell_c", CELLS_C)
def test_short_circuit_current_follows_the_single_diode_model(
    cell_c: float, irradiance_w_m2: float
) -> None:
    """Nine in ten within 1.5 %, all within 6 %: less than the 10 % it is compared with."""
    rows = fitted()
    ours = short_circuit_a(rows, cell_c, irradiance_w_m2)
    difference = np.abs(ours / modelled(rows, cell_c, irradiance_w_m2, "i_sc") - 1) * 100
    assert len(difference) == 200
    assert np.percentile(difference, 90) <= 1.5
    assert difference.max() <= 6.0


@single_diode
@pytest.mark.parametrize("irradiance_w_m2", LIGHT_W_M2)
@pytest.mark.parametrize("cell_c", CELLS_C)
def test_operating_current_follows_the_point_of_greatest_power(
    cell_c: float, irradiance_w_m2: float
) -> None:
    """All within 4 % though temperature is left out; as the docstring says."""
    rows = fitted()
    ours = np.array(
        [expected_operating_current_a(1, i, irradiance_w_m2) for i in column(rows, "I_mp_ref")]
    )
    difference = np.abs(ours / modelled(rows, cell_c, irradiance_w_m2, "i_mp") - 1) * 100
    assert difference.max() <= 4.0


@single_diode
def test_the_figures_that_were_written_down_come_out() -> None:
    """Module 1292 at 650 W/m² and 38.5 °C: the model's 6.7641 A and 6.362 A."""
    row = rating_database().iloc[[1292]]
    assert modelled(row, 38.5, 650.0, "i_sc").item() == pytest.approx(6.7641, abs=5e-5)
    assert modelled(row, 38.5, 650.0, "i_mp").item() == pytest.approx(6.362, abs=5e-4)
    ours = short_circuit_a(row, 38.5, 650.0).item()
    assert ours == pytest.approx(6.7656, abs=5e-5)  # the linear formula, as written down
    imp_a = column(row, "I_mp_ref").item()
    assert expected_operating_current_a(1, imp_a, 650.0) == pytest.approx(6.362, rel=0.005)


@single_diode
def test_every_module_of_the_database_has_a_current_coefficient_that_we_take() -> None:
    rows = rating_database()
    coefficient = column(rows, "alpha_sc") / column(rows, "I_sc_ref") * 100
    assert len(coefficient) > 21_000
    worked = [expected_short_circuit_current_a(1, 10.0, c, 40.0, 800.0) for c in coefficient]
    assert min(worked) > 0


@single_diode
def test_light_read_with_each_current_takes_a_passing_cloud_out_of_the_spread() -> None:
    """Modelled currents of one module in two lights spread by less than 1 %; raw, by 40 %."""
    rows = fitted()
    bright, dim = (modelled(rows, 35.0, g, "i_sc") for g in (900.0, 600.0))
    spreads = [
        current_spread_percent([a, b], [900.0, 600.0]) for a, b in zip(bright, dim, strict=True)
    ]
    assert max(spreads) < 1.0
    raw = [current_spread_percent([a, b], [900.0, 900.0]) for a, b in zip(bright, dim, strict=True)]
    assert min(raw) > 35.0


@pytest.mark.source(
    document="pvlib 0.16: sapm on its database of outdoor measurements",
    table="381 crystalline modules",
    confidence="opened",
)
@pytest.mark.parametrize("irradiance_w_m2", [200.0, 600.0, 1000.0])
@pytest.mark.parametrize("cell_c", [5.0, 25.0, 60.0])
def test_short_circuit_current_follows_modules_measured_outdoors(
    cell_c: float, irradiance_w_m2: float
) -> None:
    """The model is linear in light too, its α measured: ours must agree to its last digits."""
    rows = pvsystem.retrieve_sam("SandiaMod").T
    rows = rows[rows["Material"].isin(["c-Si", "mc-Si"])]
    modules = rows.drop(columns=["Vintage", "Material", "Notes"]).astype(float).to_dict("records")
    assert len(modules) == 381
    for module in modules:
        ours = expected_short_circuit_current_a(
            1, module["Isco"], 100 * module["Aisc"], cell_c, irradiance_w_m2
        )
        outside = pvsystem.sapm(irradiance_w_m2, cell_c, module)["i_sc"]
        assert ours == pytest.approx(float(outside), rel=1e-9)
