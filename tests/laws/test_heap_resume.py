"""Checks that a heap stopped and run on is the same heap, and that a copy has its own future."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.errors import OutOfRange
from heapwright.heap import layout
from heapwright.heap.parameters import sample_parameters
from heapwright.heap.resume import Standing, built, go_on
from heapwright.heap.simulate import simulate_ensemble
from heapwright.heap.types import ActionKind, BinShape, Fill, HeapAction
from tests.laws.heap_courses import weather

DAYS = 12
SHAPE = BinShape(0.95, 0.95, 0.9)
FILLS = tuple(
    Fill(300.0, moisture, 0.75, ash_dry=0.1, fast_share=0.2, medium_share=0.4, c_to_n=28.0)
    for moisture in (0.45, 0.55, 0.65)
)
WEATHER = weather(DAYS, 18.0)
PARAMETERS = sample_parameters(3, np.random.default_rng(4))
ACTIONS = (
    HeapAction(hour=80, kind=ActionKind.STIR, water_kg=10.0),
    HeapAction(hour=150.5, kind=ActionKind.WET, water_kg=12.0),
    HeapAction(hour=192, kind=ActionKind.MOVE),
)


def _new() -> Standing:
    return built(SHAPE, FILLS, WEATHER, PARAMETERS)


@settings(max_examples=12)
@given(cuts=st.sets(st.integers(1, DAYS - 1), max_size=4))
def test_a_run_cut_at_midnights_is_the_same_run(cuts: set[int]) -> None:
    whole = simulate_ensemble(SHAPE, FILLS, WEATHER, ACTIONS, PARAMETERS, probe_depth_m=0.4)
    standing = _new()
    pieces = []
    for day in [*sorted(cuts), DAYS]:
        run, standing = go_on(standing, WEATHER, 24 * day, ACTIONS, probe_depth_m=0.4)
        pieces.append(run.probe_c[: None if day == DAYS else -1])
    np.testing.assert_allclose(np.concatenate(pieces), whole.probe_c, rtol=0, atol=1e-9)


@settings(max_examples=12)
@given(hour=st.integers(1, 12 * DAYS - 1).map(lambda half: 2 * half))
def test_a_cut_at_an_even_hour_only_renews_the_nitrogen_earlier(hour: int) -> None:
    """The draught is renewed every second hour, so an even cut hardly changes the run."""
    whole = simulate_ensemble(SHAPE, FILLS, WEATHER, ACTIONS, PARAMETERS, probe_depth_m=0.4)
    _, standing = go_on(_new(), WEATHER, hour, ACTIONS, probe_depth_m=0.4)
    run, _ = go_on(standing, WEATHER, 24 * DAYS, ACTIONS, probe_depth_m=0.4)
    assert np.abs(run.probe_c - whole.probe_c[hour:]).max() < 0.05


@settings(max_examples=12)
@given(hour=st.integers(0, 12 * DAYS - 1).map(lambda half: 2 * half + 1))
def test_a_cut_at_an_odd_hour_leaves_what_is_in_the_heap_almost_alone(hour: int) -> None:
    """There draught and nitrogen factor are renewed at another moment.

    A core at the edge between starved and breathing can then go the other way, by some kelvin
    (docs/science.md); what has rotted and dried by the end is nearly the same.
    """
    whole = simulate_ensemble(SHAPE, FILLS, WEATHER, ACTIONS, PARAMETERS, probe_depth_m=0.4)
    _, standing = go_on(_new(), WEATHER, hour, ACTIONS, probe_depth_m=0.4)
    run, _ = go_on(standing, WEATHER, 24 * DAYS, ACTIONS, probe_depth_m=0.4)
    assert run.dry_mass_kg[-1] == pytest.approx(whole.dry_mass_kg[-1], rel=0.01)
    assert run.water_kg[-1] == pytest.approx(whole.water_kg[-1], rel=0.03)


def test_going_on_leaves_the_standing_heap_as_it_was() -> None:
    _, standing = go_on(_new(), WEATHER, 72, ACTIONS, probe_depth_m=0.4)
    before = standing.state.cells.copy()
    books = standing.state.books.copy()
    wetted = (HeapAction(hour=72, kind=ActionKind.STIR, water_kg=30.0),)
    turned, _ = go_on(standing, WEATHER, 96, wetted, probe_depth_m=0.4)
    alone, _ = go_on(standing, WEATHER, 96, (), probe_depth_m=0.4)
    assert (standing.state.cells == before).all() and (standing.state.books == books).all()
    assert (turned.water_kg[-1] > alone.water_kg[-1] + 20.0).all()


def test_chosen_members_are_copies_in_the_order_asked_for() -> None:
    _, standing = go_on(_new(), WEATHER, 48, probe_depth_m=0.4)
    chosen = standing.chosen(np.array([2, 0, 2]))
    temperature = chosen.state.cells[:, layout.TEMPERATURE]
    assert (temperature[0] == temperature[2]).all()
    assert (temperature[1] == standing.state.cells[0, layout.TEMPERATURE]).all()
    chosen.state.cells[:] = 0.0
    assert standing.state.cells.max() > 0.0


def test_running_backwards_or_past_the_weather_is_refused() -> None:
    _, standing = go_on(_new(), WEATHER, 48, probe_depth_m=0.4)
    for hour in (47, 24 * DAYS + 1):
        with pytest.raises(OutOfRange, match="from hour 48"):
            go_on(standing, WEATHER, hour, probe_depth_m=0.4)


@settings(max_examples=12)
@given(stride=st.integers(2, 5), hour=st.integers(1, 24 * DAYS - 1))
def test_hours_taken_together_tell_nearly_the_same_and_lose_no_rain(stride: int, hour: int) -> None:
    """Every balance is held by the run itself; here what came from outside and where it ends."""
    hourly, whole = go_on(_new(), WEATHER, hour, ACTIONS, probe_depth_m=0.4)
    run, standing = go_on(_new(), WEATHER, hour, ACTIONS, probe_depth_m=0.4, stride_hours=stride)
    rain = standing.state.books["water_rain_kg"]
    np.testing.assert_allclose(rain, whole.state.books["water_rain_kg"], rtol=1e-9)
    np.testing.assert_allclose(run.dry_mass_kg, hourly.dry_mass_kg, rtol=0.02)
    # The hours of a stride lie on a line, so water given shows as a rise over its first stride.
    np.testing.assert_allclose(run.mean_moisture, hourly.mean_moisture, atol=0.04)
    assert np.sqrt(np.square(run.probe_c - hourly.probe_c).mean()) < 3.0


def test_the_hours_between_two_strides_lie_on_a_straight_line() -> None:
    run, _ = go_on(_new(), WEATHER, 24, probe_depth_m=0.4, stride_hours=2)
    between = 0.5 * (run.probe_c[0:-1:2] + run.probe_c[2::2])
    np.testing.assert_allclose(run.probe_c[1::2], between, atol=1e-9)


@pytest.mark.parametrize("stride", (0, -2))
def test_a_stride_of_no_hours_is_refused(stride: int) -> None:
    with pytest.raises(OutOfRange):
        go_on(_new(), WEATHER, 24, probe_depth_m=0.4, stride_hours=stride)
