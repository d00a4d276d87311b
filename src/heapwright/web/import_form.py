"""Reads the form of an import: the log itself, and what the person says about it.

Knows how a log is carried from the preview to the storing (packed into the page, so that nothing
lies about in between) and which readings fall on a heap. Reads no CSV (`journal`).
"""

from __future__ import annotations

import base64
import binascii
import zlib
from dataclasses import dataclass, replace
from typing import Any

from heapwright.errors import HeapwrightError, NotUnderstood, OutOfRange, UnreadableFile
from heapwright.journal.fold import fold
from heapwright.journal.thermometer_csv import ImportPreview
from heapwright.web.forms import Filled
from heapwright.workshop.garden import Garden
from heapwright.workshop.transfer import preview_thermometer

#: A reading a minute for two months; what is larger goes in parts, or by the command.
LARGEST_LOG_BYTES = 4 * 1024 * 1024
#: Roles a person may correct on the page, in the order shown.
ROLES = ("temperature", "date", "time", "unit", "depth", "note", "bin")
#: What stands in a choice for "not in this file".
NOT_THERE = "-"
_COLUMN = "column."


@dataclass(frozen=True, slots=True)
class Looked:
    """A log that was looked at.

    Attributes
    ----------
    data : bytes
    seen : ImportPreview
        With only those good rows that fall on a heap.
    homeless : int
        Good rows left out because nothing stood in the bin then.

    """

    data: bytes
    seen: ImportPreview
    homeless: int


def look(form: Filled, garden: Garden) -> Looked | None:
    """Return what the log says, None when something is wrong (held in the form)."""
    data = _data(form)
    bin_key = form.text("bin")
    if bin_key not in garden.state().bins:
        form.wrong("bin", NotUnderstood("No bin is chosen", instead="Tap whose readings these are"))
    if data is None or form.problems:
        return None
    try:
        seen = preview_thermometer(garden, data, bin_key, **_said(form))
    except HeapwrightError as problem:
        form.wrong("log", problem)
        return None
    return _on_heaps(garden, data, seen)


def _data(form: Filled) -> bytes | None:
    """Return the log: the one carried along, the file chosen, or the text pasted."""
    try:
        if form.text("packed"):
            return unpack(form.text("packed"))
        data = form.files.get("log") or form.text("pasted").encode()
        return _not_too_large(data)
    except HeapwrightError as problem:
        form.wrong("log", problem)
        return None


def _not_too_large(data: bytes) -> bytes:
    if not data.strip():
        raise NotUnderstood(
            "No log was chosen", instead="Choose the thermometer's CSV file, or paste its lines"
        )
    if len(data) > LARGEST_LOG_BYTES:
        raise UnreadableFile(
            f"The log is {len(data) / 1e6:.1f} MB large",
            why=f"this page takes up to {LARGEST_LOG_BYTES / 1e6:.0f} MB",
            instead="Split it by months, or import it with the command",
        )
    return data


def pack(data: bytes) -> str:
    """Return a log as text that a page can carry."""
    return base64.urlsafe_b64encode(zlib.compress(data)).decode()


def unpack(text: str) -> bytes:
    """Return the log that `pack` packed.

    Raises
    ------
    UnreadableFile
        When the page was changed on its way.

    """
    try:
        opened = zlib.decompressobj()
        data = opened.decompress(base64.urlsafe_b64decode(text), LARGEST_LOG_BYTES + 1)
    except (binascii.Error, zlib.error, ValueError) as problem:
        raise _not_whole() from problem
    if len(data) <= LARGEST_LOG_BYTES and not opened.eof:
        raise _not_whole()
    return _not_too_large(data)


def _not_whole() -> UnreadableFile:
    return UnreadableFile("The log did not come back whole", instead="Choose the file once more")


def _said(form: Filled) -> dict[str, Any]:
    """Return what the person says about the log, for the workshop."""
    columns = {
        role: "" if heading == NOT_THERE else heading
        for role, heading in form.beginning_with(_COLUMN).items()
        if role in ROLES
    }
    day_first = {"day": True, "month": False}.get(form.text("day_first"))
    return {
        "columns": columns or None,
        "default_unit": form.text("unit") or None,
        "depth_unit": form.text("depth_unit"),
        "day_first": day_first,
    }


def _on_heaps(garden: Garden, data: bytes, seen: ImportPreview) -> Looked:
    """Leave out the readings of times when nothing stood in the bin."""
    if not seen.entries:
        return Looked(data, seen, 0)
    after = fold((*garden.entries(), *seen.entries))
    placed = {entry.id for batch in after.batches.values() for entry in batch.entries}
    good = tuple(row for row in seen.good if row.already_stored or row.entry.id in placed)
    return Looked(data, replace(seen, good=good), len(seen.good) - len(good))


def nothing_to_store(looked: Looked) -> HeapwrightError:
    """Return the sentence for a log of which nothing is left to store."""
    if looked.homeless:
        return OutOfRange(
            "Nothing stood in this bin when these readings were taken",
            instead='Write down first when the heap was built (Build, "Not just now?")',
        )
    return OutOfRange("There is no new reading in this log", kept="")


def role_choices(seen: ImportPreview) -> list[tuple[str, str]]:
    """Return (role, heading found) for the choices of columns; "" where none was found."""
    return [(role, seen.columns.get(role, "")) for role in ROLES]
