"""A pack is made whole or not at all, and others' programs accept it."""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import subprocess
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, BinaryIO

import pytest

from compliance.errors import PackError
from compliance.files.disk import Disk
from compliance.files.paths import PathError
from compliance.pack import Issued, verify
from compliance.pack.refusals import (
    ChangedSinceCheckError,
    FileNameError,
    InformationError,
    InTheWayError,
    NothingInsideError,
    NotWrittenError,
)

Make = Callable[..., Issued]


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, by its path."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def a_cover(issued: Issued) -> dict[str, bytes]:
    return {"cover-sheet.txt": f"root {issued.root}\n".encode(), "cover-sheet.pdf": b"%PDF-"}


@pytest.mark.source("RFC 8493", "bag accepted by the bagit library 1.9", "opened")
def test_the_bagit_library_accepts_a_pack(make: Make) -> None:
    import bagit

    bag = bagit.Bag(str(make().folder))
    assert bag.validate()
    assert bag.info["Bagging-Date"] == "2026-06-01"
    assert bag.info["Source-Organization"] == "Büro Überall"
    assert sorted(bag.payload_files()) == [
        "data/documents/report.pdf",
        "data/evidence/photo-1.jpg",
        "data/how-to-check.txt",
        "data/record.json",
    ]


@pytest.mark.source("GNU coreutils", "sha256sum -c", "opened")
@pytest.mark.skipif(not shutil.which("sha256sum"), reason="sha256sum is not on this system")
def test_sha256sum_accepts_both_lists_and_notices_a_changed_byte(make: Make) -> None:
    folder = make().folder
    command = ["sha256sum", "--strict", "-c", "manifest-sha256.txt", "tagmanifest-sha256.txt"]
    before = subprocess.run(command, cwd=folder, capture_output=True)  # noqa: S603 - fixed words
    assert before.returncode == 0
    record = folder / "data/record.json"
    record.write_bytes(record.read_bytes().replace(b"invented", b"inventeD"))
    after = subprocess.run(command, cwd=folder, capture_output=True, text=True)  # noqa: S603 - same
    assert after.returncode == 1
    assert "data/record.json: FAILED" in after.stdout


@pytest.mark.source("RFC 8493", "2.1.1, 2.1.3, 2.2.1, 2.2.2", "from memory")
def test_the_declarations_are_written_as_the_standard_says(make: Make) -> None:
    files = tree(make().folder)
    assert files["bagit.txt"] == b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    payload = {name: data for name, data in files.items() if name.startswith("data/")}
    octets = sum(map(len, payload.values()))
    assert files["bag-info.txt"].decode().splitlines() == [
        "Bagging-Date: 2026-06-01",
        f"Payload-Oxum: {octets}.4",
        "External-Identifier: INVENTED-1",
        "Source-Organization: Büro Überall",
    ]
    lines = [f"{hashlib.sha256(payload[name]).hexdigest()}  {name}" for name in sorted(payload)]
    assert files["manifest-sha256.txt"].decode().splitlines() == lines
    assert [line[66:] for line in files["tagmanifest-sha256.txt"].decode().splitlines()] == [
        "bag-info.txt",
        "bagit.txt",
        "manifest-sha256.txt",
    ]


def test_the_root_is_the_hash_of_the_list_of_lists(make: Make) -> None:
    issued = make()
    text = (issued.folder / "tagmanifest-sha256.txt").read_bytes()
    assert issued.root == hashlib.sha256(text).hexdigest()
    assert issued.pack_id == issued.root[:12]
    assert verify(issued.folder, expected_root=issued.root).ok


def test_files_inside_are_the_bytes_that_were_given(make: Make, tmp_path: Path) -> None:
    files = tree(make().folder)
    assert files["data/evidence/photo-1.jpg"] == (tmp_path / "roof photo 1.JPG").read_bytes()
    assert files["data/record.json"] == b'{"job": "invented"}\n'


def test_made_twice_in_two_places_the_bytes_are_the_same(make: Make, tmp_path: Path) -> None:
    first = make()
    (tmp_path / "out").rename(tmp_path / "first")
    second = make()
    assert first.root == second.root
    assert tree(tmp_path / "first") == tree(tmp_path / "out")


def test_the_order_of_the_payload_does_not_change_the_pack(make: Make) -> None:
    first = make(name="a", payload={"x": b"1", "y": b"2"})
    assert make(name="b", payload={"y": b"2", "x": b"1"}).root == first.root


def test_another_day_of_check_is_another_pack(make: Make) -> None:
    assert make().root != make(name="later", on=date(2026, 6, 2)).root


def test_the_same_pack_made_again_is_reported_as_the_same(make: Make, tmp_path: Path) -> None:
    first = make(cover=a_cover)
    before = tree(tmp_path / "out")
    second = make(cover=a_cover)
    assert (first.is_new, second.is_new) == (True, False)
    assert (second.root, second.covers) == (first.root, first.covers)
    assert tree(tmp_path / "out") == before


def test_the_cover_lies_beside_the_pack_and_knows_its_root(make: Make, tmp_path: Path) -> None:
    issued = make(cover=a_cover)
    assert issued.covers == (tmp_path / "out/cover-sheet.txt", tmp_path / "out/cover-sheet.pdf")
    assert issued.covers[0].read_text() == f"root {issued.root}\n"
    assert verify(issued.folder).ok


def test_a_lost_cover_is_made_again_with_the_same_pack(make: Make) -> None:
    issued = make(cover=a_cover)
    issued.covers[0].unlink()
    assert make(cover=a_cover).covers[0].is_file()


@pytest.mark.parametrize("what", ["another pack", "changed", "empty folder", "file", "dead link"])
def test_something_different_in_the_way_is_never_written_over(
    make: Make, tmp_path: Path, what: str
) -> None:
    target = tmp_path / "out/invented-job-1"
    if what == "another pack":
        make(payload={"other.txt": b"other"})
    elif what == "changed":
        (make().folder / "data/record.json").write_bytes(b"{}")
    elif what == "empty folder":
        target.mkdir(parents=True)
    elif what == "file":
        target.parent.mkdir()
        target.write_bytes(b"notes")
    else:
        target.parent.mkdir()
        target.symlink_to("nowhere")
    before = tree(tmp_path / "out"), os.listdir(tmp_path / "out")
    with pytest.raises(InTheWayError, match="under a new name") as caught:
        make(cover=a_cover)
    assert "out/invented-job-1" in str(caught.value)
    assert (tree(tmp_path / "out"), os.listdir(tmp_path / "out")) == before


def test_another_cover_in_the_way_stops_the_pack(make: Make, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out/cover-sheet.pdf").write_bytes(b"of another pack")
    with pytest.raises(InTheWayError, match=r"cover-sheet\.pdf"):
        make(cover=a_cover)
    assert tree(tmp_path / "out") == {"cover-sheet.pdf": b"of another pack"}


def test_a_cover_that_cannot_be_drawn_leaves_nothing(make: Make, tmp_path: Path) -> None:
    def broken(issued: Issued) -> dict[str, bytes]:
        raise ZeroDivisionError(issued.pack_id)

    with pytest.raises(ZeroDivisionError):
        make(cover=broken)
    assert os.listdir(tmp_path / "out") == []


def test_a_file_that_changed_since_the_check_stops_the_pack(make: Make, tmp_path: Path) -> None:
    checked = hashlib.sha256(b"not really a photo" * 1000).hexdigest()
    expected = {"evidence/photo-1.jpg": checked}
    make(name="a", expected=expected)
    (tmp_path / "roof photo 1.JPG").write_bytes(b"another photo")
    with pytest.raises(ChangedSinceCheckError, match="Run the check again"):
        make(name="b", expected=expected)
    assert os.listdir(tmp_path / "out") == ["a"]


def test_an_expectation_of_a_file_that_is_not_packed_stops_the_pack(make: Make) -> None:
    with pytest.raises(ChangedSinceCheckError, match=r"evidence/photo-2\.jpg"):
        make(expected={"evidence/photo-2.jpg": "0" * 64})


@pytest.mark.parametrize("kind", ["missing", "link", "pipe", "folder"])
def test_only_ordinary_files_are_copied(make: Make, tmp_path: Path, kind: str) -> None:
    source = tmp_path / "source"
    if kind == "link":
        source.symlink_to("/etc/hostname")
    elif kind == "pipe":
        os.mkfifo(source)
    elif kind == "folder":
        source.mkdir()
    with pytest.raises(PathError):
        make(payload={"source": source})
    assert os.listdir(tmp_path / "out") == []


@pytest.mark.parametrize(
    "name",
    [
        "Photo.jpg",
        "café.jpg",
        "a b.jpg",
        "50%0a.txt",
        "../a.txt",
        "/a.txt",
        "a//b.txt",
        "a/",
        "",
        ".",
        ".hidden",
        "-rf",
        "a\\b.txt",
        "c:a.txt",
        "con",
        "aux.txt",
        "a/lpt1.jpg",
        "dot.",
        "x" * 101,
    ],
)
def test_names_that_are_not_kept_alike_everywhere_are_refused(
    make: Make, tmp_path: Path, name: str
) -> None:
    with pytest.raises(FileNameError):
        make(payload={"good.txt": b"", name: b""})
    with pytest.raises(FileNameError):
        make(cover=lambda issued: {name: b""})
    assert os.listdir(tmp_path / "out") == []


def test_a_cover_stands_in_no_folder(make: Make) -> None:
    with pytest.raises(FileNameError):
        make(cover=lambda issued: {"data/cover.txt": b""})


def test_a_cover_never_takes_the_place_of_the_pack(make: Make, tmp_path: Path) -> None:
    with pytest.raises(PackError):
        make(cover=lambda issued: {"invented-job-1": b""})
    assert os.listdir(tmp_path / "out") == []


@pytest.mark.parametrize("name", ["Job", "a/b", "..", ""])
def test_the_name_of_the_pack_is_one_plain_name(make: Make, name: str) -> None:
    with pytest.raises(FileNameError):
        make(name=name)


def test_a_name_of_a_hundred_characters_is_kept(make: Make) -> None:
    assert verify(make(payload={"x" * 100: b"1"}).folder).ok


def test_a_file_and_a_folder_of_one_name_are_refused(make: Make) -> None:
    with pytest.raises(FileNameError, match="a file and a folder"):
        make(payload={"a/b.txt": b"", "a": b""})


def test_the_page_on_checking_is_ours(make: Make) -> None:
    with pytest.raises(FileNameError, match="written by the pack itself"):
        make(payload={"how-to-check.txt": b"trust me"})


def test_an_empty_pack_is_refused(make: Make) -> None:
    with pytest.raises(NothingInsideError):
        make(payload={})


@pytest.mark.parametrize(
    "info",
    [
        {"Note": "two\nPayload-Oxum: 1.1"},
        {"Note": "carriage\rreturn"},
        {"Note": ""},
        {"Note": " blank"},
        {"Note: x": "text"},
        {"": "text"},
        {"payload-oxum": "1.1"},
        {"Bagging-Date": "2020-01-01"},
    ],
)
def test_lines_about_the_pack_cannot_add_other_lines(make: Make, info: dict[str, str]) -> None:
    with pytest.raises(InformationError):
        make(info=info)


def test_a_folder_that_is_not_there_is_named(make: Make, tmp_path: Path) -> None:
    from compliance.pack import assemble

    with pytest.raises(NotWrittenError, match="No such file or directory"):
        assemble(tmp_path / "gone", name="a", on=date(2026, 6, 1), payload={"a": b""}, info={})


class Killed(BaseException):
    """The process is gone: nothing after it happens, tidying up included."""


class FailingDisk(Disk):
    """A disk whose step number `fails_at` fails, before it does anything or half-way."""

    def __init__(self, fails_at: int, failure: BaseException) -> None:
        self.fails_at = fails_at
        self.failure = failure
        self.steps = 0

    def step(self, path: Path | None = None) -> None:
        self.steps += 1
        if self.steps == self.fails_at or (self.is_dead and self.steps > self.fails_at):
            if path:
                path.write_bytes(b"half")
            raise self.failure

    @property
    def is_dead(self) -> bool:
        return isinstance(self.failure, Killed)

    def make_folder(self, folder: Path) -> None:
        self.step()
        super().make_folder(folder)

    def write(self, path: Path, data: bytes) -> None:
        self.step(path)
        super().write(path, data)

    def copy(self, source: BinaryIO, path: Path) -> tuple[str, int]:
        self.step(path)
        return super().copy(source, path)

    def settle(self, folder: Path) -> None:
        self.step()
        super().settle(folder)

    def rename(self, old: Path, new: Path) -> None:
        self.step()
        super().rename(old, new)

    def remove(self, path: Path) -> None:
        self.step()
        super().remove(path)


def steps_of(make: Make) -> int:
    disk = FailingDisk(-1, OSError())
    make(name="counted", disk=disk, cover=lambda issued: {"counted.txt": b"", "counted.pdf": b""})
    return disk.steps


FAILURES: list[Any] = [
    OSError(errno.ENOSPC, "No space left on device"),
    OSError(errno.EIO, "Input/output error"),
    KeyboardInterrupt(),
]


@pytest.mark.parametrize("failure", FAILURES, ids=["full", "broken", "interrupted"])
def test_whatever_step_fails_nothing_is_left(
    make: Make, tmp_path: Path, failure: BaseException
) -> None:
    count = steps_of(make)
    shutil.rmtree(tmp_path / "out")
    assert count > 20
    expected: type[BaseException] = (
        NotWrittenError if isinstance(failure, OSError) else type(failure)
    )
    for step in range(1, count + 1):
        with pytest.raises(expected):
            make(disk=FailingDisk(step, failure), cover=a_cover)
        assert os.listdir(tmp_path / "out") == [], step
    assert make(disk=FailingDisk(count + 1, failure), cover=a_cover).is_new


def test_whenever_the_power_goes_a_pack_is_whole_or_not_there(make: Make, tmp_path: Path) -> None:
    count = steps_of(make)
    shutil.rmtree(tmp_path / "out")
    for step in range(1, count + 1):
        with pytest.raises(Killed):
            make(disk=FailingDisk(step, Killed()), cover=a_cover)
        target = tmp_path / "out/invented-job-1"
        assert not target.exists() or verify(target).ok, step
        for left in (tmp_path / "out").glob(".pack-*"):
            assert not verify(left).ok
        made = make(cover=a_cover)
        assert verify(target, expected_root=made.root).ok
        assert all(cover.is_file() for cover in made.covers)
        shutil.rmtree(tmp_path / "out")


def test_what_could_not_be_taken_away_is_named(make: Make, tmp_path: Path) -> None:
    class Stuck(FailingDisk):
        def remove(self, path: Path) -> None:
            raise OSError(errno.EIO, "Input/output error")

    full = OSError(errno.ENOSPC, "No space left on device")
    with pytest.raises(NotWrittenError, match=r'remove "\.pack-[0-9a-f]{12}\.part"'):
        make(disk=Stuck(5, full))


def test_a_pack_that_came_up_meanwhile_is_not_taken_away(make: Make, tmp_path: Path) -> None:
    other = tmp_path / "out/invented-job-1/data"

    class Beaten(Disk):
        def rename(self, old: Path, new: Path) -> None:
            other.mkdir(parents=True)
            (other / "theirs.txt").write_bytes(b"theirs")
            super().rename(old, new)

    with pytest.raises(NotWrittenError):
        make(disk=Beaten())
    assert tree(tmp_path / "out") == {"invented-job-1/data/theirs.txt": b"theirs"}


def test_files_and_folders_are_on_the_disk_before_the_pack_has_its_name(
    make: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every file and folder of the bag is synced, the folder above only after the rename."""
    steps: list[tuple[str, str]] = []
    real_sync, real_rename = os.fsync, Path.rename

    def sync(descriptor: int) -> None:
        steps.append(("sync", os.path.basename(os.readlink(f"/proc/self/fd/{descriptor}"))))
        real_sync(descriptor)

    def rename(old: Path, new: Path) -> Path:
        steps.append(("rename", new.name))
        return real_rename(old, new)

    if not Path("/proc/self/fd").is_dir():
        pytest.skip("this system does not tell which file a descriptor is")
    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(Path, "rename", rename)
    folder = make().folder
    moved = steps.index(("rename", "invented-job-1"))
    before, after = steps[:moved], steps[moved + 1 :]
    names = {path.name for path in folder.rglob("*")} | {"invented-job-1"}
    assert {name for _, name in before} == names
    assert ("sync", "out") in after
    assert before[-2:] == [("sync", "tagmanifest-sha256.txt"), ("sync", "invented-job-1")]
