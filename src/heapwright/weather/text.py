"""Turns the bytes of a file into text, whatever program wrote them, or says why it cannot.

Knows byte-order marks, UTF-8, UTF-16 and Latin-1, and the first bytes of files that are no text.
Knows nothing of weather.
"""

from __future__ import annotations

import codecs

from heapwright.errors import UnreadableFile
from heapwright.wording import worded

#: First bytes of things people pick by mistake (from the formats' own definitions).
_NOT_TEXT = (
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a packed file or a spreadsheet (ZIP)"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet or document"),
    (b"\x1f\x8b", "a packed file (gzip)"),
    (b"SQLite format 3", "a database"),
)
_UTF16_MARKS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def _refused(what: str, instead: str) -> UnreadableFile:
    return UnreadableFile(
        worded("The file is {what}", what=what),
        why="Weather is read from text",
        instead=instead,
        kept="Nothing was read.",
    )


def _utf16(data: bytes) -> str:
    try:
        return data.decode("utf-16")
    except UnicodeDecodeError as problem:
        raise _refused(
            "marked as UTF-16 text but cut short or damaged",
            "Save it again as CSV in UTF-8",
        ) from problem


def text_of(data: bytes) -> tuple[str, tuple[str, ...]]:
    """Return the text of a file and what had to be assumed about its letters.

    Raises
    ------
    UnreadableFile
        If it is empty or no text.

    """
    for mark, what in _NOT_TEXT:
        if data.startswith(mark):
            raise _refused(what, "Unpack it, or save the table as CSV, and give that file")
    if not data.strip():
        raise _refused("empty", "Give a file with a table of weather in it")
    if data.startswith(_UTF16_MARKS):
        return _utf16(data), ("The file is written in UTF-16.",)
    if b"\x00" in data:
        raise _refused("not text: it has zero bytes in it", "Save it as CSV in UTF-8")
    try:
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        return data.decode("latin-1"), (
            "The file is not in UTF-8; its letters were read as Latin-1.",
        )
