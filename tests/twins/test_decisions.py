"""Two routes to one answer: an option run by the comparison and by hand, today and later."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np
import pytest

from heapwright.decisions.consequences import Consequences, airless_share
from heapwright.decisions.contents import contents
from heapwright.decisions.finish_time import days_until_left, well_kept_rates_per_day
from heapwright.decisions.options import later, options_for
from heapwright.decisions.tables import limits
from heapwright.decisions.types import Doing, Option, Situation
from heapwright.heap.parameters import sample_parameters
from heapwright.heap.resume import FOLLOWING_STRIDE, Standing, built, go_on
from heapwright.heap.types import ActionKind, BinShape, Fill, HeapAction
from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries
from heapwright.weather_sources.climate import climate

START = datetime(2023, 5, 1, 9, tzinfo=UTC)
NOW, HORIZON, DEPTH_M = 24 * 10, 8, 0.45
SHAPE = BinShape(0.95, 0.95, 0.95, shade=0.5)


@cache
def weather() -> WeatherSeries:
    return on_dates(climate("seattle"), START, START + timedelta(days=30))


@cache
def situation() -> Situation:
    rows = sample_parameters(4, np.random.default_rng(5))
    heaps = built(SHAPE, [Fill(270.0, 0.48, 0.72, 0.1, 0.2, 0.35, 30.0)] * 4, weather(), rows)
    standing = go_on(heaps, weather(), NOW, probe_depth_m=DEPTH_M)[1]
    return Situation(
        standing=standing,
        weather=weather(),
        shape=SHAPE,
        next_bin="Next",
        next_shape=SHAPE,
        stock=(),
        may_burn=False,
        squeeze="",
        smell="",
        is_curing=False,
        is_ready=False,
        probe_depth_m=DEPTH_M,
    )


def option(doing: Doing) -> Option:
    return next(one for one in options_for(situation())[0] if one.doing is doing)


def by_hand(until_day: int, actions: list[HeapAction]) -> Standing:
    hour = NOW + 24 * until_day
    return go_on(
        situation().standing,
        weather(),
        hour,
        actions,
        probe_depth_m=DEPTH_M,
        stride_hours=FOLLOWING_STRIDE,
    )[1]


def action(doing: Doing, hour: int) -> list[HeapAction]:
    water = option(doing).water_kg
    if doing is Doing.WET:
        return [HeapAction(hour, ActionKind.WET, water_kg=water)]
    if doing.is_move:
        return [HeapAction(hour, ActionKind.MOVE, water_kg=water, new_bin=SHAPE)]
    return [HeapAction(hour, ActionKind.STIR, water_kg=water)] if doing.is_turn else []


DOINGS = [
    Doing.LEAVE, Doing.WET, Doing.STIR, Doing.STIR_AND_WET, Doing.MOVE, Doing.MOVE_AND_WET,
]  # fmt: skip


@pytest.mark.parametrize("doing", DOINGS)
@pytest.mark.parametrize("day", [0, 3])
def test_an_option_leads_where_the_same_actions_lead(doing: Doing, day: int) -> None:
    found = Consequences(situation(), horizon_days=HORIZON).of(later(option(doing), day))
    end = by_hand(HORIZON, action(doing, NOW + 24 * day))
    heap = contents(end)
    np.testing.assert_allclose(found.moisture, heap.moisture)
    state = end.state
    met = (state.cells[:, 10] * state.dry_kg).sum(axis=(1, 2)) / state.dry_kg.sum(axis=(1, 2))
    np.testing.assert_allclose(found.hot_share, met)
    air = float(np.mean(weather().temperature_c[NOW : NOW + 24 * HORIZON]))
    fast, medium = well_kept_rates_per_day(end, air)
    wished = limits()["finished_share"] * heap.built_in_kg
    beyond = days_until_left(heap.fast_kg, heap.medium_kg, wished, fast, medium)
    np.testing.assert_allclose(found.days_left, HORIZON + beyond)
    assert found.probe_c.shape == (HORIZON + 1, 4)


def test_airless_days_are_the_looks_held_until_the_next() -> None:
    found = Consequences(situation(), horizon_days=HORIZON).of(option(Doing.LEAVE))
    seen = [(2, 2), (6, 4), (8, 2)]  # day of the look, days it stands for
    by_looks = sum(days * airless_share(by_hand(day, [])) for day, days in seen)
    np.testing.assert_allclose(found.airless_days, by_looks)


def test_one_comparison_gives_the_same_whatever_was_asked_before() -> None:
    fresh = Consequences(situation(), horizon_days=HORIZON)
    used = Consequences(situation(), horizon_days=HORIZON)
    for doing in (Doing.LEAVE, Doing.MOVE):
        used.of(option(doing))
    used.of(later(option(Doing.STIR), 5))
    mine = fresh.of(later(option(Doing.STIR), 2))
    theirs = used.of(later(option(Doing.STIR), 2))
    np.testing.assert_allclose(mine.days_left, theirs.days_left)
    np.testing.assert_allclose(mine.airless_days, theirs.airless_days)
