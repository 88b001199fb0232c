"""Open-circuit voltages against general-purpose models of other people's modules.

Two outside witnesses, both in pvlib and offline:

- the single-diode model with the fitted parameters of a public rating database, and
- an empirical model with coefficients from outdoor measurements of a laboratory.

Modules are taken by position only, never by name.

Why tolerances are what they are. The fit behind the single-diode rows bends every
datasheet coefficient by its own `Adjust` percent, so that rated power comes out right:
half of the modules by more than 10 %. With the model's own slope our straight line must
follow closely (what is left is curvature); with the datasheet's slope it can only be as
near as the fit is, 10 % of 0.34 %/K over 40 K being 1.4 % of Voc. The light term is the
diode's own logarithm; modules differ in its factor, from 0.034 to 0.052 in the fitted
rows and mostly from 0.046 to 0.068 in the measured ones, where we take 0.06 for all:
0.026 × ln(1000/200) is 4.2 % at the dimmest.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import log

import numpy as np
import pandas as pd
import pytest
from numpy.typing import NDArray
from pvlib import pvsystem

from compliance.electrical import cold_open_circuit_voltage_v, expected_open_circuit_voltage_v

Values = NDArray[np.float64]

COLD_C = (-40.0, -15.0, -10.0, -5.0, 5.0)
LIGHT_W_M2 = (200.0, 400.0, 600.0, 800.0, 1000.0)
CELLS_C = (5.0, 15.0, 25.0, 40.0, 60.0)


@cache
def rating_database() -> pd.DataFrame:
    """One row a module: fitted single-diode parameters, 2019."""
    return pvsystem.retrieve_sam("CECMod").T


@cache
def fitted() -> pd.DataFrame:
    """200 crystalline modules, evenly spread over the rating database."""
    rows = rating_database()
    crystalline = rows[rows["Technology"].isin(["Mono-c-Si", "Multi-c-Si"])]
    return crystalline.iloc[np.linspace(0, len(crystalline) - 1, 200).astype(int)]


@cache
def measured() -> pd.DataFrame:
    """Every crystalline module of the laboratory's outdoor measurements."""
    rows = pvsystem.retrieve_sam("SandiaMod").T
    return rows[rows["Material"].isin(["c-Si", "mc-Si"])]


def column(rows: pd.DataFrame, name: str) -> Values:
    return rows[name].astype(float).to_numpy()


def single_diode_voc_v(rows: pd.DataFrame, cell_c: float, irradiance_w_m2: float) -> Values:
    """The outside answer: the single-diode equation solved at no current."""
    names = ("alpha_sc", "a_ref", "I_L_ref", "I_o_ref", "R_sh_ref", "R_s", "Adjust")
    fit = [column(rows, name) for name in names]
    circuit = pvsystem.calcparams_cec(irradiance_w_m2, cell_c, *fit)
    return np.asarray(pvsystem.singlediode(*circuit)["v_oc"])


def empirical_voc_v(rows: pd.DataFrame, cell_c: float, irradiance_w_m2: float) -> Values:
    """The outside answer: the empirical model, module by module."""
    coefficients = rows.drop(columns=["Vintage", "Material", "Notes"]).astype(float)
    modules = coefficients.to_dict("records")
    return np.array([pvsystem.sapm(irradiance_w_m2, cell_c, m)["v_oc"] for m in modules])


def difference_percent(
    ours: Callable[[float, float], float], voc_v: Values, coefficient: Values, outside_v: Values
) -> Values:
    """How far our voltage lies above the outside one, for each module."""
    worked_v = np.array([ours(v, c) for v, c in zip(voc_v, coefficient, strict=True)])
    return (worked_v / outside_v - 1) * 100


def fitted_differences(cell_c: float, irradiance_w_m2: float, *, own_slope: bool) -> Values:
    """Expected voltage against the single-diode model; slope of the fit or the datasheet."""
    rows = fitted()
    voc_v = column(rows, "V_oc_ref")
    coefficient = column(rows, "beta_oc") / voc_v * 100
    if own_slope:
        coefficient = coefficient * (1 + column(rows, "Adjust") / 100)
    return difference_percent(
        lambda v, c: expected_open_circuit_voltage_v(1, v, c, cell_c, irradiance_w_m2),
        voc_v,
        coefficient,
        single_diode_voc_v(rows, cell_c, irradiance_w_m2),
    )


def cold_differences(lowest_cell_c: float, *, own_slope: bool) -> Values:
    """Cold voltage against the single-diode model in full light."""
    rows = fitted()
    voc_v = column(rows, "V_oc_ref")
    coefficient = column(rows, "beta_oc") / voc_v * 100
    if own_slope:
        coefficient = coefficient * (1 + column(rows, "Adjust") / 100)
    return difference_percent(
        lambda v, c: cold_open_circuit_voltage_v(1, v, c, lowest_cell_c),
        voc_v,
        coefficient,
        single_diode_voc_v(rows, lowest_cell_c, 1000.0),
    )


single_diode = pytest.mark.source(
    document="pvlib 0.16: calcparams_cec and singlediode on its rating database of 2019",
    table="200 of 20,946 crystalline modules",
    confidence="opened",
)
outdoor = pytest.mark.source(
    document="pvlib 0.16: sapm on its database of outdoor measurements",
    table="381 crystalline modules",
    confidence="opened",
)


@single_diode
def test_the_outside_model_gives_the_figures_that_were_written_down() -> None:
    """Guards the witness: another order of the database or another model shows here first."""
    row = rating_database().iloc[[1292]]
    assert row["V_oc_ref"].astype(float).item() == 47.94
    written_down = {
        (-10.0, 1000.0): 53.062,
        (-15.0, 1000.0): 53.787,
        (70.0, 1000.0): 41.253,
        (38.5, 650.0): 45.118,
        (-10.0, 200.0): 50.452,
    }
    for (cell_c, irradiance), voc_v in written_down.items():
        outside_v = single_diode_voc_v(row, cell_c, irradiance).item()
        assert outside_v == pytest.approx(voc_v, rel=0, abs=0.0005 + 1e-9)


@single_diode
@pytest.mark.parametrize("lowest_cell_c", COLD_C)
def test_cold_voltage_is_a_straight_line_with_the_models_own_slope(lowest_cell_c: float) -> None:
    """Tolerance 0.15 % down to -15 °C, 0.35 % at -40 °C: the model's curvature."""
    tolerance = 0.35 if lowest_cell_c < -15 else 0.15
    assert np.abs(cold_differences(lowest_cell_c, own_slope=True)).max() <= tolerance


@single_diode
def test_cold_voltage_with_datasheet_coefficients_is_within_two_percent_at_minus_15() -> None:
    """2 % for nine in ten, 3.5 % for all: what `Adjust` does to the slope over 40 K.

    Ours mostly lies below the model, by about 1 %: the docstring says so.
    """
    differences = cold_differences(-15.0, own_slope=False)
    assert len(differences) == 200
    assert (np.abs(differences) <= 2.0).mean() >= 0.9
    assert np.abs(differences).max() <= 3.5
    assert -1.5 <= np.median(differences) <= 0.0


@single_diode
@pytest.mark.parametrize("irradiance_w_m2", LIGHT_W_M2)
@pytest.mark.parametrize("cell_c", CELLS_C)
def test_the_light_term_follows_the_diodes_logarithm(cell_c: float, irradiance_w_m2: float) -> None:
    """With the model's own slope only the factor of the logarithm is left to differ.

    Each module's own factor is a_ref / Voc, and grows with absolute temperature. So the
    difference must be that of the factors times ln(G/1000), within 0.25 %.
    """
    rows = fitted()
    own = column(rows, "a_ref") / column(rows, "V_oc_ref") * (cell_c + 273.15) / 298.15
    voc_v = single_diode_voc_v(rows, cell_c, irradiance_w_m2) / column(rows, "V_oc_ref")
    explained = (0.06 - own) * log(irradiance_w_m2 / 1000) / voc_v * 100
    left = fitted_differences(cell_c, irradiance_w_m2, own_slope=True) - explained
    assert np.abs(left).max() <= 0.25


@single_diode
def test_expected_voltage_with_datasheet_coefficients_is_within_five_percent() -> None:
    """5 % everywhere and 3.2 % for nine in ten: slope and light factor of the fit together.

    The trade allows 5 % between measured and expected voltage.
    """
    differences = np.abs(
        [fitted_differences(c, g, own_slope=False) for c in CELLS_C for g in LIGHT_W_M2]
    )
    assert differences.shape == (25, 200)
    assert differences.max() <= 5.0
    assert np.percentile(differences, 90) <= 3.2
    assert np.median(differences) <= 1.2


@outdoor
@pytest.mark.parametrize("irradiance_w_m2", [200.0, 500.0, 1000.0])
@pytest.mark.parametrize("cell_c", [5.0, 25.0, 60.0])
def test_expected_voltage_follows_modules_measured_outdoors(
    cell_c: float, irradiance_w_m2: float
) -> None:
    """0.02 × ln(1000/G) for nine in ten, 5 % for all, 0.75 of that 0.02 for the middle one.

    The 0.02 is the spread of the light factor that the constant's comment states. Without
    the term the middle module would be 8 % off and more at 200 W/m².
    """
    rows = measured()
    voc_v = column(rows, "Voco")
    differences = difference_percent(
        lambda v, c: expected_open_circuit_voltage_v(1, v, c, cell_c, irradiance_w_m2),
        voc_v,
        column(rows, "Bvoco") / voc_v * 100,
        empirical_voc_v(rows, cell_c, irradiance_w_m2),
    )
    spread = 2.0 * log(1000 / irradiance_w_m2) + 1e-6
    assert len(differences) == 381
    assert np.percentile(np.abs(differences), 90) <= spread
    assert np.abs(differences).max() <= 5.0
    assert abs(np.median(differences)) <= 0.75 * spread


@single_diode
def test_every_module_of_the_database_has_a_coefficient_that_we_take() -> None:
    """The bounds of the coefficient refuse slips of the unit, not modules."""
    rows = rating_database()
    voc_v = column(rows, "V_oc_ref")
    coefficient = column(rows, "beta_oc") / voc_v * 100
    worked_v = [
        cold_open_circuit_voltage_v(1, v, c, -15.0) for v, c in zip(voc_v, coefficient, strict=True)
    ]
    assert len(worked_v) > 21_000
    assert min(worked_v) > 0
