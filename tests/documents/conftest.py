"""Invented findings and documents; no person, firm or product in them exists."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from compliance.documents.content import load_template
from compliance.documents.data import day, working_views
from compliance.documents.gaps import gap_report_tables, gap_report_values
from compliance.documents.tables import SHAPES, shaped
from compliance.documents.tree import Document
from compliance.rules.outcome import (
    NO_PERMISSION,
    Checked,
    Fact,
    Finding,
    HoldsUp,
    Need,
    Outcome,
    Requirement,
    Source,
    Working,
)

TEMPLATES = Path(__file__).parents[2] / "templates"
SOURCE = Source("iec-62446-1", "6.7", "secondary", "IEC 62446-1:2016+A1:2018")
JOB = {"address": "7 Invented Lane, Nowhere", "firm": "Invented Solar"}

INSULATION = Requirement(
    id="string-insulation",
    title="Insulation resistance of each string",
    ruleset="gb-pv-array-tests",
    before="use",
    holds_up=HoldsUp.USE,
    held_by="installer",
    source=SOURCE,
    why="Damp or damaged DC insulation is a shock and fire hazard.",
    remedy="Find the damaged cable or connector, dry or replace it, and test again.",
    danger="Leave the string open and its ends insulated; do not close its switch.",
)
LABEL = replace(
    INSULATION,
    id="dual-supply-label",
    title="Warning of two supplies at the consumer unit",
    before="handover",
    holds_up=HoldsUp.HANDOVER,
    why="Whoever works on the board must know that it has a second supply.",
    remedy="Fix the label and photograph it.",
    danger="",
    source=replace(SOURCE, confidence="memory", clause=""),
)


@pytest.fixture
def checked() -> Checked:
    """A check with a danger, a gap, one set aside, one for judgement, and what is in order."""
    fact = Fact("insulation, positive to earth", "0.3 MΩ", "at least 1 MΩ", "0.7 MΩ too low")
    need = Need("site.labels", "missing", "A photo of the label at the consumer unit")
    shading = replace(LABEL, id="shading", title="Shading of the array", holds_up=HoldsUp.NOTHING)
    route = replace(LABEL, id="route", title="Route of the DC cable", holds_up=HoldsUp.CERTIFICATE)
    findings = (
        Finding(INSULATION, "string S1", "array", Outcome.NOT_MET, facts=(fact,)),
        Finding(INSULATION, "string S2", "array", Outcome.MET),
        Finding(LABEL, "the whole job", "", Outcome.NOT_SHOWN, needs=(need,)),
        Finding(shading, "the whole job", "", Outcome.FOR_JUDGEMENT, remark="Trees to the south"),
        Finding(
            route,
            "string S1",
            "array",
            Outcome.NOT_MET,
            set_aside="A. Invented, 2 March 2026: " * 3,
        ),
    )
    working = Working(
        "cold_voc_v",
        "Highest open-circuit voltage",
        "string S1",
        "modules × Voc × (1 + β/100 × (Tmin − 25))",
        (("Modules", "12"), ("Voc", "49.5 V"), ("β", "−0.28 %/K"), ("Tmin", "−10 °C")),
        "652 V",
        SOURCE,
    )
    return Checked(
        "J-1", "Invented terrace", date(2026, 11, 25), findings, (working,), ("gb-pv-array-tests",)
    )


@pytest.fixture
def gap_report(checked: Checked) -> Document:
    """The gap report of that check."""
    template = load_template(TEMPLATES / "gap-report.md.j2")
    return template.render(gap_report_values(checked, JOB), gap_report_tables(checked))


@pytest.fixture
def commissioning_report(checked: Checked) -> Document:
    """The commissioning and test report of that check, most tables with two invented rows."""
    template = load_template(TEMPLATES / "commissioning-test-report.md.j2")
    values = {
        "reference": checked.reference,
        "title": checked.title,
        **JOB,
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
        "rulesets": checked.rulesets,
        "open_gaps": ["Insulation resistance of each string: string S1"],
        "not_taken": ["Short-circuit current of string S2: too dark"],
        "has_like_strings": True,
        "has_then_and_now": True,
        "workings": working_views(checked.workings),
    }
    tables = {
        name: shaped(name, [_row(name, n) for n in range(2 if name != "departures" else 0)])
        for name in template.tables
    }
    return template.render(values, tables)


@pytest.fixture
def component_register(checked: Checked) -> Document:
    """The component register of that check, every table with two invented rows."""
    template = load_template(TEMPLATES / "component-register.md.j2")
    values = {
        "reference": checked.reference,
        "title": checked.title,
        **JOB,
        "on": day(checked.on),
        "no_permission": NO_PERMISSION,
        "rulesets": ["gb-component-approval"],
        "dangers": ["battery: Leave it switched off.", "pair: Do not part it."],
    }
    tables = {name: shaped(name, [_row(name, n) for n in range(2)]) for name in template.tables}
    return template.render(values, tables)


def _row(name: str, number: int) -> list[str]:
    return [f"{column.header.lower()} of line {number}" for column in SHAPES[name].columns]
