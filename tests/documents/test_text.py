"""Values become text whole and literal, or are refused by name."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compliance.documents.text import (
    LIMIT_CHARACTERS,
    LIMIT_WORD,
    NotTextError,
    TextTooLongError,
    UnprintableCharacterError,
    markup,
    printable,
)
from compliance.documents.tree import Run
from compliance.errors import DocumentError, Place

HERE = Place("gap-report.md.j2", 31, field="gap.found")


@pytest.mark.parametrize(
    "text",
    ["0.3 MΩ", "≤ 1.45 Ω", "10 mm²", "Ŵyn Ŷ", "½ × −5 °C", "✓ “so” – µ β €", "<none>", "AT&T", ""],
)
def test_signs_of_the_trade_and_accents_are_kept(text: str) -> None:
    assert printable(text) == text


def test_an_accent_written_apart_is_joined_to_its_letter() -> None:
    assert printable("e\u0301") == "é"


def test_line_ends_stay_and_blanks_become_single() -> None:
    assert printable("a\r\nb\rc \t  d") == "a\nb\nc d"


def test_counts_days_and_words_of_a_closed_list_have_a_text() -> None:
    class Word(StrEnum):
        NOT_MET = "not met"

    assert printable(3) == "3"
    assert printable(date(2026, 11, 25)) == "2026-11-25"
    assert printable(Word.NOT_MET) == "not met"


@pytest.mark.parametrize("value", [None, True, 0.3, [], {}, b"x", object])
def test_what_was_never_worded_is_refused(value: object) -> None:
    with pytest.raises(NotTextError, match="is not text") as caught:
        printable(value, HERE)
    assert caught.value.place == HERE


@pytest.mark.parametrize(
    ("character", "code", "reason"),
    [
        ("\x00", "U+0000", "control"),
        ("\x07", "U+0007", "control"),
        ("\x0b", "U+000B", "control"),
        ("\x85", "U+0085", "control"),
        ("\ud800", "U+D800", "half of one"),
        ("\u200b", "U+200B", "nobody can see"),
        ("\u202e", "U+202E", "nobody can see"),
        ("\u2066", "U+2066", "nobody can see"),
        ("\ufeff", "U+FEFF", "nobody can see"),
        ("\u00ad", "U+00AD", "nobody can see"),
        ("\u2028", "U+2028", "line separator"),
        ("\ue000", "U+E000", "private"),
        ("\ufffe", "U+FFFE", "no shape"),
        ("電", "U+96FB", "no shape"),
        ("א", "U+05D0", "right to left"),
        ("ب", "U+0628", "right to left"),
        ("\U0001f600", "U+1F600", "rare sign"),
        ("\U0001f9af", "U+1F9AF", "rare sign"),
    ],
)
def test_what_cannot_be_printed_is_refused_by_name(character: str, code: str, reason: str) -> None:
    with pytest.raises(UnprintableCharacterError) as caught:
        printable(f"string S1 {character} end", HERE)
    message = str(caught.value)
    assert code in message
    assert reason in message
    assert "gap-report.md.j2:31  gap.found" in message
    assert character == "\ufffe" or character not in message or character.isprintable()


def test_a_text_beyond_the_limit_is_refused_with_what_to_do() -> None:
    assert printable("x" * LIMIT_CHARACTERS)
    with pytest.raises(TextTooLongError, match=r"10,001 characters.*evidence file"):
        printable("x" * (LIMIT_CHARACTERS + 1), HERE)


def test_markup_of_literal_text_holds_no_markup() -> None:
    assert markup((Run("<b>&amp;</b>"),)) == "&lt;b&gt;&amp;amp;&lt;/b&gt;"


def test_a_long_word_is_broken_without_loss() -> None:
    word = "x" * (3 * LIMIT_WORD + 1)
    broken = markup((Run(word),)).split("<br/>")
    assert "".join(broken) == word
    assert max(map(len, broken)) == LIMIT_WORD


@given(st.text())
def test_any_text_is_printable_for_good_or_refused(text: str) -> None:
    try:
        once = printable(text)
    except DocumentError:
        return
    assert printable(once) == once
    assert all(c.isprintable() or c.isspace() for c in once)
