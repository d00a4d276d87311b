"""Puts the whole journal with its photos into one zip file, and reads it back.

The form: `journal.json`, an export as `transfer.py` writes it, and `photos/<sha256>.jpg` for each
photo, stored as it is (a JPEG does not get smaller). Knows this form only. What comes in is not
trusted: nothing is unpacked to the disk, names are matched and never followed as paths, and no
member is read further than it may be large.
"""

from __future__ import annotations

import lzma
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from typing import BinaryIO

from heapwright.errors import HeapwrightError, UnreadableFile
from heapwright.journal.picture import Photo, brought_back, largest_bytes
from heapwright.wording import worded

JOURNAL = "journal.json"
MARK = b"PK\x03\x04"
_PHOTO = re.compile(r"photos/([0-9a-f]{64})\.jpg")
#: A journal of decades; what is larger was made to fill the memory.
LARGEST_JOURNAL_BYTES = 200_000_000
#: What `zipfile` and its unpackers raise of a damaged file: a broken frame, data that end early or
#: cannot be unpacked, a place before the file, a member that is locked or packed in a newer way.
_DAMAGED = (
    zipfile.BadZipFile,
    EOFError,
    OSError,
    RuntimeError,  # and NotImplementedError below it
    ValueError,
    lzma.LZMAError,
    zlib.error,
)


def write_zip(out: BinaryIO, journal: str, photos: Iterable[tuple[str, bytes]]) -> int:
    """Write the journal and its photos, one at a time; return how many photos there were.

    Parameters
    ----------
    out : binary file
    journal : str
        An export as JSON.
    photos : iterable of (str, bytes)
        SHA-256 and file.

    """
    count = 0
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as package:
        package.writestr(JOURNAL, journal.encode("utf-8"), zipfile.ZIP_DEFLATED)
        for sha256, jpeg in photos:
            package.writestr(f"photos/{sha256}.jpg", jpeg)
            count += 1
    return count


def is_with_photos(source: BinaryIO) -> bool:
    """Whether a file is a zip file with a journal in it; a workbook is a zip file without one."""
    if source.read(len(MARK)) != MARK:
        return False
    try:
        with zipfile.ZipFile(source) as package:
            return JOURNAL in package.namelist()
    except _DAMAGED:
        return False


class PhotoZip:
    """Such a file, open for reading.

    Raises
    ------
    UnreadableFile
        When it is no such file.

    """

    def __init__(self, source: BinaryIO) -> None:
        try:
            self._package = zipfile.ZipFile(source)
            self._package.getinfo(JOURNAL)
        except (KeyError, *_DAMAGED) as problem:
            raise UnreadableFile(
                "The file is not an exported journal with photos",
                why=worded("it is no zip file with {journal} in it", journal=JOURNAL),
                instead="Choose a file made by export",
            ) from problem

    def journal(self) -> bytes:
        """Return the journal's export."""
        return self._read(JOURNAL, LARGEST_JOURNAL_BYTES)

    def photos(self, wanted: frozenset[str], problems: list[str]) -> Iterator[Photo]:
        """Yield those photos that are wanted, checked; what is wrong is told in `problems`."""
        most = largest_bytes()
        for name in self._package.namelist():
            found = _PHOTO.fullmatch(name)
            if found is None or found[1] not in wanted:
                continue
            try:
                photo = brought_back(self._read(name, most), found[1])
            except HeapwrightError as problem:
                problems.append(problem.explanation())
                continue
            yield photo

    def _read(self, name: str, most: int) -> bytes:
        """Return a member, no larger than it may be, whatever its header says."""
        try:
            with self._package.open(name) as member:
                data = member.read(most + 1)
        except _DAMAGED as problem:
            raise UnreadableFile(
                worded("{name} in the file cannot be read", name=name),
                instead="Export the journal again",
            ) from problem
        if len(data) > most:
            raise UnreadableFile(worded("{name} in the file is too large", name=name))
        return data
