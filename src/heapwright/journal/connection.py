"""Opens the journal's SQLite file as it must be opened, and turns its errors into sentences.

Knows pragmas, transactions and error codes. Knows nothing of entries.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError

from heapwright.errors import StoreProblem
from heapwright.wording import worded

#: How long to wait for another program that is writing. [s]
PATIENCE_S = 10.0

KEPT = "What is in the journal is unharmed; nothing of this was saved."

# Kinds of network file systems as the kernel names them: SQLite's WAL needs shared memory that
# these do not give (SQLite documentation, "Write-Ahead Logging", section "Disadvantages").
_NETWORK_DRIVES = ("nfs", "nfs4", "cifs", "smb", "smb2", "smb3", "smbfs", "fuse.sshfs", "9p", "afs")


def make_engine(path: Path) -> Engine:
    """Return an engine on the file; connections are durable, patient and check references."""
    engine = create_engine(
        URL.create("sqlite", database=str(path)), connect_args={"timeout": PATIENCE_S}
    )
    event.listen(engine, "connect", _set_up)
    event.listen(engine, "begin", _begin)
    return engine


def _set_up(connection: sqlite3.Connection, _record: object) -> None:
    connection.isolation_level = None  # transactions are begun by `_begin`, never by the driver
    cursor = connection.cursor()
    _write_ahead(cursor)
    # FULL: an entry that was acknowledged outlives a power cut; NORMAL may lose the last ones.
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _write_ahead(cursor: sqlite3.Cursor) -> None:
    """Set the write-ahead log once; changing the mode does not wait for others by itself."""
    give_up = time.monotonic() + PATIENCE_S
    while cursor.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:
            cursor.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as problem:
            if problem.sqlite_errorname != "SQLITE_BUSY" or time.monotonic() > give_up:
                raise
            time.sleep(0.05)


def _begin(connection: Connection) -> None:
    # A writer takes its lock at once, or two of them could wait for each other for ever; a reader
    # sees the journal as it was when it began.
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def reading(engine: Engine, path: Path) -> Iterator[Connection]:
    """One snapshot to read from."""
    with told_to_people(path), engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: Engine, path: Path) -> Iterator[Connection]:
    """One transaction to write in: all of it is kept, or nothing."""
    with (
        told_to_people(path),
        engine.connect().execution_options(writes=True) as connection,
        connection.begin(),
    ):
        yield connection


@contextmanager
def told_to_people(path: Path) -> Iterator[None]:
    """Turn the database's errors into sentences."""
    try:
        yield
    except DBAPIError as problem:
        raise store_problem(problem.orig, path) from problem
    except sqlite3.Error as problem:
        raise store_problem(problem, path) from problem


def store_problem(problem: Any, path: Path) -> StoreProblem:
    """Return the sentence for what SQLite said."""
    name = str(getattr(problem, "sqlite_errorname", "") or "")
    for beginning, (why, instead) in _SENTENCES.items():
        if name.startswith(beginning):
            return StoreProblem(
                worded("The journal {path}: {why}", path=path, why=why), instead=instead, kept=KEPT
            )
    return StoreProblem(
        worded("The journal {path} could not be used: {problem}", path=path, problem=problem),
        kept=KEPT,
    )


_ROOM = "Make room on the disk, then enter it again"
_SENTENCES = {
    "SQLITE_FULL": ("the disk is full", _ROOM),
    "SQLITE_IOERR": ("the disk cannot be written to or read from; it may be full", _ROOM),
    "SQLITE_READONLY": (
        "the file may be read but not written",
        "Give yourself the right to write the file and its folder",
    ),
    "SQLITE_CANTOPEN": (
        "the file cannot be opened",
        "Check that its folder is there and that you may write in it",
    ),
    "SQLITE_PERM": ("you may not open this file", "Give yourself the right to write it"),
    "SQLITE_BUSY": (
        worded(
            "another program has been writing for more than {patience_s:g} seconds",
            patience_s=PATIENCE_S,
        ),
        "Close the other program, then try again",
    ),
    "SQLITE_LOCKED": ("another program holds it", "Close the other program, then try again"),
    "SQLITE_NOTADB": ("this file is not a journal", "Name the journal's own file, or a new one"),
    "SQLITE_CORRUPT": (
        "the file is damaged",
        "Put the last backup in its place, and keep the damaged file",
    ),
}


def network_drive(path: Path, mounts: str) -> str:
    """Return the kind of network drive a file lies on, "" when on none.

    Parameters
    ----------
    path : Path
    mounts : str
        The kernel's table of mounts (`/proc/mounts`): device, place, kind, ...

    """
    best = ("", "")
    for line in mounts.splitlines():
        words = line.split(" ")
        place = words[1].replace("\\040", " ") if len(words) > 2 else ""
        if place and path.is_relative_to(place) and len(place) >= len(best[0]):
            best = (place, words[2])
    return best[1] if best[1] in _NETWORK_DRIVES else ""
