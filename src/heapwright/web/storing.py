"""Stores what a form tells, once however often it is sent.

Knows entry ids and what was stored already. Knows nothing of fields or pages.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from heapwright.errors import AlreadyThere
from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.picture import Photo
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log_many, make_entry


@dataclass(frozen=True, slots=True)
class Told:
    """One thing a form tells: an entry before it has its time and id."""

    what: str  # tells the entries of one form apart, and the field to look at when one is refused
    kind: EntryKind
    body: Mapping[str, Any]


def store_once(
    garden: Garden,
    entries: Sequence[Entry],
    *,
    must_make_sense: bool = True,
    photos: Sequence[Photo] = (),
) -> bool:
    """Store those entries whose id is not there yet, all in one go.

    Parameters
    ----------
    garden : Garden
    entries : sequence of Entry
    must_make_sense : bool, default True
    photos : sequence of Photo
        As for `workshop.log.log_many`.

    Returns
    -------
    bool
        False when every one of them was stored before: the form came twice.

    Raises
    ------
    HeapwrightError
        As `workshop.log.log_many`; then nothing is stored.

    """
    fresh = [entry for entry in entries if entry.id not in known_ids(garden)]
    if not fresh:
        return False
    return do_once(
        garden,
        [entry.id for entry in fresh],
        lambda: log_many(garden, fresh, must_make_sense=must_make_sense, photos=photos),
    )


def do_once(garden: Garden, ids: Collection[str], store: Callable[[], object]) -> bool:
    """Call `store` unless the ids are there; of two calls at once the later gives way.

    Returns
    -------
    bool
        Whether something was stored by this call.

    """
    if set(ids) <= known_ids(garden):
        return False
    try:
        store()
    except AlreadyThere:
        # The same form, sent twice at once: the other one was faster.
        if set(ids) <= known_ids(garden):
            return False
        raise
    return True


def known_ids(garden: Garden) -> set[str]:
    """Return the id of every entry of the journal."""
    return {entry.id for entry in garden.entries()}


def made_entry(garden: Garden, told: Told, entry_id: str, at: datetime) -> Entry:
    """Return a told thing as an entry written on a page."""
    return make_entry(garden, told.kind, told.body, at=at, entry_id=entry_id, origin="page")
