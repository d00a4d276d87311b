"""A heap cut open through time: which moments, what was done at them, and one run behind all."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import heapwright.heap.simulate as heap_runs
from heapwright.heap.parameters import Parameters
from heapwright.heap.simulate import simulate, simulate_ensemble
from heapwright.heap.types import ActionKind, HeapAction
from heapwright.journal.entries import EntryKind
from heapwright.workshop import bins, build, demo, stock
from heapwright.workshop.answers import HeapCourse, Phase
from heapwright.workshop.course import MOST_FRAMES, frame_hours, heap_course
from heapwright.workshop.garden import Garden
from heapwright.workshop.hindsight import batch_hindsight
from heapwright.workshop.log import log
from heapwright.workshop.model import heap_model
from tests.workshop.conftest import NOW, StillClock


@pytest.fixture(scope="module")
def demo_garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """Return the invented garden as it stands when it has just been made."""
    path: Path = tmp_path_factory.mktemp("demo") / "demo.heapwright"
    with Garden.open(path, StillClock(NOW)) as opened:
        demo.fill_demo_garden(opened)
        yield opened


def _course(garden: Garden, key: str) -> HeapCourse:
    found = heap_course(garden, key)
    assert found is not None
    return found


def _heights(course: HeapCourse) -> list[float]:
    return [float(frame.section.height_edges_m[-1]) for frame in course.frames]


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


@given(
    past=st.integers(0, 240 * 24),
    ahead=st.integers(1, 14 * 24),
    work=st.lists(
        st.tuples(st.floats(0, 1), st.sampled_from([ActionKind.MOVE, ActionKind.WET])), max_size=90
    ),
)
def test_moments_are_few_in_order_and_hold_the_first_the_present_and_the_last(
    past: int, ahead: int, work: list[tuple[float, ActionKind]]
) -> None:
    actions = [HeapAction(hour=share * past, kind=kind) for share, kind in sorted(work)]
    hours = frame_hours(past + ahead, past, actions)
    assert len(hours) <= MOST_FRAMES
    assert list(hours) == sorted(set(hours))
    assert hours[0] == 0 and hours[-1] == past + ahead
    assert past in hours


@given(past=st.integers(144, 240 * 24), turns=st.lists(st.floats(0, 1), max_size=4))
def test_the_first_days_are_seen_every_twelve_hours_and_turns_before_and_after(
    past: int, turns: list[float]
) -> None:
    actions = [HeapAction(hour=share * past, kind=ActionKind.STIR) for share in sorted(turns)]
    hours = frame_hours(past + 168, past, actions)
    early = [hour for hour in hours if hour <= 144]
    assert max(np.diff(early)) <= 14  # twelve, or a little more where a turn lies between
    for action in actions:
        assert {int(action.hour), int(action.hour) + 1} <= set(hours)


@pytest.mark.parametrize("key", ["left", "middle", "right"])
def test_exactly_one_picture_is_now_with_the_past_before_and_the_forecast_after(
    demo_garden: Garden, key: str
) -> None:
    course = _course(demo_garden, key)
    phases = [frame.phase for frame in course.frames]
    assert phases.count(Phase.NOW) == 1
    assert course.now.phase is Phase.NOW
    assert set(phases[: course.now_index]) == {Phase.PAST}
    assert set(phases[course.now_index + 1 :]) == {Phase.AHEAD}
    assert course.now.at == NOW.replace(minute=0)
    assert 20 <= len(course.frames) <= MOST_FRAMES


@pytest.mark.parametrize("key", ["left", "middle", "right"])
def test_the_present_picture_is_that_of_a_run_that_knows_of_nothing_ahead(
    demo_garden: Garden, key: str
) -> None:
    batch = demo_garden.batch_in(key)
    assert batch is not None
    model = heap_model(demo_garden, batch)
    assert model is not None
    hindsight, start = batch_hindsight(demo_garden, batch, model), model.weather.start
    member = hindsight.likeliest()
    # The soil under a heap starts from the first week's mean, so a run is a week long at least.
    hours = max(model.now_index, 168)
    run = simulate(
        model.history.shape,
        hindsight.fills[member],
        model.weather.between(start, start + timedelta(hours=hours)),
        [action for action in model.history.actions if action.hour < model.now_index],
        parameters=Parameters.from_array(hindsight.parameters[member]),
    )
    now, at = _course(demo_garden, key).now, model.now_index
    assert now.section.temperature_c == pytest.approx(run.temperature_c[at], abs=1e-6)
    assert now.section.moisture == pytest.approx(run.moisture[at], abs=1e-9)
    assert now.section.height_edges_m == pytest.approx(run.height_m[at] * run.level_edges)
    shown = bins.bin_answer(demo_garden, key).cross_section
    assert shown is not None and (shown.temperature_c == now.section.temperature_c).all()


@pytest.mark.parametrize("key", ["left", "middle", "right"])
def test_the_pictures_are_those_of_the_likeliest_member_run_in_one_piece(
    demo_garden: Garden, key: str
) -> None:
    batch = demo_garden.batch_in(key)
    assert batch is not None
    model = heap_model(demo_garden, batch)
    assert model is not None
    hindsight, course = batch_hindsight(demo_garden, batch, model), _course(demo_garden, key)
    member = hindsight.likeliest()
    alone = simulate_ensemble(
        model.history.shape,
        hindsight.fills[member],
        model.weather,
        model.history.actions,
        hindsight.parameters[[member]],
        probe_depth_m=model.probe_depth_m,
    )
    hours = [frame.hours for frame in course.frames]
    assert np.array(_heights(course)) == pytest.approx(alone.height_m[hours, 0], abs=1e-9)
    tips = np.array([frame.tip_c for frame in course.frames])
    assert tips == pytest.approx(alone.probe_c[hours, 0], abs=1e-6)


def test_a_heap_left_alone_sinks_from_picture_to_picture(demo_garden: Garden) -> None:
    course = _course(demo_garden, "left")
    assert not any(event.kind == "turn" for frame in course.frames for event in frame.done)
    heights = _heights(course)
    assert heights == sorted(heights, reverse=True)
    assert heights[-1] < 0.85 * heights[0]


def test_a_turn_loosens_and_stands_in_the_bin_it_was_moved_to(demo_garden: Garden) -> None:
    course = _course(demo_garden, "middle")
    (turned,) = [
        i
        for i, frame in enumerate(course.frames)
        if any(event.kind == "turn" for event in frame.done)
    ]
    before, after = course.frames[turned - 1], course.frames[turned]
    assert after.hours == before.hours + 1
    assert before.bin.key != after.bin.key == "middle"
    assert _heights(course)[turned] > _heights(course)[turned - 1]
    spread = [np.ptp(frame.section.temperature_c) for frame in (before, after)]
    assert spread[1] < 0.6 * spread[0]  # the hot and the cool are forked together


@pytest.mark.parametrize("key", ["left", "middle", "right"])
def test_everything_done_and_seen_stands_at_exactly_one_picture(
    demo_garden: Garden, key: str
) -> None:
    course = _course(demo_garden, key)
    told = [event.entry_id for frame in course.frames for event in frame.done]
    batch = demo_garden.batch_in(key)
    assert batch is not None
    assert sorted(told) == sorted(entry.id for entry in batch.entries)
    for earlier, later in zip(course.frames, course.frames[1:], strict=False):
        for event in later.done:
            assert earlier.at - timedelta(hours=1) <= event.at <= later.at


def test_a_turn_of_this_hour_shows_in_the_next_picture(garden: Garden) -> None:
    _build(garden, days_ago=8.0)
    log(garden, EntryKind.TURN, {"bin": "left", "how": "stir"}, at=NOW, origin="page")
    course = _course(garden, "left")
    after = course.frames[course.now_index + 1]
    assert after.hours == course.now.hours + 1
    assert [event.kind for event in after.done] == ["turn"]


def test_many_waterings_leave_the_pictures_few(garden: Garden) -> None:
    _build(garden, days_ago=20.0)
    for hours in range(470, 0, -12):
        body = {"bin": "left", "water_kg": 1.0}
        log(garden, EntryKind.WET, body, at=NOW - timedelta(hours=hours), origin="page")
    course = _course(garden, "left")
    assert len(course.frames) <= MOST_FRAMES
    done = [event.kind for frame in course.frames for event in frame.done]
    assert done.count("wet") == 40


def test_all_pictures_come_from_one_run_that_is_remembered(
    demo_garden: Garden, monkeypatch: pytest.MonkeyPatch, garden: Garden
) -> None:
    runs = []

    def counted(*args: object, **more: object) -> object:
        runs.append(args)
        return simulate(*args, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(heap_runs, "simulate", counted)
    _build(garden, days_ago=4.0)
    first = _course(garden, "left")
    bins.bin_answer(garden, "left")
    assert _course(garden, "left") is first
    assert len(runs) == 1


def test_an_empty_bin_has_no_course(garden: Garden) -> None:
    assert heap_course(garden, "left") is None
