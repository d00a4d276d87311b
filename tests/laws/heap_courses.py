"""Heaps as people build them, with invented weather, and what a thermometer in them reads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from heapwright.heap.simulate import simulate
from heapwright.heap.types import (
    ActionKind,
    BinShape,
    Cover,
    Fill,
    FloatArray,
    HeapAction,
    HeapRun,
    Wall,
)
from heapwright.validation.climate import case_weather
from heapwright.weather.series import WeatherSeries

DAY = 24

HOT_DRY = {"mean_c": 30, "swing_c": 8, "humidity": 0.25, "wind_m_s": 3, "sun_w_m2": 950}
MILD = {"mean_c": 13, "swing_c": 6, "humidity": 0.7, "wind_m_s": 2, "sun_w_m2": 600}
PALLETS = BinShape(0.95, 0.95, 0.95, Wall.PALLETS, Cover.BROWN_CAP, 0.7)
#: Half a bin's worth of greens and browns, as the demo garden builds it.
USUAL = Fill(
    wet_mass_kg=240.0,
    moisture=0.6,
    volume_m3=0.85,
    ash_dry=0.12,
    fast_share=0.125,
    medium_share=0.4,
    c_to_n=33.0,
)


@dataclass(frozen=True)
class Course:
    """One run and what a probe in the middle of the heap read."""

    run: HeapRun
    core: FloatArray

    def days_to(self, degrees: float) -> float:
        """Days until the probe first reads this much; infinite if never."""
        hot = np.flatnonzero(self.core >= degrees)
        return float(hot[0]) / DAY if hot.size else float("inf")

    @property
    def peak(self) -> float:
        return float(self.core.max())

    def at_day(self, day: float) -> float:
        return float(self.core[round(day * DAY)])

    def solids_lost(self, day: float) -> float:
        kept = self.run.volatile_solids_kg
        return 1.0 - float(kept[round(day * DAY)] / kept[0])

    def core_moisture(self, day: float) -> float:
        return float(self.run.moisture[round(day * DAY), :3, 3:7].mean())

    def reheating(self, day: float, within_days: float) -> float:
        """Rise over the reading just before an action of this day, within so many days. [K]"""
        first = round(day * DAY)
        after = self.core[first + 1 : first + 1 + round(within_days * DAY)]
        return float(after.max() - self.core[first])


def course(
    shape: BinShape,
    material: Fill,
    weather: dict[str, float],
    days: int,
    actions: Sequence[HeapAction] = (),
) -> Course:
    """Run a heap with the shipped typical values."""
    run = simulate(shape, material, case_weather({"days": days, **weather}), actions)
    return Course(run, np.asarray(run.temperature_c[:, 0, 4:6].mean(axis=1)))


def moved(day: float, water_kg: float = 0.0) -> HeapAction:
    return HeapAction(day * DAY, ActionKind.MOVE, water_kg)


def weather(
    days: int,
    mean_c: float,
    swing_k: float = 5.0,
    *,
    humidity: float = 0.6,
    wind_m_s: float = 1.0,
    sun_w_m2: float = 400.0,
) -> WeatherSeries:
    """Return weather without rain that is warmest in mid-afternoon."""
    hours = days * DAY
    angle = 2 * np.pi * (np.arange(hours) - 9) / DAY
    return WeatherSeries(
        start=datetime(2021, 6, 1, tzinfo=UTC),
        temperature_c=mean_c + swing_k * np.sin(angle),
        relative_humidity=np.full(hours, humidity),
        wind_m_s=np.full(hours, wind_m_s),
        rain_mm=np.zeros(hours),
        sun_w_m2=sun_w_m2 * np.maximum(0.0, np.sin(angle + np.pi / 4)),
        source="invented",
    )


def fill(
    volume_m3: float,
    *,
    density: float = 400.0,
    moisture: float = 0.6,
    fast: float = 0.20,
    medium: float = 0.35,
    c_to_n: float = 28.0,
    ash: float = 0.12,
    temperature_c: float | None = None,
) -> Fill:
    """Return a fill; everything not given is a good mix of greens and browns."""
    return Fill(
        wet_mass_kg=density * volume_m3,
        moisture=moisture,
        volume_m3=volume_m3,
        ash_dry=ash,
        fast_share=fast,
        medium_share=medium,
        c_to_n=c_to_n,
        temperature_c=temperature_c,
    )


PALLET_BIN = BinShape(1.0, 1.0, 1.0, Wall.PALLETS, Cover.BROWN_CAP, 0.3)
