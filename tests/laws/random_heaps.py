"""Draws heaps at random: bins, fills, weather, actions, numbers and grids, within what is allowed.

Knows the ranges only; what must hold for each run stands in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import StrEnum
from typing import TypeVar

import numpy as np

from heapwright.heap.parameters import Parameters, sample_parameters
from heapwright.heap.simulate import simulate
from heapwright.heap.types import (
    ActionKind,
    BinShape,
    Cover,
    Fill,
    Ground,
    HeapAction,
    HeapRun,
    Wall,
)
from heapwright.weather.series import WeatherSeries

Kind = TypeVar("Kind", bound=StrEnum)


@dataclass(frozen=True)
class RandomHeap:
    """One heap and everything that happens to it."""

    shape: BinShape
    fill: Fill
    weather: WeatherSeries
    actions: list[HeapAction]
    parameters: Parameters
    grid: dict[str, int]

    def run(self) -> HeapRun:
        return simulate(
            self.shape,
            self.fill,
            self.weather,
            self.actions,
            parameters=self.parameters,
            **self.grid,
        )


def random_heap(rng: np.random.Generator) -> RandomHeap:
    """Return a heap drawn from wide ranges; one in three on another grid than the usual."""
    hours = int(rng.integers(6, 120))
    shape = random_shape(rng)
    usual = rng.uniform() < 2 / 3
    grid = {"radii": int(rng.integers(2, 9)), "heights": int(rng.integers(2, 15))}
    if rng.uniform() < 0.2:
        grid["steps_per_hour"] = int(rng.integers(1, 5))
        usual = False
    return RandomHeap(
        shape=shape,
        fill=random_fill(rng, rng.uniform(0.3, 1.2) * shape.volume_m3),
        weather=random_weather(rng, hours),
        actions=random_actions(rng, shape, hours),
        parameters=Parameters.from_array(sample_parameters(1, rng)[0]),
        grid={} if usual else grid,
    )


def _one_of(rng: np.random.Generator, kinds: type[Kind]) -> Kind:
    return list(kinds)[int(rng.integers(len(kinds)))]


def random_shape(rng: np.random.Generator) -> BinShape:
    return BinShape(
        rng.uniform(0.25, 1.8),
        rng.uniform(0.25, 1.8),
        rng.uniform(0.3, 1.6),
        _one_of(rng, Wall),
        _one_of(rng, Cover),
        rng.uniform(0.0, 1.0),
        _one_of(rng, Ground),
        bool(rng.uniform() < 0.3),
    )


def _like(rng: np.random.Generator, shape: BinShape) -> BinShape:
    """Return another bin of much the same plan, so that the heap does not tower over it."""
    other = random_shape(rng)
    return replace(
        other,
        width_m=shape.width_m * rng.uniform(0.9, 1.3),
        depth_m=shape.depth_m * rng.uniform(0.9, 1.3),
        is_round=shape.is_round,
    )


def random_fill(rng: np.random.Generator, volume_m3: float) -> Fill:
    """Return a fill of this volume; density such that air is left between the pieces."""
    moisture, ash = rng.uniform(0.06, 0.88), rng.uniform(0.0, 0.85)
    fast = rng.uniform(0.0, 0.7)
    full = 1.0 / (moisture / 1000.0 + (1.0 - moisture) * ((1.0 - ash) / 1600.0 + ash / 2500.0))
    density = rng.uniform(31.0, min(0.93 * full, 1100.0))
    return Fill(
        wet_mass_kg=density * volume_m3,
        moisture=moisture,
        volume_m3=volume_m3,
        ash_dry=ash,
        fast_share=fast,
        medium_share=rng.uniform(0.0, 1.0) * (1.0 - fast),
        c_to_n=float(np.exp(rng.uniform(np.log(4.0), np.log(500.0)))),
        temperature_c=None if rng.uniform() < 0.3 else rng.uniform(-15.0, 70.0),
    )


def random_weather(rng: np.random.Generator, hours: int) -> WeatherSeries:
    mean = rng.uniform(-25.0, 38.0)
    return WeatherSeries(
        start=datetime(2021, 1, 1, tzinfo=UTC),
        temperature_c=np.clip(mean + 8.0 * rng.standard_normal(hours), -55.0, 55.0),
        relative_humidity=rng.uniform(0.0, 1.0, hours),
        wind_m_s=rng.exponential(3.0, hours).clip(0.0, 50.0),
        rain_mm=np.where(rng.uniform(size=hours) < 0.1, rng.exponential(8.0, hours), 0.0),
        sun_w_m2=rng.uniform(0.0, 1200.0, hours),
        source="invented",
    )


def random_actions(rng: np.random.Generator, shape: BinShape, hours: int) -> list[HeapAction]:
    made = []
    for _ in range(rng.poisson(1.5)):
        kind = _one_of(rng, ActionKind)
        adds = kind is ActionKind.ADD
        moves = kind is ActionKind.MOVE and rng.uniform() < 0.5
        made.append(
            HeapAction(
                hour=rng.uniform(0.0, hours - 1.0),
                kind=kind,
                water_kg=float(rng.choice([0.0, 5.0, 60.0, 400.0])),
                fill=random_fill(rng, max(0.1 * shape.volume_m3, 0.01)) if adds else None,
                cover=_one_of(rng, Cover) if kind is ActionKind.COVER else None,
                new_bin=_like(rng, shape) if moves else None,
            )
        )
    return made
