"""A picture for a document: upright, small, without what the file tells of people."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from compliance.errors import EvidenceError
from compliance.evidence import NothingToShowError, display_copy


def two_halves(size: tuple[int, int] = (400, 200)) -> Image.Image:
    """Red on the left, blue on the right."""
    picture = Image.new("RGB", size, "blue")
    picture.paste("red", (0, 0, size[0] // 2, size[1]))
    return picture


def copy_of(
    folder: Path, picture: Image.Image, form: str = "JPEG", **options: object
) -> Image.Image:
    name = "a.jpg" if form == "JPEG" else "a.png"
    picture.save(folder / name, form, **options)
    return Image.open(BytesIO(display_copy(folder, name)))


def colour(picture: Image.Image, x: float, y: float) -> str:
    r, g, b = picture.convert("RGB").getpixel((int(x * picture.width), int(y * picture.height)))
    strong = [name for name, part in (("red", r), ("green", g), ("blue", b)) if part > 128]
    return " ".join(strong)


@pytest.mark.source(
    "CIPA DC-008 (Exif)",
    "Orientation: 6 = row 0 is the right-hand side seen, 8 = left, 3 = upside down",
    "from memory",
)
@pytest.mark.parametrize(
    ("orientation", "red_at"),
    [
        (1, (0.1, 0.5)),
        (2, (0.9, 0.5)),
        (3, (0.9, 0.5)),
        (4, (0.1, 0.5)),
        (5, (0.5, 0.1)),
        (6, (0.5, 0.1)),
        (7, (0.5, 0.9)),
        (8, (0.5, 0.9)),
    ],
)
def test_a_copy_is_upright(tmp_path: Path, orientation: int, red_at: tuple[float, float]) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    copy = copy_of(tmp_path, two_halves(), exif=exif, quality=95)
    opposite = (1 - red_at[0], 1 - red_at[1])
    assert (colour(copy, *red_at), colour(copy, *opposite)) == ("red", "blue")
    assert copy.size == ((200, 400) if orientation >= 5 else (400, 200))


def test_a_copy_tells_nothing_but_the_picture(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x010F] = "Invented maker"
    exif.get_ifd(0x8769)[36867] = "2026:05:12 10:41:07"
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 0.0, 0.0)})
    options = {
        "exif": exif,
        "comment": b"gate code 0000",
        "icc_profile": b"profile",
        "dpi": (72, 72),
    }
    copy = copy_of(tmp_path, two_halves(), **options)
    assert dict(copy.getexif()) == {}
    assert set(copy.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    data = display_copy(tmp_path, "a.jpg")
    assert b"Exif" in (tmp_path / "a.jpg").read_bytes()
    for word in (b"Exif", b"Invented", b"gate code", b"profile", b"2026:05"):
        assert word not in data


def test_a_large_picture_becomes_small_and_a_small_one_stays(tmp_path: Path) -> None:
    two_halves((3000, 1500)).save(tmp_path / "a.jpg")
    for longest_px, size in ((2000, (2000, 1000)), (100, (100, 50)), (4000, (3000, 1500))):
        data = display_copy(tmp_path, "a.jpg", longest_px=longest_px)
        assert Image.open(BytesIO(data)).size == size


def test_the_same_file_gives_the_same_bytes(tmp_path: Path) -> None:
    two_halves().save(tmp_path / "a.jpg")
    assert display_copy(tmp_path, "a.jpg") == display_copy(tmp_path, "a.jpg")


def test_transparent_parts_become_white(tmp_path: Path) -> None:
    copy = copy_of(tmp_path, Image.new("RGBA", (40, 40), (0, 0, 0, 0)), "PNG")
    assert copy.getpixel((20, 20)) == (255, 255, 255)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "I;16", "CMYK"])
def test_every_way_of_keeping_colours_gives_a_copy_that_is_not_black(
    tmp_path: Path, mode: str
) -> None:
    bright = {"I;16": 60000, "CMYK": (0, 0, 0, 0), "LA": (240, 255), "1": 1}.get(mode, 240)
    picture = Image.new(mode, (40, 40), bright)
    if mode == "P":
        picture = two_halves().convert("P")
    copy = copy_of(tmp_path, picture, "JPEG" if mode == "CMYK" else "PNG")
    assert max(copy.convert("RGB").getpixel((5, 5))) > 200


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("a.csv", b"time,kWh\n", "a table of values; JPEG or PNG is needed"),
        ("a.jpg", b"%!PS", "PostScript"),
        ("a.jpg", b"\xff\xd8\xff\xe0", "damaged or cut short"),
    ],
)
def test_a_file_without_a_whole_picture_is_refused_by_name(
    tmp_path: Path, name: str, data: bytes, says: str
) -> None:
    (tmp_path / name).write_bytes(data)
    with pytest.raises(NothingToShowError, match=says) as caught:
        display_copy(tmp_path, name)
    assert isinstance(caught.value, EvidenceError)
    assert str(caught.value).startswith(name)
    assert "(evidence.nothing-to-show)" in str(caught.value)


def test_a_missing_picture_is_refused_by_name(tmp_path: Path) -> None:
    with pytest.raises(NothingToShowError, match="is not there"):
        display_copy(tmp_path, "gone.jpg")
