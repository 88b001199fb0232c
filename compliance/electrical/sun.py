"""Where the sun stands, and how much light a clear sky gives a face of a roof."""

from __future__ import annotations

from math import acos, asin, atan2, cos, degrees, radians, sin

from compliance.electrical._validity import check_above_zero, check_between, check_count
from compliance.electrical.dc import GREATEST_IRRADIANCE_W_M2, STC_IRRADIANCE_W_M2

# astronomical-almanac (memory): the sun's mean longitude and mean anomaly at noon UTC on
# 1 January 2000 and their daily motion, the two terms of its orbit, the tilt of the earth's
# axis, and the earth's turning. Within 0.05 degrees from 2000 to 2100 (tests/reference).
MEAN_LONGITUDE = (280.460, 0.9856474)
MEAN_ANOMALY = (357.528, 0.9856003)
ORBIT = (1.915, 0.020)
OBLIQUITY = (23.439, -0.0000004)
SIDEREAL = (280.46062, 360.9856474)
WHOLE_TURN_DEG = 360.0
RIGHT_ANGLE_DEG = 90.0
HALF_TURN_DEG = 180.0
# Common practice: days from then to the year 2100; nothing recorded here lies outside.
GREATEST_DAYS = 36_525.0

# kasten-young-1989 (secondary): air mass over the sun's elevation, good down to the horizon.
AIR_MASS = (0.50572, 6.07995, -1.6364)

# meinel-1976 (secondary): direct light in clear air, over the air mass, at sea level.
ABOVE_AIR_W_M2 = 1353.0
THROUGH_ONE_AIR_MASS = 0.7
AIR_MASS_POWER = 0.678
# Common practice: a clear sky itself gives a tenth of the direct light.
SKY_SHARE = 0.1

# Common practice: a written time or an instrument's clock may be off by a quarter of an hour.
CLOCK_OFF_DAYS = (-1 / 96, 0.0, 1 / 96)
LAST_DAYS = GREATEST_DAYS - 1 / 96


def sun_elevation_deg(latitude_deg: float, longitude_deg: float, since_2000_days: float) -> float:
    """Height of the sun's centre above the horizon; below it negative.

    ``asin(sin φ sin δ + cos φ cos δ cos H)``, declination δ and hour angle H by the almanac's
    short formula. Refraction is left out: it lifts the sun by half a degree at the horizon.

    Args:
        latitude_deg: Latitude φ of the site, north positive. [°]
        longitude_deg: Longitude of the site, east positive. [°]
        since_2000_days: Days since noon UTC on 1 January 2000, with their fraction. [days]

    Returns:
        Elevation of the sun. [°]

    Raises:
        OutOfRangeError: If ``latitude_deg`` is outside -90 to 90, ``longitude_deg`` outside
            -180 to 180 or ``since_2000_days`` outside 0 to 36525.

    References:
        astronomical-almanac: low-precision position of the sun (memory).

    Example:
        Noon on Greenwich's meridian at the summer solstice of 2026, at 51.5° north.

        >>> round(sun_elevation_deg(51.5, 0.0, 9668.0), 1)
        61.9
    """
    latitude, hour, declination = _seen_from(latitude_deg, longitude_deg, since_2000_days)
    height = sin(latitude) * sin(declination) + cos(latitude) * cos(declination) * cos(hour)
    return degrees(asin(_within_one(height)))


def sun_azimuth_deg(latitude_deg: float, longitude_deg: float, since_2000_days: float) -> float:
    """Direction in which the sun stands, from north by east.

    ``180° + atan2(sin H, cos H sin φ - tan δ cos φ)``, by the almanac's short formula.

    Args:
        latitude_deg: Latitude φ of the site, north positive. [°]
        longitude_deg: Longitude of the site, east positive. [°]
        since_2000_days: Days since noon UTC on 1 January 2000, with their fraction. [days]

    Returns:
        Azimuth of the sun, 0 to 360. [°]

    Raises:
        OutOfRangeError: If ``latitude_deg`` is outside -90 to 90, ``longitude_deg`` outside
            -180 to 180 or ``since_2000_days`` outside 0 to 36525.

    References:
        astronomical-almanac: low-precision position of the sun (memory).

    Example:
        Noon on Greenwich's meridian at the summer solstice of 2026: nearly south.

        >>> round(sun_azimuth_deg(51.5, 0.0, 9668.0))
        179
    """
    latitude, hour, declination = _seen_from(latitude_deg, longitude_deg, since_2000_days)
    west = sin(hour) * cos(declination)
    south = cos(hour) * sin(latitude) * cos(declination) - sin(declination) * cos(latitude)
    return (HALF_TURN_DEG + degrees(atan2(west, south))) % WHOLE_TURN_DEG


def incidence_deg(
    elevation_deg: float, sun_azimuth_deg: float, tilt_deg: float, azimuth_deg: float
) -> float:
    """Angle between the sun and the straight line out of a face; beyond 90° it lies behind.

    ``acos(sin h cos t + cos h sin t cos(A - a))``.

    Args:
        elevation_deg: Elevation of the sun h. [°]
        sun_azimuth_deg: Azimuth of the sun A, from north by east. [°]
        tilt_deg: Tilt of the face t, 0 level, 90 upright. [°]
        azimuth_deg: Azimuth that the face looks to a, from north by east. [°]

    Returns:
        Angle of incidence, 0 to 180. [°]

    Raises:
        OutOfRangeError: If ``elevation_deg`` is outside -90 to 90, ``sun_azimuth_deg`` or
            ``azimuth_deg`` outside 0 to 360, or ``tilt_deg`` outside 0 to 90.

    References:
        common-practice: angle between two directions (common practice).

    Example:
        The sun 30° high in the south, a face of 60° tilt to the south: square on.

        >>> round(incidence_deg(30.0, 180.0, 60.0, 180.0), 6)
        0.0
    """
    check_between("elevation_deg", elevation_deg, -RIGHT_ANGLE_DEG, RIGHT_ANGLE_DEG)
    check_between("sun_azimuth_deg", sun_azimuth_deg, 0, WHOLE_TURN_DEG)
    check_between("tilt_deg", tilt_deg, 0, RIGHT_ANGLE_DEG)
    check_between("azimuth_deg", azimuth_deg, 0, WHOLE_TURN_DEG)
    height, tilt = radians(elevation_deg), radians(tilt_deg)
    across = cos(radians(sun_azimuth_deg - azimuth_deg))
    return degrees(acos(_within_one(sin(height) * cos(tilt) + cos(height) * sin(tilt) * across)))


def clear_sky_w_m2(elevation_deg: float, incidence_deg: float) -> float:
    """Light on a face under a clear sky: what comes straight, and a tenth of it from the sky.

    ``1353 × 0.7^(AM^0.678) × (max(0, cos i) + 0.1)``, AM the air mass at the sun's elevation;
    nothing while the sun is down. At sea level in clear air. A bright cloud gives a face that
    looks away from the sun several times as much: compare such a face with level ground.

    Args:
        elevation_deg: Elevation of the sun. [°]
        incidence_deg: Angle between the sun and the straight line out of the face, i. [°]

    Returns:
        Irradiance in the plane of the face. [W/m²]

    Raises:
        OutOfRangeError: If ``elevation_deg`` is outside -90 to 90 or ``incidence_deg``
            outside 0 to 180.

    References:
        meinel-1976: direct light over air mass (secondary).
        kasten-young-1989: air mass over elevation (secondary).

    Example:
        A face square to a sun that stands 41.8° high, at an air mass of 1.5.

        >>> round(clear_sky_w_m2(41.8, 0.0))
        931
    """
    check_between("elevation_deg", elevation_deg, -RIGHT_ANGLE_DEG, RIGHT_ANGLE_DEG)
    check_between("incidence_deg", incidence_deg, 0, HALF_TURN_DEG)
    if elevation_deg <= 0:
        return 0.0
    through: float = THROUGH_ONE_AIR_MASS ** (_air_mass(elevation_deg) ** AIR_MASS_POWER)
    return ABOVE_AIR_W_M2 * through * (max(0.0, cos(radians(incidence_deg))) + SKY_SHARE)


def clear_sky_on_face_w_m2(
    latitude_deg: float,
    longitude_deg: float,
    since_2000_days: float,
    tilt_deg: float,
    azimuth_deg: float,
) -> float:
    """Most light that a clear sky gives a face of a roof about a moment.

    The greater of that on the face and that on level ground, which bright clouds can throw
    on any face; the greatest within a quarter of an hour either side, as clocks are.

    Args:
        latitude_deg: Latitude of the site, north positive. [°]
        longitude_deg: Longitude of the site, east positive. [°]
        since_2000_days: Days since noon UTC on 1 January 2000, with their fraction. [days]
        tilt_deg: Tilt of the face, 0 level, 90 upright. [°]
        azimuth_deg: Azimuth that the face looks to, from north by east. [°]

    Returns:
        Irradiance in the plane of the face. [W/m²]

    Raises:
        OutOfRangeError: If ``latitude_deg`` is outside -90 to 90, ``longitude_deg`` outside
            -180 to 180, ``since_2000_days`` outside 0 to 36525 with a quarter of an hour to
            spare, ``tilt_deg`` outside 0 to 90 or ``azimuth_deg`` outside 0 to 360.

    References:
        meinel-1976: direct light over air mass (secondary).
        astronomical-almanac: low-precision position of the sun (memory).

    Example:
        Noon at the winter solstice of 2026 in the middle of England, a south roof.

        >>> round(clear_sky_on_face_w_m2(52.5, -1.5, 9851.0, 35.0, 180.0))
        461
    """
    check_between("tilt_deg", tilt_deg, 0, RIGHT_ANGLE_DEG)
    check_between("azimuth_deg", azimuth_deg, 0, WHOLE_TURN_DEG)
    found = []
    for elevation, towards in _about(latitude_deg, longitude_deg, since_2000_days):
        on_face = incidence_deg(elevation, towards, tilt_deg, azimuth_deg)
        found += [clear_sky_w_m2(elevation, on_face)]
        found += [clear_sky_w_m2(elevation, RIGHT_ANGLE_DEG - elevation)]
    return max(found)


def clear_sky_facing_w_m2(
    latitude_deg: float, longitude_deg: float, since_2000_days: float
) -> float:
    """Most light that a clear sky gives about a moment, on a face that looks to the sun.

    For a roof whose tilt and azimuth nobody wrote down. The greatest within a quarter of an
    hour either side.

    Args:
        latitude_deg: Latitude of the site, north positive. [°]
        longitude_deg: Longitude of the site, east positive. [°]
        since_2000_days: Days since noon UTC on 1 January 2000, with their fraction. [days]

    Returns:
        Irradiance in the plane of that face. [W/m²]

    Raises:
        OutOfRangeError: If ``latitude_deg`` is outside -90 to 90, ``longitude_deg`` outside
            -180 to 180 or ``since_2000_days`` outside 0 to 36525 with a quarter of an hour
            to spare.

    References:
        meinel-1976: direct light over air mass (secondary).
        astronomical-almanac: low-precision position of the sun (memory).

    Example:
        Noon at the winter solstice of 2026 in the middle of England.

        >>> round(clear_sky_facing_w_m2(52.5, -1.5, 9851.0))
        592
    """
    about = _about(latitude_deg, longitude_deg, since_2000_days)
    return max(clear_sky_w_m2(elevation, 0) for elevation, _ in about)


def driven_current_a(parallel: float, module_isc_stc_a: float, irradiance_w_m2: float) -> float:
    """Current that light can drive through a string, however little light there is.

    ``parallel × Isc,stc × G/1000``. Without the temperature, and so within 3 % at the cell
    temperatures of daylight; unlike what is compared with a datasheet, in the dark too.

    Args:
        parallel: Equal rows of modules in parallel. [count]
        module_isc_stc_a: Short-circuit current of one module at STC. [A]
        irradiance_w_m2: Irradiance in the plane of the modules, G. [W/m²]

    Returns:
        Short-circuit current. [A]

    Raises:
        OutOfRangeError: If ``parallel`` is no whole number from 1, ``module_isc_stc_a`` <= 0
            or ``irradiance_w_m2`` is outside 0 to 1500.

    References:
        iec-60891: procedure 2 at no voltage (memory).

    Example:
        >>> driven_current_a(2, 10.0, 50.0)
        1.0
    """
    check_count("parallel", parallel)
    check_above_zero("module_isc_stc_a", module_isc_stc_a)
    check_between("irradiance_w_m2", irradiance_w_m2, 0, GREATEST_IRRADIANCE_W_M2)
    return parallel * module_isc_stc_a * irradiance_w_m2 / STC_IRRADIANCE_W_M2


def _about(
    latitude_deg: float, longitude_deg: float, since_2000_days: float
) -> list[tuple[float, float]]:
    """Elevation and azimuth of the sun at a moment and either side of it."""
    site = (latitude_deg, longitude_deg)
    check_between("latitude_deg", latitude_deg, -RIGHT_ANGLE_DEG, RIGHT_ANGLE_DEG)
    check_between("longitude_deg", longitude_deg, -HALF_TURN_DEG, HALF_TURN_DEG)
    check_between("since_2000_days", since_2000_days, CLOCK_OFF_DAYS[-1], LAST_DAYS)
    moments = [since_2000_days + off for off in CLOCK_OFF_DAYS]
    return [(sun_elevation_deg(*site, m), sun_azimuth_deg(*site, m)) for m in moments]


def _air_mass(elevation_deg: float) -> float:
    factor, offset, power = AIR_MASS
    near_horizon: float = factor * (elevation_deg + offset) ** power
    return 1 / (sin(radians(elevation_deg)) + near_horizon)


def _seen_from(
    latitude_deg: float, longitude_deg: float, since_2000_days: float
) -> tuple[float, float, float]:
    """Latitude, the sun's hour angle and its declination, in radians."""
    check_between("latitude_deg", latitude_deg, -RIGHT_ANGLE_DEG, RIGHT_ANGLE_DEG)
    check_between("longitude_deg", longitude_deg, -HALF_TURN_DEG, HALF_TURN_DEG)
    check_between("since_2000_days", since_2000_days, 0, GREATEST_DAYS)
    anomaly = _on_day(MEAN_ANOMALY, since_2000_days)
    obliquity = _on_day(OBLIQUITY, since_2000_days)
    once, twice = ORBIT
    orbit = radians(once * sin(anomaly) + twice * sin(2 * anomaly))
    longitude = _on_day(MEAN_LONGITUDE, since_2000_days) + orbit
    ascension = atan2(cos(obliquity) * sin(longitude), cos(longitude))
    declination = asin(sin(obliquity) * sin(longitude))
    hour = _on_day(SIDEREAL, since_2000_days) + radians(longitude_deg) - ascension
    return radians(latitude_deg), hour, declination


def _on_day(line: tuple[float, float], days: float) -> float:
    """An angle that grows evenly, on a day, in radians."""
    at_first, daily = line
    return radians((at_first + daily * days) % WHOLE_TURN_DEG)


def _within_one(cosine: float) -> float:
    """A sine or cosine whose last digits went over its end."""
    return max(-1.0, min(1.0, cosine))
