"""Wind uplift in outline: from the wind of the site to the pull on one fixing.

For an array parallel to a plain pitched roof on level ground. On a steep hill, at the edge of
the coast, on a tall building or in the edge zone of a roof a structural engineer is needed.
"""

from __future__ import annotations

from math import log

from compliance.electrical._validity import check_above_zero, check_between, check_count

# en-1991-1-4 (memory): the national annex's density of air; half of it is the 0.613 of older
# British practice. The general text recommends 1.25.
AIR_KG_M3 = 1.226

# en-1991-1-4 (memory): terrain factor 0.19 × (z0 / 0.05)^0.07, and seven times the turbulence.
TERRAIN_FACTOR = 0.19
REFERENCE_ROUGHNESS_M = 0.05
ROUGHNESS_POWER = 0.07
TURBULENCE_MULTIPLE = 7

# en-1991-1-4 (memory): the wind map is for sea level; a thousandth more for each metre. Above
# 10 m over the ground that is more than the national annex asks for.
ALTITUDE_SHARE_PER_M = 0.001

# en-1991-1-4 (secondary): the national annex lets the exposure factor serve up to 50 m.
LEAST_HEIGHT_M = 1.0
GREATEST_HEIGHT_M = 50.0

# Memory: categories 0 to IV of terrain have 0.003 to 1 m, and 1 to 10 m as least heights.
SMOOTHEST_M = 0.003
ROUGHEST_M = 1.0
LEAST_OF_LEAST_HEIGHTS_M = 1.0
GREATEST_OF_LEAST_HEIGHTS_M = 10.0

# Memory: the map of the United Kingdom has about 21 to 31 m/s.
LEAST_WIND_M_S = 20.0
GREATEST_WIND_M_S = 35.0

# Common practice: few houses in the British Isles stand above 500 m.
GREATEST_ALTITUDE_M = 500.0

# Memory: from terrain IV at 10 m, 1.2, to the open sea at 50 m, 4.0.
LEAST_EXPOSURE = 1.0
GREATEST_EXPOSURE = 5.0

# Common practice: net coefficients of modules by size; 5 is more than any corner of a roof has.
LEAST_COEFFICIENT = 0.1
GREATEST_COEFFICIENT = 5.0

# Common practice: factors on an action lie from 1, none, to 2.
GREATEST_LOAD_FACTOR = 2.0


def exposure_factor(
    roof_height_m: float, roughness_length_m: float, least_wind_height_m: float
) -> float:
    """How much the gusts at a height exceed the mean wind pressure of open country at 10 m.

    ``(0.19 × (z0 / 0.05)^0.07 × ln(z / z0))² × (1 + 7 / ln(z / z0))``. Level ground, as the
    general text recommends it. National charts rise towards the shore; this does not: terrain
    of the coast is never milder.

    Args:
        roof_height_m: Height of the ridge above ground. [m]
        roughness_length_m: Roughness length z0 of the terrain. [m]
        least_wind_height_m: Height below which the wind counts as at it. [m]

    Returns:
        Exposure factor. [count]

    Raises:
        OutOfRangeError: If ``roof_height_m`` is outside 1 to 50, ``roughness_length_m`` outside
            0.003 to 1 or ``least_wind_height_m`` outside 1 to 10.

    References:
        en-1991-1-4: roughness, turbulence and exposure of flat terrain (memory).

    Example:
        A ridge of 10 m in open country.

        >>> round(exposure_factor(10.0, 0.05, 2.0), 2)
        2.35
    """
    check_between("roof_height_m", roof_height_m, LEAST_HEIGHT_M, GREATEST_HEIGHT_M)
    check_between("roughness_length_m", roughness_length_m, SMOOTHEST_M, ROUGHEST_M)
    check_between(
        "least_wind_height_m",
        least_wind_height_m,
        LEAST_OF_LEAST_HEIGHTS_M,
        GREATEST_OF_LEAST_HEIGHTS_M,
    )
    height_m = max(roof_height_m, least_wind_height_m)
    logarithm = log(height_m / roughness_length_m)
    terrain: float = (
        TERRAIN_FACTOR * (roughness_length_m / REFERENCE_ROUGHNESS_M) ** ROUGHNESS_POWER
    )
    # the square multiplied out: it needs no division by a logarithm that may be 0
    return terrain**2 * logarithm * (logarithm + TURBULENCE_MULTIPLE)


def peak_velocity_pressure_pa(
    basic_wind_m_s: float, altitude_m: float, exposure_factor: float
) -> float:
    """Pressure of the gusts at the roof, from the wind map.

    ``1.226 / 2 × (wind × (1 + 0.001 × altitude))² × exposure``. All directions and seasons as
    the worst. No hill: on a steep one the wind is faster, and a structural engineer is needed.

    Args:
        basic_wind_m_s: Basic wind velocity of the national map, sea level. [m/s]
        altitude_m: Height of the site above sea level. [m]
        exposure_factor: Exposure factor of terrain and height. [count]

    Returns:
        Peak velocity pressure. [Pa]

    Raises:
        OutOfRangeError: If ``basic_wind_m_s`` is outside 20 to 35, ``altitude_m`` outside 0 to
            500 or ``exposure_factor`` outside 1 to 5.

    References:
        en-1991-1-4: basic velocity pressure times exposure, national altitude factor (memory).

    Example:
        24 m/s on the map, 100 m above the sea, exposure 2.35.

        >>> round(peak_velocity_pressure_pa(24.0, 100.0, 2.35))
        1004
    """
    check_between("basic_wind_m_s", basic_wind_m_s, LEAST_WIND_M_S, GREATEST_WIND_M_S)
    check_between("altitude_m", altitude_m, 0, GREATEST_ALTITUDE_M)
    check_between("exposure_factor", exposure_factor, LEAST_EXPOSURE, GREATEST_EXPOSURE)
    wind_m_s = basic_wind_m_s * (1 + ALTITUDE_SHARE_PER_M * altitude_m)
    return AIR_KG_M3 / 2 * wind_m_s**2 * exposure_factor


def module_uplift_kn(
    peak_pressure_pa: float, uplift_coefficient: float, module_area_m2: float
) -> float:
    """Pull of the wind on one module, away from the roof.

    ``pressure × coefficient × area / 1000``. The module's own weight would help and is left
    out.

    Args:
        peak_pressure_pa: Peak velocity pressure at the roof. [Pa]
        uplift_coefficient: Net pressure coefficient by size, of the roof zone. [count]
        module_area_m2: Area of the module. [m²]

    Returns:
        Uplift of one module, without a load factor. [kN]

    Raises:
        OutOfRangeError: If ``peak_pressure_pa`` or ``module_area_m2`` <= 0 or
            ``uplift_coefficient`` is outside 0.1 to 5.

    References:
        en-1991-1-4: wind force as pressure times coefficient times area (memory).

    Example:
        1000 Pa, coefficient 1.3, 1.95 m².

        >>> round(module_uplift_kn(1000.0, 1.3, 1.95), 3)
        2.535
    """
    check_above_zero("peak_pressure_pa", peak_pressure_pa)
    check_between("uplift_coefficient", uplift_coefficient, LEAST_COEFFICIENT, GREATEST_COEFFICIENT)
    check_above_zero("module_area_m2", module_area_m2)
    return peak_pressure_pa * uplift_coefficient * module_area_m2 / 1000


def fixing_demand_kn(
    one_module_kn: float, modules: float, fixings: float, load_factor: float
) -> float:
    """Pull that each fixing has to bear, as if all shared it evenly.

    ``uplift × modules × load factor / fixings``. They do not share quite evenly: under a rail
    over several fixings the inner ones bear more.

    Args:
        one_module_kn: Uplift of one module, without a load factor. [kN]
        modules: Modules that the fixings hold. [count]
        fixings: Fixings that hold them. [count]
        load_factor: Factor on the wind as an action. [count]

    Returns:
        Demand of each fixing. [kN]

    Raises:
        OutOfRangeError: If ``one_module_kn`` <= 0, ``modules`` or ``fixings`` is no whole
            number from 1 or ``load_factor`` is outside 1 to 2.

    References:
        common-practice: uplift shared by the fixings of an array (common practice).

    Example:
        Ten modules of 2.535 kN on 24 hooks, factor 1.5.

        >>> round(fixing_demand_kn(2.535, 10, 24, 1.5), 3)
        1.584
    """
    check_above_zero("one_module_kn", one_module_kn)
    check_count("modules", modules)
    check_count("fixings", fixings)
    check_between("load_factor", load_factor, 1, GREATEST_LOAD_FACTOR)
    return one_module_kn * modules * load_factor / fixings


def fixing_share_percent(demand_kn: float, resistance_kn: float) -> float:
    """How much of a fixing's declared resistance the wind takes up.

    ``demand / resistance × 100``. Above 100 % the fixings do not hold: more of them, or a
    structural engineer. The declared figure is for the timber and the covering it was tested
    on.

    Args:
        demand_kn: Demand of each fixing. [kN]
        resistance_kn: Design resistance of one fixing as its maker declares it. [kN]

    Returns:
        Share of the resistance. [%]

    Raises:
        OutOfRangeError: If ``demand_kn`` or ``resistance_kn`` <= 0.

    References:
        common-practice: demand held against declared resistance (common practice).

    Example:
        1.584 kN on a hook of 1.8 kN.

        >>> round(fixing_share_percent(1.584, 1.8), 1)
        88.0
    """
    check_above_zero("demand_kn", demand_kn)
    check_above_zero("resistance_kn", resistance_kn)
    return demand_kn / resistance_kn * 100
