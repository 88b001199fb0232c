"""Worked-out values of a job against its network and its roof."""

from __future__ import annotations

from compliance.electrical import protection, site
from compliance.errors import OutOfRangeError
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
from compliance.rules.quantities.lookups import Looked

Numbers = tuple[tuple[float, ...], Needs]
BEFORE = "/site.existing.sources_kw"
LINES = ("L1", "L2", "L3")


def _sources(_: Entry, asked: Asked) -> Numbers:
    """What each source gives on the line that has most, those that were there included."""
    there, needs = walk(BEFORE.lstrip("/"), asked.job, asked)
    if "inverters" not in asked.job:
        return (), (*needs, ("/components", "missing"))
    shares: list[tuple[Entry, float]] = []
    for inverter in asked.job["inverters"]:
        rated, lacking = walk(".rated_kw", inverter, asked)
        phases, more = walk(".phases", inverter, asked)
        needs += _of(inverter, lacking + more)
        shares += [] if lacking or more else [(inverter, rated / phases if phases else 0.0)]
    needs += _lines_unsaid(shares, asked)
    if needs:
        return (), needs
    lines = LINES if asked.job["site"]["supply"].get("phases") != 1 else ("",)
    fullest = max((_on(line, shares) for line in lines), key=sum)
    return (*fullest, *([there] if there else [])), ()


def _lines_unsaid(shares: list[tuple[Entry, float]], asked: Asked) -> Needs:
    """What is lacking to know which of several inverters of one phase share a line."""
    single = [inverter for inverter, _ in shares if inverter["phases"] == 1]
    if len(single) < 2:
        return ()
    phases, lacking = walk("site.supply.phases", asked.job, asked)
    if lacking:
        return lacking
    if phases == 1:
        return ()
    return tuple(
        need for inverter in single for need in _of(inverter, walk(".line", inverter, asked)[1])
    )


def _on(line: str, shares: list[tuple[Entry, float]]) -> list[float]:
    """The shares on a line, all of them on the only one; what names none may feed each."""
    return [share for inverter, share in shares if not line or inverter.get("line", line) == line]


def _of(entry: Entry, needs: Needs) -> Needs:
    return tuple((f"/components[{entry['~name']}].{path}", why) for path, why in needs)


def _currents(_: Entry, asked: Asked) -> Numbers:
    """The greatest output current of each inverter, and what generated before."""
    there, needs = _generating_before(asked)
    if "inverters" not in asked.job:
        return (), (*needs, ("/components", "missing"))
    values: list[float] = []
    for inverter in asked.job["inverters"]:
        value, lacking = walk(".max_output_a", inverter, asked)
        needs += _of(inverter, lacking)
        values += [] if lacking else [value]
    return (*values, *([there] if there else [])), needs


def _generating_before(asked: Asked) -> Looked:
    """The current of what generated before; where that is nothing, no voltage is asked for."""
    kilowatts, needs = walk(BEFORE.lstrip("/"), asked.job, asked)
    if needs or not kilowatts:
        return (None, needs) if needs else (0.0, ())
    volts, needs = walk("site.supply.nominal_v", asked.job, asked)
    if needs:
        return None, needs
    try:
        return site.capacity_current_a(kilowatts, volts), ()
    except OutOfRangeError as beyond:
        path = "/site.supply.nominal_v" if beyond.name == "nominal_voltage_v" else BEFORE
        return None, ((path, f"outside validity: it must be {beyond.right}"),)


def _types(entry: Entry, asked: Asked) -> tuple[list[Entry], Needs]:
    """The types of module of the strings of a part."""
    if "strings" not in asked.job:
        return [], (("/strings", "missing"),)
    found: dict[str, Entry] = {}
    needs: Needs = ()
    for string in asked.job["strings"]:
        if string.get("part", entry) is not entry:
            continue
        lacking = [name for name in ("part", "modules") if name not in string]
        needs += tuple((f"/strings[{string['~name']}].{name}", "missing") for name in lacking)
        if not lacking:
            found[string["modules"]["~name"]] = string["modules"]
    return list(found.values()), needs


def _each_type(path: str, entry: Entry, asked: Asked) -> Numbers:
    types, needs = _types(entry, asked)
    values: list[float] = []
    for module in types:
        value, lacking = walk(path, module, asked)
        needs += _of(module, lacking)
        values += [] if lacking else [value]
    return tuple(values), needs


def _masses(entry: Entry, asked: Asked) -> Numbers:
    return _each_type(".mass_kg", entry, asked)


def _areas(entry: Entry, asked: Asked) -> Numbers:
    return _each_type(".area_m2", entry, asked)


def _mounting(entry: Entry, asked: Asked) -> Looked:
    """The heaviest of the mounting kits of a part."""
    if "mountings" not in asked.job:
        return None, (("/components", "missing"),)
    values: list[float] = []
    needs: Needs = ()
    for kit in asked.job["mountings"]:
        if kit.get("part", entry) is not entry:
            continue
        value, lacking = walk(".mass_kg_m2", kit, asked)
        needs += _of(kit, lacking)
        values += [] if lacking else [value]
    if not values and not needs:
        needs = (("/components", "one more entry in it, of the mounting"),)
    return (None, needs) if needs else (max(values), ())


QUANTITIES = (
    Quantity(
        owner="job",
        name="registered_capacity_kw",
        title="Registered capacity on the line that has most",
        formula="sum of the rated outputs, a third of those of three phases",
        inputs={
            "source_powers_kw": Gathered(
                "output of each source on the line", _sources, "components"
            )
        },
        calculate=site.registered_capacity_kw,
        source="erec-g98",
        clause="",
        confidence="memory",
        note="Old and new sources and batteries' inverters count. A car that can supply the "
        "house is not in it.",
    ),
    Quantity(
        owner="job",
        name="network_current_a",
        title="Current of the registered capacity, which decides how the network operator is told",
        formula="1000 × registered capacity / nominal voltage",
        inputs={
            "registered_capacity_kw": Input("registered capacity", "registered_capacity_kw"),
            "nominal_voltage_v": Input("nominal voltage to neutral", "site.supply.nominal_v"),
        },
        calculate=site.capacity_current_a,
        source="erec-g98",
        clause="",
        confidence="secondary",
        note="Up to 16 A the operator is told within 28 days of switching on; above it, asked "
        "before anything is connected.",
    ),
    Quantity(
        owner="job",
        name="board_current_a",
        title="Current that a board's bars carry with sources behind its incoming device",
        formula="rated current of the incoming device + sum of the sources",
        inputs={
            "incoming_rated_a": Input(
                "rated current of the device before the board", "site.supply.fuse_a"
            ),
            "source_currents_a": Gathered(
                "greatest output current of each source", _currents, "components"
            ),
        },
        calculate=protection.board_current_a,
        source="bs-7671-2018-a2",
        clause="551.7.2",
        confidence="memory",
        note="As if all sources fed the same line of the one board, which is never milder.",
    ),
    Quantity(
        owner="job",
        name="main_bond_mm2",
        title="Size of a main bond where the supply is not PME",
        formula="half the earthing conductor, from 6 to 25 mm²",
        inputs={
            "earthing_conductor_mm2": Input(
                "size that the earthing conductor needs", "site.supply.earthing_mm2"
            )
        },
        calculate=protection.main_bond_mm2,
        source="bs-7671-2018-a2",
        clause="544.1.1",
        confidence="secondary",
        note="Take the next made size up. PME: pme_bond_mm2.",
    ),
    Quantity(
        owner="part",
        name="array_load_kg_m2",
        title="Load that an array adds to the roof under it",
        formula="mass of a module / its area + mounting",
        inputs={
            "module_masses_kg": Gathered("mass of one module", _masses, "strings"),
            "module_areas_m2": Gathered("its area", _areas, "strings"),
            "mounting_kg_m2": Found("mounting", _mounting, "components"),
        },
        calculate=site.array_load_kg_m2,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="Dead load only: wind, snow and the points where fixings bring it down are for a "
        "structural engineer.",
    ),
    Quantity(
        owner="part",
        name="load_change_percent",
        title="Change of the roof's dead load",
        formula="added load / existing load × 100",
        inputs={
            "added_kg_m2": Input("load that the array adds", ".array_load_kg_m2"),
            "existing_kg_m2": Input("dead load of the roof before", ".roof_dead_kg_m2"),
        },
        calculate=site.load_change_percent,
        source="approved-document-a",
        clause="",
        confidence="memory",
        note="Above about 15 % a structural engineer is needed (memory). Below it the roof's "
        "condition is still looked at by somebody competent.",
    ),
)
