"""The unit of wind pressure against the International System of Units."""

from __future__ import annotations

import pytest

from compliance.units import find, shown


@pytest.mark.source(
    document="SI Brochure (BIPM), 9th edition",
    table="named derived units: 1 Pa = 1 N/m², 1 J = 1 N·m, 1 W = 1 J/s",
    confidence="from memory",
)
def test_a_pascal_is_a_watt_second_per_cubic_metre() -> None:
    cubic_metre = find("x_m").times(find("x_m"), 1).times(find("x_m"), 1)
    worked = find("x_w").times(find("x_s"), 1).times(cubic_metre, -1)
    pascal = find("design_uplift_pa")
    assert worked.same_dimension(pascal)
    assert worked.scale == pascal.scale == 1.0
    assert shown(1650.0, pascal) == "1650 Pa"
