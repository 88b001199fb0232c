"""The notices of a folder of jobs worked out a second way: no line of the program is used.

Days are counted one by one over the bank holidays as the reference facts print them, and
the rules stand here as plain conditions.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

# Reference facts of the project, process.md section 8, table of bank holidays.
_E_W = {
    2026: "1-1 4-3 4-6 5-4 5-25 8-31 12-25 12-28",
    2027: "1-1 3-26 3-29 5-3 5-31 8-30 12-27 12-28",
}
_SCT = {
    2026: "1-1 1-2 4-3 5-4 5-25 6-15 8-3 11-30 12-25 12-28",
    2027: "1-1 1-4 3-26 5-3 5-31 8-2 11-30 12-27 12-28",
}
_NIR = {2026: f"{_E_W[2026]} 3-17 7-13", 2027: f"{_E_W[2027]} 3-17 7-12"}
BANK_HOLIDAYS: dict[str, set[date]] = {}
for _nation, _table in {"GB-ENG": _E_W, "GB-WLS": _E_W, "GB-SCT": _SCT, "GB-NIR": _NIR}.items():
    BANK_HOLIDAYS[_nation] = set()
    for _year, _days in _table.items():
        for _day in _days.split():
            month, number = _day.split("-")
            BANK_HOLIDAYS[_nation].add(date(_year, int(month), int(number)))


def working(day: date, nation: str) -> bool:
    return day.strftime("%a") not in ("Sat", "Sun") and day not in BANK_HOLIDAYS[nation]


def after(event: date, days: int, nation: str, *, only_working: bool) -> date:
    day = event
    counted = 0
    while counted < days:
        day = day + timedelta(days=1)
        if not only_working or working(day, nation):
            counted = counted + 1
    return day


def notices(folder: Path, today: date) -> dict[tuple[str, str, str], dict[str, str]]:
    """By reference, title and part: the last day of each reading, `none` where no day is known."""
    found: dict[tuple[str, str, str], dict[str, str]] = {}
    for path in folder.glob("*/installation.yaml"):
        job = YAML(typ="safe", pure=True).load(path.read_text("utf-8"))
        for name, part in job["parts"].items():
            for title, days in _open(job, name, part, today).items():
                found[job["reference"], title, name] = days
    return found


def _open(job: Any, name: str, part: Any, today: date) -> dict[str, dict[str, str]]:
    used = part.get("in_use")
    if used == "not yet" or (isinstance(used, date) and used > today):
        return {}
    nation, kind = job["jurisdiction"], part["kind"]
    in_e_w = nation in ("GB-ENG", "GB-WLS")
    sent = {
        told["notice"]
        for told in job.get("notifications", [])
        if told["of"] == name and told["on"] <= today
    }
    handed = part.get("handed_over")

    def days(**readings: tuple[int, bool]) -> dict[str, str]:
        if used is None:
            return {"none": ""}
        return {
            by: after(used, count, nation, only_working=w).isoformat()
            for by, (count, w) in readings.items()
        }

    found = {}
    has_inverter = any(p["kind"] == "inverter" for p in job["parts"].values())
    if "network notice" not in sent:
        if kind in ("inverter", "battery") or (kind == "array" and not has_inverter):
            found["notice to the network operator"] = days(law=(0, False), practice=(28, False))
        if kind == "charger":
            found["notice to the network operator"] = days(practice=(28, False))
    if "scheme certificate" not in sent and kind in ("array", "battery"):
        found["certificate in the scheme's register"] = days(practice=(10, True))
    if in_e_w and job.get("site", {}).get("building", "dwelling") == "dwelling":
        both = {"law": (30, True), "practice": (30, False)}
        if "building regulations notice" not in sent:
            found["Building Regulations notice to the local authority"] = days(**both)
        if "building regulations certificate" not in sent:
            found["Building Regulations certificate to the occupier"] = days(**both)
    if not (isinstance(handed, date) and handed <= today):
        law = {"law": (5, True)} if in_e_w else {}
        found["handover of the documents to the customer"] = days(**law, practice=(10, True))
    return found
