"""Scenarios of measured heaps: bin, fill, invented weather of the right mean, and what was done.

What a source does not state (weights, recipe, wind) is assumed here, once per case, from the range
of the materials table; nothing of the model is tuned per case. Case numbers are those of the notes
on measured behaviour; all times count from the building of the heap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from heapwright.heap.simulate import probe_temperature, simulate
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
from heapwright.weather.series import WeatherSeries

DAY = 24


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


def grass_rich(volume_m3: float, density: float = 330.0, **more: float) -> Fill:
    """Return lawn clippings with leaves or hay."""
    return fill(
        volume_m3, density=density, moisture=0.63, fast=0.28, medium=0.36, c_to_n=24.0, **more
    )


PALLET_BIN = BinShape(1.0, 1.0, 1.0, Wall.PALLETS, Cover.BROWN_CAP, 0.3)
CAGE = BinShape(0.91, 0.91, 0.76, Wall.WIRE, Cover.TARP, 0.3)


@dataclass(frozen=True)
class Course:
    """One run and what a probe half way down its first height read."""

    run: HeapRun
    core: FloatArray

    def days_to(self, degrees: float) -> float:
        """Days until the probe first reads this much; infinite if never."""
        hot = np.flatnonzero(self.core >= degrees)
        return float(hot[0]) / DAY if hot.size else float("inf")

    @property
    def peak(self) -> float:
        return float(self.core.max())

    @property
    def days_hot(self) -> float:
        return float((self.core >= 55.0).sum()) / DAY

    def at_day(self, day: float) -> float:
        return float(self.core[round(day * DAY)])

    def solids_lost(self, day: float) -> float:
        kept = self.run.volatile_solids_kg
        return 1.0 - float(kept[round(day * DAY)] / kept[0])

    def reheating(self, day: float, within_days: float) -> float:
        """Rise over the reading just before an action of this day, within so many days. [K]"""
        first = round(day * DAY)
        after = self.core[first + 1 : first + 1 + round(within_days * DAY)]
        return float(after.max() - self.core[first])


def course(
    shape: BinShape, material: Fill, air: WeatherSeries, actions: Sequence[HeapAction] = ()
) -> Course:
    """Run a scenario with the shipped typical values."""
    run = simulate(shape, material, air, actions)
    return Course(run, probe_temperature(run, 0.5 * float(run.height_m[0])))


def moved(day: float, water_kg: float = 10.0) -> HeapAction:
    return HeapAction(day * DAY, ActionKind.MOVE, water_kg)


def stirred(day: float, water_kg: float = 0.0) -> HeapAction:
    return HeapAction(day * DAY, ActionKind.STIR, water_kg)


def o1_cage() -> Course:
    """O1, pile 1: grass and leaves in a tarped wire cage in Hawaii's summer.

    Turned and wetted as logged; merged with a nearly equal hot pile on day 16.
    """
    actions = [
        HeapAction(1 * DAY, ActionKind.WET, 10.0),
        *(moved(day) for day in (2, 6, 10, 12)),
        HeapAction(16 * DAY, ActionKind.ADD, 5.0, grass_rich(0.3, temperature_c=70.0)),
        moved(16),
        moved(18, 20.0),
        moved(20),
        HeapAction(25 * DAY, ActionKind.WET, 8.0),
        moved(26, 15.0),
        HeapAction(29 * DAY, ActionKind.WET, 40.0),
    ]
    air = weather(40, 28.0, 4.0, humidity=0.7, wind_m_s=2.0, sun_w_m2=800.0)
    return course(CAGE, grass_rich(0.63), air, actions)


def o2_cage() -> Course:
    """O2: clippings, green rye and old garden refuse in a wire cage, Vermont, June, unturned."""
    shape = BinShape(1.1, 1.1, 1.0, Wall.WIRE, Cover.OPEN, 0.3)
    air = weather(14, 18.0, 6.0, humidity=0.7, wind_m_s=2.0, sun_w_m2=500.0)
    return course(shape, grass_rich(1.2, 300.0), air)


def good_mix(days: int, mean_c: float, turned: Sequence[float] = ()) -> Course:
    """A good mix filling a cubic metre of pallets."""
    return course(
        PALLET_BIN, fill(1.0), weather(days, mean_c), [moved(day, 15.0) for day in turned]
    )


def hot_weather_cage() -> Course:
    """A good mix in 0.64 m³ of wire at 30 °C, unturned."""
    return course(CAGE, fill(0.63), weather(28, 30.0, 4.0, sun_w_m2=500.0))


def o3_manure_turned_cold() -> Course:
    """O3: horse manure and leaves mixed with cold material, at air temperature of 27 °C."""
    material = fill(0.8, density=350.0, fast=0.13, medium=0.36, c_to_n=35.0, temperature_c=26.7)
    return course(PALLET_BIN, material, weather(8, 24.0))


def o5_manure_bin() -> Course:
    """O5: shredded leaves, garden waste, grounds and horse manure in 1.02 m³, June."""
    material = fill(1.0, density=350.0, fast=0.13, medium=0.38, c_to_n=30.0)
    return course(PALLET_BIN, material, weather(10, 22.0), [moved(4, 10.0)])


def o6_leaf_heap() -> Course:
    """O6: moist chopped leaves, mostly maple, 1 m x 2 m x 0.6 m on the ground at 13 °C."""
    shape = BinShape(1.0, 2.0, 0.6, Wall.NONE, Cover.OPEN, 0.3)
    material = fill(1.2 * 0.62, density=280.0, fast=0.13, medium=0.40, c_to_n=30.0)
    return course(shape, material, weather(14, 13.0, humidity=0.7, wind_m_s=2.0, sun_w_m2=200.0))


def o8_can() -> Course:
    """O8: a well designed indoor heap of 38 L."""
    shape = BinShape(0.32, 0.32, 0.37, Wall.PLASTIC, Cover.LID, 1.0)
    return course(shape, fill(0.038), weather(8, 20.0, 0.0, sun_w_m2=0.0))


def o9_stalk_bin() -> Course:
    """O9: watered and fluffed stalks in 0.19 m³, March."""
    shape = BinShape(0.91, 0.46, 0.46, Wall.BOARDS, Cover.OPEN, 0.3)
    material = fill(0.19, density=250.0, moisture=0.62, fast=0.15, medium=0.38, c_to_n=30.0)
    return course(shape, material, weather(14, 12.0, 6.0, sun_w_m2=300.0))


def o10_food_bin() -> Course:
    """O10: food scraps and dry leaves in 200 L of polyethylene with air holes, 27 °C, 120 days."""
    shape = BinShape(0.5, 0.5, 0.8, Wall.PLASTIC, Cover.LID, 1.0)
    material = fill(0.19, density=350.0, moisture=0.62, fast=0.25, medium=0.40, c_to_n=30.0)
    air = weather(120, 27.0, humidity=0.7, sun_w_m2=0.0)
    return course(shape, material, air, [stirred(day, 2.0) for day in range(7, 90, 7)])


def o13_litter_heap() -> Course:
    """O13: ten wheelbarrows of chicken litter, soaked, at 3 °C."""
    shape = BinShape(1.0, 1.0, 0.8, Wall.NONE, Cover.OPEN, 0.3)
    material = fill(0.8, fast=0.30, medium=0.35, c_to_n=12.0, ash=0.25)
    return course(shape, material, weather(5, 3.0, 4.0, humidity=0.7, wind_m_s=2.0, sun_w_m2=200.0))


def o14_frost() -> Course:
    """O14: a good outdoor heap, built of stuff at 10 °C, in air below freezing."""
    material = fill(1.0, fast=0.25, temperature_c=10.0)
    return course(PALLET_BIN, material, weather(10, -3.0, 2.0, humidity=0.7, sun_w_m2=200.0))


def o17_drum() -> Course:
    """O17: 100 L drums with side holes, kitchen and garden waste mixed daily, 28 °C."""
    shape = BinShape(0.46, 0.46, 0.5, Wall.PLASTIC, Cover.OPEN, 1.0)
    material = fill(0.1, fast=0.25)
    air = weather(12, 28.0, humidity=0.5, sun_w_m2=0.0)
    return course(shape, material, air, [stirred(day, 1.0) for day in range(1, 12)])


def o18_vessel() -> Course:
    """O18: 115 kg of garden waste, slurry and old compost in an aerated vessel, 45 days."""
    shape = BinShape(0.55, 0.55, 0.9, Wall.PLASTIC, Cover.LID, 1.0)
    material = fill(0.26, density=440.0, moisture=0.65, fast=0.12, medium=0.33, ash=0.2)
    air = weather(45, 28.0, sun_w_m2=0.0)
    return course(shape, material, air, [stirred(day) for day in range(1, 45)])


def o19_food_reactor() -> Course:
    """O19: food and green waste at 60 % moisture and C:N 19.6 in a warm laboratory reactor."""
    shape = BinShape(0.6, 0.6, 0.6, Wall.SLATS, Cover.BROWN_CAP, 1.0)
    material = fill(0.2, fast=0.33, medium=0.40, c_to_n=19.6)
    return course(
        shape, material, weather(14, 30.0, 0.0, sun_w_m2=0.0), [stirred(d) for d in (4, 8)]
    )


def small_cube() -> Course:
    """A good mix in 0.125 m³ of wire, uncovered, at 15 °C."""
    shape = BinShape(0.5, 0.5, 0.5, Wall.WIRE, Cover.OPEN, 0.3)
    return course(shape, fill(0.125), weather(21, 15.0, sun_w_m2=300.0))


def woody(volume_m3: float, mean_c: float) -> Course:
    """Chips and twigs, half dry, poor in nitrogen: must not heat."""
    side = round((volume_m3) ** (1 / 3), 3)
    shape = BinShape(side, side, side, Wall.PALLETS, Cover.BROWN_CAP, 0.3)
    material = fill(volume_m3, density=250.0, moisture=0.45, fast=0.02, medium=0.15, c_to_n=120.0)
    return course(shape, material, weather(30, mean_c, wind_m_s=2.0, sun_w_m2=200.0))
