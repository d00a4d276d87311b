"""What can happen to a journal's file: each is told in a sentence, and no stored entry is lost."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import event

from heapwright.errors import StoreProblem
from heapwright.journal import connection
from heapwright.journal.connection import told_to_people
from heapwright.journal.entries import Entry
from heapwright.journal.store import Journal
from tests.laws.journal_cases import a_row_of_bins

ROOT = Path(__file__).parents[2]
OLDER = ROOT / "tests" / "laws" / "data" / "journal-form-0001.sql"


def some_notes(count: int, letters: int = 10) -> list[Entry]:
    told = a_row_of_bins()
    return [told.write("note", {"text": f"{n} ".ljust(letters, "x")}) for n in range(count)]


def run(program: str, *arguments: object) -> subprocess.Popen[str]:
    """Start a Python program that may import this project and its tests."""
    return subprocess.Popen(
        [sys.executable, "-c", program, *map(str, arguments)],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def refusal(deed: Callable[[], object]) -> str:
    with pytest.raises(StoreProblem) as caught:
        deed()
    return caught.value.sentence()


def test_journal_on_a_full_disk_stores_all_of_an_append_or_nothing(tmp_path: Path):
    few, many = some_notes(3), some_notes(400, letters=900)
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append(few)
        small = event.listens_for(journal._engine, "begin")
        small(lambda opened: opened.exec_driver_sql("PRAGMA max_page_count = 20") and None)
        said = refusal(lambda: journal.append(many))
        assert "the disk is full" in said
        assert "Make room" in said
        assert "What is in the journal is unharmed; nothing of this was saved." in said
        assert journal.entries() == tuple(few)
    with Journal.open(tmp_path / "garden.db") as journal:
        assert len(journal.append(many).stored) == 397
        assert len(journal.entries()) == 400


def test_journal_that_may_grow_no_further_stores_nothing_by_half(tmp_path: Path):
    """The operating system itself refuses to write on, as it does on a full disk."""
    program = """
import resource, sys
from heapwright.errors import StoreProblem
from heapwright.journal.store import Journal
from tests.faults.test_journal_faults import some_notes
journal = Journal.open(sys.argv[1])
journal.append(some_notes(3))
resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
try:
    journal.append(some_notes(400, letters=900))
except StoreProblem as problem:
    print(problem.sentence())
print(len(journal.entries()))
"""
    out, errors = run(program, tmp_path / "garden.db").communicate()
    assert errors == ""
    sentence, count = out.splitlines()
    assert "Make room on the disk" in sentence
    assert count == "3"
    with Journal.open(tmp_path / "garden.db") as journal:
        assert len(journal.entries()) == 3


def test_journal_killed_while_appending_keeps_every_acknowledged_entry(tmp_path: Path):
    program = """
import sys
from heapwright.journal.store import Journal
from tests.faults.test_journal_faults import some_notes
journal = Journal.open(sys.argv[1])
for entry in some_notes(5000):
    (stored,) = journal.append([entry]).stored
    print(stored.id, flush=True)
"""
    writer = run(program, tmp_path / "garden.db")
    assert writer.stdout is not None
    acknowledged = [writer.stdout.readline().strip() for _ in range(40)]
    writer.send_signal(signal.SIGKILL)
    acknowledged += [line.strip() for line in writer.communicate()[0].splitlines(keepends=True)]
    with Journal.open(tmp_path / "garden.db") as journal:
        stored = [entry.id for entry in journal.entries()]
        # The last one may have been stored and killed before it was said.
        assert stored[: len(acknowledged)] == acknowledged
        assert len(stored) - len(acknowledged) in (0, 1)
        assert len(journal.append(some_notes(3)).already_there) == 3


def test_journal_written_by_two_programs_at_once_holds_each_entry_once(tmp_path: Path):
    program = """
import sys
from heapwright.journal.store import Journal
from tests.faults.test_journal_faults import some_notes
first, last = map(int, sys.argv[2:])
stored = 0
with Journal.open(sys.argv[1]) as journal:  # both make the file, too
    for entry in some_notes(last)[first:]:
        stored += len(journal.append([entry]).stored)
print(stored)
"""
    file = tmp_path / "garden.db"
    writers = [run(program, file, 0, 30), run(program, file, 15, 45)]
    answers = [writer.communicate() for writer in writers]
    assert [errors for _, errors in answers] == ["", ""]
    assert sum(int(out) for out, _ in answers) == 45
    with Journal.open(file) as journal:
        assert {e.id for e in journal.entries()} == {e.id for e in some_notes(45)}


def test_journal_is_used_by_many_threads_at_once(tmp_path: Path):
    notes = some_notes(60)
    with Journal.open(tmp_path / "garden.db") as journal:
        counts: list[int] = []

        def write(part: list[Entry]) -> None:
            counts.extend(
                len(journal.append([e]).stored) + 0 * len(journal.entries()) for e in part
            )

        threads = [threading.Thread(target=write, args=(notes[n:],)) for n in (0, 20, 40)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sum(counts) == 60
        assert len(journal.entries()) == 60


def test_journal_held_by_another_program_says_so_and_stores_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(connection, "PATIENCE_S", 0.05)
    with Journal.open(tmp_path / "garden.db") as journal:
        with closing(sqlite3.connect(journal.path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            said = refusal(lambda: journal.append(some_notes(1)))
            assert "another program has been writing" in said
            assert journal.entries() == ()
        assert len(journal.append(some_notes(1)).stored) == 1


def test_journal_of_a_newer_version_is_refused_and_not_touched(tmp_path: Path):
    file = tmp_path / "garden.db"
    Journal.open(file).close()
    with closing(sqlite3.connect(file)) as newer:
        newer.execute("UPDATE alembic_version SET version_num = '9999'")
        newer.commit()
    before = file.read_bytes()
    said = refusal(lambda: Journal.open(file))
    assert "written by a newer Heapwright" in said
    assert "Install the newer version" in said
    assert "The journal was not touched." in said
    assert file.read_bytes() == before


def test_journal_entry_of_an_unknown_kind_is_told_not_passed_over(tmp_path: Path):
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append(some_notes(1))
        with closing(sqlite3.connect(journal.path)) as newer:
            newer.execute(
                "INSERT INTO entries (id, kind, at, written_at, author, origin, body) "
                "SELECT 'x', 'song', at, written_at, author, origin, body FROM entries"
            )
            newer.commit()
        assert "Entry 2 of the journal (song) cannot be read" in refusal(journal.entries)


def test_migration_that_fails_leaves_the_older_form_whole_with_its_backup(tmp_path: Path):
    file = tmp_path / "garden.db"
    with closing(sqlite3.connect(file)) as older:
        older.executescript(OLDER.read_text(encoding="utf-8"))
        older.execute(
            "CREATE TRIGGER entries_no_delete AFTER INSERT ON entries BEGIN SELECT 1; END"
        )
        older.commit()
    assert "could not be used: trigger entries_no_delete already exists" in refusal(
        lambda: Journal.open(file)
    )
    for one in (file, *tmp_path.glob("*before*.db")):
        with closing(sqlite3.connect(one)) as older:
            assert older.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
            guards = older.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            assert guards.fetchall() == [("entries_no_delete",)]
    assert len(list(tmp_path.glob("*before*.db"))) == 1


def test_another_programs_database_is_refused_and_not_touched(tmp_path: Path):
    file = tmp_path / "photos.db"
    with closing(sqlite3.connect(file)) as other:
        other.execute("PRAGMA journal_mode = WAL")
        other.execute("CREATE TABLE photos (name)")
        other.commit()
    before = file.read_bytes()
    assert "belongs to another program" in refusal(lambda: Journal.open(file))
    assert file.read_bytes() == before


def test_a_file_that_is_no_database_is_refused_and_not_touched(tmp_path: Path):
    file = tmp_path / "notes.txt"
    file.write_text("Turned the heap today.\n" * 100)
    before = file.read_bytes()
    assert "this file is not a journal" in refusal(lambda: Journal.open(file))
    assert file.read_bytes() == before


def test_a_damaged_journal_says_to_put_the_backup_in_its_place(tmp_path: Path):
    file = tmp_path / "garden.db"
    with Journal.open(file) as journal:
        journal.append(some_notes(200, letters=500))
        with closing(sqlite3.connect(file)) as other:
            other.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    data = bytearray(file.read_bytes())
    for page in range(3, len(data) // 4096):
        data[page * 4096 : page * 4096 + 200] = b"\xa5" * 200
    file.write_bytes(data)
    with Journal.open(file) as journal:
        said = refusal(journal.entries)
    assert "the file is damaged" in said
    assert "last backup" in said


@pytest.mark.parametrize("place", ["no/such/folder/garden.db", "."])
def test_journal_that_cannot_be_opened_says_where_to_look(tmp_path: Path, place: str):
    assert "Check that its folder is there" in refusal(lambda: Journal.open(tmp_path / place))


def test_journal_that_may_only_be_read_says_so(tmp_path: Path):
    """A connection for reading only stands for a file whose rights forbid writing."""
    file = tmp_path / "garden.db"
    Journal.open(file).close()
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as only_reads:

        def write() -> None:
            with told_to_people(file):
                only_reads.execute("UPDATE alembic_version SET version_num = '1'")

        assert "may be read but not written" in refusal(write)


def test_backup_that_cannot_be_written_leaves_nothing_behind(tmp_path: Path):
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append(some_notes(1))
        said = refusal(lambda: journal.back_up(tmp_path / "none" / "copy.db"))
        assert "could not be written" in said
        assert len(journal.entries()) == 1
    assert {file.name for file in tmp_path.iterdir()} == {"garden.db"}
