"""The journal's tables, and which revision of it this version writes.

Knows columns and marks in the file. Knows nothing of entries' meaning or of how a revision is
reached (`migrate.py`).
"""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import Column, Integer, LargeBinary, MetaData, String, Table, Text

#: The newest revision in `migrations/versions`; a test holds the two together.
REVISION = "0003"

#: Written into the file's header, so that a journal is told from any other SQLite file ("Heap").
APPLICATION_ID = 0x48656170

metadata = MetaData()

#: Times are UTC in ISO 8601 with microseconds, so that they sort as text; body is JSON.
entries = Table(
    "entries",
    metadata,
    Column("sequence", Integer, primary_key=True, autoincrement=True),
    Column("id", String(32), nullable=False, unique=True),
    Column("kind", String(32), nullable=False),
    Column("at", String(32), nullable=False),
    Column("written_at", String(32), nullable=False),
    Column("author", Text, nullable=False),
    Column("origin", String(32), nullable=False),
    Column("body", Text, nullable=False),
    sqlite_autoincrement=True,
)

#: Photos that entries name by the SHA-256 of what they hold.
photos = Table(
    "photos",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("kept_at", String(32), nullable=False),
    Column("small", LargeBinary, nullable=False),
    Column("jpeg", LargeBinary, nullable=False),
)


def stamp(when: datetime) -> str:
    """Return a moment as the tables hold it."""
    return when.astimezone(UTC).isoformat(timespec="microseconds")
