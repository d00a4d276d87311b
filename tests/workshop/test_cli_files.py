"""A thermometer's log in, the whole journal out and in again, by command."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from tests.workshop.cli_terminal import Terminal, a_copy, prepared

#: A log as a person types it: °F mostly, one in °C, blank cells, a formula, two bad rows.
LOG = """\
Date,Time,Core temp,Tip depth,Remarks
2026-05-01,07:30,118 F,18 in,first morning
2026-05-01,18:00,131,18 in,
2026-05-02,07:30,58.5 C,18 in,the other thermometer
2026-05-02,18:00,,18 in,forgot
2026-05-03,07:30,hot,18 in,could not hold my hand in
2026-05-03,18:00,149F,18 in,
2026-05-32,07:30,150F,18 in,
2026-05-04,06:30,152 °F,,"=SUM(A1:A9)"
"""
RIGHT_C = [(f - 32) / 1.8 for f in (118, 131)] + [58.5] + [(f - 32) / 1.8 for f in (149, 152)]


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return prepared(tmp_path_factory.mktemp("prepared"))


@pytest.fixture
def terminal(tmp_path: Path, source: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_copy(tmp_path, source, monkeypatch)


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "thermometer.csv"
    path.write_text(LOG, encoding="utf-8")
    return path


def test_typed_log_goes_in_and_today_answers_from_it(terminal: Terminal, log: Path) -> None:
    told = terminal.tell("import", str(log), "--bin", "left", "--unit", "F")
    assert "Stored: 5." in told
    assert "line 6: " in told
    assert '"hot" is not a number' in told
    assert "line 8: " in told
    readings = terminal.json("today", "left")
    assert readings["last_reading"]["temperature_c"] == pytest.approx((152 - 32) / 1.8)
    assert readings["last_reading"]["at"] == "2026-05-04T13:30:00Z"
    assert readings["advice"]["job"] == "leave"
    assert "152 °F" in terminal.tell("today")


def test_import_answers_every_row_in_json(terminal: Terminal, log: Path) -> None:
    answer = terminal.json("import", str(log), "--bin", "Left bin", "--unit", "F")
    assert [row["body"]["temperature_c"] for row in answer["good"]] == pytest.approx(RIGHT_C)
    assert [row["line"] for row in answer["bad"]] == [6, 8]
    assert answer["blank"] == 1
    assert answer["stored"] == 5


def test_dry_run_stores_nothing(terminal: Terminal, log: Path) -> None:
    told = terminal.tell("import", str(log), "--bin", "left", "--unit", "F", "--dry-run")
    assert "Nothing was stored" in told
    assert terminal.json("today", "left")["last_reading"] is None


def test_same_file_twice_is_stored_once(terminal: Terminal, log: Path) -> None:
    terminal.tell("import", str(log), "--bin", "left", "--unit", "F")
    with terminal.opened() as garden:
        before = len(garden.entries())
    again = terminal.json("import", str(log), "--bin", "left", "--unit", "F")
    assert again["stored"] == 0
    with terminal.opened() as garden:
        assert len(garden.entries()) == before


def test_open_question_names_the_option_that_answers_it(terminal: Terminal, log: Path) -> None:
    log.write_text("Date,Heat\n2026-05-02,58\n2026-05-03,60\n", encoding="utf-8")
    assert "--unit F or --unit C" in terminal.refused("import", str(log), "--bin", "left")
    log.write_text("When,A,B\n2026-05-02,58,60\n", encoding="utf-8")
    sentence = terminal.refused("import", str(log), "--bin", "left", "--unit", "C")
    assert "--column" in sentence
    named = ("--column", "temperature=B", "--column", "date=When")
    answer = terminal.json("import", str(log), "--bin", "left", "--unit", "C", *named)
    assert answer["good"][0]["body"]["temperature_c"] == 60.0
    log.write_text("Date,Temp C\n3/5/2026,58\n", encoding="utf-8")
    assert "--day-first or --month-first" in terminal.refused("import", str(log), "--bin", "left")
    answer = terminal.json("import", str(log), "--bin", "left", "--day-first")
    assert answer["good"][0]["at"].startswith("2026-05-03")


def test_rows_from_before_the_heap_do_not_keep_the_others_out(terminal: Terminal) -> None:
    text = "Date,Temp F\n2026-04-01,70\n2026-05-02,120\n2026-05-03,130\n"
    answer = terminal.json("import", "-", "--bin", "left", typed=text)
    assert answer["stored"] == 2
    assert [(row["line"], row["reason"]) for row in answer["bad"]] == [
        (2, "nothing stood in the bin then")
    ]


def test_log_for_an_empty_bin_is_refused(terminal: Terminal) -> None:
    sentence = terminal.refused("import", "-", "--bin", "middle", "--unit", "F", typed=LOG)
    assert "None of the 7 rows" in sentence
    assert "Line 2: nothing stood in the bin then" in sentence


def test_log_comes_in_by_a_pipe(terminal: Terminal) -> None:
    answer = terminal.json("import", "-", "--bin", "left", "--unit", "F", typed=LOG)
    assert answer["stored"] == 5


def test_journal_goes_out_and_comes_back_to_the_same_garden(
    terminal: Terminal, log: Path, tmp_path: Path
) -> None:
    terminal.tell("import", str(log), "--bin", "left", "--unit", "F")
    target = tmp_path / "out.json"
    assert str(target) in terminal.tell("export", str(target))
    other = str(tmp_path / "other.heapwright")
    assert "can be read" in terminal.tell("import", str(target), "--garden", other, "--dry-run")
    assert not Path(other).exists()
    answer = terminal.json("import", str(target), "--garden", other)
    assert answer["stored"] == len(json.loads(target.read_text(encoding="utf-8"))["entries"])
    assert terminal.json("import", str(target), "--garden", other)["stored"] == 0
    assert terminal.json("today", "--garden", other) == terminal.json("today")
    assert terminal.tell("export", "--garden", other) == target.read_text(encoding="utf-8")


def test_export_never_writes_over_a_file_unasked(terminal: Terminal, tmp_path: Path) -> None:
    target = tmp_path / "precious.json"
    target.write_text("mine", encoding="utf-8")
    assert "--force" in terminal.refused("export", str(target))
    assert target.read_text(encoding="utf-8") == "mine"
    terminal.tell("export", str(target), "--force")
    assert json.loads(target.read_text(encoding="utf-8"))["format"] == "heapwright-journal"
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_readings_go_out_as_csv_without_formulas(terminal: Terminal, log: Path) -> None:
    terminal.tell("import", str(log), "--bin", "left", "--unit", "F")
    rows = list(csv.DictReader(io.StringIO(terminal.tell("export", "--readings-csv"))))
    assert [float(row["Temperature (°F)"]) for row in rows] == pytest.approx(
        [value * 1.8 + 32 for value in RIGHT_C], abs=1e-4
    )
    assert rows[-1]["Note"] == "'=SUM(A1:A9)"
