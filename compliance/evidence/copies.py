"""Copies of pictures fit to show: upright, small, and telling nothing but the picture."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from compliance.errors import EvidenceError, Place
from compliance.evidence.images import look_and_keep
from compliance.evidence.kinds import NAMES
from compliance.evidence.pictures import opened, turn_to_upright

_QUALITY = 85


class NothingToShowError(EvidenceError):
    """A picture for a document was asked of a file that has none, or not a whole one."""

    id = "evidence.nothing-to-show"

    def __init__(self, file: str, reason: str) -> None:
        super().__init__(f"No picture can be shown: {reason}", Place(file))


def display_copy(folder: Path, relative: str, *, longest_px: int = 2000) -> bytes:
    """A JPEG of the picture as a person sees it, at most `longest_px` on its longer side.

    Turned upright, transparent parts white; place, time, device and owner are not in it. The
    same file and libraries give the same bytes.

    Raises:
        NothingToShowError: If the file is not a whole picture.
    """
    seen, data = look_and_keep(folder, relative)
    if seen.fault:
        raise NothingToShowError(relative, seen.fault)
    if not seen.width_px:
        raise NothingToShowError(relative, f"it is {NAMES[seen.kind]}; JPEG or PNG is needed")
    return _shown(data, longest_px)


def _shown(data: bytes, longest_px: int) -> bytes:
    from PIL import Image

    with opened(data) as picture:
        picture.thumbnail((longest_px, longest_px))
        turn = turn_to_upright(picture)
        upright = picture if turn is None else picture.transpose(turn)
        # Drawn on a new sheet, so that nothing the file said of itself can come along.
        sheet = Image.new("RGB", upright.size, "white")
        if upright.has_transparency_data:
            with_alpha = upright.convert("RGBA")
            sheet.paste(with_alpha, mask=with_alpha.getchannel("A"))
        else:
            sheet.paste(upright.convert("RGB"))
    copy = BytesIO()
    sheet.save(copy, "JPEG", quality=_QUALITY)
    return copy.getvalue()
