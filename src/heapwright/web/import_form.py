"""Reads the form of an import: the log itself, and what the person says about it.

Knows how a log is carried from the preview to the storing: packed into the page, so that nothing
lies about in between. Reads no CSV (`journal`).
"""

from __future__ import annotations

import base64
import binascii
import zlib
from dataclasses import dataclass
from typing import Any

from heapwright.errors import HeapwrightError, NotUnderstood, OutOfRange, UnreadableFile
from heapwright.journal.thermometer_csv import ImportPreview
from heapwright.web.forms import Filled
from heapwright.wording import worded
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
    """A log that was looked at: as it came, and what it says."""

    data: bytes
    seen: ImportPreview


def look(form: Filled, garden: Garden) -> Looked | None:
    """Return what the log says, None when something is wrong (held in the form)."""
    data = _data(form)
    bin_key = form.text("bin")
    if bin_key not in garden.state().bins_in_use:
        form.wrong("bin", NotUnderstood("No bin is chosen", instead="Tap whose readings these are"))
    if data is None or form.problems:
        return None
    try:
        return Looked(data, preview_thermometer(garden, data, bin_key, **_said(form)))
    except HeapwrightError as problem:
        form.wrong("log", problem)
        return None


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
            worded("The log is {number:.1f} MB large", number=len(data) / 1000000.0),
            why=worded(
                "this page takes up to {largest_log_bytes:.0f} MB",
                largest_log_bytes=LARGEST_LOG_BYTES / 1000000.0,
            ),
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


def nothing_to_store(seen: ImportPreview) -> HeapwrightError:
    """Return the sentence for a log of which nothing is left to store."""
    instead = "Look at the rows that are left out" if seen.bad else "Choose another log"
    return OutOfRange("There is no new reading to store in this log", instead=instead, kept="")


def role_choices(seen: ImportPreview) -> list[tuple[str, str]]:
    """Return (role, heading found) for the choices of columns; "" where none was found."""
    return [(role, seen.columns.get(role, "")) for role in ROLES]
