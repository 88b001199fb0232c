"""What each kind of field takes, and what it hands on; what it refuses stands in bad_input/."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compliance.errors import ComplianceError, RecordError
from compliance.files.yaml import Written
from compliance.record.kinds import (
    AboutKind,
    FieldKind,
    FigureKind,
    MomentKind,
    ReadingKind,
    ReasonKind,
    Reference,
    TextKind,
    YesNoKind,
    words,
)
from compliance.values import NOT_YET, NotTaken, Over, Under

FIGURE, READING, DAY, AHEAD = FigureKind(), ReadingKind(), MomentKind(), MomentKind(True)
WHOLE, YES_NO, TEXT = MomentKind(may_have_time=False), YesNoKind(), TextKind()
ONE, MANY = Reference("strings"), Reference("strings", many=True)

TAKEN: list[tuple[FieldKind, Any, Any]] = [
    (FIGURE, "8", 8.0),
    (FIGURE, "0", 0.0),
    (FIGURE, "-15", -15.0),
    (FIGURE, "0.0000001", 1e-7),
    (FIGURE, "999999999999", 999999999999.0),
    (FIGURE, "-0.27", -0.27),
    (FIGURE, "12.50", 12.5),
    (READING, "0.44", 0.44),
    (READING, "over 200", Over(200.0)),
    (READING, "> 200", Over(200.0)),
    (READING, ">200", Over(200.0)),
    (READING, "under 0.05", Under(0.05)),
    (READING, "< 0.05", Under(0.05)),
    (READING, "not taken: rain came first", NotTaken("rain came first")),
    (READING, "not taken, rain came first", NotTaken("rain came first")),
    (READING, "not taken: board: no access", NotTaken("board: no access")),
    (DAY, "2026-02-08", date(2026, 2, 8)),
    (DAY, "2028-02-29", date(2028, 2, 29)),
    (DAY, "2026-02-08T14:30", datetime(2026, 2, 8, 14, 30)),
    (DAY, "2026-02-08T14:30:05", datetime(2026, 2, 8, 14, 30, 5)),
    (AHEAD, "not yet", NOT_YET),
    (AHEAD, "2026-02-08", date(2026, 2, 8)),
    (WHOLE, "2026-02-08", date(2026, 2, 8)),
    (YES_NO, "yes", True),
    (YES_NO, "no", False),
    (words("TN-S", "TT"), "TT", "TT"),
    (TEXT, "no", "no"),
    (TEXT, "on", "on"),
    (TEXT, "010", "010"),
    (TEXT, "2026-02-30", "2026-02-30"),
    (TEXT, "1e400", "1e400"),
    (TEXT, "12:30", "12:30"),
    (TEXT, "  Specimen Street ", "Specimen Street"),
    (TEXT, "none of it", "none of it"),
    (ReasonKind(), "no access to the roof", "no access to the roof"),
    (ONE, "S1", "S1"),
    (MANY, "S1", ("S1",)),
    (MANY, ["S1", "S2"], ("S1", "S2")),
    (MANY, ["S1", "S2", "S1"], ("S1", "S2")),
    (AboutKind(), ["S1", "S1", "job"], ("S1", "job")),
]


@pytest.mark.parametrize(("kind", "given", "value"), TAKEN, ids=str)
def test_what_is_written_is_taken_as(kind: FieldKind, given: Any, value: Any) -> None:
    found = kind.parse(given, "field_v")
    assert found == value
    assert type(found) is type(value)


REFUSED: list[tuple[FieldKind, Any]] = [
    (FIGURE, "over 200"),
    (FIGURE, "not taken: rain"),
    (FIGURE, "not yet"),
    (FIGURE, "none"),
    (FIGURE, "1234567890123"),
    (FIGURE, "0.1234567890123"),
    (READING, "Over 200"),
    (READING, "over"),
    (READING, "over 2e2"),
    (READING, "over 200 V"),
    (READING, "about 200"),
    (READING, "not taken"),
    (READING, "not taken because of rain"),
    (READING, "not yet"),
    (READING, "none"),
    (READING, "nan"),
    (READING, "inf"),
    (READING, "-inf"),
    (READING, "١٢"),
    (READING, "1 000"),
    (DAY, "not yet"),
    (DAY, "2026-02-29"),
    (DAY, "20260208"),
    (DAY, "2026-W06-7"),
    (DAY, "2026-039"),
    (DAY, "2026-02-08 14:30"),
    (DAY, "2026-02-08T14"),
    (DAY, "2026-02-08T24:00"),
    (DAY, "2026-02-08T14:30+01:00"),
    (DAY, "0000-01-01"),
    (DAY, "٢٠٢٦-٠٢-٠٨"),
    (AHEAD, "not Yet"),
    (WHOLE, "2026-02-08T14:30"),
    (YES_NO, "true"),
    (YES_NO, "off"),
    (YES_NO, "Yes"),
    (words("TN-S", "TT"), "tt"),
    (ONE, ["S1"]),
    (ONE, {"S1": "S2"}),
    (MANY, []),
    (MANY, [["S1"]]),
    (TEXT, ["a"]),
    (TEXT, "tbc"),
    (ReasonKind(), "n/a"),
]


@pytest.mark.parametrize(("kind", "given"), REFUSED, ids=str)
def test_what_is_written_is_refused(kind: FieldKind, given: Any) -> None:
    with pytest.raises(RecordError):
        kind.parse(given, "field_v")


SCALARS = (FIGURE, READING, DAY, AHEAD, WHOLE, YES_NO, ONE, words("a", "b"))
SILENT = ["", " ", "null", "Null", "NULL", "~", "n/a", "N/A", "na", "tbc", "TBC", "tba", "tbd",
          "missing", "unknown", "Unknown", "?", "-", "nil"]  # fmt: skip


@pytest.mark.parametrize("kind", [*SCALARS, TEXT], ids=str)
@pytest.mark.parametrize("text", SILENT)
def test_no_kind_takes_a_word_that_says_nothing(kind: FieldKind, text: str) -> None:
    with pytest.raises(RecordError) as caught:
        kind.parse(text, "field_v")
    assert caught.value.id == "record.says-nothing"
    assert "Leave the line out" in caught.value.what


@pytest.mark.parametrize("kind", SCALARS, ids=str)
def test_only_text_is_taken_from_a_block(kind: FieldKind) -> None:
    with pytest.raises(RecordError) as caught:
        kind.parse(Written("200\n", style="block"), "field_v")
    assert caught.value.id == "record.block-outside-text"
    assert TEXT.parse(Written("200\n", style="block"), "field") == "200"


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=30))
def test_any_text_is_taken_or_refused_in_our_words(text: str) -> None:
    for kind in (*SCALARS, TEXT, ReasonKind(), MANY, AboutKind()):
        refusal = ""
        try:
            kind.parse(text, "field_v")
        except ComplianceError as problem:
            refusal = problem.what
        assert len(refusal) < 700


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-999_999, max_value=999_999,
                   places=6))  # fmt: skip
def test_a_plain_decimal_keeps_its_value(value: Any) -> None:
    text = f"{value:f}".replace("-0.000000", "0.000000")
    assert FIGURE.parse(text, "field_v") == float(value)
