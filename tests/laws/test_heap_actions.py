"""Turning, wetting, adding and covering lose nothing and do what a fork does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.heap import layout
from heapwright.heap.actions import apply_action, inside_out
from heapwright.heap.parameters import load_parameters
from heapwright.heap.probe import probe_temperature
from heapwright.heap.simulate import simulate
from heapwright.heap.state import HeapState, build_state, cell_shares
from heapwright.heap.types import ActionKind, BinShape, Cover, HeapAction
from tests.laws.heap_courses import PALLET_BIN, fill, weather

RADII, HEIGHTS = 6, 10
AIR_C = 15.0


def hot_heap() -> HeapState:
    """A heap with a hot, dry, spent core and a cool, wet, fresh edge."""
    state = build_state(
        PALLET_BIN, [fill(1.0)], load_parameters().to_array()[None], AIR_C, RADII, HEIGHTS
    )
    inner = np.zeros((RADII, HEIGHTS), dtype=bool)
    inner[:3, 3:7] = True
    state.cells[0, layout.TEMPERATURE] = np.where(inner, 65.0, 25.0)
    state.cells[0, layout.WATER] *= np.where(inner, 0.6, 1.0)
    state.cells[0, layout.FAST] *= np.where(inner, 0.2, 1.0)
    state.cells[0, layout.HOT_HOURS] = np.where(inner, 90.0, 0.0)
    state.cells[0, layout.MET_SHARE] = np.where(inner, 1.0, 0.0)
    state.sites["looseness"] = 0.87
    return state


@given(
    radius=st.floats(0.2, 1.5), height=st.floats(0.2, 2.0), radii=st.integers(2, 8),
    heights=st.integers(2, 12),
)  # fmt: skip
def test_inside_out_loses_nothing_and_fills_every_place(
    radius: float, height: float, radii: int, heights: int
) -> None:
    carry = inside_out(radius, height, radii, heights)
    share = cell_shares(radii, heights).ravel()
    assert np.abs(carry.sum(axis=0) - 1.0).max() < 1e-9
    assert np.abs(carry @ share - share).max() < 1e-9
    assert carry.min() >= 0.0


def test_inside_out_brings_the_edge_to_the_core() -> None:
    carry = inside_out(0.56, 1.0, RADII, HEIGHTS)
    edge = np.zeros((RADII, HEIGHTS))
    edge[-1], edge[:, 0], edge[:, -1] = 1.0, 1.0, 1.0
    core = (carry @ (edge * cell_shares(RADII, HEIGHTS)).ravel()).reshape(RADII, HEIGHTS)
    share = core / cell_shares(RADII, HEIGHTS)
    assert share[0, HEIGHTS // 2] == pytest.approx(1.0)
    assert share[-1, HEIGHTS // 2] < 0.2


def totals(state: HeapState) -> np.ndarray:
    return state.amounts().sum(axis=(2, 3))[0]


@pytest.mark.parametrize("kind", [ActionKind.STIR, ActionKind.MOVE])
def test_turning_keeps_every_kilogram_and_books_heat_and_steam(kind: ActionKind) -> None:
    state = hot_heap()
    before, volume = totals(state), state.volume_m3[0]
    book = state.books.copy()
    apply_action(state, HeapAction(0.0, kind), AIR_C)
    after = totals(state)
    for field in (layout.FAST, layout.MEDIUM, layout.SLOW, layout.ASH, layout.NITROGEN,
                  layout.BUILD_UP, layout.HOT_HOURS, layout.MET_SHARE):  # fmt: skip
        assert after[field] == pytest.approx(before[field], rel=1e-12)
    steam = state.books["water_evaporated_kg"][0] - book["water_evaporated_kg"][0]
    lost = state.books["energy_turn_lost_j"][0] - book["energy_turn_lost_j"][0]
    assert steam > 0.0 and lost > 0.0
    assert before[layout.WATER] - after[layout.WATER] == pytest.approx(steam)
    assert before[layout.TEMPERATURE] - after[layout.TEMPERATURE] == pytest.approx(lost)
    assert state.volume_m3[0] > volume


def test_moving_evens_out_more_than_stirring_and_freshens_the_core() -> None:
    fuel = {}
    for kind in (ActionKind.STIR, ActionKind.MOVE):
        state = hot_heap()
        apply_action(state, HeapAction(0.0, kind), AIR_C)
        fuel[kind] = state.cells[0, layout.FAST, 0, 5] / state.dry_kg[0, 0, 5]
    start = hot_heap()
    assert start.cells[0, layout.FAST, 0, 5] / start.dry_kg[0, 0, 5] < fuel[ActionKind.STIR]
    assert fuel[ActionKind.STIR] < fuel[ActionKind.MOVE]


def test_core_falls_at_the_turn_and_hot_hours_travel_with_the_material() -> None:
    state = hot_heap()
    apply_action(state, HeapAction(0.0, ActionKind.MOVE), AIR_C)
    assert state.cells[0, layout.TEMPERATURE, 0, 5] < 50.0
    assert state.cells[0, layout.HOT_HOURS].min() > 0.0
    assert state.cells[0, layout.HOT_HOURS].max() < 90.0


@pytest.mark.parametrize("kind", [ActionKind.STIR, ActionKind.MOVE, ActionKind.WET])
@pytest.mark.parametrize("water_kg", [5.0, 60.0, 900.0])
def test_water_is_held_up_to_the_holding_capacity_and_the_rest_runs_off(
    kind: ActionKind, water_kg: float
) -> None:
    state = hot_heap()
    apply_action(state, HeapAction(0.0, kind), AIR_C)
    before, book = state.cells[0, layout.WATER].sum(), state.books.copy()
    holding = float(state.parameters["holding_kg_kg"][0] * state.dry_kg.sum())
    watered = HeapAction(0.0, ActionKind.WET if kind is ActionKind.WET else kind, water_kg)
    apply_action(state, watered, AIR_C)
    gained = state.cells[0, layout.WATER].sum() - before
    steam = state.books["water_evaporated_kg"][0] - book["water_evaporated_kg"][0]
    drained = state.books["water_drained_kg"][0] - book["water_drained_kg"][0]
    assert gained + steam + drained == pytest.approx(water_kg)
    assert state.cells[0, layout.WATER].sum() <= holding + 1e-9
    assert (drained > 1e-9) == (water_kg > 500.0)


@pytest.mark.parametrize("channelled", [0.0, 0.5, 1.0])
def test_wetting_from_above_wets_the_top_most(channelled: float) -> None:
    state = hot_heap()
    state.parameters["water_channelled"] = channelled
    before = state.cells[0, layout.WATER].copy()
    apply_action(state, HeapAction(0.0, ActionKind.WET, 20.0), AIR_C)
    gained = (state.cells[0, layout.WATER] - before).sum(axis=0)
    assert gained[-1] > 0.0
    assert (gained[0] > 0.0) == (channelled > 0.0)
    assert abs(gained.sum() - 20.0) < 1e-9
    if channelled == 0.0:
        per_height = gained / np.diff(layout.level_edges(HEIGHTS))
        assert np.all(np.diff(per_height) >= -1e-9)
    held = state.number("holding_kg_kg") * state.dry_kg
    assert np.all(state.cells[:, layout.WATER] <= np.maximum(held[0], before) + 1e-9)


def test_adding_on_top_keeps_what_was_there_below() -> None:
    state = hot_heap()
    before, volume = totals(state), state.volume_m3[0]
    more = replace(fill(0.25), temperature_c=10.0)
    apply_action(state, HeapAction(0.0, ActionKind.ADD, fill=more), AIR_C)
    after = totals(state)
    assert state.volume_m3[0] == pytest.approx(volume + 0.25)
    assert after[layout.WATER] - before[layout.WATER] == pytest.approx(0.6 * 100.0)
    assert state.cells[0, layout.TEMPERATURE, 0, -1] < 20.0
    assert state.cells[0, layout.HOT_HOURS].max() > 60.0


def test_cover_and_new_bin_change_the_site_only() -> None:
    state = hot_heap()
    before = totals(state)
    apply_action(state, HeapAction(0.0, ActionKind.COVER, cover=Cover.TARP), AIR_C)
    assert np.array_equal(totals(state), before)
    assert state.sites["vapour_returned"][0] > 0.3
    larger = BinShape(1.4, 1.4, 1.0, cover=Cover.OPEN)
    apply_action(state, HeapAction(0.0, ActionKind.MOVE, new_bin=larger), AIR_C)
    assert state.foot_m2[0] == pytest.approx(1.96)
    assert state.sites["vapour_returned"][0] == 0.0


def test_shade_cover_and_rain_work_the_way_a_gardener_expects() -> None:
    air = weather(7, 20.0, sun_w_m2=800.0)
    wet = replace(air, rain_mm=np.where(np.arange(air.hours) % 24 == 3, 10.0, 0.0))
    rained = simulate(replace(PALLET_BIN, cover=Cover.OPEN), fill(0.9), wet)
    kept = simulate(replace(PALLET_BIN, cover=Cover.LID), fill(0.9), wet)
    assert rained.water_rain_kg > 40.0 and kept.water_rain_kg == 0.0
    sunny = simulate(replace(PALLET_BIN, shade=0.0), fill(0.9), air)
    shaded = simulate(replace(PALLET_BIN, shade=1.0), fill(0.9), air)
    assert sunny.temperature_c[:, -1].mean() > shaded.temperature_c[:, -1].mean()


def test_bigger_heaps_run_hotter() -> None:
    peaks = []
    for side in (0.5, 0.7, 1.0):
        shape = BinShape(side, side, side)
        run = simulate(shape, fill(side**3), weather(7, 12.0))
        peaks.append(probe_temperature(run, 0.5 * side).max())
    assert peaks == sorted(peaks)


def test_starved_of_nitrogen_a_heap_rots_more_slowly() -> None:
    left = []
    for c_to_n in (25.0, 60.0, 150.0):
        run = simulate(PALLET_BIN, fill(1.0, c_to_n=c_to_n), weather(14, 18.0))
        left.append(run.degradable_left[-1])
    assert left == sorted(left)
