"""The least short-circuit current of a loop, by a network calculation program (IEC 60909)."""

from __future__ import annotations

import pandapower
import pandapower.shortcircuit

U0_V = 400 / 3**0.5


def least_current_ka(loop_ohm: float) -> float:
    """What a network of 400 V without an impedance of its own drives through a loop. [kA]

    The loop is one line of that resistance at 20 °C; its reactance is a millionth of an ohm,
    since the program wants some.
    """
    net = pandapower.create_empty_network()
    source = pandapower.create_bus(net, vn_kv=0.4)
    end = pandapower.create_bus(net, vn_kv=0.4)
    pandapower.create_ext_grid(
        net, source, s_sc_max_mva=1e6, s_sc_min_mva=1e6, rx_min=0.1, rx_max=0.1
    )
    pandapower.create_line_from_parameters(
        net, source, end, length_km=1, r_ohm_per_km=loop_ohm, x_ohm_per_km=1e-6, c_nf_per_km=0,
        max_i_ka=1, endtemp_degree=20,
    )  # fmt: skip
    pandapower.shortcircuit.calc_sc(net, fault="3ph", case="min", lv_tol_percent=6)
    return float(net.res_bus_sc.ikss_ka[end])
