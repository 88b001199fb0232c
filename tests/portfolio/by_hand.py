"""The notices of a folder of jobs worked out a second way: no line of the program is used.

Days are counted one by one over the bank holidays as the reference facts print them, and
the rules stand here as plain conditions.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import product
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


def most_and_least_kw(job: Any) -> tuple[float, float] | None:
    """What can flow on the busiest phase, by trying every way to connect the inverters."""
    found = [c for c in job.get("components", {}).values() if c["category"] == "inverter"]
    if not found:
        return None
    supply = job.get("site", {}).get("supply", {}).get("phases")
    ways: list[list[tuple[float, float, float]]] = []
    for inverter in found:
        kw = inverter.get("type_test", {}).get("capacity_kw", inverter.get("rated_kw"))
        if kw is None:
            ways.append([(0.0, 0.0, 0.0), (1e9, 0.0, 0.0)])
            continue
        shared, phases = (kw / 3, kw / 3, kw / 3), inverter.get("phases")
        alone = [(kw, 0.0, 0.0), (0.0, kw, 0.0), (0.0, 0.0, kw)]
        if phases == 3:
            ways.append([shared])
        elif supply == 1:
            ways.append([alone[0]])
        elif phases == 1:
            ways.append(alone)
        else:
            ways.append([shared, *alone])
    busiest = [max(map(sum, zip(*way, strict=True))) for way in product(*ways)]
    return min(busiest), max(busiest)


def _agreement_is_due(job: Any) -> bool:
    kw = most_and_least_kw(job)
    return kw is not None and kw[0] > 3.68 + 1e-6


def late(folder: Path, today: date) -> dict[tuple[str, str, str], dict[str, int]]:
    """By reference, title and part: how many days too late it went out, by each reading."""
    found: dict[tuple[str, str, str], dict[str, int]] = {}
    for path in folder.glob("*/installation.yaml"):
        job = YAML(typ="safe", pure=True).load(path.read_text("utf-8"))
        for name, part in job["parts"].items():
            sent = {
                TITLES[told["notice"]]: told["on"]
                for told in job.get("notifications", [])
                if told["of"] == name and told["on"] <= today
            }
            agreed = _agreed_on(job)
            if agreed and agreed <= today:
                sent[TITLES["network agreement"]] = agreed
            handed = part.get("handed_over")
            if isinstance(handed, date) and handed <= today:
                sent["handover of the documents to the customer"] = handed
            silent = {**job, "notifications": [], "site": {**job.get("site", {}), "agreement": {}}}
            unsent = _open(silent, name, {**part, "handed_over": "not yet"}, date.max)
            for title, days in unsent.items():
                over = {
                    by: (sent[title] - date.fromisoformat(day)).days
                    for by, day in days.items()
                    if title in sent and day
                }
                if any(count > 0 for count in over.values()):
                    key = job["reference"], title, name
                    found[key] = {by: count for by, count in over.items() if count > 0}
    return found


TITLES = {
    "network agreement": "the network operator's agreement before work starts",
    "network notice": "notice to the network operator",
    "scheme certificate": "certificate in the scheme's register",
    "building regulations notice": "Building Regulations notice to the local authority",
    "building regulations certificate": "Building Regulations certificate to the occupier",
}


def notices(folder: Path, today: date) -> dict[tuple[str, str, str], dict[str, str]]:
    """By reference, title and part: the last day of each reading, `none` where no day is known."""
    found: dict[tuple[str, str, str], dict[str, str]] = {}
    for path in folder.glob("*/installation.yaml"):
        job = YAML(typ="safe", pure=True).load(path.read_text("utf-8"))
        for name, part in job["parts"].items():
            for title, days in _open(job, name, part, today).items():
                found[job["reference"], title, name] = days
    return found


def _agreed_on(job: Any) -> Any:
    return job.get("site", {}).get("agreement", {}).get("on")


def _agreement(job: Any, part: Any, today: date) -> dict[str, dict[str, str]]:
    has_inverter = any(p["kind"] == "inverter" for p in job["parts"].values())
    if part["kind"] != ("inverter" if has_inverter else "array") or not _agreement_is_due(job):
        return {}
    agreed = _agreed_on(job)
    if agreed and agreed <= today:
        return {}
    days = {by: part.get(field) for by, field in (("law", "in_use"), ("practice", "started"))}
    known = {by: day.isoformat() for by, day in days.items() if isinstance(day, date)}
    return {TITLES["network agreement"]: known or {"none": ""}}


def _open(job: Any, name: str, part: Any, today: date) -> dict[str, dict[str, str]]:
    found = _agreement(job, part, today)
    used = part.get("in_use")
    if used == "not yet" or (isinstance(used, date) and used > today):
        return found
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
