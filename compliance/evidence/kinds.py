"""What a file is, told from its first bytes, and the names that go with it."""

from __future__ import annotations

KINDS_BY_ENDING = {
    "jpg": "jpeg",
    "jpeg": "jpeg",
    "png": "png",
    "heic": "heic",
    "heif": "heic",
    "pdf": "pdf",
    "csv": "csv",
    "txt": "text",
}
NAMES = {
    "jpeg": "a JPEG picture",
    "png": "a PNG picture",
    "heic": "a HEIC picture",
    "pdf": "a PDF",
    "csv": "a table of values",
    "text": "plain text",
    "video": "a film",
    "eps": "a PostScript drawing",
    "gif": "a GIF picture",
    "bmp": "a BMP picture",
    "tiff": "a TIFF picture",
    "webp": "a WebP picture",
    "avif": "an AVIF picture",
    "zip": "a zip or an office document",
    "other": "something that is not recognised",
}
ENDINGS = {"jpeg": ".jpg", "png": ".png", "heic": ".heic", "pdf": ".pdf"}
_STARTS = (
    (b"\xff\xd8\xff", "jpeg"),
    (b"\x89PNG\r\n\x1a\n", "png"),
    (b"%PDF-", "pdf"),
    (b"%!PS", "eps"),
    (b"\xc5\xd0\xd3\xc6", "eps"),
    (b"GIF8", "gif"),
    (b"II*\0", "tiff"),
    (b"MM\0*", "tiff"),
    (b"PK\x03\x04", "zip"),
)
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_TEXT_CONTROLS = b"\t\n\r\f\x1a"
_NOT_TEXT = bytes(set(range(32)) - set(_TEXT_CONTROLS)) + b"\x7f"


def kind_of(data: bytes, ending: str) -> str:
    """What the bytes are; `ending` only tells a table from other text."""
    for start, kind in _STARTS:
        if data.startswith(start):
            return kind
    if data[4:8] == b"ftyp":
        return _kind_of_brand(data)
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "webp"
    if data[:2] == b"BM" and b"\0" in data[:64]:
        return "bmp"
    if is_text(data):
        return "csv" if ending == "csv" else "text"
    return "other"


def ending_of(name: str) -> str:
    """The part of a file's name after its last dot, in small letters; empty without one."""
    last = name.rsplit("/", 1)[-1]
    return last.rpartition(".")[2].lower() if "." in last[1:] else ""


def is_text(data: bytes) -> bool:
    """Whether there are no bytes in it that text does not have."""
    return len(data.translate(None, _NOT_TEXT)) == len(data)


def _kind_of_brand(data: bytes) -> str:
    """The kind of a file that is boxes in boxes: by its first brand, then by those it fits."""
    length = min(int.from_bytes(data[:4], "big"), 512)
    brands = [data[8:12], *(data[at : at + 4] for at in range(16, length, 4))]
    if brands[0] in (b"avif", b"avis"):
        return "avif"
    return "heic" if any(brand in _HEIC_BRANDS for brand in brands) else "video"
