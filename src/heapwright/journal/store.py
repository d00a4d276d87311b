"""Keeps the journal's entries in one SQLite file: append, read, back up. Nothing is ever changed.

Knows how an entry becomes a row and what is stored already. Knows nothing of what the entries mean
together (`fold.py`) or of pages.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

from sqlalchemy import Connection, Engine, RowMapping, insert, select

from heapwright.errors import AlreadyThere, HeapwrightError, StoreProblem
from heapwright.journal import connection as database
from heapwright.journal import migrate
from heapwright.journal.bodies import checked_body, checked_entry
from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.photo_store import PhotoStore, keep
from heapwright.journal.picture import Photo
from heapwright.journal.schema import entries as table
from heapwright.journal.schema import stamp
from heapwright.wording import worded

#: How many ids are asked for at once; SQLite takes far more, older ones 999.
_AT_ONCE = 500
# Asked for at every answer: as plain text, since composing it would cost more than answering it.
_LAST = f"SELECT max({table.c.sequence.name}) FROM {table.name}"


@dataclass(frozen=True, slots=True)
class Refusal:
    """An entry that was not stored, and why."""

    entry: Entry
    problem: HeapwrightError


@dataclass(frozen=True, slots=True)
class AppendResult:
    """What became of each entry handed over: every one is in exactly one of the three."""

    stored: tuple[Entry, ...]
    already_there: tuple[Entry, ...]
    refused: tuple[Refusal, ...]

    def or_raise(self) -> AppendResult:
        """Return this result; raise the first refusal's problem if there is one."""
        if self.refused:
            raise self.refused[0].problem
        return self


class Journal:
    """The journal's file, open. Use it from any number of threads.

    Attributes
    ----------
    path : Path
    photos : PhotoStore
        The photos that entries name, in the same file.
    warnings : tuple of str
        What to tell the person once: a network drive, a backup that was made.

    """

    def __init__(self, engine: Engine, path: Path, warnings: tuple[str, ...]) -> None:
        self._engine = engine
        self._one_writer = threading.Lock()
        self.path = path
        self.photos = PhotoStore(engine, path, self._one_writer)
        self.warnings = warnings

    @classmethod
    def open(cls, path: str | Path) -> Journal:
        """Open the journal, making the file when there is none and migrating an older one.

        Raises
        ------
        StoreProblem
            When the file cannot be written, is no journal, is damaged, or is newer than this
            version.

        """
        place = Path(path).expanduser().absolute()
        engine = database.make_engine(place)
        try:
            backup = migrate.bring_up_to_date(engine, place)
        except BaseException:
            engine.dispose()
            raise
        return cls(engine, place, _warnings(place, backup))

    def append(
        self,
        entries: Sequence[Entry],
        *,
        now: datetime | None = None,
        all_or_none: bool = False,
        photos: Sequence[Photo] = (),
    ) -> AppendResult:
        """Store entries, each once however often it arrives, in one transaction.

        Entries that cannot be (see `bodies.checked_entry`) are refused by themselves; the others
        are stored. When this returns, what is in `stored` outlives a power cut.

        Parameters
        ----------
        entries : sequence of Entry
        now : datetime, optional
            When given, entries dated later are refused.
        all_or_none : bool, default False
            Store nothing when one is refused, and raise why.
        photos : sequence of Photo
            Those that the entries name, stored in the same transaction.

        Raises
        ------
        HeapwrightError
            With `all_or_none`, the first refusal.
        StoreProblem
            When the disk is full or the file is held by another program: then none is stored.

        """
        sound, refused = _sorted_out(entries, now)
        with self._one_writer, database.writing(self._engine, self.path) as connection:
            known = _known(connection, _ids_spoken_of(sound))
            stored: list[Entry] = []
            already: list[Entry] = []
            for entry in sound:
                there = known.get(entry.id)
                if there is not None and _says_the_same(there, entry):
                    already.append(entry)
                elif (problem := _problem_with(entry, there, known)) is not None:
                    refused.append(Refusal(entry, problem))
                else:
                    stored.append(entry)
                    known[entry.id] = entry
            keep(connection, photos, datetime.now(UTC))
            if stored:
                connection.execute(insert(table), [_row(entry) for entry in stored])
            result = AppendResult(tuple(stored), tuple(already), tuple(refused))
            # Raised inside the transaction, so that it takes back what was just inserted.
            return result.or_raise() if all_or_none else result

    def entries(self, since: int | None = None) -> tuple[Entry, ...]:
        """Return the entries in order of arrival, as one snapshot.

        Parameters
        ----------
        since : int, optional
            Only entries that arrived after this sequence number.

        """
        wanted = select(table).order_by(table.c.sequence)
        if since is not None:
            wanted = wanted.where(table.c.sequence > since)
        with database.reading(self._engine, self.path) as connection:
            return tuple(_entry(row) for row in connection.execute(wanted).mappings())

    def entries_after(self, sequence: int) -> tuple[int, tuple[Entry, ...]]:
        """Return the entries that arrived after a sequence number, and the last one's number.

        0 gives all; what was read before need not be read again.
        """
        wanted = select(table).where(table.c.sequence > sequence).order_by(table.c.sequence)
        with database.reading(self._engine, self.path) as connection:
            rows = connection.execute(wanted).mappings().all()
        last = rows[-1][table.c.sequence] if rows else sequence
        return last, tuple(_entry(row) for row in rows)

    def last_sequence(self) -> int:
        """Return the sequence number of the entry that arrived last; 0 when there is none."""
        with database.reading(self._engine, self.path) as connection:
            return connection.exec_driver_sql(_LAST).scalar() or 0

    def known_ids(self, ids: Iterable[str]) -> frozenset[str]:
        """Return those of the ids that are stored already."""
        with database.reading(self._engine, self.path) as connection:
            return frozenset(_known(connection, tuple(ids)))

    def back_up(self, to: str | Path) -> Path:
        """Copy the journal as it is now into a new file; never overwrites one."""
        return migrate.back_up(self._engine, Path(to).expanduser().absolute())

    def close(self) -> None:
        """Close the file; everything stored is in it."""
        self._engine.dispose()

    def __enter__(self) -> Journal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def _warnings(path: Path, backup: Path | None) -> tuple[str, ...]:
    told = []
    try:
        mounts = Path("/proc/mounts").read_text(encoding="utf-8", errors="replace")
    except OSError:
        mounts = ""  # not every system lists its mounts; then nothing can be said
    drive = database.network_drive(path, mounts)
    if drive:
        told.append(
            worded(
                "The journal {path} lies on a network drive ({drive}). Two programs writing "
                "there at once may damage it. Keep it on a disk of this computer.",
                path=path,
                drive=drive,
            )
        )
    if backup is not None:
        told.append(
            worded(
                "The journal was brought to this version's form. Before that: {backup}.",
                backup=backup,
            )
        )
    return tuple(told)


def _sorted_out(
    entries: Sequence[Entry], now: datetime | None
) -> tuple[list[Entry], list[Refusal]]:
    sound, refused = [], []
    for entry in entries:
        try:
            sound.append(checked_entry(entry, now=now))
        except HeapwrightError as problem:
            refused.append(Refusal(entry, problem))
    return sound, refused


def _ids_spoken_of(entries: Sequence[Entry]) -> tuple[str, ...]:
    corrected = (e.body["of"] for e in entries if e.kind is EntryKind.CORRECT)
    return tuple(dict.fromkeys([*(e.id for e in entries), *corrected]))


def _known(connection: Connection, ids: Sequence[str]) -> dict[str, Entry]:
    found = {}
    for some in _by(_AT_ONCE, ids):
        rows = connection.execute(select(table).where(table.c.id.in_(some)))
        found.update({entry.id: entry for entry in map(_entry, rows.mappings())})
    return found


def _by(size: int, ids: Sequence[str]) -> Iterator[Sequence[str]]:
    for start in range(0, len(ids), size):
        yield ids[start : start + size]


def _says_the_same(one: Entry, other: Entry) -> bool:
    """Whether two entries tell the same; when and where it was typed does not matter."""
    return (one.kind, one.at, one.body, one.author) == (
        other.kind,
        other.at,
        other.body,
        other.author,
    )


def _problem_with(
    entry: Entry, there: Entry | None, known: Mapping[str, Entry]
) -> HeapwrightError | None:
    if there is not None:
        return AlreadyThere(
            worded("Entry {id} is stored already and says something else", id=entry.id),
            why=worded(
                "stored is a {kind} of {at:%Y-%m-%d %H:%M} UTC", kind=there.kind, at=there.at
            ),
            instead="Give the new entry an id of its own, or correct the stored one",
            kept="The stored entry is as it was; the new one was not saved.",
        )
    if entry.kind is EntryKind.CORRECT and "body" in entry.body:
        target = known.get(entry.body["of"])
        return None if target is None else _correction_problem(entry, target)
    return None


def _correction_problem(entry: Entry, target: Entry) -> HeapwrightError | None:
    # A correction of a correction speaks of an entry further back: the fold checks that one.
    if target.kind is EntryKind.CORRECT:
        return None
    try:
        checked_body(target.kind, entry.body["body"])
    except HeapwrightError as problem:
        return problem
    return None


def _row(entry: Entry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "kind": str(entry.kind),
        "at": stamp(entry.at),
        "written_at": stamp(entry.written_at),
        "author": entry.author,
        "origin": entry.origin,
        "body": json.dumps(entry.body, ensure_ascii=False, allow_nan=False),
    }


def _entry(row: RowMapping) -> Entry:
    """Return a row's entry; one that this version cannot read is never passed over silently."""
    try:
        return _read(row)
    except ValueError as problem:
        raise StoreProblem(
            worded(
                "Entry {sequence} of the journal ({kind}) cannot be read: {problem}",
                sequence=row["sequence"],
                kind=row["kind"],
                problem=problem,
            ),
            why="a newer Heapwright or another program wrote it",
            instead="Install the newer version, or put the last backup in place",
            kept="The journal was not touched.",
        ) from problem


def _read(row: RowMapping) -> Entry:
    return Entry(
        id=row["id"],
        kind=EntryKind(row["kind"]),
        at=datetime.fromisoformat(row["at"]),
        body=json.loads(row["body"]),
        written_at=datetime.fromisoformat(row["written_at"]),
        author=row["author"],
        origin=row["origin"],
    )
