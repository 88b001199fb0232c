"""By hand: where the sun stands, and the light that a clear sky gives a roof."""

from __future__ import annotations

from compliance.electrical import sun
from compliance.rules.quantities.by_hand.entry import ByHand, given

PLACE = {
    "latitude_deg": given("latitude, north positive"),
    "longitude_deg": given("longitude, east positive"),
    "since_2000_days": given("days since noon UTC on 1 January 2000, with their fraction"),
}
FACE = {
    "tilt_deg": given("tilt of the face"),
    "azimuth_deg": given("azimuth of the face, from north by east"),
}
ALMANAC = "the almanac's short formula of the sun's place, seen from the site"

QUANTITIES = (
    ByHand(
        name="sun_elevation_deg",
        title="Height of the sun above the horizon",
        formula=ALMANAC,
        inputs=PLACE,
        calculate=sun.sun_elevation_deg,
        source="astronomical-almanac",
        clause="",
        confidence="memory",
        note="Refraction is left out: it lifts the sun by half a degree at the horizon.",
    ),
    ByHand(
        name="sun_azimuth_deg",
        title="Direction of the sun, from north by east",
        formula=ALMANAC,
        inputs=PLACE,
        calculate=sun.sun_azimuth_deg,
        source="astronomical-almanac",
        clause="",
        confidence="memory",
    ),
    ByHand(
        name="incidence_deg",
        title="Angle between the sun and the straight line out of a face",
        formula="acos(sin h × cos t + cos h × sin t × cos(A - a))",
        inputs={
            "elevation_deg": given("elevation of the sun"),
            "sun_azimuth_deg": given("azimuth of the sun"),
            **FACE,
        },
        calculate=sun.incidence_deg,
        source="common-practice",
        clause="",
        confidence="common practice",
        note="Beyond 90° the sun stands behind the face.",
    ),
    ByHand(
        name="clear_sky_w_m2",
        title="Light of a clear sky on a face",
        formula="1353 × 0.7^(air mass^0.678) × (cos of incidence + 0.1)",
        inputs={
            "elevation_deg": given("elevation of the sun"),
            "incidence_deg": given("angle of incidence"),
        },
        calculate=sun.clear_sky_w_m2,
        source="meinel-1976",
        clause="",
        confidence="secondary",
    ),
    ByHand(
        name="clear_sky_on_face_w_m2",
        title="Most light of a clear sky on a face about a moment",
        formula="greatest of the face's and level ground's, a quarter of an hour either side",
        inputs={**PLACE, **FACE},
        calculate=sun.clear_sky_on_face_w_m2,
        source="meinel-1976",
        clause="",
        confidence="secondary",
        note="The edge of a cloud may lift light above it, as limits.clear_sky_factor says.",
    ),
    ByHand(
        name="clear_sky_facing_w_m2",
        title="Most light of a clear sky about a moment, on a face that looks to the sun",
        formula="greatest within a quarter of an hour either side",
        inputs=PLACE,
        calculate=sun.clear_sky_facing_w_m2,
        source="meinel-1976",
        clause="",
        confidence="secondary",
    ),
    ByHand(
        name="driven_current_a",
        title="Current that light can drive through a string",
        formula="rows in parallel × Isc × light / 1000",
        inputs={
            "parallel": given("rows in parallel"),
            "module_isc_stc_a": given("short-circuit current of one module at STC"),
            "irradiance_w_m2": given("light"),
        },
        calculate=sun.driven_current_a,
        source="iec-60891",
        clause="",
        confidence="memory",
    ),
)
