"""Writes down what a gardener did or saw, and says when a value looks improbable.

Knows how an entry is made, checked and stored once. Knows nothing of forms or commands.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from heapwright.errors import NotFound
from heapwright.journal import fields
from heapwright.journal.entries import Entry, EntryKind, new_entry_id
from heapwright.journal.picture import Photo
from heapwright.journal.undo import settle, standing
from heapwright.sentences import Sentence, say, temperature
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden

#: More than this many slips in one go say no more than the first few.
MOST_WARNINGS = 5


def log(
    garden: Garden,
    kind: EntryKind,
    body: Mapping[str, Any],
    *,
    origin: str,
    at: datetime | None = None,
    entry_id: str | None = None,
    author: str = "",
) -> LogAnswer:
    """Store one entry and return what became of it.

    Parameters
    ----------
    garden : Garden
    kind : EntryKind
    body : mapping
        SI units; fields by kind as in `journal.bodies`.
    origin : str
        Where it was written, see `Entry.origin`.
    at : datetime, optional
        When it happened, timezone-aware; now if not given.
    entry_id : str, optional
        The id made where it was written; the same id is stored once.

    Raises
    ------
    HeapwrightError
        If a field cannot be right, names an unknown bin or lot, or lies in the future.

    """
    entry = make_entry(garden, kind, body, at=at, entry_id=entry_id, author=author, origin=origin)
    return log_many(garden, [entry])


def make_entry(
    garden: Garden,
    kind: EntryKind,
    body: Mapping[str, Any],
    *,
    origin: str,
    at: datetime | None = None,
    entry_id: str | None = None,
    author: str = "",
) -> Entry:
    """Return an entry written now; nothing is stored. Arguments as for `log`."""
    now = garden.now()
    return Entry(
        id=entry_id or new_entry_id(),
        kind=kind,
        at=at or now,
        body=body,
        written_at=now,
        author=author,
        origin=origin,
    )


def log_many(
    garden: Garden,
    entries: Sequence[Entry],
    *,
    must_make_sense: bool = True,
    photos: Sequence[Photo] = (),
) -> LogAnswer:
    """Store several entries in one transaction; all or none of them.

    Parameters
    ----------
    garden : Garden
    entries : sequence of Entry
    must_make_sense : bool, default True
        As for `Garden.append`; False for entries that waited elsewhere and must not be lost.
    photos : sequence of Photo
        Those that the entries name.

    Raises
    ------
    HeapwrightError
        As `log`; then none of the entries is stored.

    """
    checked = garden.checked(entries)
    result = garden.append(checked, must_make_sense=must_make_sense, photos=photos).or_raise()
    return LogAnswer(
        stored=tuple(entry.id for entry in result.stored),
        already_there=tuple(entry.id for entry in result.already_there),
        warnings=tuple(_warnings(garden, result.stored)),
        entries=tuple(checked),
    )


def counting(garden: Garden) -> frozenset[str]:
    """Return the ids of the entries that count: those not taken back, corrections among them."""
    entries = garden.entries()
    told = frozenset(entry.id for entry in settle(entries).entries)
    corrections = frozenset(entry.id for entry in entries if entry.kind is EntryKind.CORRECT)
    return told | (corrections & standing(entries))


def undo(garden: Garden, entry_id: str, *, origin: str, new_id: str | None = None) -> LogAnswer:
    """Take an entry back; the journal keeps both. `origin` is where the undo was written.

    Raises
    ------
    NotFound
        If no entry has this id.

    """
    if not any(entry.id == entry_id for entry in garden.entries()):
        raise NotFound(
            worded("No entry has the id {entry_id}", entry_id=entry_id),
            instead="Reload the page and try again",
        )
    return log(garden, EntryKind.UNDO, {"of": entry_id}, entry_id=new_id, origin=origin)


def _warnings(garden: Garden, entries: Sequence[Entry]) -> list[Sentence]:
    known = garden.state().bins
    readings = [e for e in entries if e.kind is EntryKind.READING and e.body["bin"] in known]
    found = [warning for e in readings if (warning := _jump(garden, e)) is not None]
    return found[:MOST_WARNINGS]


def _jump(garden: Garden, entry: Entry) -> Sentence | None:
    compared = timedelta(hours=fields.limit("jump_hours").high)
    earlier = [
        other
        for other in garden.readings_of_bin(str(entry.body["bin"]))
        if timedelta(0) <= entry.at - other.at <= compared and other.id != entry.id
    ]
    if not earlier:
        return None
    before = float(max(earlier, key=lambda e: e.at).body["temperature_c"])
    now = float(entry.body["temperature_c"])
    if abs(now - before) <= fields.limit("jump_c").high:
        return None
    return say(
        "{now} is far from the {before} read less than a day before; if it was a slip, undo it.",
        now=temperature(now),
        before=temperature(before),
    )


def corrected(entry: Entry, **changes: Any) -> Entry:
    """Return the correcting entry that gives `entry` a new body field or time."""
    body = dict(entry.body) | changes
    return replace(
        entry, id=new_entry_id(), kind=EntryKind.CORRECT, body={"of": entry.id, "body": body}
    )
