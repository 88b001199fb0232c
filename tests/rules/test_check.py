"""The check as a whole: what judgement, points of no return, departures and time make of it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from compliance.errors import ComplianceError
from compliance.files.resources import rulesets_folder
from compliance.rules.job import open_job
from compliance.rules.outcome import Finding, Outcome

SAMPLE = Path(__file__).parents[2] / "sample_installs" / "bungalow-two-faces"
DAY = date(2026, 10, 16)
Change = tuple[str, str]


@pytest.fixture
def findings(tmp_path: Path) -> Callable[..., dict[str, Finding]]:
    """Findings of the complete sample after some changes of its text, by `id subject`."""

    def run(*changes: Change, on: date = DAY) -> dict[str, Finding]:
        folder = tmp_path / "job"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(SAMPLE, folder)
        path = folder / "installation.yaml"
        text = path.read_text("utf-8")
        for there, instead in changes:
            assert there in text, there
            text = text.replace(there, instead, 1)
        path.write_text(text, "utf-8")
        checked = open_job(folder, rulesets_folder(), today=on, on=on).checked
        assert sum(checked.counts.values()) == len(checked.findings)
        return {f"{f.requirement.id} {f.subject}": f for f in checked.findings}

    return run


Run = Callable[..., dict[str, Finding]]
INSULATION_S2 = """\
    positive_earth_megohm: over 200
    negative_earth_megohm: over 200
"""


def test_silence_is_not_shown_and_never_a_pass(findings: Run) -> None:
    found = findings((INSULATION_S2, "    positive_earth_megohm: over 200\n"))
    gap = found["string-insulation S2"]
    assert gap.outcome is Outcome.NOT_SHOWN
    assert [n.path for n in gap.needs] == ["string.insulation.negative_earth_megohm"]
    assert gap.needs[0].supply == "the insulation test of S2: negative earth, in MΩ"


def test_a_fault_outranks_a_gap(findings: Run) -> None:
    found = findings((INSULATION_S2, "    positive_earth_megohm: 0.2\n"))
    assert found["string-insulation S2"].outcome is Outcome.NOT_MET
    assert found["string-insulation S2"].is_danger


def test_a_reading_not_taken_names_its_reason(findings: Run) -> None:
    found = findings(
        (INSULATION_S2, '    positive_earth_megohm: "not taken: rain"\n'
                        "    negative_earth_megohm: 5\n")
    )  # fmt: skip
    gap = found["string-insulation S2"]
    assert gap.outcome is Outcome.NOT_SHOWN
    assert "rain" in gap.needs[0].supply


def test_what_is_not_yet_due_becomes_due_when_its_day_comes(findings: Run) -> None:
    changes = (
        (INSULATION_S2, ""),
        ("    in_use: 2026-10-14\n", "    in_use: 2026-10-20\n"),
        ("    handed_over: 2026-10-16\n", "    handed_over: not yet\n"),
    )
    assert findings(*changes)["string-insulation S2"].outcome is Outcome.NOT_DUE
    later = findings(*changes, on=date(2026, 10, 20))
    assert later["string-insulation S2"].outcome is Outcome.NOT_SHOWN


def test_a_date_left_out_counts_as_passed(findings: Run) -> None:
    found = findings((INSULATION_S2, ""), ("    in_use: 2026-10-14\n", ""))
    assert found["string-insulation S2"].outcome is Outcome.NOT_SHOWN


def test_a_failure_stays_a_failure_though_the_point_lies_ahead(findings: Run) -> None:
    found = findings(
        (INSULATION_S2, "    positive_earth_megohm: 0.2\n    negative_earth_megohm: 5\n"),
        ("    in_use: 2026-10-14\n", "    in_use: not yet\n"),
    )
    assert found["string-insulation S2"].outcome is Outcome.NOT_MET


REPEATED = """\
  - test: insulation
    of: S2
    on: 2026-10-14
    by: rowan
    instrument: pv-tester
    test_voltage_v: 500
    positive_earth_megohm: 0.1
    negative_earth_megohm: 5
  - test: insulation
    of: S2
    on: 2026-10-14
"""
FIRST = "  - test: insulation\n    of: S2\n    on: 2026-10-14\n"


def test_a_later_pass_over_an_earlier_failure_is_for_judgement(findings: Run) -> None:
    found = findings((FIRST, REPEATED))
    assert found["string-insulation S2"].outcome is Outcome.FOR_JUDGEMENT
    repaired = REPEATED + "    after: a cracked connector was replaced\n"
    assert findings((FIRST, repaired))["string-insulation S2"].outcome is Outcome.MET


def test_an_undecided_question_awaits_judgement_and_a_decision_settles_it(findings: Run) -> None:
    text = (SAMPLE / "installation.yaml").read_text("utf-8")
    judgement = text[text.index("judgements:") :]
    undecided = findings((judgement, "judgements: none\n"))["ac-isolator-in-reach inv-5"]
    assert undecided.outcome is Outcome.FOR_JUDGEMENT
    assert "ladder" in undecided.remark
    against = findings(("    outcome: met\n", "    outcome: not met\n"))
    assert against["ac-isolator-in-reach inv-5"].outcome is Outcome.NOT_MET


def test_a_judgement_about_nothing_is_a_problem_of_the_record(findings: Run) -> None:
    with pytest.raises(ComplianceError, match="ac-isolator-in-reach"):
        findings(("requirement: ac-isolator-in-reach", "requirement: ac-isolator-in-reech"))
    with pytest.raises(ComplianceError, match="inv-5"):
        findings(("    subject: inv-5\n", "    subject: S1\n"))


def test_a_departure_from_what_nobody_may_set_aside_changes_nothing(findings: Run) -> None:
    departure = """\
departures:
  - requirement: string-insulation
    subject: S2
    by: rowan
    role: designer
    on: 2026-10-15
    grounds: It will dry out
    evidence: sheet-strings
"""
    found = findings(
        (INSULATION_S2, "    positive_earth_megohm: 0.2\n    negative_earth_megohm: 5\n"),
        ("departures: none\n", departure),
    )
    gap = found["string-insulation S2"]
    assert gap.outcome is Outcome.NOT_MET
    assert gap.set_aside == ""
    assert gap.holds_something_up


def test_a_photo_without_a_named_persons_statement_does_not_count(findings: Run) -> None:
    statement = "    shows: The label on the cover of dc1, readable before it is opened\n"
    gap = findings((statement, ""))["label-at-dc-isolator dc1"]
    assert gap.outcome is Outcome.NOT_SHOWN
    assert "named person" in gap.needs[0].supply


def test_a_photo_from_before_the_work_started_does_not_count(findings: Run) -> None:
    gap = findings(
        (
            "    shows: The label on the cover",
            "    on: 2026-10-01\n    shows: The label on the cover",
        )
    )["label-at-dc-isolator dc1"]
    assert gap.outcome is Outcome.NOT_SHOWN
    assert "before the work" in gap.needs[0].supply


def test_a_file_that_is_not_there_does_not_count(findings: Run) -> None:
    gap = findings(("evidence/dc-isolator-label.jpg", "evidence/lost.jpg"))
    assert gap["label-at-dc-isolator dc1"].outcome is Outcome.NOT_SHOWN


def test_another_permitted_way_is_named_when_it_carries_the_finding(findings: Run) -> None:
    text = (SAMPLE / "installation.yaml").read_text("utf-8")
    start = text.index("  - test: loop impedance")
    measured = text[start : text.index("  - test: rcd time")]
    found = findings((measured, ""))["loop-impedance C9"]
    assert found.outcome is Outcome.MET
    assert "R1 + R2" in found.way
    failing = findings(("zs_ohm: 0.38", "zs_ohm: 1.5"))["loop-impedance C9"]
    assert failing.outcome is Outcome.NOT_MET


def test_what_is_only_told_does_not_carry_polarity(findings: Run) -> None:
    text = (SAMPLE / "installation.yaml").read_text("utf-8")
    start = text.index("  - test: polarity\n    of: S1")
    one = text[start : text.index("  - test: polarity\n    of: S2")]
    told = one.replace("    instrument: pv-tester\n", "")
    gap = findings((one, told))["string-polarity S1"]
    assert gap.outcome is Outcome.NOT_SHOWN
    assert gap.known == "told"


def test_the_whole_job_is_judged_where_a_collection_is_missing(findings: Run) -> None:
    text = (SAMPLE / "installation.yaml").read_text("utf-8")
    labels = text[text.index("labels:") : text.index("tests:")]
    found = findings((labels, ""))
    assert found["notice-of-two-supplies job"].outcome is Outcome.NOT_SHOWN
    none = findings((labels, "labels: none\n"))
    assert none["notice-of-two-supplies job"].outcome is Outcome.NOT_MET


def test_an_optional_thing_that_is_not_there_does_not_apply(findings: Run) -> None:
    says = ("rcd:", "  type: A", "  residual_ma: 30", "  delay: general", "  both_ways: yes")
    rcd = "".join(f"    {line}\n" for line in says)
    found = findings((rcd, "    rcd: none\n"))
    assert found["rcd-opens-in-time C9"].outcome is Outcome.NOT_APPLICABLE
    silent = findings((rcd, ""))
    assert silent["rcd-opens-in-time C9"].outcome is Outcome.NOT_SHOWN


def test_what_no_edition_covers_is_said_aloud(tmp_path: Path) -> None:
    shutil.copytree(SAMPLE, tmp_path / "job")
    path = tmp_path / "job" / "installation.yaml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("designed: 2026-09-14", "designed: 2018-05-01"), "utf-8")
    job = open_job(tmp_path / "job", rulesets_folder(), today=DAY, on=DAY)
    checked = job.checked
    # laws older than that day, chosen by the day on which the work started
    older = {"gb-before-start", "gb-roof-structure", "gb-tariff"}
    assert {finding.requirement.ruleset for finding in checked.findings} == older
    assert checked.is_held_up
    others = {rule.head.id for rule in job.rules.rules} - older
    assert len(checked.uncovered) == len(others) > 3
    assert all("not checked" in text and "2018-05-01" in text for text in checked.uncovered)


def test_an_edition_chosen_by_the_day_of_the_check_is_said(findings: Run) -> None:
    without = [("    designed: 2026-09-14\n", "")] * 2
    found = findings(*without)["string-polarity S1"]
    assert found.outcome is Outcome.MET
    assert "designed" in found.remark
