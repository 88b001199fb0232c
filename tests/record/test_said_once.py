"""What is said once of many entries, and what is planned until somebody says that it is there."""

from __future__ import annotations

from pathlib import Path
from textwrap import dedent
from typing import Any

from compliance.files.yaml import parse_yaml
from compliance.record.load import Loaded, record_from
from compliance.record.view import view

RECORD = dedent("""\
    record: installation/2
    reference: J
    jurisdiction: GB-ENG
    title: t
    people:
      p:
        name: P (invented)
    strings:
      S1:
        in_series: 9
        batch: as-built
    cables:
      S1+:
        serves: S1
        pole: positive
        batch: as-built
      S1-:
        serves: S1
        pole: negative
        mark_at_array: minus 1
        batch: as-built
    labels:
      way-9:
        kind: circuit
        batch: as-built
    tests:
      - test: polarity
        of: S1
        batch: with-tester
      - test: insulation
        of: S1
        positive_earth_megohm: 50
        batch: with-tester
    evidence:
      photo-cables:
        file: evidence/a.jpg
        kind: photo
        about: [S1+, S1]
      photo-label:
        file: evidence/b.jpg
        kind: photo
        about: way-9
    batches:
      as-built:
        what: all as it was found
      with-tester:
        what: tests
    """)
SPOKEN = dedent("""\
        by: p
        on: 2026-10-14
        leads: clipped clear of the roof
        readable: as it hangs
        mark_at_array: its name
        sleeve_at_array: its pole
    """).replace("\n", "\n    ")


def loaded(text: str, **more: bool) -> Loaded:
    return record_from(parse_yaml(text.encode(), name="r.yaml"), Path(), **more)


def spoken() -> str:
    found = "what: all as it was found\n"
    return RECORD.replace(found, found + "    " + SPOKEN.rstrip(" "))


def test_what_nobody_speaks_for_is_planned_and_not_in_the_record() -> None:
    made = loaded(RECORD)
    job: Any = view(made.record)
    assert not {"cables", "labels", "tests"} & set(job), "left out whole: that is no `none`"
    assert [s["~name"] for s in job["strings"]] == ["S1"], "strings are there from the beginning"
    assert [e["about"] for e in job["evidence"]] == [("S1",)]
    assert dict(made.planned) == dict.fromkeys(("S1+", "S1-", "way-9", "photo-label"), "as-built")


def test_as_planned_only_what_a_visit_has_to_do_is_left_out() -> None:
    job: Any = view(loaded(RECORD, as_planned=True).record)
    assert [c["~name"] for c in job["cables"]] == ["S1+", "S1-"]
    assert not {"labels", "tests"} & set(job)


def test_once_somebody_speaks_each_entry_takes_what_it_does_not_say_itself() -> None:
    made = loaded(spoken())
    job: Any = view(made.record)
    plus, minus = job["cables"]
    assert (plus["mark_at_array"], minus["mark_at_array"]) == ("S1+", "minus 1")
    assert (plus["sleeve_at_array"], minus["sleeve_at_array"]) == ("positive", "negative")
    assert job["strings"][0]["leads"] == "clipped clear of the roof"
    assert job["labels"][0]["readable"] == "as it hangs"
    assert not made.planned
    line = spoken().splitlines().index("    readable: as it hangs") + 1
    assert made.tree.place(("labels", "way-9", "readable")).line == line


def test_a_test_of_which_nothing_was_read_is_planned_though_its_batch_was_made() -> None:
    made = loaded(RECORD.replace("what: tests", "by: p\n    on: 2026-10-14"))
    (test,) = view(made.record)["tests"]
    assert test["test"] == "insulation"
    assert test["by"]["name"] == "P (invented)"
    second = made.tree.place(("tests", 0, "positive_earth_megohm"))
    assert second.line == RECORD.splitlines().index("    positive_earth_megohm: 50") + 1
