"""A heap's life at the command line: build, log, today, forecast."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from heapwright.journal.entries import EntryKind
from tests.workshop.cli_terminal import (
    NOW,
    Terminal,
    a_copy,
    a_terminal,
    prepared,
    with_bins,
    with_stock,
)


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return prepared(tmp_path_factory.mktemp("prepared"))


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Return a garden with empty bins and enough on hand."""
    return with_stock(with_bins(a_terminal(tmp_path, monkeypatch)))


@pytest.fixture
def heap(tmp_path: Path, source: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Return a garden with a heap of four days in the left bin."""
    return a_copy(tmp_path, source, monkeypatch)


def kinds(terminal: Terminal, last: int) -> list[EntryKind]:
    with terminal.opened() as garden:
        return [entry.kind for entry in garden.entries()[-last:]]


def test_build_tells_recipe_layers_and_ends_with_cautions(terminal: Terminal) -> None:
    told = terminal.tell("build", "Left bin")
    for part in ("grass clippings", "C:N", "Moisture", "rule of thumb", "bottom up", "cap"):
        assert part in told
    assert told.rstrip().splitlines()[-1].startswith("- ")
    assert "\nMind:\n" in told
    assert told.index("cap") < told.index("\nMind:\n")
    assert kinds(terminal, 1) == [EntryKind.LOT]


def test_build_gives_every_step_when_asked(terminal: Terminal) -> None:
    assert len(terminal.tell("build", "left", "--steps").splitlines()) > len(
        terminal.tell("build", "left").splitlines()
    )


def test_build_takes_names_and_beginnings_of_bins(terminal: Terminal) -> None:
    keys = {terminal.json("build", said)["bin"]["key"] for said in ("left", "LEFT BIN", "le")}
    assert keys == {"left"}


def test_build_keeps_back_what_is_asked(terminal: Terminal) -> None:
    lines = terminal.json("build", "left", "--keep-back", "grass-clippings-loose=8")["recipe"]
    assert "grass-clippings-loose" not in {line["lot"]["key"] for line in lines["lines"]}


def test_conditional_lot_is_left_out_until_its_condition_is_met(terminal: Terminal) -> None:
    terminal.tell("stock", "add", "2 pails horse manure")
    key = terminal.json("undo")[-1]["body"]["key"]
    terminal.tell("stock", "add", "2 pails suspect hay")
    suspect = terminal.json("undo")[-1]["body"]["key"]
    told = terminal.tell("build", "left")
    assert "Left out:" in told
    assert f"lot {suspect}: " in told
    assert f"lot {key}: " not in told
    again = terminal.tell("build", "left", "--use-conditional", suspect)
    assert f"lot {suspect}: " not in again


def test_build_is_written_down_only_with_record(terminal: Terminal) -> None:
    answer = terminal.json("build", "left")
    assert answer["recorded"] is None
    told = terminal.tell(
        "build",
        *("left", "--record", "--name", "First", "--water", "40 s"),
        *("--count", "leaves-mixed-dry=5", "--count", "coffee-grounds=0"),
    )
    assert "Written down" in told
    with terminal.opened() as garden:
        body = garden.entries()[-1].body
    counts = {line["lot"]: line["count"] for line in body["lines"]}
    assert counts["leaves-mixed-dry"] == 5
    assert "coffee-grounds" not in counts
    assert counts["grass-clippings-loose"] > 0
    assert body["water_kg"] == pytest.approx(5 * 3.785411784)
    assert (body["name"], body["cover"]) == ("First", "brown cap")


def test_reading_is_stored_told_and_taken_back(heap: Terminal) -> None:
    told = heap.tell("log", "left", "137F")
    assert "Read 137 °F" in told
    assert "Leave it alone" in told
    undo = next(line for line in told.splitlines() if line.startswith("Stored."))
    assert kinds(heap, 1) == [EntryKind.READING]
    heap.tell("undo", undo.split()[-1])
    assert heap.json("today", "left")["last_reading"] is None


def test_reading_without_a_unit_is_in_the_gardens(heap: Terminal) -> None:
    heap.tell("log", "left", "137", "--depth", "18 in", "--where", "core", "--probe", "Long one")
    with heap.opened() as garden:
        body = garden.entries()[-1].body
    assert body["temperature_c"] == pytest.approx((137 - 32) / 1.8)
    assert body["depth_m"] == pytest.approx(0.4572)
    assert (body["where"], body["probe"]) == ("core", "Long one")


def test_reading_below_zero_is_no_option(heap: Terminal) -> None:
    heap.tell("log", "left", "-5C")
    with heap.opened() as garden:
        assert garden.entries()[-1].body["temperature_c"] == -5.0


def test_one_visit_is_several_entries_in_the_order_they_were_done(heap: Terminal) -> None:
    answer = heap.json(
        "log",
        *("left", "95F", "--squeeze", "dry", "--smell", "Earthy", "--pests", "flies"),
        *("--look", "white threads", "--level", "28 in", "--stirred", "--water", "2 pails"),
        *("--capped", "brown", "--cure", "--note", "steamed a little"),
    )
    assert [entry["kind"] for entry in answer["entries"]] == ["reading", "look", "turn", "cure"]
    assert len(answer["stored"]) == 4
    reading, look, turn, cure = answer["entries"]
    assert reading["body"]["note"] == "steamed a little"
    assert look["body"]["smell"] == "earthy"
    assert look["body"]["looks"] == ["white threads"]
    assert turn["body"]["how"] == "stir"
    assert turn["body"]["cover"] == "brown cap"
    assert turn["body"]["water_kg"] == pytest.approx(2 * 0.9 * 18.9, rel=0.1)
    assert cure["at"] == "2026-05-04T14:00:00Z"
    with heap.opened() as garden:
        (batch,) = garden.state().batches.values()
    assert [entry.kind for entry in batch.entries[1:]] == ["reading", "look", "turn", "cure"]


def test_a_visit_is_stored_whole_or_not_at_all(heap: Terminal) -> None:
    before = kinds(heap, 100)
    heap.refused("log", "left", "137F", "--smell", "roses")
    heap.refused("log", "left", "137F", "--used", "2 pails", "--moved-to", "nowhere")
    assert kinds(heap, 100) == before


def test_heap_moved_to_the_next_bin_is_followed_there(heap: Terminal) -> None:
    answer = heap.json("log", "left", "90F", "--moved-to", "Middle bin", "--water", "5 gal")
    assert [entry["body"]["bin"] for entry in answer["entries"]] == ["left", "left"]
    bins = {one["bin"]["key"]: one["stage"] for one in heap.json("today")["bins"]}
    assert bins == {"left": "empty", "middle-bin": "hot"}


def test_water_material_cover_use_and_note_each_have_their_entry(heap: Terminal) -> None:
    heap.tell("stock", "add", "1 pail kitchen scraps")
    lot = heap.json("undo")[-1]["body"]["key"]
    heap.tell("log", "left", "--water", "12 L")
    added = heap.json("log", "left", "--added", f"{lot}=1", "--water", "3 L")
    heap.tell("log", "left", "--capped", "tarp")
    heap.tell("log", "left", "--used", "2 pails", "--used-on", "the roses")
    heap.tell("log", "left", "--note", "a robin watches")
    assert kinds(heap, 5) == [
        EntryKind.WET,
        EntryKind.ADD,
        EntryKind.COVER,
        EntryKind.USE,
        EntryKind.NOTE,
    ]
    assert added["entries"][0]["body"]["water_kg"] == pytest.approx(3.0)
    heap.now += timedelta(minutes=5)
    heap.tell("log", "left", "--used", "all")
    assert heap.json("today", "left")["stage"] == "empty"


def test_moments_are_read_in_the_gardens_time_zone(heap: Terminal) -> None:
    said = {
        "6:30": "2026-05-04T13:30:00Z",
        "yesterday 18:10": "2026-05-04T01:10:00Z",
        "2 hours ago": "2026-05-04T12:00:00Z",
        "2026-05-03 07:30": "2026-05-03T14:30:00Z",
        "3 May 2026 6 pm": "2026-05-04T01:00:00Z",
        "2026-05-03T07:30:00+02:00": "2026-05-03T05:30:00Z",
        "now": "2026-05-04T14:00:00Z",
    }
    for words, at in said.items():
        answer = heap.json("log", "left", "120F", "--at", words)
        assert answer["entries"][0]["at"] == at


def test_improbable_jump_is_stored_with_a_warning(heap: Terminal) -> None:
    heap.tell("log", "left", "70F", "--at", "yesterday 18:00")
    assert "Look again" in heap.tell("log", "left", "157F")


def test_log_can_weigh_the_model_too(heap: Terminal) -> None:
    quick = heap.json("log", "left", "137F", "--at", "6:00")
    full = heap.json("log", "left", "138F", "--today")
    assert quick["today_by"] == "what was seen"
    assert full["today"] == heap.json("today", "left")["advice"]


def test_today_tells_job_reason_and_sureness_of_every_bin(heap: Terminal) -> None:
    heap.tell("log", "left", "165F")
    told = heap.tell("today")
    assert told.startswith("Back yard, Monday 4 May 07:00")
    assert "Left bin (left): May heap, 4 days, hot" in told
    assert "wants air now" in told
    assert "Mind" in told
    assert "Sure     seen" in told
    assert "Read     165 °F, today 07:00" in told
    assert "Middle bin (middle-bin), empty" in told
    assert "165 °F" not in heap.tell("today", "--units", "metric")


def test_forecast_tells_a_band_a_day_and_draws_it(heap: Terminal) -> None:
    heap.tell("log", "left", "137F")
    told = heap.tell("forecast", "left", "--days", "3")
    rows = [line for line in told.splitlines() if "●" in line]
    assert [row.split()[0] for row in rows] == ["Mon", "Tue", "Wed"]
    assert "what went in and the weather" in told
    assert "usual year" in told
    answer = heap.json("forecast", "left", "--days", "3")
    assert len(answer["daily"]) == 3
    for day in answer["daily"]:
        assert day["low_c"] <= day["likely_c"] <= day["high_c"]


def test_forecast_of_an_empty_bin_says_so(terminal: Terminal) -> None:
    assert "is empty" in terminal.refused("forecast", "left")


def test_time_passes_and_an_old_reading_no_longer_counts(heap: Terminal) -> None:
    heap.tell("log", "left", "137F")
    heap.now = NOW + timedelta(days=5)
    assert heap.json("today", "left")["advice"]["job"] == "read"
