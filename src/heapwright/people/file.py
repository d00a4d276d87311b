"""Opens the file of people beside the journals: its place, who may read it, its transactions.

Knows SQLite and file rights. Knows nothing of people.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError

from heapwright.errors import StoreProblem
from heapwright.people import schema
from heapwright.wording import worded

FILE_NAME = "people.sqlite3"
_ONLY_ITS_OWNER = 0o600
_PATIENCE_S = 10.0


def place_beside(journal: Path) -> Path:
    """Return where the people of a journal's folder are kept."""
    return journal.expanduser().absolute().with_name(FILE_NAME)


def opened(path: Path) -> Engine:
    """Return an engine on the file, made with its tables when there is none.

    Raises
    ------
    StoreProblem
        When it cannot be made, is another program's, or is from a newer version.

    """
    try:
        # Made by hand first, so that at no moment anybody else may read it.
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, _ONLY_ITS_OWNER))
        path.chmod(_ONLY_ITS_OWNER)
    except OSError as problem:
        raise _problem(path, problem.strerror or str(problem)) from problem
    engine = create_engine(
        URL.create("sqlite", database=str(path)), connect_args={"timeout": _PATIENCE_S}
    )
    event.listen(engine, "connect", _set_up)
    event.listen(engine, "begin", _begin)
    try:
        with writing(engine, path) as connection:
            _check_form(connection, path)
    except BaseException:
        engine.dispose()
        raise
    return engine


@contextmanager
def reading(engine: Engine, path: Path) -> Iterator[Connection]:
    """One snapshot to read from."""
    with _told(path), engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: Engine, path: Path) -> Iterator[Connection]:
    """One transaction to write in: all of it is kept, or nothing."""
    with (
        _told(path),
        engine.connect().execution_options(writes=True) as connection,
        connection.begin(),
    ):
        yield connection


def _set_up(connection: sqlite3.Connection, _record: object) -> None:
    connection.isolation_level = None  # transactions are begun by `_begin`, never by the driver
    # A rollback journal, not a write-ahead log: SQLite gives it the file's own rights, it is gone
    # after each write, and few write here.
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA secure_delete = ON")
    connection.execute("PRAGMA foreign_keys = ON")


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _check_form(connection: Connection, path: Path) -> None:
    mark = connection.exec_driver_sql("PRAGMA application_id").scalar()
    revision = int(connection.exec_driver_sql("PRAGMA user_version").scalar() or 0)
    tables = connection.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar()
    if tables and mark != schema.APPLICATION_ID:
        raise _problem(path, worded("it belongs to another program"))
    if revision > schema.REVISION:
        raise _problem(path, worded("a newer Heapwright wrote it"))
    if not tables:
        schema.metadata.create_all(connection)
        connection.exec_driver_sql(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        connection.exec_driver_sql(f"PRAGMA user_version = {schema.REVISION}")


@contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except DBAPIError as problem:
        # The statement's values stay out of it: among them are what nobody may read.
        raise _problem(path, _words(problem.orig)) from None
    except sqlite3.Error as problem:
        raise _problem(path, _words(problem)) from None


def _words(problem: Any) -> str:
    name = str(getattr(problem, "sqlite_errorname", "") or type(problem).__name__)
    # SQLite names the same trouble more closely too, such as SQLITE_READONLY_DIRECTORY.
    said = (why for beginning, why in _WHY.items() if name.startswith(beginning))
    return next(said, worded("the database says {name}", name=name))


_WHY = {
    "SQLITE_FULL": worded("the disk is full"),
    "SQLITE_IOERR": worded("the disk cannot be written to or read from; it may be full"),
    "SQLITE_BUSY": worded("another program has been writing in it for long"),
    "SQLITE_READONLY": worded("it may be read but not written"),
    "SQLITE_CANTOPEN": worded("the file cannot be opened"),
    "SQLITE_NOTADB": worded("it is damaged or another program's"),
    "SQLITE_CORRUPT": worded("it is damaged"),
}


def _problem(path: Path, why: str) -> StoreProblem:
    return StoreProblem(
        worded("The file of people {path} cannot be used", path=path),
        why=why,
        instead="Look at the file and its folder's rights; a damaged one may be moved away and "
        "the people added anew",
        kept="The journals were not touched.",
    )
