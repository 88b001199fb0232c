"""Worked-out energy of a year, by the scheme's standard method."""

from __future__ import annotations

from compliance.electrical import site
from compliance.rules.quantities.binding import Asked, Entry, Gathered, Input, Needs, Quantity, walk

Numbers = tuple[tuple[float, ...], Needs]
POWER = (".in_series", ".parallel", ".modules.vmp_v", ".modules.imp_a")


def _of_each_string(asked: Asked, *paths: str, scale: float = 1.0) -> Numbers:
    """A product of what each string of the job says."""
    if "strings" not in asked.job:
        return (), (("/strings", "missing"),)
    products: list[float] = []
    needs: Needs = ()
    for string in asked.job["strings"]:
        product = scale
        for path in paths:
            value, lacking = walk(path, string, asked)
            needs += tuple((f"/strings[{string['~name']}].{step}", why) for step, why in lacking)
            product *= 1.0 if lacking else value
        products.append(product)
    return tuple(products), needs


def _powers(_: Entry, asked: Asked) -> Numbers:
    return _of_each_string(asked, *POWER, scale=1e-3)


def _yields(_: Entry, asked: Asked) -> Numbers:
    return _of_each_string(asked, ".yield_kwh_per_kw")


def _shades(_: Entry, asked: Asked) -> Numbers:
    return _of_each_string(asked, ".shade_factor")


QUANTITIES = (
    Quantity(
        owner="string",
        name="shade_factor",
        title="Shade factor of a roof face",
        formula="1 - 0.01 × shaded segments",
        inputs={
            "shaded_segments": Input("shaded segments of the sun-path chart", ".shaded_segments")
        },
        calculate=site.shade_factor,
        source="mis-3002",
        clause="",
        confidence="memory",
    ),
    Quantity(
        owner="job",
        name="annual_yield_kwh",
        title="Energy of a year by the standard method",
        formula="sum over the strings of power × specific yield × shade factor",
        inputs={
            "face_powers_kw": Gathered("power of each string at STC", _powers, "strings"),
            "specific_yields_kwh_per_kw": Gathered(
                "tabulated yearly yield of its face", _yields, "strings"
            ),
            "shade_factors": Gathered("shade factor of its face", _shades, "strings"),
        },
        calculate=site.annual_yield_kwh,
        source="mis-3002",
        clause="",
        confidence="memory",
        note="Guidance for the first year and no guarantee of what the weather will do. The "
        "scheme's table of specific yields is not here: the record has its figure.",
    ),
)
