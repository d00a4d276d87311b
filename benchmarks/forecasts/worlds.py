"""Heaps whose truth is hidden from the forecaster, and what a gardener would tell of them.

The truth differs from what is told in everything a garden's truth differs in: numbers drawn from a
wider range, a finer grid with shorter steps, another fill than the recipe says, air that is not the
weather station's, water given by eye, a thermometer with its error and days without a reading.
All of it is invented here; the spreads are our choice and stand below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from benchmarks.hidden import AIR, air_at_the_bin, true_numbers, year
from heapwright.heap.parameters import (
    Parameters,
)
from heapwright.heap.probe import probe_temperature
from heapwright.heap.simulate import FINE_GRID, simulate
from heapwright.heap.types import (
    ActionKind,
    BinShape,
    Cover,
    Fill,
    FloatArray,
    Ground,
    HeapAction,
    HeapRun,
    Wall,
)
from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries
from heapwright.weather_sources.climate import climates

DAYS = 46
DEPTH_M = 0.45
#: The truth's numbers lie evenly within so many standard deviations of the table's typical ones.
TRUTH_REACH = 2.0
#: Spread of the truth about the recipe (relative, but moisture: share of wet mass).
FILL_ERRORS = {
    "mass": 0.15,
    "moisture": 0.05,
    "fast": 0.30,
    "medium": 0.20,
    "c_to_n": 0.20,
    "volume": 0.10,
}
WATER_SPREAD = 0.2
READING_SD_C, DEPTH_SD_M = 2.0, 0.04
READ_CHANCE, WRONG_CHANCE = 0.75, 0.02


@dataclass(frozen=True, slots=True)
class World:
    """One hidden heap and what is told of it.

    Attributes
    ----------
    shape : BinShape
    told_fill : Fill
        By the recipe.
    told_weather : WeatherSeries
        The station's.
    told_actions : tuple of HeapAction
    reading_hours : array of int, shape (readings,)
    readings_c : array, shape (readings,)
    truth_c : array, shape (hours+1,)
        The hidden heap's temperature at the thermometer's place. [°C]
    true_run : HeapRun

    """

    shape: BinShape
    told_fill: Fill
    told_weather: WeatherSeries
    told_actions: tuple[HeapAction, ...]
    reading_hours: np.ndarray
    readings_c: FloatArray
    truth_c: FloatArray
    true_run: HeapRun


def world(seed: int, days: int = DAYS) -> World:
    """Return the hidden heap of a seed."""
    rng = np.random.default_rng([2604, seed])
    shape = _shape(rng)
    told_fill = _fill(shape, rng)
    weather = _weather(rng, days)
    true_actions, told_actions = _actions(rng, days)
    run = simulate(
        shape,
        _true_fill(told_fill, rng),
        air_at_the_bin(weather, AIR, rng),
        true_actions,
        parameters=Parameters.from_array(true_numbers(TRUTH_REACH, rng)[0]),
        **FINE_GRID,
    )
    truth = probe_temperature(run, DEPTH_M)
    hours, readings = _readings(run, rng)
    return World(shape, told_fill, weather, told_actions, hours, readings, truth, run)


def _shape(rng: np.random.Generator) -> BinShape:
    side = float(rng.uniform(0.8, 1.25))
    return BinShape(
        width_m=side,
        depth_m=side,
        height_m=float(rng.uniform(0.8, 1.2)),
        wall=Wall(str(rng.choice(["pallets", "wire", "boards", "slats", "blocks", "plastic"]))),
        cover=Cover(str(rng.choice(["brown cap", "brown cap", "tarp", "open", "lid"]))),
        shade=float(rng.uniform(0.0, 0.9)),
        ground=Ground(str(rng.choice(["coarse base", "soil", "slab"]))),
    )


def _fill(shape: BinShape, rng: np.random.Generator) -> Fill:
    volume = float(rng.uniform(0.6, 1.1)) * shape.volume_m3
    return Fill(
        wet_mass_kg=float(rng.uniform(260.0, 520.0)) * volume,
        moisture=float(rng.uniform(0.42, 0.68)),
        volume_m3=volume,
        ash_dry=float(rng.uniform(0.08, 0.2)),
        fast_share=float(rng.uniform(0.08, 0.3)),
        medium_share=float(rng.uniform(0.25, 0.45)),
        c_to_n=float(rng.uniform(18.0, 45.0)),
    )


def _true_fill(told: Fill, rng: np.random.Generator) -> Fill:
    def times(name: str) -> float:
        return float(np.exp(FILL_ERRORS[name] * rng.standard_normal()))

    moisture = float(
        np.clip(told.moisture + FILL_ERRORS["moisture"] * rng.standard_normal(), 0.2, 0.8)
    )
    dry = told.wet_mass_kg * (1.0 - told.moisture) * times("mass")
    fast, medium = told.fast_share * times("fast"), told.medium_share * times("medium")
    most = min(1.0, 0.9 / (fast + medium))
    return replace(
        told,
        wet_mass_kg=dry / (1.0 - moisture),
        moisture=moisture,
        volume_m3=told.volume_m3 * times("volume"),
        fast_share=fast * most,
        medium_share=medium * most,
        c_to_n=told.c_to_n * times("c_to_n"),
    )


def _weather(rng: np.random.Generator, days: int) -> WeatherSeries:
    keys = sorted(one.key for one in climates())
    key = keys[int(rng.integers(len(keys)))]
    start = datetime(2023, 1, 1, 9, tzinfo=UTC) + timedelta(days=int(rng.integers(300)))
    return on_dates(year(key), start, start + timedelta(days=days))


def _actions(
    rng: np.random.Generator, days: int
) -> tuple[tuple[HeapAction, ...], tuple[HeapAction, ...]]:
    """Return what was done, and what was told of it: amounts of water are told by eye."""
    true: list[HeapAction] = []
    told: list[HeapAction] = []
    if rng.uniform() < 0.2:
        return (), ()  # left alone
    day = float(rng.uniform(4.0, 10.0))
    while day < days - 1:
        kind = ActionKind(str(rng.choice(["stir", "move", "move", "wet"])))
        said = (
            float(rng.uniform(5.0, 25.0)) if kind is ActionKind.WET or rng.uniform() < 0.6 else 0.0
        )
        given = said * float(np.exp(WATER_SPREAD * rng.standard_normal()))
        hour = round(24 * day)
        true.append(HeapAction(hour=hour, kind=kind, water_kg=given))
        told.append(HeapAction(hour=hour, kind=kind, water_kg=said))
        day += float(rng.uniform(4.0, 12.0))
    return tuple(true), tuple(told)


def _readings(run: HeapRun, rng: np.random.Generator) -> tuple[np.ndarray, FloatArray]:
    """Return hours and values of what was read: most days, with error, now and then wrong."""
    hours, values = [], []
    for day in range(1, run.hours // 24):
        hour = 24 * day + int(rng.integers(-2, 3))
        depth = DEPTH_M + DEPTH_SD_M * float(rng.standard_normal())
        error = READING_SD_C * float(rng.standard_normal())
        is_wrong, is_read = rng.uniform() < WRONG_CHANCE, rng.uniform() < READ_CHANCE
        if not is_read:
            continue
        place = 0.9 if is_wrong else 0.0
        hours.append(hour)
        values.append(float(probe_temperature(run, depth, place)[hour]) + error)
    return np.array(hours, dtype=np.int64), np.array(values)


def worlds(seeds: Sequence[int]) -> list[World]:
    """Return the worlds of these seeds."""
    return [world(seed) for seed in seeds]
