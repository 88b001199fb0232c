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


ONE_VISIT = dedent("""\
    record: installation/2
    reference: J
    jurisdiction: GB-ENG
    title: t
    people:
      p:
        name: P (invented)
    site:
      existing:
        batch: walk
        found: put right
    parts:
      array:
        kind: array
        batch: days
        nests:
          batch: walk
          found: none
    circuits:
      C1:
        part: array
    visits:
      - who: p
    tests:
      - test: rcd button
        of: C1
        batch: walk
      - test: circuit polarity
        of: C1
        batch: walk
        result: reversed
    judgements:
      - requirement: ac-isolator-in-reach
        batch: walk
    batches:
      days:
        what: the days of the parts
        started: day of visit 1
      walk:
        what: the walk round
        on: day of visit 1
    """)


def visited(text: str = ONE_VISIT) -> str:
    return text.replace("- who: p\n", "- who: p\n    on: 2026-10-14T09:30\n")


def told(text: str, batch: str, more: str = "by: p") -> str:
    return text.replace(f"  {batch}:\n    what", f"  {batch}:\n    {more}\n    what")


def test_a_visit_that_took_no_place_yet_is_none_of_the_record() -> None:
    job: Any = view(loaded(ONE_VISIT).record)
    assert not {"visits", "tests", "judgements"} & set(job)
    assert "started" not in job["parts"][0]
    assert "by" not in job["site"]["existing"]


def test_a_day_is_that_of_its_visit_once_somebody_speaks_for_the_batch() -> None:
    job: Any = view(loaded(visited()).record)
    assert "started" not in job["parts"][0], "nobody says so yet"
    made = loaded(told(told(visited(), "days"), "walk"))
    job = view(made.record)
    assert str(job["parts"][0]["started"]) == "2026-10-14"
    assert str(job["parts"][0]["nests"]["on"]) == "2026-10-14"
    assert job["site"]["existing"]["by"]["name"] == "P (invented)"
    written = told(told(visited(), "days"), "walk").splitlines()
    line = written.index("    on: 2026-10-14T09:30") + 1
    assert made.tree.place(("parts", "array", "started")).line == line
    assert made.tree.place(("parts", "array", "nests", "on")).line == line


def test_a_day_of_a_visit_that_is_not_there_says_nothing() -> None:
    text = told(visited(), "days").replace("day of visit 1", "day of visit 2")
    assert "started" not in view(loaded(text).record)["parts"][0]
    closed = visited().replace("title: t\n", "title: t\nclosed: day of visit 1\n")
    assert str(loaded(closed).record.closed) == "2026-10-14"
    assert loaded(closed.replace("09:30\n", "09:30\n    done: x\n")).record.visits is not None


def test_all_tests_of_a_batch_can_be_as_they_should_be_unless_one_says_otherwise() -> None:
    job: Any = view(loaded(told(visited(), "walk", "by: p\n    result: as it should be")).record)
    assert [t["result"] for t in job["tests"]] == ["opened", "reversed"]


def test_a_judgement_is_planned_until_it_is_decided() -> None:
    assert "judgements" not in view(loaded(told(visited(), "walk")).record)
    decided = "in-reach\n    outcome: met\n    grounds: at 1.3 m, never locked"
    text = told(visited(), "walk").replace("in-reach", decided)
    (judged,) = loaded(text).record.judgements or ()
    assert (judged.by, str(judged.on), judged.outcome) == ("p", "2026-10-14", "met")
