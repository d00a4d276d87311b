"""Turns a file that should be a photo into one that may be kept: decoded, upright, nothing hidden.

Knows picture files. What comes in is not trusted: only its points are taken over, drawn anew into
a fresh JPEG, so that the place it was taken at, the phone's name and whatever else a file can carry
stay behind. Knows nothing of heaps or of how photos are stored.
"""

from __future__ import annotations

import hashlib
import io
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from heapwright.errors import OutOfRange, UnreadableFile
from heapwright.tables import read_rows
from heapwright.wording import worded

if TYPE_CHECKING:  # loaded when a photo comes, so that a reading need not wait for it
    from PIL import Image

#: What is unpacked at all: what phones and their browsers send. No drawing that can hold scripts.
_FORMS = ("JPEG", "PNG", "WEBP")
_MEGA = 1_000_000
#: What Pillow's decoders and its reader of EXIF raise of a damaged file.
_DAMAGED = (OSError, SyntaxError, ValueError, struct.error)


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo as it is kept.

    Attributes
    ----------
    sha256 : str
        Of `jpeg`, as 64 hexadecimal digits; its name.
    width, height : int
        Of `jpeg`, upright. [points]
    jpeg, small : bytes
        The photo, and a small one for lists; neither says where or with what it was taken.

    """

    sha256: str
    width: int
    height: int
    jpeg: bytes
    small: bytes

    @property
    def named(self) -> dict[str, Any]:
        """What an entry says of the photo it names."""
        return {"sha256": self.sha256, "width": self.width, "height": self.height}


@cache
def limits() -> dict[str, tuple[float, float, float]]:
    """Return low, typical and high of each row of `data/photos.csv`."""
    return {
        row["id"]: (float(row["low"]), float(row["typical"]), float(row["high"]))
        for row in read_rows("heapwright.journal", "data/photos.csv")
    }


def largest_bytes() -> int:
    """Return how large a file may be that is brought in. [bytes]"""
    return int(limits()["file_mb"][2] * _MEGA)


def prepared(data: bytes) -> Photo:
    """Return a photo fit to be kept, from whatever a phone sent.

    Parameters
    ----------
    data : bytes
        A JPEG, PNG or WebP file.

    Raises
    ------
    UnreadableFile
        If it is no such picture, or breaks off.
    OutOfRange
        If the file or the picture is too large, or too small to show anything.

    """
    with _opened(data) as image:
        picture = _points_of(image, limits()["side_px"][1])
    return _kept(_jpeg(picture), picture)


def brought_back(data: bytes, sha256: str) -> Photo:
    """Return a photo that an export of ours holds, byte for byte.

    Raises
    ------
    UnreadableFile, OutOfRange
        If it is not the photo of that name, no JPEG of ours, or carries hidden words.

    """
    if hashlib.sha256(data).hexdigest() != sha256:
        raise UnreadableFile(
            worded("The photo {sha256} was altered", sha256=sha256[:12]), kept="It was left out."
        )
    with _opened(data) as image:
        if image.format != "JPEG" or image.getexif() or "comment" in image.info:
            raise UnreadableFile(
                worded("The photo {sha256} is not as an export writes it", sha256=sha256[:12]),
                kept="It was left out.",
            )
        # As kept it was no larger: a larger one was made by something else.
        if max(image.size) > limits()["side_px"][2]:
            raise OutOfRange(
                worded("The photo {sha256} is too large", sha256=sha256[:12]),
                kept="It was left out.",
            )
        picture = _points_of(image, limits()["side_px"][1])
    return _kept(data, picture)


def _kept(jpeg: bytes, picture: Image.Image) -> Photo:
    edge = int(limits()["small_px"][1])
    small = picture.copy()
    small.thumbnail((edge, edge))
    name = hashlib.sha256(jpeg).hexdigest()
    return Photo(name, picture.width, picture.height, jpeg, _jpeg(small))


@contextmanager
def _opened(data: bytes) -> Iterator[Image.Image]:
    """Open a picture without unpacking it; what breaks while it is read is one sentence."""
    from PIL import Image

    most = largest_bytes()
    if len(data) > most:
        raise OutOfRange(
            worded("The photo is {number:.0f} MB large", number=len(data) / _MEGA),
            why=worded("there is room for {most:g} MB", most=most / _MEGA),
            instead="Take it with fewer points, or leave it out",
        )
    try:
        with Image.open(io.BytesIO(data), formats=_FORMS) as image:
            _size_checked(image)
            yield image
    except Image.DecompressionBombError as problem:
        raise _too_many_points("far too many") from problem
    except _DAMAGED as problem:
        raise UnreadableFile(
            "The file is no photo that can be shown",
            why="it is not a whole JPEG, PNG or WebP picture",
            instead="Take it again, or leave it out",
        ) from problem


def _size_checked(image: Image.Image) -> None:
    least, most = limits()["side_px"][0], limits()["megapixels"][2]
    if image.width * image.height > most * _MEGA:
        raise _too_many_points(f"{image.width} × {image.height}")
    if min(image.size) < least:
        raise OutOfRange(
            worded(
                "The photo has {width} × {height} points", width=image.width, height=image.height
            ),
            why="so small a picture shows nothing",
            instead="Choose another one",
        )


def _too_many_points(said: str) -> OutOfRange:
    return OutOfRange(
        worded("The photo has {said} points", said=said),
        why=worded(
            "there is room for {megapixels:g} million", megapixels=limits()["megapixels"][2]
        ),
        instead="Take it with fewer points, or leave it out",
    )


def _points_of(image: Image.Image, side_px: float) -> Image.Image:
    """Return only the points of a picture: upright, opaque, no larger than it is kept."""
    from PIL import Image, ImageOps

    edge = int(side_px)
    image.draft("RGB", (edge, edge))  # a JPEG is unpacked no larger than it is needed
    image.load()
    image.getexif()  # how it lies is known from here on; all else of it Pillow would write anew
    for name in ("exif", "Raw profile type exif"):  # for the turned picture, and fail if it cannot
        image.info.pop(name, None)
    upright = ImageOps.exif_transpose(image)
    upright.thumbnail((edge, edge))
    clear = upright.convert("RGBA") if upright.mode in ("RGBA", "LA", "P", "PA") else None
    plain = Image.new("RGB", upright.size, "white")
    if clear is None:
        plain.paste(upright.convert("RGB"))
    else:
        plain.paste(clear, mask=clear.getchannel("A"))
    return plain


def _jpeg(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=int(limits()["quality"][1]), optimize=True)
    return out.getvalue()
