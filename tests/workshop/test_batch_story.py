"""A heap's whole story: of a standing heap, one used up, and those of which little is written."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from heapwright.errors import NotFound
from heapwright.journal.entries import EntryKind
from heapwright.mixing.spread import mixture_range
from heapwright.probes.types import Report
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader, Sentence, render
from heapwright.web import chart, story_picture
from heapwright.web.app import create_app
from heapwright.workshop import build, demo, probes, stock
from heapwright.workshop.answers import EventShown
from heapwright.workshop.batch_story import batch_story, find_batch
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.lots import mixing_lot
from heapwright.workshop.probe_receive import receive
from tests.workshop.conftest import NOW, StillClock

READER = Reader(UnitSystem.METRIC)
HOSTILE = "<script>alert(1)</script>{{ 7*7 }} %(x)s"


@pytest.fixture(scope="module")
def demo_garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    path: Path = tmp_path_factory.mktemp("demo") / "demo.heapwright"
    with Garden.open(path, StillClock(NOW)) as opened:
        demo.fill_demo_garden(opened)
        yield opened


def built(garden: Garden, days_ago: float = 20.0, name: str = "First heap") -> str:
    at = NOW - timedelta(days=days_ago)
    for material in ("leaves", "grass clippings"):
        stock.add_lot(
            garden, material=material, container="wheelbarrow", count=3, at=at, origin="page"
        )
    counts = {line.lot.key: 3 for line in stock.stock(garden)}
    build.record_build(garden, "left", counts, 10.0, name, at=at, origin="page")
    return next(iter(garden.state().batches))


def told(garden: Garden, kind: EntryKind, days_ago: float, **body: object) -> None:
    log(garden, kind, {"bin": "left", **body}, at=NOW - timedelta(days=days_ago), origin="page")


def words(sentences: tuple[Sentence, ...]) -> str:
    return " ".join(render(one, READER) for one in sentences)


def page(garden: Garden, key: str) -> str:
    client = TestClient(create_app(garden), base_url="http://127.0.0.1")
    answer = client.get(f"/batches/{key}/story")
    assert answer.status_code == 200, answer.text
    return answer.text


def test_a_standing_heap_is_told_to_now_with_its_pictures(demo_garden: Garden) -> None:
    answer = batch_story(demo_garden, "second-heap")
    assert answer.is_demo and not answer.is_over and answer.until == NOW
    assert [name for name, _ in answer.bins] == ["Left bin", "Middle bin"]
    assert answer.course is not None and answer.cuts is not None
    assert 2 <= len(answer.cuts.frames) <= 5
    hours = [frame.hours for frame in answer.cuts.frames]
    assert hours == sorted(set(hours)) and answer.cuts.now_index == len(hours) - 1
    read = {entry.at.date() for entry in answer.readings}
    assert answer.hot.read <= len(read) + 1 and answer.hot.seen <= answer.hot.read
    assert "Invented demo garden" in page(demo_garden, "second-heap")


def test_what_went_in_gives_the_mixture_that_mixing_gives(demo_garden: Garden) -> None:
    answer = batch_story(demo_garden, "second-heap")
    built_entry = demo_garden.state().batches["second-heap"].entries[0]
    lots = demo_garden.state().lots
    amounts = [
        (mixing_lot(lots[line["lot"]], built_entry.at, count=1), float(line["count"]))
        for line in built_entry.body["lines"]
    ]
    direct = mixture_range(amounts, float(built_entry.body["water_kg"]))
    assert answer.mixture is not None
    assert answer.mixture.c_to_n.likely == pytest.approx(direct.likely.c_to_n)
    assert answer.mixture.c_to_n.low < answer.mixture.c_to_n.likely < answer.mixture.c_to_n.high
    assert [one.count for one in answer.went_in] == [count for _, count in amounts]


def test_hot_days_are_those_read_and_never_more_than_were_read(garden: Garden) -> None:
    key = built(garden)
    for days_ago, celsius in ((18.0, 54.9), (17.0, 55.0), (16.9, 60.0), (15.0, 61.0)):
        told(garden, EntryKind.READING, days_ago, temperature_c=celsius)
    told(garden, EntryKind.READING, 14.0, temperature_c=66.0, where="edge")
    hot = batch_story(garden, key).hot
    assert (hot.seen, hot.read, hot.whole) == (2, 3, 21)
    assert hot.modelled is not None
    assert 0 <= hot.modelled.low <= hot.modelled.likely <= hot.modelled.high <= hot.whole


def test_a_used_up_heap_is_told_to_its_end_and_looks_no_further(garden: Garden) -> None:
    key = built(garden, 40.0)
    told(garden, EntryKind.READING, 38.0, temperature_c=58.0)
    told(garden, EntryKind.USE, 12.0, volume_m3=0.1, where="the bean bed")
    told(garden, EntryKind.USE, 10.0, all=True, volume_m3=0.15, where="the bean bed")
    answer = batch_story(garden, key)
    assert answer.is_over and answer.until == NOW - timedelta(days=10)
    assert answer.ready is None and answer.hot.whole == 31
    assert answer.course is not None
    last = answer.course.start + timedelta(hours=len(answer.course.likely_c))
    assert last <= answer.until + timedelta(hours=2)
    given = words(answer.given)
    assert "250 L" in given and given.count("the bean bed") == 1
    assert "Used up" in page(garden, key)


def test_a_heap_that_became_part_of_another_says_so(garden: Garden) -> None:
    older = built(garden, 40.0, "Older")
    told(garden, EntryKind.TURN, 30.0, how="move", to_bin="right")
    built(garden, 25.0, "Younger")
    told(garden, EntryKind.TURN, 10.0, how="move", to_bin="right", onto=True)
    younger = next(key for key in garden.state().batches if key != older)
    answer = batch_story(garden, younger)
    assert answer.is_over and "part of another heap" in words(answer.given)
    assert [name for name, _ in answer.bins] == ["Left"]


def test_a_heap_without_a_reading_claims_no_heat(garden: Garden) -> None:
    answer = batch_story(garden, built(garden))
    assert (answer.hot.seen, answer.hot.read) == (0, 0) and answer.learnt == ()
    assert not any("hottest day" in render(one, READER) for one in answer.questions)
    html = page(garden, answer.key)
    assert "0 readings" in html and "Too little was read to tell" in html


def test_one_reading_is_drawn_and_told(garden: Garden) -> None:
    key = built(garden)
    told(garden, EntryKind.READING, 18.0, temperature_c=60.0)
    html = page(garden, key)
    assert "1 reading" in html and html.count('class="tale-dot') == 1


def test_a_probes_dull_repeats_are_no_events_of_the_story(garden: Garden) -> None:
    key = built(garden, 3.0)
    probes.add_probe(garden, "Core left", "left", depth_m=0.4, origin="page")
    times = [NOW - timedelta(hours=hour) for hour in range(60, 0, -1)]
    receive(garden, "core-left", [Report(50.0, at=at) for at in times])
    answer = batch_story(garden, key)
    assert answer.hot.read == len({at.date() for at in times})
    assert 0 < sum(event.kind == "reading" for event in answer.events) < len(times) / 4


def test_a_heap_too_old_for_the_model_is_told_from_its_log(garden: Garden) -> None:
    key = built(garden, 400.0)
    told(garden, EntryKind.READING, 390.0, temperature_c=60.0)
    answer = batch_story(garden, key)
    assert answer.course is None and answer.cuts is None
    assert "not followed hour by hour" in words(answer.notes)
    assert "it is not modelled" in page(garden, key)


def test_a_heap_used_up_within_the_hour_still_has_a_page(garden: Garden) -> None:
    key = built(garden, 1.0)
    told(garden, EntryKind.USE, 0.99, all=True)
    answer = batch_story(garden, key)
    assert answer.is_over and answer.course is None
    page(garden, key)


def test_what_was_read_and_felt_before_stands_with_what_was_done(garden: Garden) -> None:
    key = built(garden)
    told(garden, EntryKind.READING, 10.5, temperature_c=48.0)
    told(garden, EntryKind.LOOK, 10.4, squeeze="dry", smell="sour")
    told(garden, EntryKind.TURN, 10.0, how="stir", water_kg=8.0, note="It steamed")
    told(garden, EntryKind.WET, 2.0, water_kg=5.0)
    turned, wetted = batch_story(garden, key).did[1:]
    before = words(turned.before)
    for word in ("48 °C", "dry", "sour", "It steamed"):
        assert word in before
    assert wetted.before == ()  # eight days earlier is not before it


def test_a_heap_is_found_by_key_name_or_bin_and_else_the_heaps_are_named(
    demo_garden: Garden,
) -> None:
    assert find_batch(demo_garden, "second-heap").key == "second-heap"
    assert find_batch(demo_garden, "SECOND heap").key == "second-heap"
    assert find_batch(demo_garden, "middle").key == "second-heap"
    with pytest.raises(NotFound, match="first-heap"):
        find_batch(demo_garden, HOSTILE)


@pytest.mark.parametrize("name", ["H" * 80, HOSTILE])
def test_names_and_notes_of_any_sort_are_words(garden: Garden, name: str) -> None:
    key = built(garden, name=name)
    told(garden, EntryKind.TURN, 10.0, how="stir", note=HOSTILE)
    html = page(garden, key)
    assert "<script>alert" not in html and "{{ 7*7 }}" in html
    assert name.replace("<", "&lt;").replace(">", "&gt;") in html


def test_an_unknown_heap_is_not_found(garden: Garden) -> None:
    client = TestClient(create_app(garden), base_url="http://127.0.0.1")
    assert client.get("/batches/nothing/story").status_code == 404


def test_a_turn_with_water_has_both_letters_and_its_water_in_the_table(garden: Garden) -> None:
    key = built(garden)
    told(garden, EntryKind.TURN, 10.0, how="stir", water_kg=8.0)
    answer = batch_story(garden, key)
    assert [letter for _, letter in chart.marks_of(answer.events)] == ["BW", "TW"]
    assert [letter for letter, _ in chart.letters_told(answer.events)] == ["B", "T", "W"]
    rows = chart.day_rows(answer, answer.course, NOW.tzinfo)  # type: ignore[arg-type]
    assert [row.water_kg for row in rows if row.water_kg] == [10.0, 8.0]


def test_the_curve_lies_on_its_paper_and_its_rain_is_the_tables(demo_garden: Garden) -> None:
    answer = batch_story(demo_garden, "first-heap")
    assert answer.course is not None
    rows = chart.day_rows(answer, answer.course, NOW.tzinfo)  # type: ignore[arg-type]
    curve = story_picture.story_curve(answer, rows, READER, NOW.tzinfo)  # type: ignore[arg-type]
    assert len(curve.rain) == sum(row.rain_mm > 0 for row in rows)
    assert len(curve.readings) == len(answer.readings)
    points = [tuple(map(float, one.split(","))) for one in curve.likely.split()]
    assert all(story_picture.LEFT <= x <= story_picture.WIDTH for x, _ in points)
    assert all(0 <= y <= story_picture.HEIGHT for _, y in points)
    whole = sum(row.rain_mm for row in rows)
    assert whole == pytest.approx(float(answer.course.rain_mm[: len(answer.course.likely_c)].sum()))


def test_marks_of_an_event_that_is_not_drawn_are_left_out() -> None:
    event = EventShown("a" * 32, NOW, "look", Sentence("Looked at it."))
    assert chart.marks_of([event]) == []
