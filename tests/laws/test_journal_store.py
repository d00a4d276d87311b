"""Laws of the store: what was appended is there, once, in order of arrival, after reopening."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.errors import AlreadyThere, OutOfRange, StoreProblem
from heapwright.journal import migrate, schema
from heapwright.journal.connection import PATIENCE_S, network_drive, reading, writing
from heapwright.journal.fold import fold
from heapwright.journal.store import Journal
from tests.laws.journal_cases import FILL, a_row_of_bins, journals

DATA = Path(__file__).parent / "data"


def test_journal_gives_back_what_was_appended_after_reopening(tmp_path: Path):
    told = a_row_of_bins("one")
    told.write("build", {"batch": "a", "name": "Äpfel = 1", "bin": "one", "fill": FILL}, day=1)
    with Journal.open(tmp_path / "garden.db") as journal:
        assert journal.append(told.entries).stored == tuple(told.entries)
    with Journal.open(tmp_path / "garden.db") as journal:
        assert journal.entries() == tuple(told.entries)
        assert journal.last_sequence() == 2
        assert journal.entries(since=1) == tuple(told.entries[1:])


def test_journal_stores_an_entry_once_however_often_it_arrives(tmp_path: Path):
    told = a_row_of_bins("one", "two")
    later = [replace(e, written_at=e.written_at + timedelta(days=1)) for e in told.entries]
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append(told.entries + told.entries)
        again = journal.append(later)
        assert (again.stored, again.refused) == ((), ())
        assert len(again.already_there) == 2
        assert journal.entries() == tuple(told.entries)


def test_journal_refuses_another_entry_under_a_taken_id_and_keeps_the_rest(tmp_path: Path):
    told = a_row_of_bins("one", "two")
    first, second = told.entries
    other = replace(first, body={**first.body, "name": "Other"})
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append([first])
        result = journal.append([other, second])
        assert result.stored == (second,)
        assert isinstance(result.refused[0].problem, AlreadyThere)
        with pytest.raises(AlreadyThere, match=first.id):
            result.or_raise()
        assert journal.entries() == (first, second)


def test_journal_appending_all_or_none_stores_nothing_beside_a_refusal(tmp_path: Path):
    first, second = a_row_of_bins("one", "two").entries
    other = replace(first, body={**first.body, "name": "Other"})
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append([first])
        with pytest.raises(AlreadyThere):
            journal.append([second, other], all_or_none=True)
        assert journal.entries() == (first,)
        assert journal.append([second], all_or_none=True).stored == (second,)


def test_journal_refuses_an_entry_of_tomorrow(tmp_path: Path):
    told = a_row_of_bins("one")
    entry = told.entries[0]
    with Journal.open(tmp_path / "garden.db") as journal:
        nearly = journal.append([entry], now=entry.at - timedelta(minutes=11))
        assert isinstance(nearly.refused[0].problem, OutOfRange)
        assert journal.append([entry], now=entry.at - timedelta(minutes=9)).stored == (entry,)


@settings(max_examples=15)  # each one makes a file
@given(journals(), st.data())
def test_journal_merging_any_pieces_in_any_order_folds_to_the_same(entries, data):
    """Two phones' halves, overlapping and in any order, make the same garden."""
    cut = data.draw(st.integers(0, len(entries)))
    overlap = data.draw(st.integers(0, cut))
    pieces = data.draw(st.permutations([entries[:cut], entries[overlap:]]))
    with (
        tempfile.TemporaryDirectory() as folder,
        Journal.open(Path(folder, "garden.db")) as journal,
    ):
        results = [journal.append(piece) for piece in pieces]
        refused = {r.entry.id for result in results for r in result.refused}
        assert sum(len(r.stored) for r in results) + len(refused) == len(entries)
        assert fold(journal.entries()) == fold(e for e in entries if e.id not in refused)


def test_journal_refuses_a_correction_that_does_not_fit_its_entry(tmp_path: Path):
    told = a_row_of_bins("one")
    of = told.entries[0].id
    wrong = told.write("correct", {"of": of, "body": {"bin": "one", "temperature_c": 60}})
    with Journal.open(tmp_path / "garden.db") as journal:
        result = journal.append(told.entries)
        assert result.stored == (told.entries[0],)
        assert [refusal.entry for refusal in result.refused] == [wrong]
        assert 'no field "bin"' in result.refused[0].problem.what


def test_journal_reader_sees_one_snapshot_while_another_writes(tmp_path: Path):
    told = a_row_of_bins("one", "two")
    with Journal.open(tmp_path / "garden.db") as writer, Journal.open(writer.path) as reader:
        writer.append(told.entries[:1])
        with reading(reader._engine, reader.path) as snapshot:
            count = "SELECT count(*) FROM entries"
            assert snapshot.exec_driver_sql(count).scalar() == 1
            writer.append(told.entries[1:])
            assert snapshot.exec_driver_sql(count).scalar() == 1
        assert len(reader.entries()) == 2


def test_journal_writer_holds_the_file_from_the_start_so_that_no_two_wait_for_each_other(
    tmp_path: Path,
):
    with (
        Journal.open(tmp_path / "garden.db") as journal,
        closing(sqlite3.connect(journal.path, timeout=0)) as other,
    ):
        with writing(journal._engine, journal.path), pytest.raises(sqlite3.OperationalError):
            other.execute("BEGIN IMMEDIATE")
        other.execute("BEGIN IMMEDIATE")


def test_journal_file_itself_refuses_to_change_or_drop_an_entry(tmp_path: Path):
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append(a_row_of_bins("one").entries)
    with closing(sqlite3.connect(tmp_path / "garden.db")) as other:
        for deed in ("UPDATE entries SET kind = 'note'", "DELETE FROM entries"):
            with pytest.raises(sqlite3.IntegrityError, match="entries are never changed"):
                other.execute(deed)


def test_journal_is_durable_by_its_settings(tmp_path: Path):
    with (
        Journal.open(tmp_path / "garden.db") as journal,
        reading(journal._engine, journal.path) as c,
    ):
        asked = ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        found = [c.exec_driver_sql(f"PRAGMA {name}").scalar() for name in asked]
    assert found == ["wal", 2, 1, int(PATIENCE_S * 1000)]  # 2 is FULL


def test_journal_backup_is_whole_and_overwrites_nothing(tmp_path: Path):
    told = a_row_of_bins("one")
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append(told.entries)
        copy = journal.back_up(tmp_path / "copy.db")
        with pytest.raises(StoreProblem, match="is there already"):
            journal.back_up(copy)
    with Journal.open(copy) as journal:
        assert journal.entries() == tuple(told.entries)


def test_journal_known_ids_of_more_than_fit_into_one_question(tmp_path: Path):
    told = a_row_of_bins("one")
    for number in range(1200):
        told.write("note", {"text": f"note {number}"})
    ids = [entry.id for entry in told.entries]
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append(told.entries)
        assert journal.known_ids([*ids, "f" * 32]) == frozenset(ids)


# Migrations.


def test_journal_migrations_form_one_chain_that_ends_at_the_schemas_revision():
    config = Config()
    config.set_main_option("script_location", str(migrate.SCRIPTS))
    scripts = list(ScriptDirectory.from_config(config).walk_revisions())
    assert [script.revision for script in scripts] == sorted(
        (script.revision for script in scripts), reverse=True
    )
    assert [script.down_revision for script in scripts] == [
        *(script.revision for script in scripts[1:]),
        None,
    ]
    assert scripts[0].revision == schema.REVISION


def test_journal_migrations_lead_to_the_table_that_the_store_uses(tmp_path: Path):
    with (
        Journal.open(tmp_path / "garden.db") as journal,
        reading(journal._engine, journal.path) as c,
    ):
        difference = compare_metadata(MigrationContext.configure(c), schema.metadata)
    assert difference == []


def test_journal_up_to_date_opens_without_the_migration_library(tmp_path: Path):
    Journal.open(tmp_path / "garden.db").close()
    program = (
        "import sys; from heapwright.journal.store import Journal;"
        f"Journal.open({str(tmp_path / 'garden.db')!r}).close(); print('alembic' in sys.modules)"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert run.stdout.strip() == "False"


@pytest.mark.parametrize("name", ["journal-form-0001.sql", "journal-0.1.0.sql"])
def test_journal_of_every_past_release_opens_with_every_entry(tmp_path: Path, name: str):
    old = tmp_path / "garden.db"
    with closing(sqlite3.connect(old)) as file:
        file.executescript((DATA / name).read_text(encoding="utf-8"))
        (count,) = file.execute("SELECT count(*) FROM entries").fetchone()
    with Journal.open(old) as journal:
        assert len(journal.entries()) == count == 11
        garden = fold(journal.entries())
        assert journal.append(a_row_of_bins("one").entries).already_there
    assert garden.problems == ()
    assert garden.settings.time_zone == "America/Phoenix"
    assert garden.bins["two"].batch_key == "april"
    assert garden.lots["bags"].left == 7
    april = garden.batches["april"].entries
    assert [e.kind for e in april] == ["build", "reading", "look", "turn"]
    assert april[1].body["temperature_c"] == 58.0
    assert garden.notes == ()


def test_journal_of_an_older_form_is_backed_up_before_it_is_changed(tmp_path: Path):
    old = tmp_path / "garden.db"
    with closing(sqlite3.connect(old)) as file:
        file.executescript((DATA / "journal-form-0001.sql").read_text(encoding="utf-8"))
    with Journal.open(old) as journal:
        (warning,) = journal.warnings
    (backup,) = tmp_path.glob("*before*.db")
    assert str(backup) in warning
    with closing(sqlite3.connect(backup)) as file:
        assert file.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
        assert file.execute("SELECT count(*) FROM entries").fetchone() == (11,)
    with Journal.open(old) as journal:
        assert journal.warnings == ()


def test_network_drive_is_known_by_the_longest_mount_above_the_file():
    mounts = "\n".join(
        (
            "/dev/sda1 / ext4 rw 0 0",
            "server:/garden /nas/garden nfs4 rw 0 0",
            "/dev/sdb1 /nas/garden/local ext4 rw 0 0",
            "//box/share /nas/my\\040share cifs rw 0 0",
        )
    )
    assert network_drive(Path("/nas/garden/journal.db"), mounts) == "nfs4"
    assert network_drive(Path("/nas/garden/local/journal.db"), mounts) == ""
    assert network_drive(Path("/nas/my share/journal.db"), mounts) == "cifs"
    assert network_drive(Path("/elsewhere/journal.db"), mounts) == ""
