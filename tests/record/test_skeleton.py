"""The six questions, the first record they give, and what a like job takes over."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from compliance.errors import CallError
from compliance.files.yaml import parse_yaml, read_yaml
from compliance.record.like import stays_the_same
from compliance.record.load import record_from
from compliance.record.questions import QUESTIONS, answers
from compliance.record.skeleton import skeleton

SAMPLES = Path(__file__).parents[2] / "sample_installs"


def first(given: str, **more: object) -> str:
    made = skeleton(answers(given.split(",")), reference="J-1", jurisdiction="GB-ENG", **more)  # type: ignore[arg-type]
    record_from(parse_yaml(made, name="first"), Path())
    return made.decode()


def test_every_answer_that_does_not_contradict_gives_a_record_that_loads() -> None:
    choices = [range(1, len(q.choices) + 1 or 2) for q in QUESTIONS[:5]]
    taken = 0
    for numbers in itertools.product(*choices, (1, 20)):
        try:
            answers([str(n) for n in numbers])
        except CallError:
            continue
        first(",".join(map(str, numbers)))
        taken += 1
    assert taken > 1000


def test_a_first_record_says_one_value_a_line_and_nothing_that_was_not_answered() -> None:
    text = first("2,1,2,3,1,3")
    said = [line.partition("#")[0].rstrip() for line in text.splitlines()]
    assert "    earthing: TT" in said
    assert {"  S1:", "  S2:", "  S1+:", "  dc2:", "  bat:"} <= set(said)
    assert not any("{" in line or "[" in line for line in said)
    names = ("customer", "labels", "evidence", "visits")
    assert not any(line.startswith(f"{name}:") for line in said for name in names)
    assert all(f"# {name}:" in text for name in names), "a note says what comes there"


def test_what_is_not_known_is_left_out() -> None:
    text = first("6,1,7,7,4,1")
    assert "site:" not in text
    assert "earthing" not in text
    assert "old_array" not in text
    assert "strings:" not in text


def test_where_there_is_no_array_the_record_says_so_and_nothing_is_asked_of_one() -> None:
    text = first("6,1,7,1,1,1")
    said = [line.partition("#")[0].rstrip() for line in text.splitlines()]
    assert {"strings: none", "connector_pairs: none", "cables: none", "junctions: none"} <= set(
        said
    )
    assert "strings: none" not in first("5,3,7,1,3,1"), "there is an old array"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ("1,1,7,1,1,1", "they go nowhere"),
        ("6,1,1,1,1,1", "none are fitted"),
        ("1,1,1,1,3,1", "replace it (2)"),
        ("1,3,1,1,1,1", "no old array"),
        ("1,1,1,1,1", "5 answers were given to 6 questions"),
        ("1,1,1,1,1,21", "from 1 to 20"),
        ("1,1,1,1,1,0", "from 1 to 20"),
        ("8,1,1,1,1,1", "from 1 to 7"),
        ("one,1,1,1,1,1", '"one" answers nothing'),
        ("-1,1,1,1,1,1", '"-1" answers nothing'),
    ],
)
def test_an_answer_that_cannot_be_is_told_in_a_sentence(given: str, words: str) -> None:
    with pytest.raises(CallError) as refused:
        answers(given.split(","))
    assert words in refused.value.what


@pytest.mark.parametrize("reference", ["2026-200", "Müller, 3", 'a "b" c', "#5", "no: yes", "-x"])
def test_any_reference_is_written_so_that_it_is_read_again(reference: str) -> None:
    made = skeleton(
        answers(["1", "1", "1", "1", "1", "1"]), reference=reference, jurisdiction="GB-SCT"
    )
    assert parse_yaml(made, name="x").data["reference"] == reference


def test_a_like_job_takes_over_who_with_what_and_which_types_and_nothing_else() -> None:
    data = read_yaml(SAMPLES / "bungalow-two-faces" / "installation.yaml").data
    same = stays_the_same(data)
    assert set(same) == {"organisation", "people", "instruments", "components"}
    text = first("1,1,1,1,1,2", like=same)
    assert "modules: mod-440" in text
    assert "inverter: inv-5" in text
    assert "voc_v: 38.9" in text
    assert "calibration_due: 2027-02-11" in text
    assert "certificate: ETH-M-0440-1" in text
    for gone in ("NL440-26", "CG5-000417", "J. Placeholder", "11 Example Row", "2026-10",
                 "looked_up", "firmware", "origin", "against"):  # fmt: skip
        assert gone not in text, gone
    assert "\n  mod:" not in text, "the like job's module stands in its place"
