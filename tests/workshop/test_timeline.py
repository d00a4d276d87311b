"""Every heap through the weeks: stays, weeks, heat read and modelled, marks, what comes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from heapwright.journal.entries import EntryKind
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader, render
from heapwright.web.chart import marks_of
from heapwright.web.timeline import timeline_picture
from heapwright.workshop import build, demo, setup, stock
from heapwright.workshop.batch_story import batch_story
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.timeline import BatchLine, stays, timeline
from tests.workshop.conftest import NOW, StillClock

READER = Reader(UnitSystem.METRIC)
LONG_NAME = "Bin " + "x" * 76
HOSTILE = "<script>alert(1)</script>{{ 7*7 }} %s"


@pytest.fixture(scope="module")
def demo_garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    path: Path = tmp_path_factory.mktemp("demo") / "demo.heapwright"
    with Garden.open(path, StillClock(NOW)) as opened:
        demo.fill_demo_garden(opened)
        yield opened


def built(garden: Garden, name: str = "First heap", days_ago: float = 40.0) -> None:
    at = NOW - timedelta(days=days_ago)
    stock.add_lot(garden, material="leaves", container="wheelbarrow", count=3, at=at, origin="page")
    counts = {line.lot.key: 3 for line in stock.stock(garden) if line.lot.left >= 3}
    build.record_build(garden, "left", counts, 10.0, name, at=at, origin="page")


def told(garden: Garden, kind: EntryKind, days_ago: float, bin: str, **body: object) -> None:
    log(garden, kind, {"bin": bin, **body}, at=NOW - timedelta(days=days_ago), origin="page")


def only(garden: Garden, weeks: int = 26) -> BatchLine:
    (line,) = timeline(garden, weeks).batches
    return line


def test_a_garden_without_a_heap_has_bins_and_nothing_in_them(garden: Garden) -> None:
    answer = timeline(garden)
    assert answer.batches == () and [one.key for one in answer.bins] == ["left", "right"]
    assert timeline_picture(answer, READER, ZoneInfo("UTC")).bands == ()


def test_pieces_fill_the_time_from_building_to_now_without_gap_or_overlap(
    demo_garden: Garden,
) -> None:
    for line in timeline(demo_garden).batches:
        assert line.pieces[0].since == line.built_at
        assert line.pieces[-1].until == NOW
        for before, after in zip(line.pieces, line.pieces[1:], strict=False):
            assert before.until == after.since


def test_every_piece_lies_within_one_week_of_the_gardens_calendar(demo_garden: Garden) -> None:
    zone = ZoneInfo(demo_garden.state().settings.time_zone)
    for line in timeline(demo_garden).batches:
        for piece in line.pieces:
            first = piece.since.astimezone(zone)
            last = (piece.until - timedelta(seconds=1)).astimezone(zone)
            assert first.isocalendar()[:2] == last.isocalendar()[:2]


def test_a_week_read_has_the_hottest_reading_and_one_unread_the_model(
    demo_garden: Garden,
) -> None:
    lines = {line.key: line for line in timeline(demo_garden).batches}
    newest = lines["newest-heap"]
    readings = [
        float(e.body["temperature_c"])
        for e in demo_garden.state().batches["newest-heap"].entries
        if e.kind is EntryKind.READING
    ]
    assert max(one.hottest_c or 0.0 for one in newest.pieces) == max(readings)
    curing = [one for one in lines["first-heap"].pieces if one.is_curing]
    assert curing and not any(one.is_read for one in curing)
    assert all(one.hottest_c is not None for one in curing)


def test_a_batch_is_drawn_in_each_bin_it_moved_through(demo_garden: Garden) -> None:
    line = next(one for one in timeline(demo_garden).batches if one.key == "first-heap")
    assert list(dict.fromkeys(one.bin_key for one in line.pieces)) == ["left", "middle", "right"]
    assert [one.kind for one in line.marks] == ["build", "turn", "turn", "turn", "cure"]
    assert [one.bin_key for one in line.marks][:3] == ["left", "middle", "right"]


def test_a_used_up_batch_ends_where_it_was_used_and_needs_no_model(garden: Garden) -> None:
    built(garden)
    told(garden, EntryKind.READING, 30.0, "left", temperature_c=61.0)
    told(garden, EntryKind.USE, 10.0, "left", all=True)
    line = only(garden)
    assert line.ended_at == NOW - timedelta(days=10) == line.pieces[-1].until
    assert line.bin_key is None and line.ready is None
    assert [one.hottest_c for one in line.pieces if one.is_read] == [61.0]
    assert any(one.hottest_c is None for one in line.pieces)
    assert "It is used up." in [render(one, READER) for one in line.told]


def test_a_heap_moved_onto_another_ends_there(garden: Garden) -> None:
    built(garden, "Older", 60.0)
    told(garden, EntryKind.TURN, 50.0, "left", how="move", to_bin="right")
    built(garden, "Younger", 40.0)
    told(garden, EntryKind.TURN, 20.0, "left", how="move", to_bin="right", onto=True)
    older, younger = timeline(garden).batches
    assert older.ended_at is None and younger.ended_at == NOW - timedelta(days=20)
    assert {one.bin_key for one in younger.pieces} == {"left"}
    assert [key for key, _ in stays(garden.state().batches[older.key])] == ["left", "right"]


def test_a_heap_that_cured_before_it_was_used_up_still_shows_its_curing_weeks(
    garden: Garden,
) -> None:
    built(garden, days_ago=60.0)
    told(garden, EntryKind.CURE, 40.0, "left")
    told(garden, EntryKind.USE, 10.0, "left", all=True)
    line = only(garden)
    since = NOW - timedelta(days=40)
    assert {one.is_curing for one in line.pieces if one.since >= since} == {True}
    assert {one.is_curing for one in line.pieces if one.since < since} == {False}


def test_a_heap_moved_and_used_up_in_the_same_moment_came_into_both_bins(
    garden: Garden, clock: StillClock
) -> None:
    built(garden)
    told(garden, EntryKind.TURN, 10.0, "left", how="move", to_bin="right")
    clock.go_on(minutes=1)  # of two of the same moment the one written first comes first
    told(garden, EntryKind.USE, 10.0, "right", all=True)
    (batch,) = garden.state().batches.values()
    assert [key for key, _ in stays(batch)] == ["left", "right"]
    assert only(garden).marks[-1].bin_key == "right"


def test_letters_with_water_are_those_of_the_chart(garden: Garden) -> None:
    built(garden)
    told(garden, EntryKind.TURN, 20.0, "left", how="stir", water_kg=8.0)
    told(garden, EntryKind.WET, 8.0, "left", water_kg=8.0)
    (band,) = timeline_picture(timeline(garden), READER, ZoneInfo("UTC")).bands
    events = batch_story(garden, band.line.key).events
    assert [one.text for one in band.letters] == [letters for _, letters in marks_of(events)]


def test_only_readings_of_the_core_colour_a_week(garden: Garden) -> None:
    built(garden, days_ago=3.0)
    told(garden, EntryKind.READING, 1.0, "left", temperature_c=66.0, where="edge")
    assert not any(one.is_read for one in only(garden).pieces)


def test_a_reading_of_this_moment_counts(garden: Garden) -> None:
    built(garden, days_ago=3.0)
    told(garden, EntryKind.READING, 0.0, "left", temperature_c=58.0)
    assert only(garden).pieces[-1].hottest_c == 58.0


def test_what_ended_long_ago_is_left_out_and_counted(garden: Garden) -> None:
    built(garden, days_ago=300.0)
    told(garden, EntryKind.USE, 250.0, "left", all=True)
    answer = timeline(garden)
    assert answer.batches == () and answer.earlier == 1
    assert len(timeline(garden, 520).batches) == 1


def test_an_older_stay_is_cut_at_the_first_week_asked_for(garden: Garden) -> None:
    built(garden, days_ago=40.0)
    answer = timeline(garden, 2)
    assert answer.since == answer.batches[0].pieces[0].since
    assert timedelta(days=14) <= NOW - answer.since < timedelta(days=21)


def test_the_picture_lies_on_its_paper_and_says_each_wide_week(demo_garden: Garden) -> None:
    picture = timeline_picture(timeline(demo_garden), READER, ZoneInfo("America/Phoenix"))
    assert 0 < picture.now_x < picture.width
    for band in picture.bands:
        for piece in band.pieces:
            assert piece.x >= 0 and piece.x + piece.width <= picture.now_x + 1
            assert piece.y + 52 <= picture.height
            assert bool(piece.number) == (piece.width >= 34 and piece.heat is not None)
            assert not piece.number or piece.is_read != piece.number.startswith("~")
    assert [letter for letter, _ in picture.letters] == ["B", "T", "W", "R"]


@pytest.mark.parametrize("name", [LONG_NAME, HOSTILE])
def test_names_of_any_sort_are_kept_word_for_word(
    garden: Garden, clock: StillClock, name: str
) -> None:
    clock.go_on(minutes=1)  # so that the new name is the later one
    setup.save_bin(
        garden, name=name, key="left", origin="page", width_m=0.9, depth_m=0.9, height_m=0.9
    )
    built(garden, name=name[:80])
    line = only(garden)
    assert line.name == name[:80]
    assert any(name[:80] in render(one, READER) for one in line.told)
