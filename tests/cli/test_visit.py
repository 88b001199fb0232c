"""A visit's screen: danger, what holds up leaving, today's last chances, and perhaps others."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from compliance.cli.visit import printed_for_visit
from compliance.files.resources import rulesets_folder
from compliance.rules.job import open_job

BUNGALOW = Path(__file__).parents[2] / "sample_installs" / "bungalow-two-faces"
DAY = date(2026, 10, 7)


def screen(folder: Path, *changes: tuple[str, str], on: date = DAY) -> str:
    text = (BUNGALOW / "installation.yaml").read_text("utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    (folder / "installation.yaml").write_text(text, "utf-8")
    if not (folder / "evidence").exists():
        (folder / "evidence").symlink_to(BUNGALOW / "evidence", target_is_directory=True)
    checked = open_job(folder, rulesets_folder(), today=on, on=on).checked
    return " ".join(printed_for_visit(checked, on).split())


PHOTO = "    file: evidence/clamps-and-leads.jpg\n    kind: photo\n    about: "
CLAMPS = (f"{PHOTO}[kit-1, S1, S2]", f"{PHOTO}[S1, S2]")
STRUCK = "    struck: 2026-10-14\n"


def test_what_the_scaffold_takes_away_today_is_asked_for_as_a_photo(tmp_path: Path) -> None:
    sooner = (STRUCK, "    struck: 2026-10-07\n")
    said = screen(tmp_path, CLAMPS, sooner)
    last = said[said.index("Last chance on 2026-10-07") :]
    assert "before the scaffold comes down, installer: kit-1: Clamps and rails" in last
    assert "a photo about kit-1" in last
    after = screen(tmp_path, CLAMPS, sooner, on=date(2026, 10, 8))
    assert "Last chance on 2026-10-08 (0)" in after
    assert "a photo about kit-1" not in after


def test_where_nobody_says_when_it_comes_down_today_may_be_the_last_chance(tmp_path: Path) -> None:
    said = screen(tmp_path, CLAMPS, (STRUCK, ""))
    assert "Perhaps the last chance: the record does not say when that is (" in said
    perhaps = said[said.index("Perhaps") :]
    assert "before the scaffold comes down:" in perhaps
    assert "installer: Clamps and rails" in perhaps


def test_what_is_still_up_is_no_chance_lost(tmp_path: Path) -> None:
    assert "Clamps" not in screen(tmp_path, CLAMPS, (STRUCK, "    struck: not yet\n"))


def test_todays_leaving_stands_before_that_of_earlier_visits(tmp_path: Path) -> None:
    told = (f"      told_by: {who}\n    next_on: {day}\n" for who, day in
            (("ash", "2026-10-07"), ("rowan", "2026-10-14")))  # fmt: skip
    changes = [(t, t.partition("\n")[2]) for t in told]
    said = screen(tmp_path, *changes)
    leaving = said[said.index("Holds up leaving") : said.index("Last chance")]
    assert "Holds up leaving the site (2)" in leaving
    assert leaving.index("visit of 2026-10-07:") < leaving.index("visit of 2026-10-05:")
