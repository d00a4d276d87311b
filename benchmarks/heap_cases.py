"""The heaps the benchmarks run: invented fills in invented weather, built anew for every run.

Knows what is run, not how or how fast.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from heapwright.heap.parameters import load_parameters
from heapwright.heap.state import HeapState, build_state
from heapwright.heap.stretches import weather_table
from heapwright.heap.types import BinShape, Cover, Fill, FloatArray, Wall
from heapwright.weather.series import WeatherSeries


@dataclass(frozen=True, slots=True)
class Case:
    """A bin, what it is filled with, and a day's weather that repeats itself."""

    shape: BinShape
    fill: Fill
    mean_c: float = 20.0
    swing_k: float = 6.0
    humidity: float = 0.6
    wind_m_s: float = 1.0
    sun_w_m2: float = 400.0
    rain_mm: float = 0.0

    def weather(self, days: int) -> WeatherSeries:
        """Return this many days of it; rain falls in one hour of every thirty."""
        hour = np.arange(24 * days)
        swing = np.sin(2 * np.pi * (hour - 9) / 24)
        level = np.ones(hour.size)
        return WeatherSeries(
            start=datetime(2021, 6, 1, tzinfo=UTC),
            temperature_c=self.mean_c + self.swing_k * swing,
            relative_humidity=self.humidity * level,
            wind_m_s=self.wind_m_s * level,
            rain_mm=np.where(hour % 30 == 7, self.rain_mm, 0.0),
            sun_w_m2=self.sun_w_m2 * np.maximum(swing, 0.0),
            source="invented",
        )

    def table(self, days: int) -> FloatArray:
        """Return the weather as the kernel reads it."""
        return weather_table(self.weather(days), load_parameters().soil_memory_days)

    def build(self, radii: int = 6, heights: int = 10) -> HeapState:
        """Return the heap as built, one member with the typical numbers."""
        row = load_parameters().to_array()[None]
        return build_state(self.shape, [self.fill], row, self.mean_c, radii, heights)


_PALLETS = BinShape(1.0, 1.0, 1.0, Wall.PALLETS, Cover.BROWN_CAP, 0.3)
_OPEN = BinShape(1.0, 1.0, 1.0, Wall.PALLETS, Cover.OPEN, 0.3)
_WIRE = BinShape(0.8, 0.8, 0.8, Wall.WIRE, Cover.TARP, 0.3)


def _fill(wet_kg: float, moisture: float, volume_m3: float, c_to_n: float) -> Fill:
    return Fill(
        wet_mass_kg=wet_kg,
        moisture=moisture,
        volume_m3=volume_m3,
        ash_dry=0.12,
        fast_share=0.2,
        medium_share=0.35,
        c_to_n=c_to_n,
    )


USUAL = Case(_PALLETS, _fill(380.0, 0.6, 0.95, 34.0))
CASES = {
    "a usual heap": USUAL,
    "rich and open to the rain": Case(_OPEN, _fill(380.0, 0.6, 0.95, 14.0), rain_mm=12.0),
    "dry in dry heat": Case(
        _PALLETS, _fill(300.0, 0.5, 0.95, 34.0), mean_c=33.0, humidity=0.25, sun_w_m2=700.0
    ),
    "loose, behind wire, in the cold": Case(
        _WIRE, _fill(200.0, 0.6, 0.5, 34.0), mean_c=5.0, wind_m_s=3.0, sun_w_m2=0.0
    ),
}
