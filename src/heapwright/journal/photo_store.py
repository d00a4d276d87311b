"""Keeps photos in the journal's own file, under the SHA-256 of what they hold.

In the same file, because then one backup holds everything and a photo is on the disk in the same
transaction as the entry that names it: neither can be there without the other. Knows rows; what a
photo may be is said by `picture.py`, what it shows by the entry that names it.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import Connection, Engine, insert, select, text

from heapwright.journal import connection as database
from heapwright.journal.picture import Photo, limits
from heapwright.journal.schema import photos as table
from heapwright.journal.schema import stamp

# Photos whose form was never sent to its end, or was sent without them.
_FORGET = text(
    "DELETE FROM photos WHERE kept_at < :before AND NOT EXISTS (SELECT 1 FROM entries "
    "WHERE kind = 'photo' AND json_extract(body, '$.sha256') = photos.sha256)"
)


class PhotoStore:
    """The photos of one journal. Use it from any number of threads."""

    def __init__(self, engine: Engine, path: Path, one_writer: threading.Lock) -> None:
        self._engine = engine
        self._path = path
        self._one_writer = one_writer

    def hold(self, photo: Photo, now: datetime) -> None:
        """Keep a photo whose form is not complete yet; one nobody came back for is dropped."""
        before = now - timedelta(hours=limits()["held_hours"][1])
        with self._one_writer, database.writing(self._engine, self._path) as connection:
            keep(connection, [photo], now)
            connection.execute(_FORGET, {"before": stamp(before)})

    def take_in(self, photo: Photo, now: datetime) -> None:
        """Keep a photo that an entry names, or will in a moment."""
        with self._one_writer, database.writing(self._engine, self._path) as connection:
            keep(connection, [photo], now)

    def find(self, sha256: str) -> Photo | None:
        """Return a photo, None when it is not here."""
        with database.reading(self._engine, self._path) as connection:
            row = connection.execute(select(table).where(table.c.sha256 == sha256)).mappings()
            found = row.first()
        if found is None:
            return None
        return Photo(
            found["sha256"], found["width"], found["height"], found["jpeg"], found["small"]
        )

    def jpeg(self, sha256: str, *, small: bool = False) -> bytes | None:
        """Return a photo's file, or its small one's; None when it is not here."""
        column = table.c.small if small else table.c.jpeg
        with database.reading(self._engine, self._path) as connection:
            found = connection.execute(select(column).where(table.c.sha256 == sha256)).scalar()
        return None if found is None else bytes(found)

    def names(self) -> frozenset[str]:
        """Return the SHA-256 of every photo that is here."""
        with database.reading(self._engine, self._path) as connection:
            return frozenset(connection.execute(select(table.c.sha256)).scalars())


def keep(connection: Connection, photos: Iterable[Photo], now: datetime) -> None:
    """Keep photos within a transaction; those that are here already stay as they are."""
    for photo in photos:
        there = select(table.c.sha256).where(table.c.sha256 == photo.sha256)
        if connection.execute(there).first() is None:
            connection.execute(insert(table), [_row(photo, now)])


def _row(photo: Photo, now: datetime) -> dict[str, object]:
    return {
        "sha256": photo.sha256,
        "width": photo.width,
        "height": photo.height,
        "kept_at": stamp(now),
        "small": photo.small,
        "jpeg": photo.jpeg,
    }
