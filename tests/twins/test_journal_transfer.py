"""Two routes to one journal: kept in the store or taken out as a file and read back."""

from __future__ import annotations

import csv
import io
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given

from heapwright.journal.fold import fold
from heapwright.journal.store import Journal
from heapwright.journal.thermometer_csv import preview
from heapwright.journal.transfer import export_json, read_json, readings_csv
from heapwright.quantities import TemperatureUnit
from tests.laws.journal_cases import FILL, a_lot, a_row_of_bins, journals


@given(journals())
def test_export_read_back_is_the_same_journal(entries):
    back = read_json(export_json(entries).encode())
    assert back.problems == ()
    assert list(back.entries) == entries
    assert fold(back.entries) == fold(entries)


def test_export_of_an_empty_journal_reads_back_empty():
    assert read_json(export_json(())).entries == ()


def test_export_has_the_form_its_documentation_shows():
    told = a_row_of_bins("one")
    document = json.loads(export_json(told.entries))
    assert (document["format"], document["version"]) == ("heapwright-journal", 1)
    assert document["entries"][0].keys() == {
        "id",
        "kind",
        "at",
        "written_at",
        "author",
        "origin",
        "body",
    }


def test_export_merged_twice_into_another_journal_stores_each_entry_once(tmp_path: Path):
    told = a_row_of_bins("one")
    told.write("lot", a_lot("bags"))
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=1)
    with Journal.open(tmp_path / "first.db") as journal:
        journal.append(told.entries)
        file = export_json(journal.entries())
    with Journal.open(tmp_path / "second.db") as journal:
        journal.append(told.entries[:1])
        results = [journal.append(read_json(file).entries) for _ in range(2)]
        assert [len(result.stored) for result in results] == [2, 0]
        assert fold(journal.entries()) == fold(told.entries)


@pytest.mark.parametrize("unit", list(TemperatureUnit))
def test_readings_csv_read_as_a_thermometers_log_gives_the_same_readings(unit: TemperatureUnit):
    told = a_row_of_bins("one", "two")
    for batch, place in (("a", "one"), ("b", "two")):
        told.write("build", {"batch": batch, "name": batch, "bin": place, "fill": FILL}, day=1)
    bodies = [
        {"bin": "one", "temperature_c": -3.5, "depth_m": 0.3048, "where": "core", "probe": "+long"},
        {"bin": "two", "temperature_c": 61.25, "note": '=HYPERLINK("x") and, a comma\nand a line'},
        {"bin": "one", "temperature_c": 58.333333333333336, "depth_m": 0.46, "note": "'tis hot"},
        {"bin": "one", "temperature_c": 58.333333333333336, "note": "-- @home"},
    ]
    written = [told.write("reading", body, day=2 + n) for n, body in enumerate(bodies)]
    file = readings_csv(told.entries, unit)
    found = preview(
        file.encode(),
        bin_key="one",
        now=datetime(2027, 1, 1, tzinfo=UTC),
        bins={"Bin one": "one", "Bin two": "two"},
    )
    assert (found.bad, found.questions, found.unit) == ((), (), unit)
    assert [row.entry.at for row in found.good] == [entry.at for entry in written]
    for row, entry in zip(found.good, written, strict=True):
        got, want = dict(row.entry.body), dict(entry.body)
        assert got.pop("temperature_c") == pytest.approx(want.pop("temperature_c"), abs=1e-4)
        assert got.pop("depth_m", 0) == pytest.approx(want.pop("depth_m", 0), abs=1e-4)
        assert got == want


def test_readings_csv_gives_a_spreadsheet_no_formula():
    told = a_row_of_bins("one")
    signs = ("=1+1", "+1", "-1", "@sum", "＝1")
    for number, text in enumerate(signs):
        told.write("reading", {"bin": "one", "temperature_c": 50, "note": text}, day=number)
    rows = list(csv.DictReader(io.StringIO(readings_csv(told.entries))))
    assert [row["Note"] for row in rows] == [f"'{text}" for text in signs]


def test_readings_csv_applies_undo_and_correct():
    told = a_row_of_bins("one")
    first = told.write("reading", {"bin": "one", "temperature_c": 50}, day=1)
    second = told.write("reading", {"bin": "one", "temperature_c": 15}, day=2)
    told.write("undo", {"of": first.id}, day=3)
    told.write("correct", {"of": second.id, "body": {"bin": "one", "temperature_c": 51}}, day=3)
    rows = list(csv.DictReader(io.StringIO(readings_csv(told.entries))))
    assert [(row["Entry"], row["Temperature (°C)"]) for row in rows] == [(second.id, "51")]
