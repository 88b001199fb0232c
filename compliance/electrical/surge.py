"""Surge protection: when a DC route needs it, and what a device and its wiring must stand."""

from __future__ import annotations

from collections.abc import Sequence

from compliance.electrical._validity import check_above_zero, check_between
from compliance.errors import OutOfRangeError

# Common practice: maps of flashes to ground show 0.1 to 2 in the British Isles; no place on
# earth has more than about 100. The bounds catch thunderstorm days written for flashes.
LEAST_GROUND_FLASHES_PER_KM2_YEAR = 0.01
GREATEST_GROUND_FLASHES_PER_KM2_YEAR = 50.0

# iec-60364-5-53, table 53C (secondary): a device between a line conductor and neutral or
# earth must bear this multiple of U0 for good, in TN and TT alike.
CONTINUOUS_VOLTAGE_FACTOR = 1.1

# Common practice: makers of devices reckon 1 kV for each metre of lead (about 1 µH/m, and
# the steep front of a surge of 8/20 µs and 8 to 10 kA). See the checks in tests/reference.
LEAD_VOLTAGE_KV_PER_M = 1.0

# Common practice: no device is made with a level above this, and longer leads are no leads.
GREATEST_PROTECTION_LEVEL_KV = 20.0
GREATEST_LEAD_M = 100.0


def critical_length_m(critical_length_factor: float, ground_flashes_per_km2_year: float) -> float:
    """Route length of DC cables from which a surge device is needed on the DC side.

    ``factor / Ng``; the factor goes with the kind of building. Flashes to ground and not
    days of thunder: by a rule of thumb ten of those days make one flash.

    Args:
        critical_length_factor: Factor of the kind of building, in m/(km²·year). [count]
        ground_flashes_per_km2_year: Density of lightning flashes to ground, Ng.
            [/(km²·year)]

    Returns:
        Critical length. [m]

    Raises:
        OutOfRangeError: If ``critical_length_factor`` <= 0 or
            ``ground_flashes_per_km2_year`` is outside 0.01 to 50.

    References:
        ute-c-15-712-1: critical length on the DC side, factors 115, 200 and 450 (secondary).
        bs-7671-2018-a2: 712.443, the same factors (memory).

    Example:
        A dwelling where 0.7 flashes strike each square kilometre in a year.

        >>> round(critical_length_m(115, 0.7), 1)
        164.3
    """
    check_above_zero("critical_length_factor", critical_length_factor)
    check_between(
        "ground_flashes_per_km2_year",
        ground_flashes_per_km2_year,
        LEAST_GROUND_FLASHES_PER_KM2_YEAR,
        GREATEST_GROUND_FLASHES_PER_KM2_YEAR,
    )
    return critical_length_factor / ground_flashes_per_km2_year


def route_length_m(route_lengths_m: Sequence[float]) -> float:
    """Length of all DC routes between arrays and inverters, each route once.

    The plain sum. A route that several cables share counts once, as the guide cited says.

    Args:
        route_lengths_m: One length for each different route. [m]

    Returns:
        Length that is compared with the critical length. [m]

    Raises:
        OutOfRangeError: If there is no route, or a length is <= 0.

    References:
        ute-c-15-712-1: lengths added where the paths differ (secondary).
        bs-7671-2018-a2: 712.443, sum of the route lengths (memory).

    Example:
        Two roof faces of one house.

        >>> route_length_m([14.0, 9.5])
        23.5
    """
    # Which reading: the longest route or the sum of all. We take the sum over the whole job:
    # never milder than the other reading.
    if not route_lengths_m:
        raise OutOfRangeError("number of route_lengths_m", 0, "1 or more")
    for length_m in route_lengths_m:
        check_above_zero("route_lengths_m", length_m)
    return sum(route_lengths_m)


def total_lead_m(live_lead_m: float, earth_lead_m: float) -> float:
    """Length of the leads that a surge current takes through a device.

    ``live lead + earth lead``: from the protected conductor to the device, and from the
    device to the earth bar that the protected equipment is earthed at.

    Args:
        live_lead_m: Lead between the protected conductor and the device. [m]
        earth_lead_m: Lead between the device and the earth bar. [m]

    Returns:
        Total length of leads. [m]

    Raises:
        OutOfRangeError: If ``live_lead_m`` or ``earth_lead_m`` is outside 0 to 100.

    References:
        bs-7671-2018-a2: 534.4.8, total length of the connecting leads (secondary).

    Example:
        A lead of 200 mm and one of 250 mm.

        >>> round(total_lead_m(0.2, 0.25), 3)
        0.45
    """
    check_between("live_lead_m", live_lead_m, 0, GREATEST_LEAD_M)
    check_between("earth_lead_m", earth_lead_m, 0, GREATEST_LEAD_M)
    return live_lead_m + earth_lead_m


def level_with_leads_kv(
    protection_level_kv: float, live_lead_m: float, earth_lead_m: float
) -> float:
    """Voltage that a surge leaves at the equipment: the device's own level and its leads'.

    ``Up + 1 kV/m × (live lead + earth lead)``. For leads that run singly and devices that
    limit the voltage; twisted leads or double terminals stay below it.

    Args:
        protection_level_kv: Voltage protection level Up of the datasheet. [kV]
        live_lead_m: Lead between the protected conductor and the device. [m]
        earth_lead_m: Lead between the device and the earth bar. [m]

    Returns:
        Protection level with leads. [kV]

    Raises:
        OutOfRangeError: If ``protection_level_kv`` is outside 0 to 20, ``live_lead_m`` or
            ``earth_lead_m`` outside 0 to 100.

    References:
        iec-62305-4: protection level of a device together with its leads (memory).

    Example:
        A device of 1.8 kV on leads of 0.45 m together.

        >>> round(level_with_leads_kv(1.8, 0.2, 0.25), 2)
        2.25
    """
    check_between("protection_level_kv", protection_level_kv, 0, GREATEST_PROTECTION_LEVEL_KV)
    return protection_level_kv + LEAD_VOLTAGE_KV_PER_M * total_lead_m(live_lead_m, earth_lead_m)


def least_continuous_voltage_v(nominal_voltage_v: float) -> float:
    """Voltage that a surge device on the AC side must bear for good.

    ``1.1 × U0``. For devices between a line conductor and neutral or earth, in TN and TT.

    Args:
        nominal_voltage_v: Nominal voltage line to earth U0. [V]

    Returns:
        Least continuous voltage Uc of the device. [V]

    Raises:
        OutOfRangeError: If ``nominal_voltage_v`` <= 0.

    References:
        iec-60364-5-53: table 53C, least Uc by earthing arrangement (secondary).

    Example:
        A supply of 230 V.

        >>> round(least_continuous_voltage_v(230.0), 1)
        253.0
    """
    check_above_zero("nominal_voltage_v", nominal_voltage_v)
    return nominal_voltage_v * CONTINUOUS_VOLTAGE_FACTOR


def weakest_section_mm2(section_sizes_mm2: Sequence[float]) -> float:
    """Size of the thinnest conductor on the whole way from a surge device to earth.

    The least of all sections: a thick lead into a thin one carries what the thin one can.

    Args:
        section_sizes_mm2: Copper size of each section, or what it equals in copper. [mm²]

    Returns:
        Size of the weakest section. [mm²]

    Raises:
        OutOfRangeError: If there is no section, or a size is <= 0.

    References:
        bs-7671-2018-a2: 534.4.10, conductor between device and main earthing terminal (memory).

    Example:
        16 mm² from the device to an earth bar, 4 mm² onwards.

        >>> weakest_section_mm2([16.0, 4.0])
        4.0
    """
    if not section_sizes_mm2:
        raise OutOfRangeError("number of section_sizes_mm2", 0, "1 or more")
    for size_mm2 in section_sizes_mm2:
        check_above_zero("section_sizes_mm2", size_mm2)
    return min(section_sizes_mm2)
