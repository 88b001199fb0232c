"""The one place that decodes pictures. Only two formats are ever tried, up to a pixel count."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from typing import TYPE_CHECKING

from compliance.evidence.seen import Seen

if TYPE_CHECKING:
    from PIL.Image import Exif, Image, Transpose

LARGEST_PX = 50_000_000
MOST_PASSES = 100
"""A picture that sharpens in passes has about ten; each costs as much as a small picture."""

_ORIENTATION, _EXIF, _GPS = 0x0112, 0x8769, 0x8825
_DATE_TIME_ORIGINAL = 36867
_ON_ITS_SIDE = (5, 6, 7, 8)
_TURNS = {  # EXIF orientation -> what makes it upright, by the decoder's names
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}
_SOI, _SOS, _EOI = 0xD8, 0xDA, 0xD9
_WITHOUT_LENGTH = {0x01, _SOI, *range(0xD0, 0xD8)}
_NEXT_MARKER = re.compile(rb"\xff+([^\x00\xd0-\xd7\xff])", re.DOTALL)


class TooManyPixelsError(Exception):
    """A picture is larger than may be decoded."""


def seen_picture(seen: Seen, data: bytes) -> Seen:
    """The file with what its picture is; `seen.fault` if it is not whole."""
    end, passes = _end_of_jpeg(data) if seen.kind == "jpeg" else (_end_of_png(data), 0)
    if passes > MOST_PASSES:
        return replace(
            seen,
            fault=f"is a picture in {passes} passes; {MOST_PASSES} are the most that are "
            "read. Save it again as an ordinary JPEG",
        )
    try:
        with opened(data) as picture:
            picture.load()
            seen = _with_claims(_with_size(seen, picture), picture)
    except TooManyPixelsError as error:
        return replace(seen, fault=str(error))
    except Exception:  # whatever a damaged file makes the decoder raise, it is the file's damage
        return replace(seen, fault="is damaged or cut short. Copy it again from where it was taken")
    if not end:
        return replace(
            seen, fault="stops before its end mark. Copy it again from where it was taken"
        )
    if len(data) > end:
        extra = f"{len(data) - end} more bytes follow the end of the picture"
        return replace(seen, remark=f"{extra}; nothing that they hold is shown")
    return seen


@contextmanager
def opened(data: bytes) -> Iterator[Image]:
    """The picture in the bytes, not yet decoded.

    Raises:
        TooManyPixelsError: If it has more pixels than may be decoded.
    """
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = LARGEST_PX
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        try:
            picture = Image.open(BytesIO(data), formats=["JPEG", "PNG"])
        except (Image.DecompressionBombWarning, Image.DecompressionBombError):
            raise TooManyPixelsError(
                f"has more than {LARGEST_PX // 1_000_000} million pixels, too many to open "
                "safely. Save a smaller copy"
            ) from None
        with picture:
            yield picture


def turn_to_upright(picture: Image) -> Transpose | None:
    """How to turn the picture the way its metadata says it was held; None if it is upright."""
    from PIL import Image

    name = _TURNS.get(_orientation(picture))
    return Image.Transpose[name] if name else None


def _orientation(picture: Image) -> int:
    try:
        return int(picture.getexif().get(_ORIENTATION, 1))
    except Exception:  # metadata that cannot be read says nothing
        return 1


def _with_size(seen: Seen, picture: Image) -> Seen:
    """The file with the picture's size as a person sees it."""
    is_sideways = _orientation(picture) in _ON_ITS_SIDE
    width, height = reversed(picture.size) if is_sideways else picture.size
    return replace(seen, width_px=width, height_px=height, is_sideways=is_sideways)


def _with_claims(seen: Seen, picture: Image) -> Seen:
    """The file with what its metadata says; metadata that cannot be read says nothing."""
    try:
        exif = picture.getexif()
        return replace(seen, taken=_taken(exif), has_position=bool(exif.get_ifd(_GPS)))
    except Exception:  # the picture itself is whole; its metadata is only a claim
        return seen


def _taken(exif: Exif) -> datetime | None:
    text = exif.get_ifd(_EXIF).get(_DATE_TIME_ORIGINAL)
    try:
        return datetime.strptime(str(text).strip("\0 "), "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None


def _end_of_jpeg(data: bytes) -> tuple[int, int]:
    """Where the first picture in the bytes ends, 0 if it does not, and its number of passes."""
    at, passes = 0, 0
    while found := _NEXT_MARKER.search(data, at):
        marker, at = found[1][0], found.end()
        if marker == _EOI:
            return at, passes
        if marker not in _WITHOUT_LENGTH:
            at += int.from_bytes(data[at : at + 2], "big")
        passes += marker == _SOS
    return 0, passes


def _end_of_png(data: bytes) -> int:
    """Where the last chunk of the picture ends, 0 if the bytes stop before it."""
    at = 8
    while at + 12 <= len(data):
        length = int.from_bytes(data[at : at + 4], "big")
        is_last = data[at + 4 : at + 8] == b"IEND"
        at += 12 + length
        if is_last:
            return at if at <= len(data) else 0
    return 0
