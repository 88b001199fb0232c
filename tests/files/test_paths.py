"""Paths that a record names stay inside their folder, and nothing is waited for."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest

from compliance.errors import ComplianceError, Place
from compliance.files import paths
from compliance.files.paths import (
    CannotBeReadError,
    NotAFileError,
    NotThereError,
    OutsideTheJobError,
    inside,
    open_file,
    open_regular,
)

needs_links = pytest.mark.skipif(os.name == "nt", reason="links need rights on Windows")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job folder with one photo, beside a secret and a folder whose name starts alike."""
    folder = tmp_path / "job"
    (folder / "evidence").mkdir(parents=True)
    (folder / "evidence" / "photo.jpg").write_bytes(b"photo")
    (tmp_path / "job-evil").mkdir()
    (tmp_path / "job-evil" / "photo.jpg").write_bytes(b"evil")
    (tmp_path / "secret").write_bytes(b"secret")
    return folder


@pytest.mark.parametrize(
    "relative",
    ["evidence/photo.jpg", "./evidence/photo.jpg", "evidence//photo.jpg", "evidence/./photo.jpg"],
)
def test_a_file_in_the_folder_is_found_and_opened(job: Path, relative: str) -> None:
    assert inside(job, relative).resolve() == (job / "evidence" / "photo.jpg").resolve()
    with open_regular(job, relative) as file:
        assert file.read() == b"photo"


def test_names_with_dots_spaces_and_accents_are_ordinary(job: Path) -> None:
    for name in ("..photo.jpg", "roof face é 2.jpg", "...", "a..b"):
        (job / name).write_bytes(b"x")
        with open_regular(job, name) as file:
            assert file.read() == b"x"


def test_a_path_in_the_folder_need_not_exist_to_be_inside(job: Path) -> None:
    assert inside(job, "output/pack.pdf") == job / "output" / "pack.pdf"


@pytest.mark.parametrize(
    ("relative", "words"),
    [
        ("/etc/passwd", "starts at the top of a disk"),
        ("//server/share/photo.jpg", "starts at the top of a disk"),
        ("\\\\server\\share", "starts at the top of a disk"),
        ("C:\\win.txt", "starts at the top of a disk"),
        ("C:win.txt", "starts at the top of a disk"),
        ("c:/win.txt", "starts at the top of a disk"),
        ("evidence\\photo.jpg", "folders are separated by /"),
        ("..\\secret", "folders are separated by /"),
        ("../secret", "steps out of a folder with .."),
        ("../job-evil/photo.jpg", "steps out"),
        ("evidence/../../secret", "steps out"),
        ("evidence/../evidence/photo.jpg", "steps out"),
        ("..", "steps out"),
        ("evidence/photo.jpg\0.png", "is not a file name"),
        ("", "is not a file name"),
        ("  ", "is not a file name"),
    ],
)
def test_a_path_that_could_lead_out_is_refused_by_name(
    job: Path, relative: str, words: str
) -> None:
    place = Place("installation.yaml", 12, 9, "evidence.photo.file")
    for opens in (inside, open_regular):
        with pytest.raises(OutsideTheJobError) as caught:
            opens(job, relative, place=place)
        assert words in caught.value.what
        assert "name it from there, such as evidence/photo.jpg" in caught.value.what
        assert caught.value.place == place
        assert "\0" not in str(caught.value)


@needs_links
def test_a_link_that_leads_out_is_refused(job: Path) -> None:
    (job / "evidence" / "link.jpg").symlink_to(job.parent / "secret")
    (job / "away").symlink_to(job.parent / "job-evil")
    for relative in ("evidence/link.jpg", "away/photo.jpg", "away/new.jpg"):
        with pytest.raises(OutsideTheJobError, match="link that leads out"):
            inside(job, relative)
        with pytest.raises(OutsideTheJobError):
            open_regular(job, relative)


@needs_links
def test_a_link_that_stays_inside_is_a_path_inside_but_is_not_opened(job: Path) -> None:
    (job / "photo.jpg").symlink_to("evidence/photo.jpg")
    (job / "photos").symlink_to("evidence")
    assert inside(job, "photo.jpg") == job / "photo.jpg"
    for relative in ("photo.jpg", "photos/photo.jpg"):
        with pytest.raises(NotAFileError, match="is a link"):
            open_regular(job, relative)


@needs_links
def test_a_link_put_in_place_after_the_check_is_not_followed(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (job / "photos").symlink_to(job.parent / "job-evil")
    monkeypatch.setattr(paths, "inside", lambda folder, relative, place: folder / relative)
    with pytest.raises(NotAFileError, match="is a link"):
        open_regular(job, "photos/photo.jpg")


@needs_links
def test_links_in_a_circle_are_refused(job: Path) -> None:
    (job / "a").symlink_to("b")
    (job / "b").symlink_to("a")
    with pytest.raises(ComplianceError):
        inside(job, "a/photo.jpg")
    with pytest.raises(ComplianceError):
        open_regular(job, "a")


@needs_links
def test_the_folder_itself_may_be_a_link(job: Path) -> None:
    link = job.parent / "link"
    link.symlink_to(job)
    with open_regular(link, "evidence/photo.jpg") as file:
        assert file.read() == b"photo"


def test_a_file_that_is_not_there_is_refused_by_name(job: Path) -> None:
    for relative in ("evidence/other.jpg", "none/photo.jpg", "evidence/photo.jpg/deeper"):
        with pytest.raises(NotThereError) as caught:
            open_regular(job, relative)
        assert f'"{relative}" is not there' in caught.value.what


@pytest.mark.parametrize("relative", ["a" * 5_000, "\ud800.jpg"])
def test_a_name_that_no_system_has_is_not_there(job: Path, relative: str) -> None:
    with pytest.raises(ComplianceError) as caught:
        open_regular(job, relative)
    str(caught.value).encode("utf-8")


def test_a_folder_is_no_file(job: Path) -> None:
    for relative in ("evidence", "."):
        with pytest.raises(NotAFileError, match="is a folder; an ordinary file is needed"):
            open_regular(job, relative)
    with pytest.raises(NotAFileError, match="folder"):
        open_file(job)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_or_socket_is_refused_and_not_waited_for(job: Path) -> None:
    os.mkfifo(job / "pipe")
    with socket.socket(socket.AF_UNIX) as listener:
        here = Path.cwd()
        os.chdir(job)  # a socket's path may be no longer than about 100 characters
        listener.bind("socket")
        os.chdir(here)
        for name in ("pipe", "socket"):
            with pytest.raises(NotAFileError, match="device"):
                open_regular(job, name)
            with pytest.raises(NotAFileError, match="device"):
                open_file(job / name)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read all")
def test_a_file_without_the_right_to_read_says_so(job: Path) -> None:
    (job / "evidence" / "photo.jpg").chmod(0)
    with pytest.raises(CannotBeReadError, match="may not be read"):
        open_regular(job, "evidence/photo.jpg")


def test_a_refusal_by_the_system_is_said_in_our_words(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(CannotBeReadError, match="Ask its owner"):
        open_file(job / "evidence" / "photo.jpg", name="photo.jpg")


@needs_links
def test_where_the_system_cannot_step_folder_by_folder_links_out_are_still_refused(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(paths, "_CAN_STEP", False)
    (job / "link.jpg").symlink_to(job.parent / "secret")
    with open_regular(job, "evidence/photo.jpg") as file:
        assert file.read() == b"photo"
    with pytest.raises(OutsideTheJobError):
        open_regular(job, "link.jpg")
    with pytest.raises(NotThereError):
        open_regular(job, "evidence/other.jpg")


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="needs /proc to count open files")
def test_no_file_stays_open_after_a_refusal(job: Path) -> None:
    before = len(os.listdir("/proc/self/fd"))
    for relative in ("evidence", "evidence/none", "evidence/photo.jpg/x", "none/x", "../x"):
        with pytest.raises(ComplianceError):
            open_regular(job, relative)
    assert len(os.listdir("/proc/self/fd")) == before
