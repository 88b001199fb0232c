"""Worked-out values of the design of strings: drop, heat, parallel strings, array and inverter."""

from __future__ import annotations

from compliance.electrical import cables, parallel, window
from compliance.rules.quantities.binding import (
    Asked,
    Entry,
    Found,
    Gathered,
    Input,
    Needs,
    Quantity,
    walk,
)
from compliance.rules.quantities.lookups import Looked, at_size

TINNED = "flexible_tinned_milliohm_per_m"
PLACE = ("inverter", "tracker")
Numbers = tuple[tuple[float, ...], Needs]

IN_SERIES = Input("modules in series", ".in_series")
VMP = Input("voltage of one module at greatest power, STC", ".modules.vmp_v")
GAMMA = Input(
    "coefficient γ of the voltage at greatest power", ".modules.vmp_coefficient_percent_per_k"
)
ISC = Input("short-circuit current of one module at STC", ".modules.isc_a")


def _operating(entry: Entry, asked: Asked) -> Looked:
    """The current of all rows at greatest power."""
    return _product(entry, asked, ".parallel", ".modules.imp_a")


def _string_vmp(entry: Entry, asked: Asked) -> Looked:
    return _product(entry, asked, ".in_series", ".modules.vmp_v")


def _product(entry: Entry, asked: Asked, *paths: str) -> Looked:
    product = 1.0
    needs: Needs = ()
    for path in paths:
        value, lacking = walk(path, entry, asked)
        needs += lacking
        product = product if lacking else product * value
    return (None, needs) if needs else (product, ())


def _cables(entry: Entry) -> tuple[list[Entry], Needs]:
    """The cables of a string; how many there are is known only where all say whose they are."""
    held = entry.get("cables")
    if not held:
        return [], (("cables", "missing"),)
    poles = {cable.get("pole") for cable in held}
    needs = tuple(("/" + path, "missing") for _, path in getattr(held, "perhaps", ()))
    lacking = [pole for pole in ("positive", "negative") if pole not in poles]
    needs += tuple(("cables", f"one more entry in it, of the {pole} pole") for pole in lacking)
    return list(held), needs


def _routes(entry: Entry, asked: Asked) -> Numbers:
    found, needs = _cables(entry)
    lengths: list[float] = []
    for cable in found:
        value, lacking = walk(".route_m", cable, asked)
        needs += tuple((f"/cables[{cable['~name']}].{path}", why) for path, why in lacking)
        lengths += [] if lacking else [value]
    return tuple(lengths), needs


def _resistances(entry: Entry, asked: Asked) -> Numbers:
    found, needs = _cables(entry)
    each: list[float] = []
    for cable in found:
        value, lacking = at_size(TINNED, ".size_mm2", cable, asked)
        needs += tuple((f"/cables[{cable['~name']}].{path}", why) for path, why in lacking)
        each += [] if value is None else [value]
    return tuple(each), needs


def on_input(entry: Entry, asked: Asked) -> tuple[list[Entry], Needs]:
    """The strings on the same input of an inverter, this one among them."""
    own = entry["input"]
    others = [
        other
        for other in asked.job.get("strings", ())
        if other is not entry and not _is_apart(own, other["input"])
    ]
    lacking = [name for name in PLACE if name not in own] if others else []
    if lacking:  # which others are on it can only be asked of where it is itself
        return [entry], tuple((f"input.{name}", "missing") for name in lacking)
    found = [entry]
    needs: Needs = ()
    for other in others:
        unsaid = [name for name in PLACE if name not in other["input"]]
        needs += tuple((f"/strings[{other['~name']}].input.{n}", "missing") for n in unsaid)
        found += [] if unsaid else [other]
    return found, needs


def _is_apart(one: Entry, other: Entry) -> bool:
    """Whether two places are surely not the same input."""
    both = [(one[name], other[name]) for name in PLACE if name in one and name in other]
    return any(mine is not theirs and mine != theirs for mine, theirs in both)


def _currents_on_input(entry: Entry, asked: Asked) -> Numbers:
    found, needs = on_input(entry, asked)
    return _each(found, ".greatest_isc_a", entry, asked, needs)


def _rows_on_input(entry: Entry, asked: Asked) -> Looked:
    found, needs = on_input(entry, asked)
    rows, needs = _each(found, ".parallel", entry, asked, needs)
    return (None, needs) if needs else (sum(rows), ())


def _each(found: list[Entry], path: str, entry: Entry, asked: Asked, needs: Needs) -> Numbers:
    values: list[float] = []
    for string in found:
        value, lacking = walk(path, string, asked)
        prefix = "" if string is entry else f"/strings[{string['~name']}]."
        needs += tuple((_from(prefix, path), why) for path, why in lacking)
        values += [] if lacking else [value]
    return tuple(values), needs


def _from(prefix: str, path: str) -> str:
    """A path from this string; one that begins at the job stays as it is."""
    return path if path.startswith("/") else prefix + path


def _strings_of(entry: Entry) -> tuple[list[Entry], Needs]:
    held = entry.get("strings")
    if not held:
        return [], (("strings", "missing"),)
    return list(held), tuple(("/" + path, "missing") for _, path in getattr(held, "perhaps", ()))


def _modules_of(entry: Entry, asked: Asked) -> Numbers:
    return _of_strings(entry, asked, ".in_series", ".parallel")


def _powers_of(entry: Entry, asked: Asked) -> Numbers:
    return _of_strings(entry, asked, ".modules.vmp_v", ".modules.imp_a")


def _of_strings(entry: Entry, asked: Asked, *paths: str) -> Numbers:
    """A product of what each string of an inverter says."""
    found, needs = _strings_of(entry)
    values: list[float] = []
    for string in found:
        value, lacking = _product(string, asked, *paths)
        needs += tuple((f"/strings[{string['~name']}].{path}", why) for path, why in lacking)
        values += [] if value is None else [value]
    return tuple(values), needs


def _fixed(words: str, table: str, word: str) -> Found:
    """A factor by one of the published forms: the one that is never milder."""
    return Found(words, lambda _, asked: asked.table(table, word), f"limits.{table}", (table,))


QUANTITIES = (
    Quantity(
        owner="string",
        name="string_drop_v",
        title="Volt drop of the DC cables of a string",
        formula="current × sum over the cables of length × resistance / 1000",
        inputs={
            "current_a": Found("current at greatest power", _operating, ".parallel"),
            "routes_m": Gathered("length of each cable", _routes, ".cables"),
            "conductors_milliohm_per_m": Gathered(
                "resistance of each", _resistances, ".cables", (TINNED,)
            ),
        },
        calculate=cables.string_drop_v,
        source="gb-microgeneration-practice",
        clause="",
        confidence="secondary",
        note="With the resistance at 20 °C, of a cool cable. At 70 °C it is a fifth more.",
    ),
    Quantity(
        owner="string",
        name="dc_drop_percent",
        title="Volt drop of the DC cables of a string, in percent",
        formula="drop / voltage × 100",
        inputs={
            "drop_v": Input("volt drop", ".string_drop_v"),
            "at_v": Found("voltage of the string at greatest power", _string_vmp, ".in_series"),
        },
        calculate=cables.drop_percent,
        source="gb-microgeneration-practice",
        clause="",
        confidence="secondary",
    ),
    Quantity(
        owner="string",
        name="hot_string_v",
        title="Working voltage of a string at the highest cell temperature",
        formula="modules × Vmp × (1 + γ / 100 × (highest cell temperature - 25))",
        inputs={
            "modules": IN_SERIES,
            "module_vmp_stc_v": VMP,
            "vmp_coefficient_percent_per_k": GAMMA,
            "highest_cell_c": Input(
                "highest cell temperature of the site", "limits.design_hottest_cell_c"
            ),
        },
        calculate=window.hot_string_voltage_v,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="Compare with the lower end of the inverter's window and its start voltage. The "
        "coefficient of Voc is flatter than that of Vmp and makes the result too high.",
    ),
    Quantity(
        owner="string",
        name="cold_string_v",
        title="Working voltage of a string at the lowest cell temperature",
        formula="modules × Vmp × (1 + γ / 100 × (lowest cell temperature - 25))",
        inputs={
            "modules": IN_SERIES,
            "module_vmp_stc_v": VMP,
            "vmp_coefficient_percent_per_k": GAMMA,
            "lowest_cell_c": Input("lowest cell temperature of the site", "site.lowest_cell_c"),
        },
        calculate=window.cold_working_voltage_v,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="Compare with the upper end of the inverter's window, which costs energy only. What "
        "the inverter bears is compared with the open-circuit voltage in the cold.",
    ),
    Quantity(
        owner="string",
        name="input_isc_a",
        title="Short-circuit current of all strings on the same input, in strong light",
        formula="sum of 1.25 × rows in parallel × Isc",
        inputs={
            "short_circuit_currents_a": Gathered(
                "greatest current of each string", _currents_on_input, ".greatest_isc_a"
            )
        },
        calculate=parallel.input_short_circuit_a,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="The greatest working current of an input is another figure and not its limit.",
    ),
    Quantity(
        owner="string",
        name="reverse_current_a",
        title="Reverse current through a string, from those beside it",
        formula="(strings - 1) × factor × Isc",
        inputs={
            "parallel": Found("rows in parallel on its input", _rows_on_input, ".parallel"),
            "module_isc_stc_a": ISC,
            "light_factor": _fixed(
                "factor for strong light", "reverse_light_factor", "wiring regulations"
            ),
        },
        calculate=parallel.reverse_current_a,
        source="iec-62548",
        clause="",
        confidence="secondary",
        note="String protection is needed where this is greater than the fuse rating that the "
        "module's maker allows. The array standard has the factor 1, which is milder.",
    ),
    Quantity(
        owner="string",
        name="least_string_fuse_a",
        title="Least rating of a string fuse",
        formula="factor × Isc",
        inputs={
            "module_isc_stc_a": ISC,
            "fuse_factor": _fixed("least factor", "least_fuse_factor", "array standard"),
        },
        calculate=parallel.least_string_fuse_a,
        source="iec-62548",
        clause="",
        confidence="secondary",
        note="IEC 62548 says more than 1.5 × Isc; BS 7671 712 at least 1.1 × 1.25 × Isc (memory).",
        idle_where_none="reverse_current_a",
    ),
    Quantity(
        owner="string",
        name="greatest_string_fuse_a",
        title="Greatest rating of a string fuse",
        formula="least of factor × Isc and the module maker's limit",
        inputs={
            "module_isc_stc_a": ISC,
            "fuse_factor": _fixed("greatest factor", "greatest_fuse_factor", "array standard"),
            "module_fuse_limit_a": Input(
                "greatest fuse that the module's maker allows", ".modules.max_fuse_a"
            ),
        },
        calculate=parallel.greatest_string_fuse_a,
        source="iec-62548",
        clause="",
        confidence="secondary",
        note="BS 7671 712 has the maker's limit alone (memory). Less than the least rating: no "
        "fuse fits, and fewer strings go to one input.",
        idle_where_none="reverse_current_a",
    ),
    Quantity(
        owner="inverter",
        name="array_kw",
        title="Rated power of the array of an inverter",
        formula="sum over the strings of modules × Vmp × Imp / 1000",
        inputs={
            "modules": Gathered("modules of each string", _modules_of, ".strings"),
            "module_powers_w": Gathered("power of one module of each", _powers_of, ".strings"),
        },
        calculate=parallel.array_power_kw,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="At STC. The plate of a module shows the same product, rounded.",
    ),
    Quantity(
        owner="inverter",
        name="array_ratio_percent",
        title="Array against its inverter",
        formula="array / inverter × 100",
        inputs={
            "array_kw": Input("rated power of the array at STC", ".array_kw"),
            "inverter_kw": Input("rated output of the inverter", ".rated_kw"),
        },
        calculate=parallel.array_ratio_percent,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="100 to 130 % is usual. The inverter's maker states the greatest array.",
    ),
)
