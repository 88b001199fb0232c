"""Records of older formats: kept files load, check, pack and are rewritten as today's.

`kept/NUMBER-NAME.yaml` is a record of format NUMBER as it stood on somebody's disk, never
changed again; `kept/NUMBER-NAME.now.yaml` is what it says in today's format, written by hand
(a comment stays in its column where there is room).
`1-first-landed` is the oldest record in this project's history, byte for byte.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import get_args

import pytest

from compliance.errors import ComplianceError, Problems
from compliance.files.cache import NoCache
from compliance.files.resources import rulesets_folder
from compliance.files.yaml import parse_yaml, read_yaml
from compliance.record.installation import Installation
from compliance.record.load import load_record
from compliance.record.migrations import FIRM, INSTALLATION, NewerFormatError, in_todays_format
from compliance.record.migrations.steps import STEPS
from compliance.record.save import renew_record
from compliance.rules.job import open_job

Call = Callable[..., tuple[int, str, str]]
KEPT = sorted(p for p in (Path(__file__).parent / "kept").glob("*.yaml") if ".now" not in p.name)
TODAY = date(2026, 11, 25)
OLD = KEPT[0].with_name("1-closed-at-an-hour.yaml")


def _now(kept: Path) -> Path:
    return kept.with_suffix(".now.yaml")


def _job(folder: Path, kept: Path | str) -> Path:
    text = kept if isinstance(kept, str) else kept.read_text("utf-8")
    folder.mkdir(exist_ok=True)
    (folder / "installation.yaml").write_text(text, "utf-8")
    return folder


def _findings(folder: Path) -> dict[tuple[str, str], str]:
    job = open_job(folder, rulesets_folder(), today=TODAY, cache=NoCache())
    return {(f.requirement.id, f.subject): f.outcome.value for f in job.checked.findings}


def test_every_older_format_has_a_step_and_a_kept_file() -> None:
    older = range(1, INSTALLATION.latest)
    assert list(STEPS) == [*older]
    assert {int(kept.name.partition("-")[0]) for kept in KEPT} == {*older}
    assert get_args(Installation.model_fields["record"].annotation) == (str(INSTALLATION),)


@pytest.mark.parametrize("kept", KEPT, ids=lambda p: p.stem)
def test_a_kept_record_says_what_it_says_in_todays_format(kept: Path, tmp_path: Path) -> None:
    old, new = _job(tmp_path / "old", kept), _job(tmp_path / "new", _now(kept))
    assert kept.read_bytes() != _now(kept).read_bytes()
    assert load_record(old).record == load_record(new).record
    assert _findings(old) == _findings(new)


@pytest.mark.parametrize("kept", KEPT, ids=lambda p: p.stem)
def test_renewing_changes_nothing_but_what_changed(kept: Path, tmp_path: Path) -> None:
    job = _job(tmp_path / "job", kept)
    renewed = renew_record(job)
    assert renewed is not None
    assert (job / "installation.yaml").read_bytes() == _now(kept).read_bytes()
    assert (job / renewed.saved.history).read_bytes() == kept.read_bytes()
    assert renew_record(job) is None


@pytest.mark.parametrize("kept", KEPT, ids=lambda p: p.stem)
def test_a_record_of_today_is_left_as_it_is(kept: Path) -> None:
    tree = read_yaml(_now(kept))
    assert in_todays_format(tree).tree is tree


def test_what_was_renamed_is_no_field_of_today(tmp_path: Path) -> None:
    """So the step is needed: without it the same words are refused."""
    job = _job(tmp_path / "job", OLD.read_text("utf-8").replace("installation/1", "installation/2"))
    with pytest.raises(Problems) as refused:
        load_record(job)
    assert [p.id for p in refused.value.problems] == [
        "record.not-a-date", "record.unknown-field", "record.unknown-field",
    ]  # fmt: skip


def test_a_mistake_in_an_older_record_is_told_at_its_own_line(tmp_path: Path) -> None:
    text = OLD.read_text("utf-8").replace("test_v: 500", "test_v: soon")
    line = 1 + text[: text.index("test_v: soon")].count("\n")
    with pytest.raises(ComplianceError) as refused:
        load_record(_job(tmp_path / "job", text))
    place = refused.value.place
    assert place is not None
    assert (place.line, place.column) == (line, 13)
    assert place.field == "tests[1].test_voltage_v"


def test_old_and_new_name_at_once_is_refused(tmp_path: Path) -> None:
    text = OLD.read_text("utf-8").replace("test_v: 500", "test_voltage_v: 250\n    test_v: 500")
    with pytest.raises(ComplianceError, match='"test_v" is no field'):
        load_record(_job(tmp_path / "job", text))


def test_one_value_is_set_under_the_name_it_has_in_the_file(tmp_path: Path, call: Call) -> None:
    job = _job(tmp_path / "job", OLD)
    code, out, err = call("set", str(job), "tests[1].test_voltage_v", "250")
    assert (code, err) == (0, ""), err
    assert "tests[1].test_voltage_v: 250" in out
    code, out, err = call("reading", str(job), "S1", "polarity", "result=reversed", "after=a look")
    assert (code, err) == (0, ""), err
    written = (job / "installation.yaml").read_text("utf-8")
    assert "test_v: 250   # as the meter showed it" in written
    assert "record: installation/1   # the format" in written
    assert load_record(job).record.tests[-1].result == "reversed"  # type: ignore[index,union-attr]


def test_an_older_record_is_packed_as_it_is_and_renewed_by_command(
    tmp_path: Path, call: Call
) -> None:
    job = _job(tmp_path / "job", OLD)
    code, out, err = call("pack", str(job), "--out", str(tmp_path))
    assert code in (0, 1), err
    packed = next(p for p in tmp_path.rglob("installation.yaml") if p.parent != job)
    assert packed.read_bytes() == OLD.read_bytes()
    bag = next(p.parent for p in tmp_path.rglob("bagit.txt"))
    assert call("verify", str(bag))[0] == 0
    code, out, err = call("renew", str(job))
    assert (code, err) == (0, "")
    assert "installation/1 is now installation/2" in out
    assert "tests[1].test_v is called test_voltage_v" in out
    assert "closed is now 2026-03-02" in out
    assert "history/00001-" in out
    code, out, err = call("renew", str(job))
    assert "Nothing was changed" in out


def test_a_broken_record_is_not_renewed(tmp_path: Path, call: Call) -> None:
    text = OLD.read_text("utf-8").replace("IR+: 40", "IR+: some")
    job = _job(tmp_path / "job", text)
    code, _, err = call("renew", str(job))
    assert code == 2
    assert "IR+" in err or "positive_earth_megohm" in err
    assert (job / "installation.yaml").read_text("utf-8") == text


@pytest.mark.parametrize("number", [3, 12])
def test_a_newer_format_is_refused_with_what_is_read(number: int) -> None:
    tree = parse_yaml(f"record: installation/{number}\nfuture: yes\n".encode(), name="x")
    with pytest.raises(NewerFormatError) as refused:
        in_todays_format(tree)
    assert "installation/1 to installation/2" in refused.value.what
    firm = parse_yaml(f"firm: firm/{number}\n".encode(), name="firm.yaml")
    with pytest.raises(NewerFormatError, match=r"this one reads firm/1\. Install"):
        in_todays_format(firm, FIRM)


@pytest.mark.parametrize("text", ["installation", "installation/0", "installation/1.5", "firm/1"])
def test_what_names_no_format_is_told_which_there_are(text: str, tmp_path: Path) -> None:
    with pytest.raises(ComplianceError, match="is not a format this version reads"):
        load_record(_job(tmp_path / "job", OLD.read_text().replace("installation/1", text)))
