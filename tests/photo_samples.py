"""Photos drawn for the tests: with the place they were taken at, lying on their side, broken.

Knows picture files through Pillow only. Nothing here was photographed.
"""

from __future__ import annotations

import io
import struct
import zlib

from PIL import Image, ImageDraw

#: An invented place; the tests look for it in whatever is kept.
LATITUDE = (12.0, 34.0, 56.78)
MAKER = "Invented Optics"
COMMENT = b"a word the camera hid"
_ORIENTATION, _MAKER_TAG, _GPS_TAG = 0x0112, 0x010F, 0x8825


def drawn(width: int = 640, height: int = 480) -> Image.Image:
    """A heap on a lawn: the left half of the sky is red, so that turning it shows."""
    image = Image.new("RGB", (width, height), (120, 160, 220))
    pen = ImageDraw.Draw(image)
    pen.rectangle((0, 0, width // 2, height // 2), fill=(200, 40, 40))
    pen.ellipse((width // 4, height // 2, 3 * width // 4, height + height // 2), fill=(70, 50, 30))
    return image


def jpeg(image: Image.Image | None = None, *, orientation: int = 1, gps: bool = True) -> bytes:
    """A JPEG as a phone makes it, with where and with what it was taken."""
    exif = Image.Exif()
    exif[_ORIENTATION] = orientation
    exif[_MAKER_TAG] = MAKER
    if gps:
        exif.get_ifd(_GPS_TAG).update({1: "N", 2: LATITUDE, 3: "E", 4: LATITUDE})
    out = io.BytesIO()
    (image or drawn()).save(out, "JPEG", quality=90, exif=exif, comment=COMMENT)
    return out.getvalue()


def other(form: str, image: Image.Image | None = None) -> bytes:
    """The same picture in another form of file, such as "PNG"."""
    out = io.BytesIO()
    (image or drawn()).save(out, form)
    return out.getvalue()


def bomb(width: int = 60_000, height: int = 60_000) -> bytes:
    """A PNG of a few hundred bytes that says it is as large as a field."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    rows = zlib.compress(b"\0" * 100_000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
