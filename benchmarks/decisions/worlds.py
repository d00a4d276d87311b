"""Heaps whose truth is hidden from whoever keeps them.

Knows how a truth is drawn: numbers from a wider range than the adviser's, another grid, a fill that
is not the recipe's, air that is not the station's. All of it is invented; the spreads are our
choice and stand below. Knows nothing of what is done with the heap.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from benchmarks.hidden import AIR, air_at_the_bin, true_numbers, year
from heapwright.heap.types import BinShape, Cover, Fill, FloatArray, Ground, Wall
from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries
from heapwright.weather_sources.climate import climates

DAYS = 150
#: Days of weather beyond the end, for a horizon that begins on the last day.
BEYOND = 16
#: The truth's numbers lie evenly within so many standard deviations of the table's typical ones.
TRUTH_REACH = 1.645
#: Spread of the truth about the recipe (relative, but moisture: share of wet mass).
FILL_ERRORS = {"mass": 0.15, "moisture": 0.05, "fast": 0.3, "medium": 0.2, "c_to_n": 0.2}
WALLS = ("pallets", "wire", "boards", "slats", "blocks", "plastic")
COVERS = ("brown cap", "brown cap", "tarp", "lid")
GROUNDS = ("coarse base", "soil", "slab")
NEXT_BIN_CHANCE = 0.7


@dataclass(frozen=True, slots=True)
class World:
    """One hidden heap and what is told of it.

    Attributes
    ----------
    seed : int
    climate_key : str
    shape : BinShape
    has_next : bool
        Whether the next bin, of the same shape, is free to move into and back.
    told_fill, true_fill : Fill
        By the recipe; as it is.
    told_weather, true_weather : WeatherSeries
        The station's; at the bin.
    true_numbers : array, shape (1, numbers)

    """

    seed: int
    climate_key: str
    shape: BinShape
    has_next: bool
    told_fill: Fill
    true_fill: Fill
    told_weather: WeatherSeries
    true_weather: WeatherSeries
    true_numbers: FloatArray


def world(seed: int) -> World:
    """Return the hidden heap of a seed."""
    rng = np.random.default_rng([4, seed])
    shape = _shape(rng)
    told = _fill(shape, rng)
    key, weather = _weather(rng)
    return World(
        seed=seed,
        climate_key=key,
        shape=shape,
        has_next=bool(rng.uniform() < NEXT_BIN_CHANCE),
        told_fill=told,
        true_fill=another_fill(told, rng),
        told_weather=weather,
        true_weather=air_at_the_bin(weather, AIR, rng),
        true_numbers=true_numbers(TRUTH_REACH, rng),
    )


def another_fill(told: Fill, rng: np.random.Generator) -> Fill:
    """Return what may have gone in when a recipe is told: as far off as recipes are."""

    def times(name: str) -> float:
        return float(np.exp(FILL_ERRORS[name] * rng.standard_normal()))

    moisture = told.moisture + FILL_ERRORS["moisture"] * float(rng.standard_normal())
    moisture = float(np.clip(moisture, 0.2, 0.78))
    dry = told.wet_mass_kg * (1.0 - told.moisture) * times("mass")
    fast, medium = told.fast_share * times("fast"), told.medium_share * times("medium")
    most = min(1.0, 0.9 / (fast + medium))
    return replace(
        told,
        wet_mass_kg=dry / (1.0 - moisture),
        moisture=moisture,
        fast_share=fast * most,
        medium_share=medium * most,
        c_to_n=told.c_to_n * times("c_to_n"),
    )


def _shape(rng: np.random.Generator) -> BinShape:
    side = float(rng.uniform(0.8, 1.3))
    return BinShape(
        width_m=side,
        depth_m=side,
        height_m=float(rng.uniform(0.8, 1.2)),
        wall=Wall(str(rng.choice(WALLS))),
        cover=Cover(str(rng.choice(COVERS))),
        shade=float(rng.uniform(0.0, 0.9)),
        ground=Ground(str(rng.choice(GROUNDS))),
    )


def _fill(shape: BinShape, rng: np.random.Generator) -> Fill:
    volume = float(rng.uniform(0.6, 1.1)) * shape.volume_m3
    return Fill(
        wet_mass_kg=float(rng.uniform(260.0, 480.0)) * volume,
        moisture=float(rng.uniform(0.45, 0.66)),
        volume_m3=volume,
        ash_dry=float(rng.uniform(0.08, 0.2)),
        fast_share=float(rng.uniform(0.08, 0.3)),
        medium_share=float(rng.uniform(0.25, 0.45)),
        c_to_n=float(rng.uniform(20.0, 45.0)),
    )


def _weather(rng: np.random.Generator) -> tuple[str, WeatherSeries]:
    keys = sorted(one.key for one in climates())
    key = keys[int(rng.integers(len(keys)))]
    start = datetime(2023, 1, 1, 9, tzinfo=UTC) + timedelta(days=int(rng.integers(365)))
    return key, on_dates(year(key), start, start + timedelta(days=DAYS + BEYOND))
