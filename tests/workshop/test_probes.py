"""Probes in a garden: Today and the bin's page with thousands of readings, and the commands."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from heapwright.errors import HeapwrightError, NotFound
from heapwright.journal.entries import EntryKind
from heapwright.probes.types import Report
from heapwright.sentences import Reader, render
from heapwright.workshop import probe_series, probes
from heapwright.workshop.bins import bin_answer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.model import heap_model
from heapwright.workshop.probe_receive import receive
from heapwright.workshop.today import bin_today
from heapwright.workshop.transfer import export_readings_csv
from tests.laws.journal_cases import FILL
from tests.workshop.cli_terminal import Terminal, a_terminal
from tests.workshop.conftest import StillClock

DAYS = 4


@pytest.fixture
def reported(garden: Garden, clock: StillClock) -> Garden:
    """A heap with a probe that reported every ten minutes for four days, and one hand reading."""
    body = {"batch": "h", "name": "June heap", "bin": "left", "fill": FILL}
    log(garden, EntryKind.BUILD, body, at=clock.now - timedelta(days=DAYS), origin="page")
    probes.add_probe(garden, "Core left", "left", depth_m=0.4, origin="page")
    start = clock.now - timedelta(days=DAYS)
    values = [20 + min(n / 6, 38.0) for n in range(1, DAYS * 144)]
    reports = [
        Report(value, at=start + timedelta(minutes=10 * n)) for n, value in enumerate(values, 1)
    ]
    for first in range(0, len(reports), 500):
        receive(garden, "core-left", reports[first : first + 500])
    by_hand = {"bin": "left", "temperature_c": 56.0}
    log(garden, EntryKind.READING, by_hand, at=clock.now - timedelta(hours=30), origin="page")
    return garden


def test_the_model_is_given_a_reading_each_six_hours_and_every_one_by_hand(
    reported: Garden,
) -> None:
    batch = reported.batch_in("left")
    assert batch is not None
    model = heap_model(reported, batch)
    assert model is not None
    # Four days, which begin within a window and end within one.
    assert len(model.history.readings) == DAYS * 4 + 1 + 1
    seen = {one.seen.source_id for one in model.followed.judged}
    assert seen == {entry.id for entry in model.history.readings}


def test_the_journal_and_the_csv_hold_every_reading_and_the_page_few(reported: Garden) -> None:
    assert len(export_readings_csv(reported).splitlines()) == 1 + (DAYS * 144 - 1) + 1
    answer = bin_answer(reported, "left")
    assert len(answer.readings) < 120
    assert sum(event.kind == "reading" for event in answer.events) < 25
    assert any(reading.temperature_c == 56.0 for reading in answer.readings)


def test_a_report_within_the_same_window_does_not_run_the_model_anew(
    reported: Garden, clock: StillClock
) -> None:
    batch = reported.batch_in("left")
    assert batch is not None
    before = heap_model(reported, batch)
    receive(reported, "core-left", [Report(58.0)])
    again = reported.batch_in("left")
    assert again is not None
    assert len(again.entries) == len(batch.entries) + 1
    assert heap_model(reported, again) is before


def test_the_newest_reading_of_a_probe_is_todays(reported: Garden, clock: StillClock) -> None:
    clock.go_on(minutes=10)
    receive(reported, "core-left", [Report(72.0)])
    shown = bin_today(reported, "left")
    assert shown.last_reading is not None
    assert shown.last_reading.temperature_c == 72.0
    assert "wants air now" in " ".join(render(r, Reader()) for r in shown.advice.reasons)


def test_today_tells_a_silent_probe_with_what_to_look_at(
    reported: Garden, clock: StillClock
) -> None:
    assert not _told(reported, "silent")
    clock.go_on(hours=5)
    assert _told(reported, "silent")
    assert _told(reported, "battery")
    probes.withdraw_probe(reported, "core-left", origin="page")
    assert not _told(reported, "silent")


def _told(garden: Garden, words: str) -> bool:
    problems = bin_today(garden, "left").problems
    return words in " ".join(render(problem, Reader()) for problem in problems)


def test_a_correction_of_where_it_was_moves_what_comes_later(
    reported: Garden, clock: StillClock
) -> None:
    answer = probes.move_probe(reported, "core-left", "right", origin="page")
    assert reported.state().probes["core-left"].bin_key == "right"
    log(reported, EntryKind.UNDO, {"of": answer.stored[0]}, origin="page")
    assert reported.state().probes["core-left"].bin_key == "left"
    clock.go_on(minutes=10)
    receive(reported, "core-left", [Report(57.0)])
    assert reported.readings_of_bin("left")[-1].body["temperature_c"] == 57.0


def test_what_cannot_be_is_told(reported: Garden) -> None:
    with pytest.raises(NotFound, match="core-left"):
        probes.move_probe(reported, "nobody", "left", origin="page")
    with pytest.raises(NotFound):
        probes.add_probe(reported, "Core", "nowhere", origin="page")
    with pytest.raises(HeapwrightError, match="lies between"):
        probes.add_probe(reported, "Core", "left", depth_m=4.0, origin="page")
    with pytest.raises(NotFound):
        receive(reported, "nobody", [Report(50.0)])


def test_a_garden_without_probes_is_left_as_it_was(garden: Garden, clock: StillClock) -> None:
    body = {"batch": "h", "name": "Heap", "bin": "left", "fill": FILL}
    log(garden, EntryKind.BUILD, body, at=clock.now - timedelta(days=1), origin="page")
    for hours in (20, 3, 2, 1):
        read = {"bin": "left", "temperature_c": 50.0 + hours}
        log(garden, EntryKind.READING, read, at=clock.now - timedelta(hours=hours), origin="page")
    batch = garden.batch_in("left")
    assert batch is not None
    assert probe_series.for_model(batch) is batch.entries
    assert probe_series.for_showing(batch) is batch.entries
    assert probes.probes(garden) == ()


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_terminal(tmp_path, monkeypatch)


def test_the_commands_enter_list_move_renew_and_withdraw(terminal: Terminal) -> None:
    terminal.tell("bins", "save", "Left", "3 ft", "3 ft", "3 ft")
    terminal.tell("bins", "save", "Right", "3 ft", "3 ft", "3 ft")
    made = terminal.json("probe", "add", "Core", "left")
    assert made["key"] == "core"
    assert len(made["token"]) > 40
    assert "Core" in terminal.tell("probe")
    assert made["token"] not in terminal.tell("probe", "list")
    terminal.tell("probe", "move", "Core", "right", "--depth", "12 in")
    (listed,) = terminal.json("probe", "list")
    assert (listed["bin_key"], round(listed["depth_m"], 3)) == ("right", 0.305)
    assert terminal.json("probe", "token", "core")["token"] != made["token"]
    # Two of one name are told apart by their keys; as much of one as is clear is enough.
    assert terminal.json("probe", "add", "Core", "left")["key"] == "core-2"
    terminal.tell("probe", "remove", "core-", "--why", "only one key begins so")
    terminal.tell("probe", "remove", "core", "--why", "battery leaked")
    assert "No probe yet" in terminal.tell("probe")


def test_the_commands_refuse_with_words(terminal: Terminal) -> None:
    terminal.tell("bins", "save", "Left", "3 ft", "3 ft", "3 ft")
    assert "No probe is called" in terminal.refused("probe", "move", "nobody", "left")
    assert "names no broker" in refused_to_listen(terminal, "http://broker")
    assert "names no broker" in refused_to_listen(terminal, "broker:port")
    assert "names no broker" in refused_to_listen(terminal, "broker..home")
    assert "cannot begin a topic" in refused_to_listen(terminal, "broker", "--topic", "a/#")


def refused_to_listen(terminal: Terminal, broker: str, *more: str) -> str:
    """Return how `listen`, which never answers in JSON, refuses."""
    done = terminal.run("listen", "--broker", broker, *more)
    assert done.exit_code == 2
    return str(done.stderr)
