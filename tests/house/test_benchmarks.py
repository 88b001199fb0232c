"""The benchmark works, and the ways of deciding that it compares agree. Never a time."""

from __future__ import annotations

from collections import Counter
from io import BytesIO

import docx
import pytest
from pypdf import PdfReader

from benchmarks import adapter, by_hand, documents_adapter, documents_by_hand, measure, samples
from benchmarks.__main__ import main
from benchmarks.checks import CHECKS
from benchmarks.records import TODAY, records
from compliance.documents.tree import text_runs
from compliance.pack.issue import DOCUMENTS
from compliance.rules.language.compile import one_by_one
from compliance.rules.outcome import Outcome


@pytest.fixture(scope="module")
def jobs():
    return records(40)


def test_forty_checks_agree_with_the_hand_written_ones_and_every_outcome_occurs(jobs):
    counted = measure.assert_agreement(jobs)
    assert len(CHECKS) == 40
    assert set(counted) == set(Outcome)


def test_a_disagreement_is_not_timed(jobs, monkeypatch):
    honest = by_hand.outcomes

    def too_kind(job, today):
        found = honest(job, today)
        return [(numbers, entries, (Outcome.MET,) * len(numbers)) for numbers, entries, _ in found]

    monkeypatch.setattr(measure.by_hand, "outcomes", too_kind, raising=True)
    with pytest.raises(measure.DisagreementError):
        measure.assert_agreement(jobs)


def test_every_outcome_without_reasons_is_the_outcome_with_reasons(jobs):
    engine = adapter.checker(CHECKS)
    for job in jobs:
        found = one_by_one(adapter.outcomes(engine, job, TODAY))
        plain = sorted(found, key=lambda decided: decided[0])
        with_reasons = adapter.findings(engine, job, TODAY).findings
        assert [outcome for _, _, outcome in plain] == [f.outcome for f in with_reasons]


def test_the_command_runs_small_and_says_how_to_install_what_is_missing(capsys):
    assert (
        main(
            [
                "--records",
                "3",
                "--rounds",
                "1",
                "--engine-records",
                "2",
                "--no-commands",
                "--document-rounds",
                "0",
            ]
        )
        == 0
    )
    said = capsys.readouterr().out
    assert "Agreement with the hand-written checks" in said
    assert "[bench]" in said or "rule-engine" in said


def test_the_documents_by_hand_say_the_same_words_in_both_forms():
    trees = documents_adapter.trees(documents_adapter.complete_sample())
    assert len(trees) == len(DOCUMENTS)
    for tree in trees:
        plain = documents_adapter.plain(tree)
        wanted = _squeezed("".join(text_runs(tree)))
        documents_adapter.pdf(tree)  # registers the typefaces that both sides use
        pages = PdfReader(BytesIO(documents_by_hand.pdf(plain))).pages
        by_hand = _squeezed("".join(page.extract_text() for page in pages))
        assert Counter(by_hand) >= Counter(wanted)  # heading rows stand again on each page
        file = docx.Document(BytesIO(documents_by_hand.docx(plain)))
        words = [p.text for p in file.paragraphs]
        words += [cell.text for table in file.tables for row in table.rows for cell in row.cells]
        assert Counter(_squeezed("".join(words))) == Counter(wanted)


def _squeezed(text):
    return "".join(text.split())


def test_a_draw_from_a_list_is_that_of_the_script_by_hand() -> None:
    ours, by_hand = samples.samples(3000)
    assert ours.taken_s > 0
    assert by_hand.taken_s > 0
