"""Laws of the store: what was appended is there, once, in order of arrival, after reopening."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from heapwright.errors import AlreadyThere, OutOfRange
from heapwright.journal.store import Journal
from tests.laws.journal_cases import FILL, a_row_of_bins


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


def test_journal_refuses_an_entry_of_tomorrow(tmp_path: Path):
    told = a_row_of_bins("one")
    entry = told.entries[0]
    with Journal.open(tmp_path / "garden.db") as journal:
        nearly = journal.append([entry], now=entry.at - timedelta(minutes=11))
        assert isinstance(nearly.refused[0].problem, OutOfRange)
        assert journal.append([entry], now=entry.at - timedelta(minutes=9)).stored == (entry,)
