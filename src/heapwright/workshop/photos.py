"""Answers which photos there are of a heap, and what was read on the day one was taken.

Knows entries that name photos. Knows nothing of picture files or pages.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from heapwright.errors import NotFound
from heapwright.journal.entries import BatchState, Entry, EntryKind
from heapwright.workshop.garden import Garden


@dataclass(frozen=True, slots=True)
class PhotoShown:
    """A photo in a heap's story.

    Attributes
    ----------
    entry_id : str
    at : datetime
    caption : str
        "" when none was written.
    width, height : int
        [points]
    is_here : bool
        False when the journal was brought from elsewhere without its photos.

    """

    entry_id: str
    at: datetime
    caption: str
    width: int
    height: int
    is_here: bool


@dataclass(frozen=True, slots=True)
class PhotoDay:
    """A photo with the day it belongs to.

    Attributes
    ----------
    photo : PhotoShown
    batch : BatchState
    bin_name : str
        Where the heap stood when it was taken.
    entries : tuple of Entry
        What else was read, seen and done with the heap on that day, in order.
    before, after : PhotoShown or None
        The heap's neighbouring photos.

    """

    photo: PhotoShown
    batch: BatchState
    bin_name: str
    entries: tuple[Entry, ...]
    before: PhotoShown | None
    after: PhotoShown | None


def photos_of(garden: Garden, batch: BatchState) -> tuple[PhotoShown, ...]:
    """Return a heap's photos, oldest first."""
    entries = [entry for entry in batch.entries if entry.kind is EntryKind.PHOTO]
    here = garden.photos.names() if entries else frozenset()
    return tuple(_shown(entry, here) for entry in entries)


def photos_in(garden: Garden, bin_key: str) -> tuple[PhotoShown, ...]:
    """Return the photos of what lies in a bin; none when it is empty."""
    batch = garden.batch_in(bin_key)
    return () if batch is None else photos_of(garden, batch)


def photo_day(garden: Garden, entry_id: str) -> PhotoDay:
    """Return a photo with what was read on its day.

    Raises
    ------
    NotFound
        If no entry that counts names such a photo.

    """
    entry, batch = _named(garden, entry_id)
    state = garden.state()
    row = photos_of(garden, batch)
    place = next(i for i, one in enumerate(row) if one.entry_id == entry_id)
    zone = ZoneInfo(state.settings.time_zone)
    day = entry.at.astimezone(zone).date()
    bin_key = str(entry.body["bin"])
    return PhotoDay(
        photo=row[place],
        batch=batch,
        bin_name=state.bins[bin_key].name if bin_key in state.bins else bin_key,
        entries=tuple(
            one
            for one in batch.entries
            if one.id != entry_id and one.at.astimezone(zone).date() == day
        ),
        before=row[place - 1] if place > 0 else None,
        after=row[place + 1] if place + 1 < len(row) else None,
    )


def picture(garden: Garden, entry_id: str, *, small: bool = False) -> bytes:
    """Return the file of a photo that an entry names.

    Raises
    ------
    NotFound
        If no entry that counts names it, or the photo itself is not here.

    """
    entry, _ = _named(garden, entry_id)
    found = garden.photos.jpeg(str(entry.body["sha256"]), small=small)
    if found is None:
        raise NotFound(
            "This photo is not here",
            why="the journal was brought in without its photos",
            instead="Bring in the export that holds them",
            kept="Its entry is kept.",
        )
    return found


def _named(garden: Garden, entry_id: str) -> tuple[Entry, BatchState]:
    """Return the entry and its heap; those taken back are in no heap's story."""
    for batch in garden.state().batches.values():
        for entry in batch.entries:
            if entry.id == entry_id and entry.kind is EntryKind.PHOTO:
                return entry, batch
    raise NotFound("There is no such photo", why="it was taken back, or never was here", kept="")


def _shown(entry: Entry, here: frozenset[str]) -> PhotoShown:
    body = entry.body
    return PhotoShown(
        entry.id,
        entry.at,
        str(body.get("caption", "")),
        int(body["width"]),
        int(body["height"]),
        str(body["sha256"]) in here,
    )
