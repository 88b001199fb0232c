"""A pack is called sound only if nothing is missing, extra or different."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from compliance.pack import Issued, verify
from compliance.pack import verify as verify_function
from compliance.pack.problems import SENTENCES

Make = Callable[..., Issued]
Change = Callable[[Path], object]


def write(folder: Path, name: str, data: bytes) -> None:
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(data)


def relist(folder: Path) -> None:
    """Write the list of lists again, as someone would who covers a change up."""
    names = ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")
    lines = [f"{hashlib.sha256((folder / n).read_bytes()).hexdigest()}  {n}\n" for n in names]
    write(folder, "tagmanifest-sha256.txt", "".join(lines).encode())


def replace_in(name: str, old: bytes, new: bytes) -> Change:
    def change(folder: Path) -> None:
        data = (folder / name).read_bytes()
        assert old in data
        write(folder, name, data.replace(old, new, 1))
        if name != "tagmanifest-sha256.txt" and not name.startswith("data/"):
            relist(folder)

    return change


def append_to(name: str, more: bytes) -> Change:
    def change(folder: Path) -> None:
        write(folder, name, (folder / name).read_bytes() + more)
        if name != "tagmanifest-sha256.txt":
            relist(folder)

    return change


def without(name: str) -> Change:
    return lambda folder: (folder / name).unlink()


def extra(name: str, data: bytes = b"extra") -> Change:
    return lambda folder: write(folder, name, data)


def linked(name: str, to: str) -> Change:
    def change(folder: Path) -> None:
        (folder / name).unlink(missing_ok=True)
        (folder / name).symlink_to(to)

    return change


def twice(folder: Path) -> None:
    first = (folder / "manifest-sha256.txt").read_bytes().splitlines(keepends=True)[0]
    append_to("manifest-sha256.txt", first)(folder)


def two_spellings(folder: Path) -> None:
    write(folder, "data/Record.json", b"{}")
    line = hashlib.sha256(b"{}").hexdigest().encode() + b"  data/Record.json\n"
    append_to("manifest-sha256.txt", line)(folder)


def emptied(folder: Path) -> None:
    write(folder, "manifest-sha256.txt", b"")
    relist(folder)


LINE = b"0" * 64 + b"  "
M = "manifest-sha256.txt"
T = "tagmanifest-sha256.txt"

# One case a line: what is done to a sound pack, the problem, the file that it names.
CASES: dict[str, tuple[Change, str, str]] = {
    "a byte flipped": (
        replace_in("data/record.json", b"invented", b"inventeD"),
        "pack.changed-file",
        '"data/record.json"',
    ),
    "same length and time": (
        lambda f: write(f, "data/record.json", bytes((f / "data/record.json").stat().st_size)),
        "pack.changed-file",
        '"data/record.json"',
    ),
    "a list changed": (
        lambda f: write(f, M, (f / M).read_bytes().replace(b"a", b"b")),
        "pack.changed-file",
        f'"{M}"',
    ),
    "a file gone": (without("data/record.json"), "pack.missing-file", '"data/record.json"'),
    "a file added": (extra("data/x.txt"), "pack.unlisted-file", '"data/x.txt"'),
    "a hidden file added": (extra("data/.x"), "pack.unlisted-file", '"data/.x"'),
    "a file beside data": (extra("README.txt"), "pack.unlisted-file", '"README.txt"'),
    "another folder": (extra("more/x.txt"), "pack.unlisted-file", '"more/x.txt"'),
    "a name with a line break": (extra("data/a\nb"), "pack.unlisted-file", "a\\nb"),
    "a name that is no text": (
        lambda f: write(f, os.fsdecode(b"data/\xff\xfe"), b""),
        "pack.unlisted-file",
        "\\udcff",
    ),
    "a declaration not listed": (
        replace_in(T, b"  bagit.txt", b"  more.txt"),
        "pack.unlisted-file",
        '"bagit.txt"',
    ),
    "an empty folder": (lambda f: (f / "data/x").mkdir(), "pack.empty-folder", '"data/x"'),
    "a link to a file outside": (
        linked("data/record.json", "/etc/hostname"),
        "pack.link",
        '"data/record.json"',
    ),
    "a link to a file inside": (linked("data/x", "record.json"), "pack.link", '"data/x"'),
    "a link to a folder": (linked("data/x", "/"), "pack.link", '"data/x"'),
    "a link as list": (linked(T, "bagit.txt"), "pack.link", f'"{T}"'),
    "a pipe": (lambda f: os.mkfifo(f / "data/x"), "pack.not-a-file", '"data/x"'),
    "no declaration": (without("bagit.txt"), "pack.no-declaration", '"bagit.txt"'),
    "no information": (without("bag-info.txt"), "pack.no-information", '"bag-info.txt"'),
    "no list": (without(M), "pack.no-manifest", f'"{M}"'),
    "no list of lists": (without(T), "pack.no-tag-manifest", f'"{T}"'),
    "another version": (
        replace_in("bagit.txt", b"1.0", b"0.97"),
        "pack.declaration",
        '"bagit.txt"',
    ),
    "a mark before the text": (
        replace_in("bagit.txt", b"BagIt", b"\xef\xbb\xbfBagIt"),
        "pack.declaration",
        '"bagit.txt"',
    ),
    "files to fetch": (extra("fetch.txt"), "pack.fetch", '"fetch.txt"'),
    "another algorithm": (
        extra("manifest-md5.txt"),
        "pack.other-algorithm",
        '"manifest-md5.txt"',
    ),
    "a list of lists by another algorithm": (
        extra("tagmanifest-sha512.txt"),
        "pack.other-algorithm",
        '"tagmanifest-sha512.txt"',
    ),
    "a list that is no text": (append_to(M, b"\xff"), "pack.list-not-text", f'"{M}"'),
    "a line without hash": (append_to(M, b"record.json\n"), "pack.list-line", f'"{M}" line 5'),
    "a short hash": (append_to(M, b"abc  data/x\n"), "pack.list-line", f'"{M}" line 5'),
    "one blank": (append_to(M, b"0" * 64 + b" data/x\n"), "pack.list-line", f'"{M}" line 5'),
    "a star": (append_to(M, b"0" * 64 + b" *data/x\n"), "pack.list-line", f'"{M}" line 5'),
    "large digits": (append_to(M, b"A" * 64 + b"  data/x\n"), "pack.list-line", f'"{M}" line 5'),
    "an empty line": (append_to(M, b"\n"), "pack.list-line", f'"{M}" line 5'),
    "a line of the list of lists": (append_to(T, b"x\n"), "pack.list-line", f'"{T}" line 4'),
    "a carriage return": (append_to(M, LINE + b"data/x\r\n"), "pack.listed-name", "data/x\\r"),
    "a way out": (append_to(M, LINE + b"data/../../x\n"), "pack.listed-name", "data/../../x"),
    "a way out of the lists": (append_to(T, LINE + b"../x\n"), "pack.listed-name", "../x"),
    "from the top": (append_to(M, LINE + b"/etc/passwd\n"), "pack.listed-name", "/etc/passwd"),
    "a home": (append_to(M, LINE + b"~/x\n"), "pack.listed-name", "~/x"),
    "a disk": (append_to(M, LINE + b"c:/x\n"), "pack.listed-name", "c:/x"),
    "a backslash": (append_to(M, LINE + b"data\\x\n"), "pack.listed-name", "data\\x"),
    "a percent sign": (append_to(M, LINE + b"data/50%0A\n"), "pack.listed-name", "data/50%0A"),
    "a detour": (append_to(M, LINE + b"data/./x\n"), "pack.listed-name", "data/./x"),
    "two slashes": (append_to(M, LINE + b"data//x\n"), "pack.listed-name", "data//x"),
    "an accent in two parts": (
        append_to(M, LINE + "data/cafe\u0301\n".encode()),
        "pack.listed-name",
        "data/cafe",
    ),
    "listed twice": (twice, "pack.listed-twice", "data/documents/report.pdf"),
    "a tag file in the first list": (
        append_to(M, LINE + b"bagit.txt\n"),
        "pack.listed-elsewhere",
        '"bagit.txt"',
    ),
    "a payload file in the second list": (
        append_to(T, LINE + b"data/record.json\n"),
        "pack.listed-elsewhere",
        '"data/record.json"',
    ),
    "the second list in itself": (
        append_to(T, LINE + T.encode() + b"\n"),
        "pack.listed-elsewhere",
        f'"{T}"',
    ),
    "two spellings": (two_spellings, "pack.names-clash", '"data/Record.json"'),
    "nothing listed": (emptied, "pack.nothing-inside", f'"{M}"'),
    "a line without label": (
        append_to("bag-info.txt", b"whatever\n"),
        "pack.information-line",
        "line 5",
    ),
    "no size": (
        replace_in("bag-info.txt", b"Payload-Oxum", b"Size"),
        "pack.no-size",
        '"bag-info.txt"',
    ),
    "two sizes": (append_to("bag-info.txt", b"payload-oxum: 1.1\n"), "pack.no-size", "one line"),
    "a size that is none": (
        replace_in("bag-info.txt", b"Payload-Oxum: ", b"Payload-Oxum: about "),
        "pack.no-size",
        '"bag-info.txt"',
    ),
    "another size": (
        replace_in("bag-info.txt", b"Payload-Oxum: ", b"Payload-Oxum: 1"),
        "pack.size",
        "bag-info.txt",
    ),
    "another count": (replace_in("bag-info.txt", b".4\n", b".5\n"), "pack.size", "bag-info.txt"),
}
CAUSES_TESTED_ALONE = {
    "pack.not-a-folder",
    "pack.cannot-be-read",
    "pack.list-too-long",
    "pack.expected-root",
    "pack.other-root",
}


def test_a_pack_as_issued_is_sound(make: Make) -> None:
    issued = make()
    found = verify(issued.folder)
    assert (found.ok, found.problems, found.files) == (True, (), 4)
    assert (found.root, found.pack_id) == (issued.root, issued.pack_id)


@pytest.mark.parametrize("case", CASES)
def test_every_way_to_spoil_a_pack_is_found_and_named(make: Make, case: str) -> None:
    change, cause, names = CASES[case]
    folder = make().folder
    change(folder)
    found = verify(folder)
    assert not found.ok
    sentences = [problem.what for problem in found.problems if problem.id == cause]
    assert sentences, found.problems
    assert any(names in sentence for sentence in sentences), sentences


def test_every_cause_has_a_case() -> None:
    assert {cause for _, cause, _ in CASES.values()} | CAUSES_TESTED_ALONE == set(SENTENCES)


@pytest.mark.source("RFC 8493", "what the bagit library 1.9 lets pass", "opened")
@pytest.mark.parametrize("case", ["no list of lists", "a file beside data"])
def test_we_are_stricter_than_the_bagit_library(make: Make, case: str) -> None:
    import bagit

    folder = make().folder
    CASES[case][0](folder)
    assert bagit.Bag(str(folder)).validate()
    assert not verify(folder).ok


def test_a_pack_rewritten_as_a_whole_is_found_only_by_its_root(make: Make) -> None:
    issued = make()
    folder = issued.folder
    write(folder, "data/record.json", b'{"job": "inventeD"}\n')
    text = (folder / M).read_text().splitlines()
    new = hashlib.sha256(b'{"job": "inventeD"}\n').hexdigest() + "  data/record.json"
    kept = [line for line in text if not line.endswith("record.json")]
    write(folder, M, ("\n".join([*kept, new]) + "\n").encode())
    relist(folder)
    assert verify(folder).ok
    found = verify(folder, expected_root=issued.root)
    assert [problem.id for problem in found.problems] == ["pack.other-root"]
    assert issued.root in found.problems[0].what


@pytest.mark.parametrize("length", [12, 13, 63, 64])
def test_the_root_may_be_given_in_short(make: Make, length: int) -> None:
    issued = make()
    assert verify(issued.folder, expected_root=issued.root[:length]).ok
    assert verify(issued.folder, expected_root=f" {issued.root[:length].upper()} ").ok
    last = "0" if issued.root[length - 1] != "0" else "1"
    wrong = issued.root[: length - 1] + last
    found = verify(issued.folder, expected_root=wrong)
    assert [problem.id for problem in found.problems] == ["pack.other-root"]


@pytest.mark.parametrize("given", ["abc", "0123456789a", "x" * 12, "0" * 65, " "])
def test_a_root_that_is_none_is_never_agreed_with(make: Make, given: str) -> None:
    issued = make()
    for text in (given, issued.root[:11], issued.root + "0"):
        found = verify(issued.folder, expected_root=text)
        assert [problem.id for problem in found.problems] == ["pack.expected-root"]


def test_a_root_asked_for_is_not_agreed_with_when_there_is_none(make: Make) -> None:
    issued = make()
    (issued.folder / T).unlink()
    found = verify(issued.folder, expected_root=issued.root)
    assert "pack.other-root" in {problem.id for problem in found.problems}
    assert (found.root, found.pack_id) == ("", "")


@pytest.mark.parametrize("what", ["missing", "file", "pipe", "no name"])
def test_what_is_no_folder_is_named(tmp_path: Path, what: str) -> None:
    path = tmp_path / "pack.zip"
    if what == "file":
        path.write_bytes(b"PK")
    elif what == "pipe":
        os.mkfifo(path)
    elif what == "no name":
        path = tmp_path / "a\0b"
    found = verify(path)
    assert [problem.id for problem in found.problems] == ["pack.not-a-folder"]
    assert "unpack all of it" in found.problems[0].what


def test_an_empty_folder_is_no_pack(tmp_path: Path) -> None:
    found = verify(tmp_path)
    assert len(found.problems) == 4
    assert not found.ok


def test_a_list_without_end_is_not_read(make: Make) -> None:
    folder = make().folder
    with (folder / T).open("ab") as file:
        file.truncate(33_000_000)
    found = verify(folder)
    assert "pack.list-too-long" in {problem.id for problem in found.problems}
    assert found.root == ""


def test_a_file_that_the_system_does_not_let_us_read_is_named(
    make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    issued = make()
    module = __import__("sys").modules[verify_function.__module__]
    real = module.open_regular

    def refuses(folder: Path, relative: str) -> object:
        if relative == "data/record.json":
            raise PermissionError(13, "Permission denied")
        return real(folder, relative)

    monkeypatch.setattr(module, "open_regular", refuses)
    found = verify(issued.folder)
    assert [problem.id for problem in found.problems] == ["pack.cannot-be-read"]
    assert "Permission denied" in found.problems[0].what
    assert found.files == 3


def test_a_folder_that_the_system_does_not_let_us_read_is_named(
    make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    issued = make()
    real = os.scandir

    def refuses(path: Path) -> object:
        if str(path).endswith("evidence"):
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(os, "scandir", refuses)
    found = verify(issued.folder)
    assert "pack.cannot-be-read" in {problem.id for problem in found.problems}


def test_a_way_out_of_the_pack_is_never_followed(
    make: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_bytes(b"secret")
    folder = make().folder
    line = hashlib.sha256(b"secret").hexdigest().encode() + b"  data/../../../secret.txt\n"
    append_to(M, line)(folder)
    (folder / "data/link").symlink_to(secret)
    opened: list[str] = []
    real = os.open

    def watched(path: str, *args: int, **kwargs: int) -> int:
        opened.append(str(path))
        return real(path, *args, **kwargs)

    monkeypatch.setattr(os, "open", watched)
    assert not verify(folder).ok
    assert opened
    assert not [path for path in opened if "secret" in path or path == "link"]


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_any_byte_of_any_file_counts(make: Make, data: st.DataObject) -> None:
    """Cut, changed or grown anywhere, a pack with its root in hand is never called sound."""
    issued = make()
    files = sorted(path for path in issued.folder.rglob("*") if path.is_file())
    path = data.draw(st.sampled_from(files))
    old = path.read_bytes()
    start = data.draw(st.integers(0, len(old)))
    end = data.draw(st.integers(start, min(len(old), start + 5)))
    new = old[:start] + data.draw(st.binary(max_size=5)) + old[end:]
    try:
        path.write_bytes(new)
        assert verify(issued.folder, expected_root=issued.root).ok == (new == old)
        assert verify(issued.folder).ok in (new == old, path.name == T)
    finally:
        path.write_bytes(old)
