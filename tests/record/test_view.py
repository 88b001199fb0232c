"""The view that rules read: references both ways, the last test on its subject, four silences."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from compliance.files.yaml import parse_yaml
from compliance.record.load import record_from
from compliance.record.view import view
from compliance.values import NOT_YET, NotTaken, Over, Partly

HEAD = "record: installation/1\nreference: J-1\njurisdiction: GB-ENG\ntitle: An invented job\n"
KIT = """\
components:
  m1: {category: module, voc_v: 40}
  i1: {category: inverter, rated_kw: 3.68}
strings:
  S1: {modules: m1, in_series: 8, input: {inverter: i1}}
  S2: {modules: m1, in_series: 9, input: {inverter: i1}}
circuits:
  C7: {feeds: i1, rcd: {type: A}}
"""


def _job(text: str) -> dict[str, Any]:
    return view(record_from(parse_yaml((HEAD + text).encode(), name="j"), Path()).record)


def _by_name(entries: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    return {entry["~name"]: entry for entry in entries}


def test_a_reference_is_followed_to_the_entry_itself() -> None:
    job = _job(KIT)
    strings, components = _by_name(job["strings"]), _by_name(job["components"])
    assert strings["S1"]["modules"] is components["m1"]
    assert strings["S1"]["input"]["inverter"] is components["i1"]
    assert strings["S1"]["modules"]["voc_v"] == 40.0


def test_what_refers_to_an_entry_is_found_from_it_even_out_of_a_section() -> None:
    job = _job(
        KIT + "isolators:\n  d1: {side: dc, serves: [S1, S2]}\n  d2: {side: dc, serves: S2}\n"
    )
    strings, inverter = _by_name(job["strings"]), _by_name(job["components"])["i1"]
    assert [i["~name"] for i in strings["S1"]["isolators"]] == ["d1"]
    assert [i["~name"] for i in strings["S2"]["isolators"]] == ["d1", "d2"]
    assert inverter["strings"] == [strings["S1"], strings["S2"]]
    assert [c["~name"] for c in inverter["circuits"]] == ["C7"]
    assert inverter["isolators"] == []


def test_nothing_is_found_backwards_in_a_collection_that_is_not_known() -> None:
    job = _job(KIT)
    assert "isolators" not in job
    assert "isolators" not in _by_name(job["strings"])["S1"]
    job = _job(KIT + "isolators: none\n")
    assert job["isolators"] == []
    assert _by_name(job["strings"])["S1"]["isolators"] == []
    assert _by_name(job["components"])["i1"]["isolators"] == []


def test_what_leaves_a_reference_out_may_belong_to_any_it_could_name() -> None:
    isolators = "isolators:\n  d1: {side: dc, serves: S1}\n  d2: {side: dc, serves: S2}\n"
    job = _job(KIT + isolators + "labels:\n  l1: {marks: d1}\n  l2: {place: origin}\n")
    for name, sure in (("d1", ["l1"]), ("d2", [])):
        labels = _by_name(job["isolators"])[name]["labels"]
        assert isinstance(labels, Partly)
        assert [entry["~name"] for entry in labels] == sure
        assert [(e["~name"], path) for e, path in labels.perhaps] == [("l2", "labels[l2].marks")]
    job = _job(KIT.replace(", input: {inverter: i1}", "", 1))
    strings = _by_name(job["components"])["i1"]["strings"]
    assert [entry["~name"] for entry in strings] == ["S2"]
    assert [path for _, path in strings.perhaps] == ["strings[S1].input.inverter"]


def test_where_every_entry_says_it_nothing_is_left_open() -> None:
    job = _job(KIT + "isolators: {d1: {side: dc, serves: S1}}\nlabels: {l1: {marks: d1}}\n")
    assert type(_by_name(job["isolators"])["d1"]["labels"]) is list
    assert type(_by_name(job["components"])["i1"]["strings"]) is list


def test_entries_of_several_kinds_also_stand_in_a_collection_of_each() -> None:
    job = _job(KIT + "isolators:\n  a1: {side: ac, serves: i1}\n  d1: {side: dc, serves: S1}\n")
    assert [e["~name"] for e in job["inverters"]] == ["i1"]
    assert [e["~name"] for e in job["modules"]] == ["m1"]
    assert [e["~name"] for e in job["dc_isolators"]] == ["d1"]
    assert [e["~name"] for e in job["ac_isolators"]] == ["a1"]
    assert job["inverters"][0] is _by_name(job["components"])["i1"]
    assert "ac_isolators" not in _job(KIT)
    assert _job("isolators: none\n")["ac_isolators"] == []


TESTS = """\
tests:
  - {test: insulation, of: S1, on: 2026-02-01, positive_earth_megohm: 0.3}
  - {test: insulation, of: S2, on: 2026-02-01, positive_earth_megohm: 9}
  - {test: insulation, of: S1, on: 2026-02-02, positive_earth_megohm: 7}
  - {test: insulation, of: S1, on: 2026-02-03, positive_earth_megohm: 8, instrument: i9}
instruments: {i9: {kind: insulation tester}}
"""


def test_the_last_test_stands_on_its_subject_and_knows_those_before_it() -> None:
    job = _job(KIT + TESTS)
    strings = _by_name(job["strings"])
    last = strings["S1"]["insulation"]
    assert last["positive_earth_megohm"] == 8.0
    assert [t["positive_earth_megohm"] for t in last["~earlier"]] == [0.3, 7.0]
    assert last["~subject"] is strings["S1"]
    assert last["of"] is strings["S1"]
    assert "~earlier" not in strings["S2"]["insulation"]
    assert job["~repeats"]
    assert "~repeats" not in _job(KIT)
    assert next(t["~name"] for t in job["tests"]) == "insulation of S1 on 2026-02-01"
    assert len(job["tests"]) == 4


def test_a_test_with_an_instrument_was_measured_and_another_told_unless_it_says() -> None:
    job = _job(KIT + TESTS.replace("megohm: 9}", "megohm: 9, known: meter file}"))
    assert [t["known"] for t in job["tests"]] == ["told", "meter file", "told", "measured"]


def test_a_test_not_taken_is_no_test_but_says_why_on_its_subject() -> None:
    job = _job(
        KIT
        + TESTS.replace(
            "  - {test: insulation, of: S2, on: 2026-02-01, positive_earth_megohm: 9}",
            "  - {test: insulation, of: S2, not_taken: rain}",
        )
    )
    assert _by_name(job["strings"])["S2"]["insulation"] == NotTaken("rain")
    assert len(job["tests"]) == 3


def test_each_way_of_saying_nothing_stays_apart() -> None:
    job = _job(
        "parts: {roof: {kind: array, in_use: not yet, started: 2026-02-08T08:00}}\nvisits: none\n"
        "strings: {S1: {in_series: 8}}\n"
        "tests:\n  - {test: insulation, of: S1, positive_earth_megohm: 'not taken: rain',"
        " negative_earth_megohm: over 200}\n"
    )
    part = job["parts"][0]
    assert part["in_use"] == NOT_YET
    assert "covered" not in part
    assert part["started"] == datetime(2026, 2, 8, 8)
    assert job["visits"] == []
    assert "labels" not in job
    insulation = job["strings"][0]["insulation"]
    assert insulation["positive_earth_megohm"] == NotTaken("rain")
    assert insulation["negative_earth_megohm"] == Over(200.0)


def test_a_section_is_always_there() -> None:
    job = _job("strings: {S1: {in_series: 8}}\ncircuits: {C7: {board: house board}}\n")
    assert job["site"]["supply"] == {}
    assert job["organisation"] == {}
    assert job["strings"][0]["input"] == {}
    assert job["circuits"][0]["device"] == {}
    assert "rcd" not in job["circuits"][0]


PARTS = "parts:\n  roof: {kind: array}\n  loft: {kind: inverter}\n"


def test_every_entry_knows_its_part() -> None:
    job = _job(PARTS + KIT + TESTS + "isolators: {d1: {side: dc, serves: S1}}\nlabels: {l1: {}}\n")
    roof, loft = job["parts"]
    assert roof["part"] is roof
    assert all(s["part"] is roof for s in job["strings"])
    assert all(t["part"] is roof for t in job["tests"])
    assert _by_name(job["components"])["m1"]["part"] is roof
    assert _by_name(job["components"])["i1"]["part"] is loft
    assert job["isolators"][0]["part"] is loft
    assert job["labels"][0]["part"] is loft
    assert job["circuits"][0]["part"] is loft
    assert job["circuits"][0]["rcd"][0]["part"] is loft


def test_the_likeliest_kind_of_part_counts_and_what_is_said_goes_before_it() -> None:
    job = _job("parts: {roof: {kind: array}}\ncomponents: {i1: {category: inverter}}\n")
    assert job["components"][0]["part"]["~name"] == "roof"
    job = _job(PARTS + "strings: {S1: {in_series: 8, part: loft}}\n")
    assert job["strings"][0]["part"]["~name"] == "loft"


def test_an_entry_that_fits_no_part_has_none() -> None:
    assert "part" not in _job("strings: {S1: {in_series: 8}}\n")["strings"][0]
    assert "part" not in _job("parts: {shed: {kind: battery}}\nstrings: {S1: {}}\n")["strings"][0]


@pytest.mark.parametrize("written", ['"Rose\\u0301  Cottage "', '"  Ros\\u00e9 Cottage"'])
def test_text_is_normalised_so_that_rules_compare_it_as_it_reads(written: str) -> None:
    assert _job(f"site: {{address: {written}}}\n")["site"]["address"] == "Rosé Cottage"


def test_dates_and_names_of_what_was_decided_are_there_for_the_check() -> None:
    job = _job(
        "people: {rowan: {name: Rowan (invented)}}\nvisits:\n  - {on: 2026-02-08, who: rowan}\n"
        "judgements:\n  - {requirement: r, by: rowan, on: 2026-02-08, outcome: met, grounds: g}\n"
    )
    (said,) = job["judgements"]
    assert said["by"] is job["people"][0]
    assert said["on"] == date(2026, 2, 8)
    assert "subject" not in said
    assert job["visits"][0]["~name"] == "visit of 2026-02-08"
    assert job["visits"][0]["who"] == [job["people"][0]]


def test_a_view_is_made_anew_each_time() -> None:
    record = record_from(parse_yaml((HEAD + KIT).encode(), name="j"), Path()).record
    first, second = view(record), view(record)
    first["strings"][0]["in_series"] = 1.0
    assert second["strings"][0]["in_series"] == 8.0


def test_an_alteration_stands_on_what_was_altered_and_only_there() -> None:
    job = _job(
        KIT + "alterations:\n  - {altered: string, of: S1, on: 2026-11-07, what: a connector}\n"
        "  - {altered: circuit, of: C7, on: 2026-11-08}\n"
    )
    strings, circuits = _by_name(job["strings"]), _by_name(job["circuits"])
    assert [a["on"] for a in strings["S1"]["alterations"]] == [date(2026, 11, 7)]
    assert strings["S2"]["alterations"] == []
    assert [a["on"] for a in circuits["C7"]["alterations"]] == [date(2026, 11, 8)]


def test_whether_anything_was_altered_is_open_until_the_record_says_none() -> None:
    assert "alterations" not in _by_name(_job(KIT)["strings"])["S1"]
    assert _by_name(_job(KIT + "alterations: none\n")["strings"])["S1"]["alterations"] == []


def test_a_test_of_an_inverter_or_of_a_frame_stands_on_it() -> None:
    job = _job(
        KIT + "parts: {roof: {kind: array, frame_bonded: yes}}\ntests:\n"
        "  - {test: frame continuity, of: roof, result: continuous, resistance_ohm: 0.08}\n"
        "  - {test: loss of mains, of: i1, known: seen, result: stopped}\n"
    )
    (roof,) = job["parts"]
    assert roof["frame_continuity"]["resistance_ohm"] == 0.08
    assert roof["frame_continuity"]["part"] is roof
    assert _by_name(job["components"])["i1"]["loss_of_mains"]["result"] == "stopped"


def test_a_switch_finds_the_labels_that_stand_at_it_and_those_that_name_it() -> None:
    job = _job(
        KIT + "isolators:\n  d1: {side: dc, serves: S1}\n  a1: {side: ac, serves: i1}\n"
        "  main: {side: supply}\n"
        "labels:\n  l1: {kind: dc isolator, marks: d1, inverter: i1, circuit: C7, names: d1}\n"
        "  l2: {kind: two supplies, names: [main, a1], marks: a1, inverter: i1, circuit: C7}\n"
    )
    switches = _by_name(job["isolators"])
    assert [e["~name"] for e in switches["d1"]["labels"]] == ["l1"]
    named_by = {name: [e["~name"] for e in s["named_by"]] for name, s in switches.items()}
    assert named_by == {"d1": ["l1"], "a1": ["l2"], "main": ["l2"]}
    assert [s["~name"] for s in job["supply_isolators"]] == ["main"]
    assert [e["~name"] for e in _by_name(job["circuits"])["C7"]["labels"]] == ["l1", "l2"]


def test_a_label_that_does_not_say_which_switches_it_names_may_name_any() -> None:
    job = _job(KIT + "isolators: {main: {side: supply}}\nlabels: {l1: {kind: two supplies}}\n")
    (switch,) = job["isolators"]
    assert isinstance(switch["named_by"], Partly)
    assert switch["named_by"] == []


def test_how_a_visit_left_the_site_refers_to_switches_and_people() -> None:
    job = _job(
        KIT + "people: {p: {name: P (invented)}}\nisolators: {a1: {side: ac, serves: i1}}\n"
        "visits:\n  - {on: 2026-10-09, next_on: 2026-10-14, next_who: p,"
        " left: {locked_off: a1, key_with: p, told_by: p}}\n"
    )
    (visit,), (person,), (switch,) = job["visits"], job["people"], job["isolators"]
    assert visit["left"]["locked_off"] == [switch]
    assert visit["left"]["key_with"] is person
    assert visit["left"]["told_by"] is person
    assert visit["next_who"] == [person]
    assert visit["next_on"] == date(2026, 10, 14)


def test_two_visits_of_one_day_have_names_of_their_own() -> None:
    record = "visits:\n  - on: 2026-02-08T08:00\n  - on: 2026-02-09\n  - on: 2026-02-08T17:00\n"
    names = [visit["~name"] for visit in _job(record)["visits"]]
    assert names == ["visit of 2026-02-08", "visit of 2026-02-09", "visit 2 of 2026-02-08"]


def test_evidence_can_be_about_one_of_them() -> None:
    record = (
        "visits: [{on: 2026-02-08}, {on: 2026-02-08}]\n"
        "evidence: {a: {file: a.jpg, kind: photo, about: visit 2 of 2026-02-08}}\n"
    )
    assert _job(record)["evidence"][0]["about"] == ("visit 2 of 2026-02-08",)


def test_a_part_knows_the_scaffolds_that_serve_it() -> None:
    parts = "parts: {roof: {kind: array}, loft: {kind: inverter}}\n"
    roof, loft = _job(parts + "scaffolds: {front: {serves: roof}}\n")["parts"]
    assert [s["~name"] for s in roof["scaffolds"]] == ["front"]
    assert loft["scaffolds"] == []
    assert _job(parts + "scaffolds: none\n")["parts"][0]["scaffolds"] == []
    assert "scaffolds" not in _job(parts)["parts"][0]
