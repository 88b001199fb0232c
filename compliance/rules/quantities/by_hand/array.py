"""By hand: a string and its inverter, strings in parallel, microinverters, optimisers."""

from __future__ import annotations

from compliance.electrical import parallel, window
from compliance.rules.quantities.by_hand.entry import ByHand, given

MODULES = given("modules in series")
VOC = given("open-circuit voltage of one module at STC")
VMP = given("voltage of one module at greatest power, STC")
ISC = given("short-circuit current of one module at STC")
BETA = given("voltage coefficient β of Voc")
GAMMA = given("coefficient γ of the voltage at greatest power")
COLDEST = given("lowest cell temperature of the site", "design_coldest_cell_c")
HOTTEST = given("highest cell temperature of the site", "design_hottest_cell_c")

QUANTITIES = (
    ByHand(
        name="string_voltage_by_volts_v",
        title="Voltage of a string at a cell temperature, by a coefficient in V/K",
        formula="modules × (voltage at STC + β × (cell temperature - 25))",
        inputs={
            "modules": MODULES,
            "module_voltage_stc_v": given("Voc or Vmp of one module at STC"),
            "voltage_coefficient_v_per_k": given("coefficient of that voltage"),
            "cell_c": given("cell temperature"),
        },
        calculate=window.string_voltage_by_volts_v,
        source="iec-62548",
        clause="",
        confidence="secondary",
    ),
    ByHand(
        name="cold_voltage_by_factor_v",
        title="Open-circuit voltage in the cold, by a fixed factor",
        formula="modules × Voc × factor",
        inputs={
            "modules": MODULES,
            "module_voc_stc_v": VOC,
            "cold_factor": given("factor of the method", "cold_voltage_factor"),
        },
        calculate=window.cold_voltage_by_factor_v,
        source="gb-microgeneration-practice",
        clause="",
        confidence="memory",
        note="For modules without a coefficient. 1.15 is too low below -15 °C, and for modules "
        "steeper than -0.375 %/K.",
    ),
    ByHand(
        name="most_modules",
        title="Most modules in series under a voltage limit in the cold",
        formula="limit / (Voc × (1 + β / 100 × (lowest cell temperature - 25))), rounded down",
        inputs={
            "greatest_voltage_v": given("greatest voltage of the inverter or of the modules"),
            "module_voc_stc_v": VOC,
            "voc_coefficient_percent_per_k": BETA,
            "lowest_cell_c": COLDEST,
        },
        calculate=window.most_modules,
        source="iec-62548",
        clause="",
        confidence="secondary",
    ),
    ByHand(
        name="least_modules",
        title="Fewest modules in series that reach the inverter's window in the heat",
        formula="limit / (Vmp × (1 + γ / 100 × (highest cell temperature - 25))), rounded up",
        inputs={
            "least_voltage_v": given("lower end of the inverter's window"),
            "module_vmp_stc_v": VMP,
            "vmp_coefficient_percent_per_k": GAMMA,
            "highest_cell_c": HOTTEST,
        },
        calculate=window.least_modules,
        source="common-practice",
        clause="",
        confidence="common practice",
    ),
    ByHand(
        name="most_parallel_strings",
        title="Most strings that one input of an inverter takes",
        formula="short-circuit limit of the input / (1.25 × Isc), rounded down",
        inputs={
            "input_isc_limit_a": given("greatest short-circuit current of the input"),
            "module_isc_stc_a": ISC,
        },
        calculate=window.most_parallel_strings,
        source="iec-62548",
        clause="",
        confidence="memory",
        note="The greatest working current of an input is another figure and not this limit.",
    ),
    ByHand(
        name="standby_v",
        title="Voltage of a string of optimisers in standby",
        formula="optimisers × standby voltage of one",
        inputs={
            "optimisers": given("optimisers in series"),
            "optimiser_standby_v": given("standby voltage of one", "optimiser_standby_v"),
        },
        calculate=window.standby_voltage_v,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="A module in the dark gives nothing. A tenth more or less is usual.",
    ),
    ByHand(
        name="microinverter_branch_a",
        title="Current of a branch of microinverters",
        formula="microinverters × greatest output current of one",
        inputs={
            "microinverters": given("microinverters on the branch"),
            "microinverter_current_a": given("greatest output current of one"),
        },
        calculate=parallel.branch_current_a,
        source="common-practice",
        clause="",
        confidence="common practice",
    ),
)
