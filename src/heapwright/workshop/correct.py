"""Corrects an entry: finds it as it stands, and stores what it says from now on.

Knows which entries can be corrected, and that what the correction makes of the garden must make
sense. Knows no form.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from heapwright.errors import NotFound, OutOfRange
from heapwright.journal.bodies import checked_body
from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.undo import settle
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log

#: What belongs to a heap's story; settings, bins and stock are stated anew on their own pages.
CORRECTABLE = frozenset(
    {
        EntryKind.BUILD,
        EntryKind.READING,
        EntryKind.LOOK,
        EntryKind.TURN,
        EntryKind.WET,
        EntryKind.ADD,
        EntryKind.COVER,
        EntryKind.CURE,
        EntryKind.TEST,
        EntryKind.SCREEN,
        EntryKind.USE,
        EntryKind.PHOTO,
        EntryKind.NOTE,
    }
)


def as_it_stands(garden: Garden, entry_id: str) -> Entry:
    """Return an entry with its corrections applied.

    Raises
    ------
    NotFound
        If there is none, or it was taken back.
    OutOfRange
        If entries of its kind are not corrected but stated anew.

    """
    entry = next((one for one in settle(garden.entries()).entries if one.id == entry_id), None)
    if entry is None:
        raise NotFound(
            "There is no such entry to correct",
            why="it was taken back, or never was here",
            instead="Go back to the bin's page",
            kept="Nothing was changed.",
        )
    if entry.kind not in CORRECTABLE:
        raise OutOfRange(
            worded("An entry of kind {kind} is not corrected", kind=entry.kind),
            instead="Save the bin, the lot or the settings anew on their own page",
            kept="Nothing was changed.",
        )
    return entry


def correct(
    garden: Garden,
    entry_id: str,
    *,
    origin: str,
    body: Mapping[str, Any] | None = None,
    at: datetime | None = None,
    new_id: str | None = None,
) -> LogAnswer | None:
    """Store what an entry says from now on; the journal keeps what it said before.

    Parameters
    ----------
    garden : Garden
    entry_id : str
    origin : str
        Where the correction was written.
    body : mapping, optional
        The whole new body; the old one stays if not given.
    at : datetime, optional
        The new time; the old one stays if not given.
    new_id : str, optional
        Made where it was written; the same id is stored once.

    Returns
    -------
    LogAnswer or None
        None when nothing differs from what the entry says already.

    Raises
    ------
    HeapwrightError
        If there is no such entry, a value cannot be, or the garden would make no sense with it.

    """
    entry = as_it_stands(garden, entry_id)
    said: dict[str, Any] = {"of": entry_id}
    if body is not None and (clean := checked_body(entry.kind, body)) != dict(entry.body):
        said["body"] = clean
    if at is not None and at != entry.at:
        said["at"] = at.isoformat()
    if len(said) == 1:
        return None
    return log(garden, EntryKind.CORRECT, said, origin=origin, entry_id=new_id)
