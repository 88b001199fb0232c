"""What a firm knows once is lent to the job that names it, and nothing else is."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from compliance.files.cache import Cache, NoCache, user_cache
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.pack.issue import issue
from compliance.record.load import load_record
from compliance.record.opened import open_record
from compliance.record.view import view
from compliance.rules.job import open_job

DAY = date(2026, 11, 25)
FIRM = """\
firm: firm/1
organisation: {name: Hollin Bank Electrical (invented)}
people:
  rowan: {name: Rowan Vale (invented), role: tester}
  ash: {name: Ash Merrin (invented)}
instruments:
  pv-tester: {kind: PV array tester, rated_v: 1000}
components:
  nl-440: {category: module, maker: Northlight (invented), voc_v: 38.9}
  kit-1: {category: mounting, kind: above roof, approved_for: nl-440}
cables:
  pv-6: {insulation: double, size_mm2: 6}
"""
JOB = """\
record: installation/1
reference: J-1
jurisdiction: GB-ENG
title: An invented job
components:
  mod: {category: module, usual: nl-440, voc_v: 40}
  kit: {category: mounting, usual: kit-1}
strings: {S1: {modules: mod}}
cables: {S1+: {serves: S1, pole: positive, usual: pv-6}}
tests:
  - {test: polarity, of: S1, by: rowan, result: correct}
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "firm.yaml").write_text(FIRM, "utf-8")
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "installation.yaml").write_text(JOB, "utf-8")
    return folder


def test_what_a_reference_names_joins_the_record_and_nobody_else(job: Path) -> None:
    record = load_record(job).record
    assert list(record.people or ()) == ["rowan"]
    assert record.instruments is None
    assert record.organisation.name == "Hollin Bank Electrical (invented)"


def test_a_usual_part_gives_what_the_entry_does_not_say(job: Path) -> None:
    seen = view(load_record(job).record)
    modules = {m["~name"]: m for m in seen["modules"]}
    assert modules["mod"]["voc_v"] == 40
    assert modules["mod"]["maker"] == "Northlight (invented)"
    assert seen["strings"][0]["modules"] is modules["mod"]
    (cable,) = seen["cables"]
    assert (cable["size_mm2"], cable["pole"]) == (6, "positive")


def test_what_the_firms_entries_name_comes_with_them(job: Path) -> None:
    (kit,) = view(load_record(job).record)["mountings"]
    assert [m["~name"] for m in kit["approved_for"]] == ["nl-440"]


def test_a_job_with_an_organisation_of_its_own_keeps_it(job: Path) -> None:
    path = job / "installation.yaml"
    path.write_text(path.read_text("utf-8") + "organisation: {name: Another (invented)}\n", "utf-8")
    assert load_record(job).record.organisation.name == "Another (invented)"


def test_nothing_but_the_folder_above_or_the_one_named_is_searched(job: Path) -> None:
    elsewhere = job.parent / "office"
    elsewhere.mkdir()
    (job.parent / "firm.yaml").rename(elsewhere / "firm.yaml")
    with pytest.raises(Exception, match="names nothing among"):
        load_record(job)
    assert list(load_record(job, firm=elsewhere).record.people or ()) == ["rowan"]


def test_what_is_kept_of_a_check_goes_with_the_firms_file(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache: Cache = user_cache()

    def voltage() -> float:
        made = open_record(job, cache, today=DAY).view["modules"]
        return float(next(m["voc_v"] for m in made if m["~name"] == "nl-440"))

    assert (voltage(), voltage()) == (38.9, 38.9)
    (job.parent / "firm.yaml").write_text(FIRM.replace("38.9", "41.2"), "utf-8")
    assert voltage() == 41.2


def test_a_pack_takes_the_firms_file_along_and_checks_its_hash(job: Path, tmp_path: Path) -> None:
    opened = open_job(job, rulesets_folder(), today=DAY, cache=NoCache())
    pack = issue(opened, tmp_path / "out", templates_folder()).folder
    assert (pack / "data" / "record" / "firm.yaml").read_text("utf-8") == FIRM
    manifest = (pack / "manifest-sha256.txt").read_text("utf-8")
    assert f"{opened.opened.firm_sha256}  data/record/firm.yaml" in manifest


def test_a_job_that_takes_nothing_has_no_firms_file_in_its_pack(job: Path) -> None:
    (job.parent / "firm.yaml").write_text("firm: firm/1\n", "utf-8")
    (job / "installation.yaml").write_text(JOB.partition("components")[0], "utf-8")
    assert open_record(job, NoCache(), today=DAY).firm is None


BATCHED = """\
record: installation/1
reference: J-1
jurisdiction: GB-ENG
title: An invented job
people: {ash: {name: Ash Merrin (invented)}, rowan: {name: Rowan Vale (invented)}}
strings: {S1: {in_series: 8}, S2: {in_series: 8}}
batches:
  roof: {by: ash, on: 2026-10-07}
tests:
  - {test: polarity, of: S1, batch: roof, result: correct}
  - {test: polarity, of: S2, batch: roof, by: rowan, result: correct}
evidence:
  p1: {file: evidence/a.jpg, kind: photo, about: S1, shows: the ends, batch: roof}
"""


def batched(tmp_path: Path, text: str) -> Path:
    (tmp_path / "installation.yaml").write_text(text, "utf-8")
    return tmp_path


def test_what_is_said_once_of_a_batch_is_said_of_each_in_it(tmp_path: Path) -> None:
    seen = view(load_record(batched(tmp_path, BATCHED)).record)
    assert [(t["by"]["~name"], t["on"]) for t in seen["tests"]] == [
        ("ash", date(2026, 10, 7)), ("rowan", date(2026, 10, 7)),
    ]  # fmt: skip
    (photo,) = seen["evidence"]
    assert (photo["by"]["name"], photo["on"]) == ("Ash Merrin (invented)", date(2026, 10, 7))
    assert seen["tests"][0]["known"] == "told", "a stated day is no measured one"


def test_what_is_wrong_in_a_batch_is_told_where_it_stands(tmp_path: Path) -> None:
    with pytest.raises(Exception, match="2026-13-07") as caught:
        load_record(batched(tmp_path, BATCHED.replace("2026-10-07", "2026-13-07")))
    assert "installation.yaml:8:23" in str(caught.value)
    with pytest.raises(Exception, match='"rof" names nothing among the batches'):
        load_record(batched(tmp_path, BATCHED.replace("S1, batch: roof", "S1, batch: rof")))


USUAL = """\
sites:
  at-home: {building: dwelling, lowest_cell_c: -15, supply: {operator: Exham Wires (invented)}}
batches:
  as-built:
    mark_at_array: its name
    passages_labelled: its passages
    leads: clipped clear of the roof
"""
WALK = """\
site: {usual: at-home, lowest_cell_c: -10, supply: {phases: 1}}
batches: {as-built: {usual: as-built, on: 2026-10-14}}
"""


def walked(job: Path, *, by: str = "") -> Path:
    (job.parent / "firm.yaml").write_text(FIRM + USUAL, "utf-8")
    text = JOB.replace("usual: pv-6}", "usual: pv-6, batch: as-built}")
    said = (
        WALK.replace("on: 2026", f"by: {by}, on: 2026")
        if by
        else WALK.replace(", on: 2026-10-14", "")
    )
    (job / "installation.yaml").write_text(text + said, "utf-8")
    return job


def test_a_site_takes_what_its_firm_knows_of_the_area(job: Path) -> None:
    site = load_record(walked(job)).record.site
    assert site.building == "dwelling"
    assert site.lowest_cell_c == -10, "the job's own word comes first"
    assert (site.supply.phases, site.supply.operator) == (1, "Exham Wires (invented)")


def test_how_a_firm_always_works_counts_once_somebody_speaks_for_the_batch(job: Path) -> None:
    silent = load_record(walked(job))
    assert silent.record.cables is None
    assert silent.would_say["as-built"]["mark_at_array"] == "its name"
    spoken = load_record(walked(job, by="ash"))
    cable = (spoken.record.cables or {})["S1+"]
    assert cable.mark_at_array == "S1+"
    assert spoken.tree.place(("cables", "S1+", "mark_at_array")).file.endswith("firm.yaml")
    assert not spoken.would_say
    assert cable.passages_labelled is None, "nobody counted the passages yet"
