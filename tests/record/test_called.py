"""Records written in the trade's names of fields: the same record, at the same lines."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from compliance.errors import ComplianceError
from compliance.files.cache import NoCache
from compliance.record.load import load_record
from compliance.record.opened import open_record

Call = Callable[..., tuple[int, str, str]]
HEAD = "record: installation/1\nreference: J\njurisdiction: GB-ENG\ntitle: t\n"
OWN = HEAD + (
    "site: {supply: {ze_ohm: 0.2, prospective_fault_ka: 1.1}}\n"
    "components: {m: {category: module, voc_v: 40, isc_a: 14}}\n"
    "strings: {S1: {modules: m}}\n"
    "tests:\n"
    "  - {test: open-circuit voltage, of: S1, on: 2026-11-20, value_v: 341, irradiance_w_m2: 600}\n"
    "  - {test: short-circuit current, of: S1, on: 2026-11-20, value_a: 8.1}\n"
    "  - {test: insulation, of: S1, on: 2026-11-20, positive_earth_megohm: 40}\n"
)
TRADE = (
    OWN.replace("ze_ohm", "Ze").replace("prospective_fault_ka", "PFC").replace("voc_v", "Voc")
    .replace("isc_a", "isc").replace("value_v", "VOC").replace("irradiance_w_m2", "G")
    .replace("value_a", "Isc").replace("positive_earth_megohm", "IR+")
)  # fmt: skip


def _view(folder: Path, text: str) -> object:
    (folder / "installation.yaml").write_text(text, "utf-8")
    return open_record(folder, NoCache(), today=date(2026, 11, 25)).view


def _refused(folder: Path, text: str) -> str:
    with pytest.raises(ComplianceError) as refused:
        _view(folder, text)
    return f"{refused.value.place} {refused.value}"


def test_the_trade_s_names_give_the_same_record(tmp_path: Path) -> None:
    assert TRADE.count("Voc") == TRADE.count("VOC") == 1
    records = []
    for text in (OWN, TRADE):
        (tmp_path / "installation.yaml").write_text(text, "utf-8")
        records.append(load_record(tmp_path).record)
    assert records[0] == records[1]


def test_a_wrong_value_is_told_at_the_line_where_it_stands(tmp_path: Path) -> None:
    told = _refused(tmp_path, HEAD + "site:\n  supply:\n    Ze: soon\n")  # fmt: skip
    assert f"{tmp_path / 'installation.yaml'}:7:9  site.supply.ze_ohm" in told


def test_the_same_field_by_both_names_is_refused(tmp_path: Path) -> None:
    told = _refused(tmp_path, HEAD + "site: {supply: {ze_ohm: 0.2, Ze: 0.3}}\n")
    assert '"Ze" is no field' in told


def test_a_name_that_fits_nothing_here_is_refused(tmp_path: Path) -> None:
    assert '"Zs" is no field' in _refused(tmp_path, HEAD + "site: {supply: {Zs: 0.3}}\n")


def test_a_country_without_a_word_list_has_no_such_names(tmp_path: Path) -> None:
    text = HEAD.replace("GB-ENG", "XX") + "site: {supply: {Ze: 0.2}}\n"
    assert '"Ze" is no field' in _refused(tmp_path, text)


def test_the_firm_s_parts_may_be_written_so_too(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    firm = "firm: firm/1\ncomponents: {m: {category: module, Voc: 41}}\n"
    (tmp_path / "firm.yaml").write_text(firm, "utf-8")
    view = _view(job, HEAD + "strings: {S1: {modules: m}}\n")
    assert view["strings"][0]["modules"]["voc_v"] == 41.0  # type: ignore[index]


def test_set_changes_the_value_and_keeps_the_person_s_name_for_it(
    call: Call, tmp_path: Path
) -> None:
    (tmp_path / "installation.yaml").write_text(HEAD + "site: {supply: {Ze: 0.2}}\n", "utf-8")
    code, out, _ = call("set", tmp_path, "site.supply.ze_ohm", "0.31")
    assert (code, out.splitlines()[0]) == (0, "site.supply.ze_ohm: 0.31")
    assert "Ze: 0.31" in (tmp_path / "installation.yaml").read_text("utf-8")
    assert "ze_ohm" not in (tmp_path / "installation.yaml").read_text("utf-8")
