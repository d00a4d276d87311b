"""Today and the bin's page, from a real journal through the real model."""

import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from heapwright.advice.types import Job
from heapwright.errors import AlreadyThere, NotFound
from heapwright.heap.types import Ground
from heapwright.journal.entries import EntryKind
from heapwright.sentences import render
from heapwright.workshop import bins, build, demo, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import bin_shape
from heapwright.workshop.log import log
from heapwright.workshop.plain import to_plain
from heapwright.workshop.today import bin_today, today
from heapwright.workshop.transfer import export_journal, import_journal
from tests.workshop.conftest import NOW, StillClock


@pytest.fixture(scope="module")
def demo_garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """Return the invented garden as it stands when it has just been made."""
    path = tmp_path_factory.mktemp("demo") / "demo.heapwright"
    with Garden.open(path, StillClock(NOW)) as opened:
        demo.fill_demo_garden(opened)
        yield opened


def _build(garden: Garden, days_ago: float) -> None:
    at = NOW - timedelta(days=days_ago)
    stock.add_lot(
        garden,
        material="leaves",
        container="39 gal leaf bag",
        count=3,
        packing="shredded",
        at=at,
        origin="page",
    )
    stock.add_lot(
        garden, material="grass clippings", container="wheelbarrow", count=2, at=at, origin="page"
    )
    counts = {line.lot.key: line.lot.count for line in stock.stock(garden)}
    build.record_build(garden, "left", counts, 10.0, "First heap", at=at, origin="page")


def _read(garden: Garden, fahrenheit: float, hours_ago: float = 1.0) -> None:
    body = {"bin": "left", "temperature_c": (fahrenheit - 32.0) / 1.8}
    log(garden, EntryKind.READING, body, at=NOW - timedelta(hours=hours_ago), origin="page")


def test_the_demo_shows_three_bins_at_three_stages(demo_garden: Garden) -> None:
    answer = today(demo_garden)
    assert answer.is_demo
    assert len(answer.bins) == 3
    assert [one.stage for one in answer.bins] == ["hot", "hot", "curing"]
    assert len({one.advice.job for one in answer.bins}) >= 2
    assert answer.notes == ()


def test_the_demo_is_made_only_in_an_empty_journal(demo_garden: Garden) -> None:
    with pytest.raises(AlreadyThere):
        demo.fill_demo_garden(demo_garden)


def test_every_demo_bin_has_a_forecast_a_section_and_a_caution(demo_garden: Garden) -> None:
    for key in demo_garden.state().bins:
        answer = bins.bin_answer(demo_garden, key)
        forecast = answer.today.forecast
        assert forecast is not None
        assert (forecast.low_c <= forecast.likely_c).all()
        assert (forecast.likely_c <= forecast.high_c).all()
        assert forecast.low_c.shape == forecast.air_c.shape == forecast.rain_mm.shape
        assert answer.cross_section is not None
        assert np.isfinite(answer.cross_section.temperature_c).all()
        assert answer.heat_share is not None and answer.heat_share.caution.template
        assert answer.moisture is not None and 0 < answer.moisture.likely < 1


def test_the_band_follows_the_thermometer(demo_garden: Garden) -> None:
    """Most demo readings (drawn from other numbers, with noise) lie near the weighed band."""
    for key in ("left", "middle"):
        forecast = bins.forecast(demo_garden, key)
        misses = []
        for entry in demo_garden.readings_of_bin(key):
            hour = round((entry.at - forecast.start) / timedelta(hours=1))
            value = float(entry.body["temperature_c"])
            misses.append(abs(value - forecast.likely_c[hour]))
        assert np.median(misses) < 8.0


@pytest.mark.parametrize("edge", ["low_c", "high_c"])
def test_a_fresh_reading_draws_the_forecast_towards_it(garden: Garden, edge: str) -> None:
    """Two readings at an edge of the band: then the likely course lies nearer to them."""
    _build(garden, days_ago=2.0)
    before = bins.forecast(garden, "left")
    hours = (before.now_index - 20, before.now_index - 1)
    seen = [float(getattr(before, edge)[hour]) for hour in hours]
    for hour, value in zip(hours, seen, strict=True):
        body = {"bin": "left", "temperature_c": value}
        log(garden, EntryKind.READING, body, at=before.start + timedelta(hours=hour), origin="page")
    after = bins.forecast(garden, "left")
    for hour, value in zip(hours, seen, strict=True):
        was_off = abs(before.likely_c[hour] - value)
        assert was_off > 1.0, "the band is too narrow for this test to tell anything"
        assert abs(after.likely_c[hour] - value) < 0.7 * was_off
    tomorrow = before.now_index + 24
    moved = float(after.likely_c[tomorrow] - before.likely_c[tomorrow])
    assert moved < 0.0 if edge == "low_c" else moved > 0.0


def test_today_leaves_a_hot_heap_alone_and_says_so_in_the_readers_unit(garden: Garden) -> None:
    _build(garden, days_ago=3.0)
    _read(garden, 140.0)
    log(garden, EntryKind.LOOK, {"bin": "left", "squeeze": "drops"}, at=NOW, origin="page")
    one = bin_today(garden, "left")
    assert one.advice.job is Job.LEAVE
    assert "140 °F" in render(one.advice.reasons[0], garden.reader())


def test_today_moves_a_cooled_heap_with_water_and_cautions(garden: Garden) -> None:
    _build(garden, days_ago=12.0)
    for days, fahrenheit in ((11, 150.0), (6, 125.0), (1, 99.0)):
        _read(garden, fahrenheit, hours_ago=24.0 * days)
    one = bin_today(garden, "left")
    assert one.advice.job is Job.MOVE
    assert "Right" in render(one.advice.headline, garden.reader())
    assert one.advice.cautions and one.advice.afterwards


def test_after_a_turn_without_a_cap_the_job_is_to_cap(garden: Garden) -> None:
    _build(garden, days_ago=12.0)
    log(
        garden,
        EntryKind.TURN,
        {"bin": "left", "how": "stir"},
        at=NOW - timedelta(hours=2),
        origin="page",
    )
    assert bin_today(garden, "left").advice.job is Job.CAP
    log(garden, EntryKind.COVER, {"bin": "left", "cover": "brown cap"}, at=NOW, origin="page")
    assert bin_today(garden, "left").advice.job is not Job.CAP


def test_a_look_from_before_the_turn_no_longer_counts(garden: Garden) -> None:
    _build(garden, days_ago=6.0)
    at = NOW - timedelta(hours=10)
    log(garden, EntryKind.LOOK, {"bin": "left", "smell": "ammonia"}, at=at, origin="page")
    assert bin_today(garden, "left").advice.job is Job.MIX_IN_BROWN
    turn = {"bin": "left", "how": "stir", "cover": "brown cap"}
    log(garden, EntryKind.TURN, turn, at=NOW - timedelta(hours=1), origin="page")
    assert bin_today(garden, "left").advice.job is not Job.MIX_IN_BROWN


def test_an_empty_bin_asks_to_be_built_and_has_no_forecast(garden: Garden) -> None:
    assert bin_today(garden, "right").advice.job is Job.BUILD
    with pytest.raises(NotFound):
        bins.forecast(garden, "right")
    with pytest.raises(NotFound, match="left"):
        bin_today(garden, "north")


def test_a_heap_that_was_there_before_can_be_described(garden: Garden) -> None:
    fill = {
        "wet_mass_kg": 300.0,
        "moisture": 0.5,
        "volume_m3": 0.6,
        "ash_dry": 0.2,
        "fast_share": 0.05,
        "medium_share": 0.3,
        "c_to_n": 22.0,
    }
    body = {"batch": "old", "name": "Old heap", "bin": "right", "fill": fill}
    log(garden, EntryKind.BUILD, body, at=NOW - timedelta(days=20), origin="page")
    answer = bins.bin_answer(garden, "right")
    assert answer.moisture is not None
    assert answer.volume_m3 is not None and 0.3 < answer.volume_m3 < 0.7


def test_a_wrong_reading_is_named_and_does_not_move_the_band(garden: Garden) -> None:
    _build(garden, days_ago=3.0)
    clean = bins.forecast(garden, "left").likely_c
    body = {"bin": "left", "temperature_c": -30.0}
    log(garden, EntryKind.READING, body, at=NOW - timedelta(hours=30), origin="page")
    one = bins.forecast(garden, "left")
    np.testing.assert_allclose(one.likely_c, clean)
    assert any("22 °F is far" in render(note, garden.reader()) for note in one.notes)


def test_an_export_read_back_gives_the_same_today(demo_garden: Garden, tmp_path: Path) -> None:
    with Garden.open(tmp_path / "copy.heapwright", StillClock(NOW)) as copy:
        import_journal(copy, export_journal(demo_garden))
        import_journal(copy, export_journal(demo_garden))
        assert to_plain(today(copy)) == to_plain(today(demo_garden))


def test_two_who_ask_at_once_wait_for_one_run(garden: Garden) -> None:
    made = []

    def make() -> int:
        made.append(1)
        time.sleep(0.05)
        return len(made)

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: garden.remembered(("once",), make), range(8)))
    assert answers == [1] * 8


def test_a_run_that_fails_is_tried_again_by_the_next(garden: Garden) -> None:
    def fail() -> int:
        raise NotFound("nothing yet")

    with pytest.raises(NotFound):
        garden.remembered(("again",), fail)
    assert garden.remembered(("again",), lambda: 7) == 7


def test_the_same_question_twice_gives_the_same_answer(demo_garden: Garden) -> None:
    assert to_plain(today(demo_garden)) == to_plain(today(demo_garden))


def test_what_a_bin_stands_on_reaches_the_heap_model(garden: Garden) -> None:
    here = garden.bin("left")
    assert bin_shape(here).ground is Ground.COARSE
    assert bin_shape(replace(here, ground="closed floor")).ground is Ground.CLOSED
