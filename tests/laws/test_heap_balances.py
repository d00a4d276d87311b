"""Dry mass, carbon, nitrogen, water and heat balance in every run; all stays possible."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.heap.parameters import Parameters, sample_parameters
from heapwright.heap.simulate import simulate
from heapwright.heap.state import cell_shares
from heapwright.heap.types import (
    ActionKind,
    BinShape,
    Cover,
    Fill,
    HeapAction,
    HeapRun,
    Wall,
)
from heapwright.weather.series import WeatherSeries
from tests.laws.random_heaps import random_heap

HOURS = 96


@st.composite
def shapes(draw: st.DrawFn) -> BinShape:
    side = st.floats(0.4, 1.6)
    return BinShape(
        draw(side),
        draw(side),
        draw(st.floats(0.4, 1.4)),
        draw(st.sampled_from(Wall)),
        draw(st.sampled_from(Cover)),
        draw(st.floats(0.0, 1.0)),
    )


@st.composite
def fills(draw: st.DrawFn, volume_m3: float) -> Fill:
    moisture = draw(st.floats(0.1, 0.85))
    density = draw(st.floats(31.0, 800.0))
    fast = draw(st.floats(0.0, 0.6))
    return Fill(
        wet_mass_kg=density * volume_m3,
        moisture=moisture,
        volume_m3=volume_m3,
        ash_dry=draw(st.floats(0.0, 0.8)),
        fast_share=fast,
        medium_share=draw(st.floats(0.0, 1.0)) * (1.0 - fast),
        c_to_n=draw(st.floats(5.0, 400.0)),
        temperature_c=draw(st.floats(-10.0, 70.0)),
    )


def weathers(seed: int, mean_c: float) -> WeatherSeries:
    rng = np.random.default_rng(seed)
    return WeatherSeries(
        start=datetime(2021, 1, 1, tzinfo=UTC),
        temperature_c=np.clip(mean_c + 8.0 * rng.standard_normal(HOURS), -50.0, 55.0),
        relative_humidity=rng.uniform(0.0, 1.0, HOURS),
        wind_m_s=rng.exponential(3.0, HOURS).clip(0.0, 40.0),
        rain_mm=np.where(rng.uniform(size=HOURS) < 0.1, rng.exponential(5.0, HOURS), 0.0),
        sun_w_m2=rng.uniform(0.0, 1100.0, HOURS),
        source="invented",
    )


def _bins_no_narrower(shape: BinShape) -> st.SearchStrategy[BinShape]:
    """A heap moved into a much narrower bin would stand taller than any heap: it is refused."""
    return shapes().map(
        lambda other: replace(
            other,
            width_m=max(other.width_m, shape.width_m),
            depth_m=max(other.depth_m, shape.depth_m),
        )
    )


@st.composite
def actions(draw: st.DrawFn, shape: BinShape) -> list[HeapAction]:
    made = []
    for hour in draw(st.lists(st.floats(0.0, HOURS - 1.0), max_size=5)):
        kind = draw(st.sampled_from(ActionKind))
        made.append(
            HeapAction(
                hour=hour,
                kind=kind,
                water_kg=draw(st.floats(0.0, 200.0)),
                fill=draw(fills(0.2 * shape.volume_m3)) if kind is ActionKind.ADD else None,
                cover=draw(st.sampled_from(Cover)) if kind is ActionKind.COVER else None,
                new_bin=draw(_bins_no_narrower(shape))
                if kind is ActionKind.MOVE and draw(st.booleans())
                else None,
            )
        )
    return made


@settings(max_examples=150, deadline=None)
@given(data=st.data(), seed=st.integers(0, 2**31), mean_c=st.floats(-25.0, 38.0))
def test_random_heaps_balance_and_stay_possible(
    data: st.DataObject, seed: int, mean_c: float
) -> None:
    shape = data.draw(shapes())
    fill = data.draw(fills(data.draw(st.floats(0.3, 1.2)) * shape.volume_m3))
    row = sample_parameters(1, np.random.default_rng(seed))[0]
    run = simulate(
        shape,
        fill,
        weathers(seed, mean_c),
        data.draw(actions(shape)),
        parameters=Parameters.from_array(row),
    )
    assert_possible(run)


MANY, PARTS = 10_000, 20


@pytest.mark.parametrize("part", range(PARTS))
def test_ten_thousand_random_heaps_balance(part: int) -> None:
    """Numbers, bins, grids, weather and actions drawn anew; each seed names its own heap."""
    for seed in range(part * MANY // PARTS, (part + 1) * MANY // PARTS):
        run = random_heap(np.random.default_rng(seed)).run()
        assert run.worst_balance_error < 1e-9, seed
        assert_possible(run)


def assert_possible(run: HeapRun) -> None:
    """The run itself raises BalanceBroken when a balance does not add up."""
    assert run.worst_balance_error < 1e-9
    for values in (run.temperature_c, run.moisture, run.oxygen, run.height_m, run.water_kg):
        assert np.isfinite(values).all()
    assert (run.oxygen >= 0.0).all() and (run.oxygen <= 0.209 + 1e-12).all()
    assert (run.moisture >= 0.0).all() and (run.moisture < 1.0).all()
    assert (run.dry_mass_kg > 0.0).all()
    assert (run.temperature_c > -80.0).all() and (run.temperature_c < 130.0).all()
    assert (run.nitrogen_kg >= 0.0).all() and (np.diff(run.ledger.ammonia_lost_kg) >= 0.0).all()
    assert (run.degradable_left >= 0.0).all() and run.heat_released_j >= 0.0


def test_cell_shares_add_up_to_the_whole_heap() -> None:
    assert abs(cell_shares(6, 10).sum() - 1.0) < 1e-12
