"""What gets out of reach and sight, so that a requirement can ask for it before that.

`before: cover` for what modules or boards hide, `before: scaffold-down` for what is reached
from a scaffold, `before: leaving` for how a visit left the site. Anything else would wait for
a day that does not exist, or be asked for too late.
"""

from __future__ import annotations

from collections.abc import Sequence

HIDES = ("cover", "scaffold-down")
"""The points after which a thing cannot be seen as it was; what then is obligatory to say."""
ON_THE_ROOF = frozenset(
    {"part", "string", "module", "mounting", "connector", "connector_pair", "cable",
     "cable_product", "junction"}
)  # fmt: skip
COVERED = ON_THE_ROOF | {"circuit", "surge_device", "dc_surge_device", "ac_surge_device"}


def wrong_point(before: str, types: Sequence[str]) -> str:
    """What would be right where requirements over such entries cannot ask for a point.

    Args:
        before: The point of no return.
        types: The types of the entries of `for`, outer first.
    """
    last = types[-1] if types else "job"
    if before == "leaving" and list(types) != ["visit"]:
        return "only a visit is left; it takes `for: visit in visits`"
    if before == "cover" and last not in COVERED:
        return f"nothing covers a {_words(last)}; it is for {_listed(COVERED)}"
    if before == "scaffold-down" and last not in ON_THE_ROOF | {"scaffold"}:
        reached = _listed(ON_THE_ROOF | {"scaffold"})
        return f"no scaffold is needed for a {_words(last)}; it is for {reached}"
    return ""


def _words(name: str) -> str:
    return name.replace("_", " ")


def _listed(names: frozenset[str]) -> str:
    return ", ".join(sorted(map(_words, names)))
