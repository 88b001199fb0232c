"""What templates receive: every gap once, in the order in which people must hear it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from compliance.documents.data import clause, confidence, day, working_views
from compliance.documents.gaps import (
    counts,
    gap_report_tables,
    gap_report_values,
    gap_sections,
    gap_view,
)
from compliance.documents.tables import SHAPES, shaped
from compliance.documents.tree import Document, Table, text_runs
from compliance.rules.outcome import (
    NO_PERMISSION,
    Checked,
    HoldsUp,
    Need,
    Outcome,
    Question,
    Source,
)


def test_gaps_are_grouped_danger_first_and_set_aside_last(checked: Checked) -> None:
    sections = gap_sections(checked)
    assert [(s.title, [g.title for g in s.gaps]) for s in sections] == [
        ("Danger", ["Insulation resistance of each string"]),
        ("Handover", ["Warning of two supplies at the consumer unit"]),
        ("Advice", ["Shading of the array"]),
        ("Set aside", ["Route of the DC cable"]),
    ]


@pytest.mark.parametrize("holds_up", list(HoldsUp))
def test_every_gap_stands_in_exactly_one_section(checked: Checked, holds_up: HoldsUp) -> None:
    findings = tuple(
        f._replace(requirement=replace(f.requirement, holds_up=holds_up)) for f in checked.findings
    )
    moved = replace(checked, findings=findings)
    assert sum(len(s.gaps) for s in gap_sections(moved)) == len(moved.gaps) == 4


def test_a_danger_that_was_set_aside_is_still_printed_first(checked: Checked) -> None:
    findings = tuple(f._replace(set_aside="grounds") for f in checked.findings)
    first = gap_sections(replace(checked, findings=findings))[0]
    assert first.title == "Danger"
    assert (first.gaps[0].danger[:21], first.gaps[0].set_aside) == (
        "Leave the string open",
        "grounds",
    )


def test_counts_add_up_to_the_findings(checked: Checked) -> None:
    seen = counts(checked)
    by_outcome = (seen.met, seen.not_met, seen.not_shown, seen.not_due, seen.not_applicable)
    assert by_outcome == (1, 2, 1, 0, 0)
    assert sum(by_outcome) + seen.for_judgement == seen.findings == 5
    assert (seen.gaps, seen.holding_up) == (4, 2)


def test_the_table_of_counts_has_every_outcome(checked: Checked) -> None:
    rows = gap_report_tables(checked)["counts"].rows
    assert [row[:2] for row in rows] == [
        ("met", "1"), ("not met", "2"), ("not shown", "1"), ("not due", "0"),
        ("not applicable", "0"), ("for judgement", "1"),
    ]  # fmt: skip
    assert len(rows) == len(Outcome)


def test_what_to_supply_is_the_sentence_or_the_path_and_reason(checked: Checked) -> None:
    finding = checked.findings[2]
    assert gap_view(finding).supply == ("A photo of the label at the consumer unit",)
    bare = finding._replace(needs=(Need("site.labels", "missing"),))
    assert gap_view(bare).supply == ("site.labels: missing",)


def test_making_safe_is_said_only_where_something_is_dangerous(checked: Checked) -> None:
    assert gap_view(checked.findings[0]).danger
    unknown = checked.findings[0]._replace(outcome=Outcome.NOT_SHOWN)
    assert not gap_view(unknown).danger


def test_a_source_says_clause_and_how_sure_we_are() -> None:
    source = Source("iec-62446-1", "6.7", "memory", "IEC 62446-1")
    assert clause(source) == "IEC 62446-1, clause 6.7"
    assert clause(replace(source, clause="", title="")) == "iec-62446-1"
    assert "from memory; look it up" in confidence(source)


def test_a_day_is_read_alike_in_every_country() -> None:
    assert day(date(2026, 3, 4)) == "4 March 2026"


def test_a_working_keeps_its_lines(checked: Checked) -> None:
    (first,) = checked.workings
    (view,) = working_views((first, replace(first, subject="string S2", result="640 V")))
    assert view.formula == first.formula
    assert "β −0.28 %/K" in view.results[0].inputs
    assert [(one.subject, one.result) for one in view.results] == [
        ("string S1", "652 V"),
        ("string S2", "640 V"),
    ]
    other = replace(first, note="of another edition")
    assert len(working_views((first, other))) == 2


def test_a_row_has_as_many_cells_as_its_table_has_columns() -> None:
    for name, shape in SHAPES.items():
        assert shaped(name, [["x"] * len(shape.columns)]).rows
        with pytest.raises(ValueError, match="columns; a row has 1"):
            shaped(name, [["x"]])


def test_the_gap_report_says_that_it_permits_nothing(gap_report: Document) -> None:
    assert NO_PERMISSION in text_runs(gap_report)


def test_the_gap_report_says_why_whom_and_where_from(gap_report: Document) -> None:
    words = text_runs(gap_report)
    for said in (
        "Make it safe first",
        "0.3 MΩ",
        "at least 1 MΩ",
        "0.7 MΩ too low",
        "installer",
        "IEC 62446-1:2016+A1:2018, clause 6.7",
        "switching on",
        "Trees to the south",
    ):
        assert said in words


def test_what_the_job_does_not_say_is_said_to_be_missing(checked: Checked) -> None:
    values = gap_report_values(checked, {"address": "", "firm": ""})
    assert (values["address"], values["firm"]) == ("", "")


def test_a_check_without_gaps_says_what_that_covers(checked: Checked) -> None:
    from pathlib import Path

    from compliance.documents.content import load_template

    clean = replace(checked, findings=checked.findings[1:2])
    template = load_template(Path(__file__).parents[2] / "templates" / "gap-report.md.j2")
    values = gap_report_values(clean, {"address": "", "firm": ""})
    words = text_runs(template.render(values, gap_report_tables(clean)))
    assert "No gaps" in words
    assert words.count("not stated in the record") == 2
    assert NO_PERMISSION in words


def test_the_gap_report_asks_apart_from_its_gaps_what_a_reader_would_ask(checked: Checked) -> None:
    question = Question(
        "odd", "tried", "S1", "", "Was it read?", "It may be.", (("Zs", "0.2 Ω"), ("Ze", "0.3 Ω"))
    )
    from pathlib import Path

    from compliance.documents.content import load_template

    template = load_template(Path(__file__).parents[2] / "templates" / "gap-report.md.j2")

    def words(of: Checked) -> str:
        values = gap_report_values(of, {"address": "", "firm": ""})
        return " ".join(text_runs(template.render(values, gap_report_tables(of))))

    asking = words(replace(checked, questions=(question,)))
    for part in ("What a reader would ask", "These are no gaps", "S1", "Was it read?",
                 "Zs 0.2 Ω; Ze 0.3 Ω", "It may be."):  # fmt: skip
        assert part in asking
    last_gap = asking.rindex("Required by")
    assert last_gap < asking.index("What a reader would ask") < asking.index("What was checked")
    assert "What a reader would ask" not in words(checked)


def test_a_requirement_stands_once_with_every_subject_under_who_can_close_it(
    checked: Checked,
) -> None:
    first = checked.findings[0]
    second = first._replace(subject="string S3")
    sections = gap_sections(replace(checked, findings=(first, *checked.findings[1:], second)))
    (installer,) = sections[0].holders
    (asked,) = installer.asked
    assert installer.name == first.requirement.held_by
    assert [gap.subject for gap in asked.gaps] == ["string S1", "string S3"]
    assert asked.of.why == first.requirement.why


def test_the_gap_report_ends_with_what_to_supply_first(gap_report: Document) -> None:
    words = text_runs(gap_report)
    thing = "A photo of the label at the consumer unit"
    assert words.index("Supply first") < len(words) - words[::-1].index(thing)
    rows = gap_report_tables_of(gap_report)["The fewest things that can close the most gaps"]
    assert rows == ((thing, "installer", "1"),)


def test_where_the_gaps_are_counts_each_once(checked: Checked) -> None:
    rows = gap_report_tables(checked)["open-gaps"].rows
    assert [row[0] for row in rows] == ["Danger", "Handover", "Advice", "Set aside"]
    assert sum(int(str(row[2])) + int(str(row[3])) for row in rows) == len(checked.gaps)


def gap_report_tables_of(document: Document) -> dict[str, tuple[tuple[object, ...], ...]]:
    return {b.caption: b.rows for b in document.blocks if isinstance(b, Table)}
