"""The tables of people, of their part in each garden, and of their sign-ins.

Knows columns. Knows nothing of what a row allows.
"""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Integer, MetaData, String, Table, Text

#: Written into the file's header, so that it is told from a journal ("Folk").
APPLICATION_ID = 0x466F6C6B
#: The form of the tables; kept as SQLite's user_version.
REVISION = 1

metadata = MetaData()

#: `plain_name` is the name without regard to capitals, so that two cannot look alike.
people = Table(
    "people",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("name", Text, nullable=False),
    Column("plain_name", Text, nullable=False, unique=True),
    Column("passphrase", Text, nullable=False),
    Column("made_at", String(32), nullable=False),
    sqlite_autoincrement=True,
)

#: A garden is named by its journal's file name in this folder.
parts = Table(
    "parts",
    metadata,
    Column("person", Integer, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("garden", Text, primary_key=True),
    Column("role", String(16), nullable=False),
)

#: Of a sign-in's token only the SHA-256 is kept: whoever reads the file cannot sign in with it.
sign_ins = Table(
    "sign_ins",
    metadata,
    Column("token_hash", String(64), primary_key=True),
    Column(
        "person", Integer, ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True
    ),
    Column("garden", Text, nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("seen_at", String(32), nullable=False),
)
