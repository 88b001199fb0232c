"""`compliance rules`: listed, shown in words, explained on a job, tested with their mistakes."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from rules.small import REST, RULESET, requirement

from compliance.rules import ruleset as ruleset_module
from compliance.rules.outcome import NO_PERMISSION

ROOT = Path(__file__).parents[2]
SMALL = Path(__file__).with_name("small")
Called = tuple[int, str, str]
Call = Callable[..., Called]


@pytest.fixture
def rulesets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A rulesets folder that the command line takes for the shipped one: limits, no rules yet."""
    folder = tmp_path / "rulesets"
    folder.mkdir()
    shutil.copy(ROOT / "rulesets" / "sources.yaml", folder)
    shutil.copytree(ROOT / "rulesets" / "gb" / "limits", folder / "gb" / "limits")
    monkeypatch.setattr("compliance.files.resources.rulesets_folder", lambda: folder)
    return folder


KEYS = "for: string in strings\nbefore: use\nmust: string.in_series <= 9"
MET = "{name: at the limit, given: {string: {in_series: 9}}, outcome: met}"
FAR = "{name: far beyond, given: {string: {in_series: 12}}, outcome: not met}"
NEXT = "{name: one beyond, given: {string: {in_series: 10}}, outcome: not met}"
SILENT = "{name: not said, given: {string: {}}, outcome: not shown}"
CHANGE = 'must: 9 made 10 in "string.in_series <= 9"'


def _write(
    rulesets: Path, *examples: str, keys: str = KEYS, more: str = "", limits: str = ""
) -> Path:
    """A ruleset of one requirement with some examples."""
    lists = f"limits: [{limits}]\n" if limits else ""
    ruleset = RULESET.replace("requirements:", f"{lists}requirements:")
    head, _, _ = REST.partition("    examples:\n")
    listed = "    examples:\n" + "".join(f"      - {example}\n" for example in examples)
    path = rulesets / "gb" / "tried.yaml"
    path.write_text(ruleset + requirement("tried", keys, rest=head + listed + more), "utf-8")
    return path


def _plain(text: str) -> str:
    return " ".join(text.split())


# -- list -------------------------------------------------------------------------------


def test_the_list_has_one_line_a_requirement_below_its_ruleset(call: Call) -> None:
    code, out, err = call("rules", "list")
    assert (code, err) == (0, "")
    data = json.loads(call("rules", "list", "--format", "json")[1])
    assert data["format"] == 1
    for one in data["requirements"]:
        (line,) = [x for x in out.splitlines() if x.startswith(f"  {one['id']} ")]
        assert line.endswith(one["title"])
    for ruleset in data["rulesets"]:
        dates = f"{ruleset['id']}; {ruleset['jurisdiction']}, for what was {ruleset['by']} from"
        assert dates in _plain(out)
        assert ruleset["from"] in out
    lines = [x for x in out.splitlines() if x.startswith("  ")]
    assert len(lines) == len(data["requirements"]) + len(data["questions"])


# -- show -------------------------------------------------------------------------------


WHOLE = """\
ruleset: gb-tried
title: A ruleset with every key, for a test
jurisdiction: GB
applies: {from: 2019-02-01, until: 2030-01-01, by: designed}
sources: [iec-62446-1, common-practice]
limits: [gb-tried]
requirements:
  - id: tried
    title: A requirement with every key, for a test
    for: string in strings
    if: string.parallel >= 2
    before: cover
    must: string.insulation.positive_earth_megohm >= limits.tried_megohm(string.system_voltage_v)
    or_by:
      - title: by few modules
        must: string.in_series <= 9
        source: {document: common-practice, confidence: common practice}
    evidence: [photo]
    known: seen
    danger: Leave the string open.
    holds_up: use
    set_aside_by: designer
    held_by: installer
    bring: insulation tester
    source: {document: iec-62446-1, clause: "6.7", confidence: secondary}
    why: Damp DC insulation is a hazard.
    remedy: Find the damaged cable.
    afterwards: Uncover it again.
    examples:
      - name: exactly at the limit
        given:
          string: {parallel: 2, system_voltage_v: 470, insulation: {positive_earth_megohm: 1.0}}
        outcome: met
      - name: beyond the meter, no photo
        given: {string: {parallel: 2, insulation: {positive_earth_megohm: over 200}}}
        evidence: none
        outcome: not shown
        needs: ["evidence: photo"]
      - name: rain
        given: {string: {parallel: 2, insulation: "not taken: rain came first"}}
        point: ahead
        outcome: not due
      - name: nothing said
        given: {string: {}}
        outcome: not shown
      - name: too low
        given:
          string: {parallel: 2, system_voltage_v: 470, insulation: {positive_earth_megohm: 0.9}}
        outcome: not met
"""
ROWS = """\
limits: gb-tried
tables:
  tried_megohm:
    title: Least insulation resistance, for a test
    by: {system_voltage_v: 1.25 times the open-circuit voltage of the string at STC}
    editions:
      - from: 2016-01-01
        source: {document: iec-62446-1, clause: "6.7", confidence: memory}
        rows:
          - {below: 120, value: 0.5}
          - {up_to: 500, value: 1.0}
          - {above: 500, value: 1.0}
"""


def test_a_requirement_is_shown_with_all_that_a_manager_asks(call: Call, rulesets: Path) -> None:
    (rulesets / "gb" / "limits" / "tried.yaml").write_text(ROWS, "utf-8")
    (rulesets / "gb" / "tried.yaml").write_text(WHOLE, "utf-8")
    code, out, err = call("rules", "show", "tried")
    assert (code, err) == (0, "")
    assert all(len(line) <= 80 for line in out.splitlines())
    text = _plain(out)
    for said in (
        "applies to each string in strings",
        "edition gb-tried: GB, for what was designed from 2019-02-01 and before 2030-01-01",
        "if the string's parallel is at least 2 [string.parallel >= 2]",
        "before it is covered",
        "must the string's insulation positive earth is at least the limit “tried” for the "
        "string's system voltage [string.insulation.positive_earth_megohm >= "
        "limits.tried_megohm(string.system_voltage_v)]",
        "or by few modules: the string's in series is at most 9 [string.in_series <= 9]",
        "evidence photo: a file that opens and is whole",
        "named person's statement of what it shows",
        "nor after the last day on which it could show this",
        "known measured, meter file or seen",
        "danger Leave the string open.",
        "holds up switching on",
        "set aside by the designer, in writing with evidence",
        "held by installer",
        "bring insulation tester",
        "6.7 (secondary)",
        "IEC 2016, amended 2018; adopted as BS EN 62446-1:2016+A1:2018",
        "limit Least insulation resistance, for a test [limits.tried_megohm]",
        "below 120 V: 0.5 MΩ, from 120 V up to 500 V: 1 MΩ, above 500 V: 1 MΩ; from 2016-01-01",
        "worked out System voltage, for the row of the insulation table, in V",
        "= 1.25 × modules × Voc",
        "how sure secondary: taken from others",
        "memory: remembered and not looked up",
        "common practice: how the trade does it; no document says so",
        "why Damp DC insulation is a hazard.",
        "remedy Find the damaged cable.",
        "afterwards Uncover it again.",
        "met exactly at the limit: given string: parallel 2, system voltage 470 V, insulation "
        "positive earth 1.0 MΩ",
        "positive earth over 200 MΩ; no evidence needs evidence: photo",
        "insulation not taken: rain came first; the point of no return still ahead",
        "nothing said: given string of which nothing is known",
    ):
        assert said in text, said


def test_what_is_left_to_people_is_shown_as_a_question(call: Call) -> None:
    text = _plain(call("rules", "show", "ac-isolator-in-reach")[1])
    assert "decide Can the occupier, and a fire crew that does not know the house" in text
    assert " must " not in text
    assert "given inverter of which nothing is known; decided as met" in text


def test_other_ways_and_provenance_are_shown(call: Call) -> None:
    text = _plain(call("rules", "show", "loop-impedance")[1])
    assert "or by the sum of the external loop impedance and the measured R1 + R2:" in text
    assert "643.7.3 (memory)" in text
    assert "B: 5, C: 10, D: 20; from 1990-01-01" in text
    assert "if the circuit's device kind is circuit-breaker" in text
    assert "known measured, meter file or seen" in _plain(
        call("rules", "show", "string-polarity")[1]
    )


def test_what_cannot_be_and_what_no_example_notices_are_shown(call: Call, rulesets: Path) -> None:
    more = (
        "    never:\n      - {outcome: not met, reason: For a test.}\n"
        "    survivors:\n      - {change: 'must: something', reason: Nobody would notice.}\n"
    )
    _write(rulesets, MET, SILENT, more=more)
    shown = _plain(call("rules", "show", "tried")[1])
    assert "cannot be not met: For a test." in shown
    assert "not tested must: something: Nobody would notice." in shown
    data = json.loads(call("rules", "show", "tried", "--format", "json")[1])
    assert data["requirements"][0]["never"] == {"not met": "For a test."}
    assert data["requirements"][0]["survivors"][0]["change"] == "must: something"


TABLE = """\
limits: gb-tried
tables:
  tried_v:
    title: A table of two editions, for a test
    editions:
      - from: 2016-01-01
        until: 2020-01-01
        source: {document: common-practice, confidence: common practice}
        rows:
          - {value: 5}
      - from: 2020-01-01
        source: {document: common-practice, confidence: memory}
        rows:
          - {value: 4}
"""


def test_a_limit_that_is_no_longer_in_force_says_so(call: Call, rulesets: Path) -> None:
    (rulesets / "gb" / "limits" / "tried.yaml").write_text(TABLE, "utf-8")
    keys = KEYS.replace("string.in_series <= 9", "string.cold_voc_v <= limits.tried_v()")
    _write(rulesets, MET, NEXT, SILENT, keys=keys, limits="gb-tried")
    text = _plain(call("rules", "show", "tried")[1])
    assert "limit A table of two editions, for a test [limits.tried_v]" in text
    assert "5 V; from 2016-01-01 until 2020-01-01, not in force today; " in text
    assert "4 V; from 2020-01-01; " in text


def test_every_requirement_is_shown_in_words_and_as_data(
    call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded_once = cache(ruleset_module.load_rules)  # read anew by every call, they take minutes
    monkeypatch.setattr(ruleset_module, "load_rules", loaded_once)
    listed = json.loads(call("rules", "list", "--format", "json")[1])["requirements"]
    for one in listed:
        code, out, _ = call("rules", "show", one["id"])
        assert code == 0
        assert _plain(out).startswith(f"{one['id']}: {one['title']} applies to ")
        data = json.loads(call("rules", "show", one["id"], "--format", "json")[1])
        assert data["format"] == 1
        (shown,) = data["requirements"]
        assert shown["examples"]
        assert bool(shown["must"]) is not bool(shown["judge"])
        assert shown["source"]["meaning"]
        for example in shown["examples"]:
            assert example["name"] in _plain(out)


@pytest.mark.parametrize("width", ["80", "100"])
def test_lines_are_as_wide_as_the_terminal(
    call: Call, monkeypatch: pytest.MonkeyPatch, width: str
) -> None:
    monkeypatch.setenv("COLUMNS", width)
    lines = call("rules", "show", "string-open-circuit-voltage")[1].splitlines()
    assert max(map(len, lines)) <= int(width)
    assert max(map(len, lines)) > int(width) - 15


# -- explain ----------------------------------------------------------------------------


def test_explaining_is_one_thing_by_either_command(call: Call) -> None:
    for more in ([], ["--format", "json"], ["--on", "2026-11-05"]):
        by_rules = call("rules", "explain", "string-polarity", SMALL, *more)
        assert by_rules == call("check", SMALL, "--explain", "string-polarity", *more)
    code, out, err = call("rules", "explain", "string-polarity", SMALL)
    assert (code, err) == (1, "")
    assert "found polarity result: reversed. Right: correct." in _plain(out)
    assert NO_PERMISSION in _plain(out)


def test_what_is_met_is_explained_with_its_calculation(call: Call) -> None:
    job = ROOT / "sample_installs" / "terrace-eight-faults"
    code, out, _ = call("rules", "explain", "string-open-circuit-voltage", job)
    text = _plain(out)
    assert code == 0, "this requirement holds nothing up on this job"
    assert (
        "S1: Open-circuit voltage of each string against what its modules should give (met)" in text
    )
    assert "Right: at most 14.58 V (expected Voc); 14.47 V to spare." in text
    assert "known measured" in text
    assert "S1: Expected open-circuit voltage at the measured light and temperature = " in text
    data = json.loads(
        call("rules", "explain", "string-open-circuit-voltage", job, "--format", "json")[1]
    )
    assert data["format"] == 1
    assert data["notice"] == NO_PERMISSION
    assert [f["facts"][0]["margin"] for f in data["findings"]] == ["14.47 V to spare",
                                                                   "14.56 V to spare"]  # fmt: skip


def test_explained_json_is_as_the_schema_of_findings_says(call: Call) -> None:
    import jsonschema

    schema = json.loads((ROOT / "compliance" / "rules" / "findings.schema.json").read_text("utf-8"))
    job = ROOT / "sample_installs" / "terrace-eight-faults"
    for one in json.loads(call("rules", "list", "--format", "json")[1])["requirements"]:
        out = call("rules", "explain", one["id"], job, "--format", "json")[1]
        jsonschema.validate(json.loads(out), schema)


# -- an id that is none -----------------------------------------------------------------


@pytest.mark.parametrize("command", [["show"], ["explain", SMALL]])
def test_an_id_that_is_none_names_the_nearest(call: Call, command: list[str | Path]) -> None:
    name, *more = command
    code, out, err = call("rules", name, "string-polarety", *more)
    assert (code, out) == (2, "")
    assert 'no requirement is called "string-polarety". Did you mean "string-polarity"?' in err


# -- test -------------------------------------------------------------------------------


def test_the_shipped_rules_pass_with_their_score(call: Call) -> None:
    code, out, err = call("rules", "test")
    assert (code, err) == (0, "")
    assert "0 failed" in out
    data = json.loads(call("rules", "test", "--format", "json")[1])
    mutation = data["mutation"]
    score = f"mutation score {mutation['score_percent']:.1f} %: caught {mutation['caught']} of "
    assert f"{score}{mutation['tried']} mistakes;" in _plain(out)
    assert mutation["score_percent"] >= 95
    assert all(s["reason"] for s in mutation["survivors"])


def test_examples_alone_say_nothing_of_mistakes(call: Call) -> None:
    code, out, _ = call("rules", "test", "--examples-only")
    assert code == 0
    assert out.rstrip().endswith("0 failed")
    data = json.loads(call("rules", "test", "--examples-only", "--format", "json")[1])
    assert data["mutation"] is None


def test_a_mistake_that_nothing_notices_fails_with_its_place_and_what_is_missing(
    call: Call, rulesets: Path
) -> None:
    path = _write(rulesets, MET, FAR, SILENT)
    line = path.read_text("utf-8").splitlines().index("  - id: tried") + 1
    code, out, err = call("rules", "test")
    assert (code, err) == (1, "")
    assert out.startswith(f"{path.relative_to(rulesets.parent)}:{line}:9  tried\n")
    text = _plain(out)
    assert f"no example notices: {CHANGE}" in text
    assert 'missing: one at the limit of "string.in_series <= 9" or within 1 above it' in text
    assert (
        "mutation score 66.6 %: caught 2 of 3 mistakes; survivors: 0 with a reason, 1 without"
        in text
    )
    (survivor,) = json.loads(call("rules", "test", "--format", "json")[1])["mutation"]["survivors"]
    assert (survivor["line"], survivor["change"], survivor["reason"]) == (line, CHANGE, "")
    assert call("rules", "test", "--examples-only")[0] == 0
    _write(rulesets, MET, NEXT, SILENT)
    assert call("rules", "test")[0] == 0


SAID = f"    survivors:\n      - change: >-\n          {CHANGE}\n        reason: For a test.\n"


def test_a_survivor_with_a_reason_is_printed_and_passes(call: Call, rulesets: Path) -> None:
    _write(rulesets, MET, FAR, SILENT, more=SAID)
    code, out, _ = call("rules", "test")
    assert code == 0
    assert f"survives: {CHANGE} because: For a test." in _plain(out)
    assert "survivors: 1 with a reason, 0 without" in _plain(out)


def test_a_listed_survivor_that_an_example_notices_is_refused(call: Call, rulesets: Path) -> None:
    path = _write(rulesets, MET, NEXT, SILENT, more=SAID)
    code, out, err = call("rules", "test")
    assert (code, out) == (2, "")
    assert err.startswith(f"{path}:")
    assert 'noticed by the example "one beyond"' in err


def test_an_example_that_fails_is_told_with_its_place(call: Call, rulesets: Path) -> None:
    wrong = SILENT.replace("not shown", "not met")
    silent = "{name: again not said, given: {string: {}}, outcome: not shown}"
    path = _write(rulesets, MET, NEXT, wrong, silent)
    code, out, _ = call("rules", "test")
    assert code == 1
    assert out.startswith(f"{path.relative_to(rulesets.parent)}:")
    assert "not said: should give not met" in out
    assert "gives not shown" in out
    (failed,) = json.loads(call("rules", "test", "--format", "json")[1])["failed"]
    assert (failed["example"], failed["file"]) == ("not said", str(path))
