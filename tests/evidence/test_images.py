"""Evidence files are opened without trust: what is wrong is named, nothing raises."""

from __future__ import annotations

import hashlib
import os
import random
import struct
import zlib
from collections.abc import Callable
from datetime import datetime
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from compliance.evidence import Seen, look
from compliance.evidence import images as images_module
from compliance.evidence import papers as papers_module

Put = Callable[[str, bytes], Seen]


@pytest.fixture
def put(tmp_path: Path) -> Put:
    """Writes a file into a job and looks at it."""

    def write_and_look(name: str, data: bytes) -> Seen:
        path = tmp_path / "evidence" / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)
        return look(tmp_path, f"evidence/{name}")

    return write_and_look


def scene(size: tuple[int, int] = (320, 240)) -> Image.Image:
    """A picture with enough detail that its bytes do not fit in a header."""
    noise = random.Random(7)
    picture = Image.new("RGB", size)
    picture.putdata(
        [(noise.randrange(256), x % 256, x // 300 % 256) for x in range(size[0] * size[1])]
    )
    return picture


def exif_of(
    *, taken: str = "", orientation: int = 0, latitude_deg: float | None = None
) -> Image.Exif:
    exif = Image.Exif()
    if orientation:
        exif[0x0112] = orientation
    if taken:
        exif.get_ifd(0x8769)[36867] = taken
    if latitude_deg is not None:
        exif.get_ifd(0x8825).update(
            {1: "N", 2: (latitude_deg, 0.0, 0.0), 3: "W", 4: (2.0, 0.0, 0.0)}
        )
    exif[0x010F] = "Invented maker"
    return exif


def saved(form: str, picture: Image.Image | None = None, **options: object) -> bytes:
    file = BytesIO()
    (picture or scene()).save(file, form, **options)
    return file.getvalue()


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def large_png(width_px: int, height_px: int) -> bytes:
    """A small file of many pixels."""
    head = struct.pack(">IIBBBBB", width_px, height_px, 8, 0, 0, 0, 0)
    rows = zlib.compress(bytes((width_px + 1) * height_px), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def paper(pages: int = 2, **options: object) -> bytes:
    file = BytesIO()
    with pikepdf.new() as pdf:
        for _ in range(pages):
            pdf.add_blank_page()
        pdf.save(file, **options)
    return file.getvalue()


@pytest.mark.parametrize(
    ("form", "name", "kind"), [("JPEG", "a.jpg", "jpeg"), ("PNG", "a.png", "png")]
)
def test_a_sound_picture_is_whole_with_size_and_hash(
    put: Put, form: str, name: str, kind: str
) -> None:
    data = saved(form)
    seen = put(name, data)
    assert seen == Seen(
        f"evidence/{name}",
        kind,
        hashlib.sha256(data).hexdigest(),
        len(data),
        width_px=320,
        height_px=240,
    )
    assert seen.is_whole


@pytest.mark.parametrize("name", ["A.JPG", "a.jpeg", "b.Jpg"])
def test_the_ending_may_be_written_large(put: Put, name: str) -> None:
    assert put(name, saved("JPEG")).is_whole


def test_the_time_and_place_in_the_file_are_read_as_claims(put: Put) -> None:
    exif = exif_of(taken="2026:05:12 10:41:07", latitude_deg=51.0)
    seen = put("a.jpg", saved("JPEG", exif=exif))
    assert seen.taken == datetime(2026, 5, 12, 10, 41, 7)
    assert seen.has_position


@pytest.mark.source(
    "CIPA DC-008 (Exif)", "DateTimeOriginal: 20 bytes, YYYY:MM:DD HH:MM:SS", "from memory"
)
@pytest.mark.parametrize("taken", ["0000:00:00 00:00:00", "2026-05-12", "    :  :     :  :  ", "x"])
def test_a_time_that_cannot_be_one_is_no_time(put: Put, taken: str) -> None:
    seen = put("a.jpg", saved("JPEG", exif=exif_of(taken=taken)))
    assert seen.taken is None
    assert seen.is_whole


def test_a_file_without_metadata_claims_nothing(put: Put) -> None:
    seen = put("a.jpg", saved("JPEG"))
    assert (seen.taken, seen.has_position, seen.is_sideways) == (None, False, False)


def test_broken_metadata_does_not_spoil_a_whole_picture(put: Put) -> None:
    good = saved("JPEG", exif=exif_of(taken="2026:05:12 10:41:07"))
    start = good.index(b"Exif\0\0") + 6
    seen = put("a.jpg", good[: start + 4] + b"\xff" * 30 + good[start + 34 :])
    assert seen.is_whole
    assert seen.taken is None


@pytest.mark.parametrize("orientation", [5, 6, 7, 8])
def test_a_picture_on_its_side_is_measured_as_a_person_sees_it(put: Put, orientation: int) -> None:
    seen = put("a.jpg", saved("JPEG", exif=exif_of(orientation=orientation)))
    assert seen.is_sideways
    assert (seen.width_px, seen.height_px) == (240, 320)


@pytest.mark.parametrize("form", ["JPEG", "PNG"])
@pytest.mark.parametrize("share", [0.1, 0.6, 0.95])
def test_a_picture_cut_short_is_found(put: Put, form: str, share: float) -> None:
    data = saved(form)
    seen = put(f"a.{'jpg' if form == 'JPEG' else 'png'}", data[: int(len(data) * share)])
    assert not seen.is_whole
    assert "cut short" in seen.fault


def test_a_jpeg_without_its_last_two_bytes_is_found(put: Put) -> None:
    assert "cut short" in put("a.jpg", saved("JPEG")[:-2]).fault


def test_a_jpeg_whose_end_mark_is_something_else_is_found(put: Put) -> None:
    assert "end mark" in put("a.jpg", saved("JPEG")[:-2] + bytes(400)).fault


def test_a_png_without_its_last_chunk_is_found(put: Put) -> None:
    assert put("a.png", saved("PNG")[:-12]).fault


def test_bytes_after_the_picture_are_remarked_on(put: Put) -> None:
    for form, name in (("JPEG", "a.jpg"), ("PNG", "a.png")):
        seen = put(name, saved(form) + b"PK\x03\x04 a second file")
        assert seen.is_whole
        assert "18 more bytes follow" in seen.remark, form


def test_a_small_picture_inside_the_metadata_is_not_taken_for_the_end(put: Put) -> None:
    thumbnail = saved("JPEG", scene((40, 30)))
    seen = put(
        "a.jpg",
        saved("JPEG", extra=b"\xff\xe2" + struct.pack(">H", len(thumbnail) + 2) + thumbnail),
    )
    assert seen.is_whole
    assert seen.remark == ""


def test_a_picture_of_too_many_pixels_is_refused_before_it_is_decoded(put: Put) -> None:
    data = large_png(12_000, 12_000)
    assert len(data) < 200_000
    seen = put("a.png", data)
    assert "50 million pixels" in seen.fault
    assert (seen.width_px, seen.sha256) == (0, hashlib.sha256(data).hexdigest())


def test_a_picture_just_over_the_pixel_cap_is_refused_and_one_at_it_is_not(put: Put) -> None:
    assert "million pixels" in put("a.png", large_png(10_000, 5_001)).fault
    assert put("b.png", large_png(10_000, 5_000)).is_whole


def test_a_picture_in_endless_passes_is_refused(put: Put) -> None:
    data = saved("JPEG", progressive=True)
    last = data[data.rindex(b"\xff\xda") : -2]
    assert put("a.jpg", data).is_whole
    assert "passes" in put("b.jpg", data[:-2] + last * 100 + b"\xff\xd9").fault


def test_a_drawing_program_named_as_a_photo_is_refused_and_never_run(put: Put) -> None:
    seen = put(
        "a.jpg", b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n(%pipe%touch x) (w) file\n"
    )
    assert seen.kind == "eps"
    assert "PostScript" in seen.fault


@pytest.mark.parametrize(
    ("name", "form", "says"),
    [
        ("a.jpg", "PNG", "named .jpg but holds a PNG picture. Name it .png"),
        ("a.png", "JPEG", "named .png but holds a JPEG picture. Name it .jpg"),
        ("a.pdf", "JPEG", "named .pdf but holds a JPEG picture"),
        ("a.jpg", "GIF", "holds a GIF picture. Save it as JPEG"),
        ("a.jpg", "WEBP", "holds a WebP picture"),
        ("a.tiff", "TIFF", "holds a TIFF picture"),
        ("a.bmp", "BMP", "holds a BMP picture"),
        ("a.photo", "JPEG", "ends in .photo; evidence is kept as .jpg"),
        ("photo", "JPEG", "has no ending in its name"),
    ],
)
def test_content_that_contradicts_its_name_is_a_fault(
    put: Put, name: str, form: str, says: str
) -> None:
    seen = put(name, saved(form))
    assert says in seen.fault
    assert seen.fault.startswith(f'"evidence/{name}" ')


@pytest.mark.source("ISO/IEC 14496-12 ftyp box; HEIF brands heic, mif1", "", "from memory")
@pytest.mark.parametrize("brands", [b"heic\0\0\0\0mif1heic", b"mif1\0\0\0\0mif1heic"])
def test_a_heic_photo_is_named_with_how_to_make_a_jpeg(put: Put, brands: bytes) -> None:
    box = struct.pack(">I", 8 + len(brands)) + b"ftyp" + brands
    seen = put("a.heic", box + bytes(200))
    assert seen.kind == "heic"
    assert "Save it as JPEG" in seen.fault
    assert "named .jpg but holds a HEIC" in put("a.jpg", box + bytes(200)).fault


def test_a_film_is_not_taken_for_a_photo(put: Put) -> None:
    assert "a film" in put("a.heic", b"\0\0\0\x18ftypisom\0\0\0\0isommp42" + bytes(99)).fault


def test_a_pdf_is_opened_and_its_pages_counted(put: Put) -> None:
    seen = put("a.pdf", paper(3))
    assert (seen.kind, seen.pages, seen.is_whole) == ("pdf", 3, True)


@pytest.mark.parametrize("user", ["", "open sesame"])
def test_a_locked_pdf_is_named(put: Put, user: str) -> None:
    lock = pikepdf.Encryption(owner="owner", user=user)
    assert "is locked" in put("a.pdf", paper(encryption=lock)).fault


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_pdf_cut_short_is_found(put: Put, share: float) -> None:
    data = paper()
    assert "cut short" in put("a.pdf", data[: int(len(data) * share)]).fault


def test_a_pdf_without_pages_is_named(put: Put) -> None:
    assert "has no pages" in put("a.pdf", paper(0)).fault


def test_a_pdf_that_unpacks_without_end_is_refused(
    put: Put, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its page list stands in a stream of a few kB that holds millions of blanks."""
    data = paper(object_stream_mode=pikepdf.ObjectStreamMode.generate)
    start = data.index(b"stream\n", data.index(b"/ObjStm")) + 7
    end = data.index(b"\nendstream", start)
    packed = zlib.compress(zlib.decompress(data[start:end]) + b" " * 5_000_000, 9)
    bomb = data[:start].replace(b"/Length %d" % (end - start), b"/Length %d" % len(packed))
    bomb += packed + data[end:]
    tail = bomb.rindex(b"startxref\n") + 10
    moved = int(bomb[tail:].split()[0]) + len(bomb) - len(data)
    bomb = bomb[:tail] + b"%d\n%%%%EOF\n" % moved
    monkeypatch.setattr(papers_module, "LARGEST_UNPACKED_BYTES", 6_000_000)
    assert put("a.pdf", bomb).is_whole
    monkeypatch.setattr(papers_module, "LARGEST_UNPACKED_BYTES", 1_000_000)
    assert not put("a.pdf", bomb).is_whole


def test_text_and_tables_are_told_apart(put: Put) -> None:
    assert put("meter.csv", b"time,kWh\n10:00,1.5\n").kind == "csv"
    assert put("note.txt", "25 °C at the array\n".encode()).kind == "text"
    assert put("meter.csv", b"time,kWh\n").is_whole


def test_a_table_with_an_open_quote_is_named_with_its_line(put: Put) -> None:
    seen = put("meter.csv", b'time,note\n10:00,"cloud\n10:30,"sun"\n')
    assert "columns at line" in seen.fault


def test_text_in_an_older_encoding_is_remarked_on(put: Put) -> None:
    seen = put("meter.csv", "time,°C\n10:00,25\n".encode("latin-1"))
    assert seen.is_whole
    assert seen.remark.startswith("Line 1 is not UTF-8")


def test_text_that_is_a_program_is_not_recognised(put: Put) -> None:
    assert "not recognised" in put("a.txt", b"MZ\x90\0\x03\0\0\0\x04").fault


def test_a_text_too_long_is_named(put: Put) -> None:
    assert "20 MB" in put("a.txt", b"a line\n" * 3_000_000).fault


def test_an_empty_file_is_named(put: Put) -> None:
    seen = put("a.jpg", b"")
    assert "is empty" in seen.fault
    assert seen.kind == ""


def test_a_file_too_large_is_not_read(put: Put, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(images_module, "LARGEST_BYTES", 1_000_000)
    seen = put("a.jpg", bytes(1_000_001))
    assert "up to 1 MB can be read" in seen.fault
    assert (seen.sha256, seen.bytes) == ("", 1_000_001)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    seen = look(tmp_path, "evidence/a.jpg")
    assert '"evidence/a.jpg" is not there' in seen.fault
    assert seen == Seen("evidence/a.jpg", fault=seen.fault)


@pytest.mark.parametrize(
    "name", ["../a.jpg", "/etc/passwd", "evidence/../../a.jpg", "", "a\0b.jpg"]
)
def test_a_name_that_leaves_the_job_is_a_fault(tmp_path: Path, name: str) -> None:
    job = tmp_path / "job"
    job.mkdir()
    (tmp_path / "a.jpg").write_bytes(saved("JPEG"))
    seen = look(job, name)
    assert not seen.is_whole
    assert seen.sha256 == ""


def test_a_link_out_of_the_job_is_a_fault(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    (tmp_path / "a.jpg").write_bytes(saved("JPEG"))
    (job / "a.jpg").symlink_to(tmp_path / "a.jpg")
    assert look(job, "a.jpg").sha256 == ""
    assert not look(job, "a.jpg").is_whole


def test_a_link_within_the_job_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(saved("JPEG"))
    (tmp_path / "b.jpg").symlink_to("a.jpg")
    assert "a link" in look(tmp_path, "b.jpg").fault


def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.jpg")
    assert "pipe" in look(tmp_path, "a.jpg").fault


def test_a_folder_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").mkdir()
    assert "folder" in look(tmp_path, "a.jpg").fault


@settings(
    max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_no_bytes_make_it_raise(tmp_path: Path, data: st.DataObject) -> None:
    """Any bytes, and sound files with some bytes changed, give an answer."""
    name, good = data.draw(st.sampled_from(SOUND))
    at = data.draw(st.integers(0, len(good)))
    junk = data.draw(st.binary(max_size=40))
    keep = data.draw(st.sampled_from([0, at, at + len(junk)]))
    (tmp_path / name).write_bytes(good[:at] + junk + good[keep:])
    seen = look(tmp_path, name)
    assert seen.is_whole == (seen.fault == "")


SOUND = [
    (
        "a.jpg",
        saved("JPEG", scene((60, 40)), exif=exif_of(taken="2026:05:12 10:41:07", latitude_deg=51)),
    ),
    ("a.png", saved("PNG", scene((60, 40)), exif=exif_of(orientation=6))),
    ("a.pdf", paper()),
    ("a.csv", b'time,kWh\n10:00,"1.5"\n'),
    ("a.heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(20)),
]
