"""The first ten minutes through the real command line: start a job, its sheet, five readings."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from io import BytesIO
from pathlib import Path

import pypdf
import pytest

from compliance.files.disk import Disk
from compliance.files.folder import FolderTakenError, NoParentFolderError, new_folder
from compliance.files.write import NotSavedError
from compliance.rules.outcome import NO_PERMISSION

ROOT = Path(__file__).parents[2]
COMMAND = [sys.executable, "-X", "utf8", "-m", "compliance"]
ANSWERS = "2,1,1,1,1,3"


def call(folder: Path, *arguments: str, given: str = "") -> tuple[int, str, str]:
    """Runs a command as a person does, in a folder of theirs."""
    done = subprocess.run(  # noqa: S603 - our own interpreter
        [*COMMAND, *arguments], capture_output=True, text=True, check=False, cwd=folder,
        input=given, env=_environment(folder), encoding="utf-8",
    )  # fmt: skip
    assert "Traceback" not in done.stdout + done.stderr
    return done.returncode, done.stdout, done.stderr


def _environment(folder: Path) -> dict[str, str]:
    import os

    return {**os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(folder / ".cache")}


def words_of(pdf: Path) -> str:
    pages = pypdf.PdfReader(BytesIO(pdf.read_bytes())).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def visible(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir() if p.name != ".cache")


def test_the_first_ten_minutes(tmp_path: Path) -> None:
    started = time.monotonic()
    typed = "\n".join(ANSWERS.split(","))
    code, out, err = call(tmp_path, "new", "2026-200", given=f"{typed}\n")
    assert (code, err) == (0, "")
    assert NO_PERMISSION in out
    job = tmp_path / "2026-200"
    assert visible(job) == ["installation.yaml", "visit-sheet.docx", "visit-sheet.pdf"]
    sheet = words_of(job / "visit-sheet.pdf")
    for told in ("at least 1 MΩ", "at least 0.5 MΩ (below 120 V), 1 MΩ (from 120 V)", "2.73",
                 "The same mark at both ends of each DC cable", "Notice of two supplies at the",
                 "Loose ends of DC cables insulated when leaving", "padlock with one key",
                 ):  # fmt: skip
        assert told in sheet, told
    readings = [
        ("S1", "polarity", "result=correct"),
        ("S1", "insulation", "IR+=over 200", "IR-=38", "Utest=500"),
        ("C1", "continuity", "result=continuous", "R1+R2=0.31"),
        ("C1", "circuit insulation", "live_earth_megohm=over 200", "live_live_megohm=over 200"),
        ("C1", "loop impedance", "Zs=0.52"),
    ]
    for reading in readings:
        code, out, err = call(tmp_path, "reading", "2026-200", *reading)
        assert code == 0, err
    code, out, _ = call(tmp_path, "check", "2026-200")
    assert code == 1
    assert "Protective conductor" not in out, "the reading settled it"
    assert "Holds up leaving the site" in out
    assert call(tmp_path, "sheet", "2026-200")[0] == 0
    later = words_of(job / "visit-sheet.pdf")
    assert "circuit insulation: insulation resistance, live to earth" in sheet
    assert "circuit insulation: insulation resistance, live to earth" not in later
    assert time.monotonic() - started < 120, "ten minutes are for the person, not the program"


def test_answers_given_at_once_make_the_same_record(tmp_path: Path) -> None:
    call(tmp_path, "new", "a", given="\n".join(ANSWERS.split(",")) + "\n")
    (tmp_path / "below").mkdir()
    call(tmp_path, "new", "below/a", "--answers", ANSWERS)
    asked, given = (tmp_path / p / "installation.yaml" for p in ("a", "below/a"))
    assert asked.read_bytes() == given.read_bytes()


def test_a_wrong_number_is_asked_again(tmp_path: Path) -> None:
    code, out, _ = call(tmp_path, "new", "a", given="9\n1\n1\n1\n1\n1\n2\n")
    assert code == 0
    assert '"9" answers nothing. What is fitted? Give a number from 1 to 7' in out


def test_what_contradicts_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    code, _, err = call(tmp_path, "new", "a", "--answers", "1,1,7,1,1,1")
    assert code == 2
    assert "panels are fitted, yet they go nowhere" in err
    assert visible(tmp_path) == []


def test_an_end_of_the_answers_leaves_nothing(tmp_path: Path) -> None:
    code, _, err = call(tmp_path, "new", "a", given="1\n1\n")
    assert code == 130
    assert "nothing half-made" in err
    assert visible(tmp_path) == []


@pytest.mark.skipif(sys.platform == "win32", reason="a signal of a terminal")
def test_an_interrupt_leaves_nothing(tmp_path: Path) -> None:
    running = subprocess.Popen(  # noqa: S603 - our own interpreter
        [*COMMAND, "new", "a"], cwd=tmp_path, env=_environment(tmp_path),
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    with running:
        assert running.stdout is not None
        running.stdout.readline()  # it asks, so the folder is being made
        assert [name for name in visible(tmp_path) if name.startswith(".a.")]
        running.send_signal(signal.SIGINT)
        running.communicate(timeout=30)
    assert running.returncode == 130
    assert visible(tmp_path) == []


def test_a_folder_with_something_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "notes.txt").write_text("mine", "utf-8")
    code, _, err = call(tmp_path, "new", "a", "--answers", ANSWERS)
    assert code == 2
    assert "not empty (notes.txt)" in err
    assert visible(tmp_path / "a") == ["notes.txt"]


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    assert call(tmp_path, "new", "a", "--answers", ANSWERS)[0] == 0


def test_a_like_job_gives_its_people_and_types(tmp_path: Path) -> None:
    like = ROOT / "sample_installs" / "bungalow-two-faces"
    code, _, _ = call(tmp_path, "new", "a", "--answers", "1,1,2,1,1,2", "--like", str(like))
    assert code == 0
    assert "Rowan Vale" in (tmp_path / "a" / "installation.yaml").read_text("utf-8")


class FullDisk(Disk):
    """A disk that is full once so many files were written."""

    def __init__(self, most: int) -> None:
        self.left = most

    def write(self, path: Path, data: bytes) -> None:
        self.left -= 1
        if self.left < 0:
            raise OSError(28, "No space left on device")
        super().write(path, data)


def test_a_full_disk_leaves_nothing(tmp_path: Path) -> None:
    disk = FullDisk(1)
    with (  # noqa: PT012 - the block is what is tried
        pytest.raises(NotSavedError, match="No space left"),
        new_folder(tmp_path / "a", disk=disk) as made,
    ):
        disk.write(made / "one", b"1")
        disk.write(made / "two", b"2")
    assert visible(tmp_path) == []


def test_a_folder_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), new_folder(tmp_path / "a") as made:  # noqa: PT012
        (made / "one").write_bytes(b"1")
        assert visible(tmp_path) == [made.name]
        raise ZeroDivisionError
    assert visible(tmp_path) == []
    with pytest.raises(NoParentFolderError), new_folder(tmp_path / "b" / "c"):
        pass
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(FolderTakenError), new_folder(tmp_path / "file"):
        pass


def test_what_a_like_job_lent_is_told_as_planned_before_the_counts(tmp_path: Path) -> None:
    like = ROOT / "sample_installs" / "bungalow-two-faces"
    assert call(tmp_path, "new", "a", "--answers", "1,1,2,1,1,2", "--like", str(like))[0] == 0
    for more in ([], ["--all"]):
        _, text, _ = call(tmp_path, "check", "a", *more)
        told = " ".join(text.split())
        assert "Planned only, not counted above: " in told
        assert "say `by` and `on` in the batch as-built." in told
        assert text.strip().endswith("A competent person decides and signs.")
    _, text, _ = call(tmp_path, "check", "a", "--format", "json")
    planned = {entry["name"]: entry["batch"] for entry in json.loads(text)["planned"]}
    assert planned["ac1"] == "as-built"


FIRM = """\
firm: firm/1
batches:
  as-built:
    leads: clipped clear of the roof
    mark_at_array: its name
"""


def test_how_the_firm_always_works_is_printed_for_whoever_speaks_for_it(tmp_path: Path) -> None:
    (tmp_path / "firm.yaml").write_text(FIRM, "utf-8")
    assert call(tmp_path, "new", "a", "--answers", "1,1,2,1,1,1")[0] == 0
    record = (tmp_path / "a" / "installation.yaml").read_text("utf-8")
    assert "    usual: as-built\n    on: day of visit 1\n" in record
    sheet = words_of(tmp_path / "a" / "visit-sheet.pdf")
    assert "as-built, mark at array: its name" in sheet
    assert "as-built, leads: clipped clear of the roof" in sheet
