"""Brings a journal's file to the revision this version writes, with a backup first.

Knows revisions and how to reach them. Knows nothing of entries. Alembic is imported only when
there is something to do, so that opening an up-to-date journal stays quick.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect

from heapwright.errors import StoreProblem
from heapwright.journal import schema
from heapwright.journal.connection import KEPT, reading, writing
from heapwright.wording import worded

SCRIPTS = Path(__file__).parent / "migrations"


def bring_up_to_date(engine: Engine, path: Path) -> Path | None:
    """Migrate the file when it needs it.

    Returns
    -------
    Path or None
        The backup made before an existing journal was changed.

    Raises
    ------
    StoreProblem
        When the file is not a journal, or was written by a newer version.

    """
    with reading(engine, path) as connection:
        stored = _revision(connection, path)
    if stored == schema.REVISION:
        return None
    backup = back_up(engine, _free_name(path, stored)) if stored else None
    with writing(engine, path) as connection:
        _upgrade(connection)
    return backup


def _revision(connection: Connection, path: Path) -> str | None:
    """Return the file's revision; None for an empty file."""
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    mark = connection.exec_driver_sql("PRAGMA application_id").scalar()
    if mark != schema.APPLICATION_ID or "alembic_version" not in tables:
        raise StoreProblem(
            worded("The file {path} belongs to another program", path=path),
            why="it holds tables but no journal",
            instead="Name the journal's own file, or a new one",
            kept="The file was not touched.",
        )
    found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    if found is None or str(found) > schema.REVISION:
        raise StoreProblem(
            worded(
                "The journal {path} was written by a newer Heapwright (its form is {found}, this "
                "version knows forms up to {revision})",
                path=path,
                found=found,
                revision=schema.REVISION,
            ),
            instead="Install the newer version, or name another journal",
            kept="The journal was not touched.",
        )
    return str(found)


def _free_name(path: Path, stored: str | None) -> Path:
    """Return a name for the backup that is not taken."""
    number = 1
    while True:
        mark = f"before-{schema.REVISION}-at-{stored}" + (f"-{number}" if number > 1 else "")
        name = path.with_name(f"{path.stem}-{mark}{path.suffix}")
        if not name.exists():
            return name
        number += 1


def back_up(engine: Engine, to: Path) -> Path:
    """Copy the journal as it is now into a new file, whole or not at all."""
    if to.exists():
        raise StoreProblem(
            worded("A file {to} is there already", to=to),
            why="a backup never overwrites anything",
            instead="Choose another name",
            kept="Both files are as they were.",
        )
    part = to.with_name(to.name + ".part")
    part.unlink(missing_ok=True)
    connection = engine.raw_connection()
    try:
        with sqlite3.connect(part) as copy:
            source = connection.driver_connection
            assert isinstance(source, sqlite3.Connection)
            source.backup(copy)
        copy.close()
        part.rename(to)
    except (sqlite3.Error, OSError) as problem:
        part.unlink(missing_ok=True)
        raise StoreProblem(
            worded("The backup {to} could not be written: {problem}", to=to, problem=problem),
            instead="Check that there is room and that you may write there",
            kept=KEPT,
        ) from problem
    finally:
        connection.close()
    return to


def _upgrade(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    settings = Config()
    settings.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    settings.attributes["connection"] = connection
    command.upgrade(settings, "head")
