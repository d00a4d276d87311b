"""What a heap run refuses, and in which words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from heapwright.errors import BalanceBroken, OutOfRange
from heapwright.heap import stretches
from heapwright.heap.parameters import load_parameters
from heapwright.heap.simulate import simulate, simulate_ensemble
from heapwright.heap.state import build_state
from heapwright.heap.types import ActionKind, BinShape, Fill, HeapAction
from tests.laws.heap_courses import fill, weather

BIN = BinShape(1.0, 1.0, 1.0)
GOOD = fill(1.0)
AIR = weather(1, 15.0)


@pytest.mark.parametrize(
    "shape, named",
    [
        (replace(BIN, width_m=-1.0), "width is -1 m"),
        (replace(BIN, depth_m=100.0), "depth is 100 m"),
        (replace(BIN, height_m=float("nan")), "height is nan m"),
        (replace(BIN, shade=3.0), "Shade is 3"),
    ],
)
def test_impossible_bin_is_refused(shape: BinShape, named: str) -> None:
    with pytest.raises(OutOfRange, match=named):
        simulate(shape, GOOD, AIR)


@pytest.mark.parametrize(
    "material, named",
    [
        (replace(GOOD, moisture=6.4), "Moisture is 6.4"),
        (replace(GOOD, wet_mass_kg=-5.0), "density is -5"),
        (replace(GOOD, wet_mass_kg=1190.0), "no air space"),
        (replace(GOOD, volume_m3=0.0), "volume is 0"),
        (replace(GOOD, volume_m3=1.9, wet_mass_kg=700.0), "above the rim"),
        (replace(GOOD, fast_share=0.8, medium_share=0.4), "together is 1.2"),
        (replace(GOOD, c_to_n=0.0), "C:N ratio is 0"),
        (replace(GOOD, ash_dry=1.0), "Ash is 1"),
        (replace(GOOD, temperature_c=160.0), "built is 160 °C"),
    ],
)
def test_impossible_fill_is_refused(material: Fill, named: str) -> None:
    with pytest.raises(OutOfRange, match=named) as refusal:
        simulate(BIN, material, AIR)
    assert "Nothing was saved." in refusal.value.sentence()


@pytest.mark.parametrize(
    "action, named",
    [
        (HeapAction(24.0, ActionKind.STIR), "hour 24"),
        (HeapAction(-1.0, ActionKind.STIR), "hour -1"),
        (HeapAction(1.0, ActionKind.WET, water_kg=-3.0), "Water given is -3"),
        (HeapAction(1.0, ActionKind.ADD), "Adding nothing"),
        (HeapAction(1.0, ActionKind.ADD, fill=replace(GOOD, moisture=2.0)), "Moisture is 2"),
        (HeapAction(1.0, ActionKind.COVER), "Covering with nothing"),
        (HeapAction(1.0, ActionKind.MOVE, new_bin=replace(BIN, width_m=0.0)), "width is 0"),
    ],
)
def test_impossible_action_is_refused(action: HeapAction, named: str) -> None:
    with pytest.raises(OutOfRange, match=named):
        simulate(BIN, GOOD, AIR, [action])


def test_heap_grown_too_tall_is_refused() -> None:
    add = [HeapAction(float(hour), ActionKind.ADD, fill=fill(1.5)) for hour in range(1, 6)]
    with pytest.raises(OutOfRange, match="height is"):
        simulate(BIN, GOOD, AIR, add)


@pytest.mark.parametrize(
    "name, value, named",
    [
        ("temperature_c", 200.0, "Air temperature in hour 5 is 200"),
        ("temperature_c", float("nan"), "Air temperature in hour 5 is nan"),
        ("relative_humidity", 60.0, "Relative humidity in hour 5 is 60"),
        ("wind_m_s", 468.5, "Wind in hour 5 is 468.5"),
        ("rain_mm", -1.0, "Rain in hour 5 is -1"),
        ("sun_w_m2", float("inf"), "Sun in hour 5 is inf"),
    ],
)
def test_impossible_weather_is_refused(name: str, value: float, named: str) -> None:
    values = getattr(AIR, name).copy()
    values[5] = value
    with pytest.raises(OutOfRange, match=named):
        simulate(BIN, GOOD, replace(AIR, **{name: values}))


def test_weather_with_missing_hours_is_refused() -> None:
    with pytest.raises(OutOfRange, match="Wind for 20 of 24 hours"):
        simulate(BIN, GOOD, replace(AIR, wind_m_s=AIR.wind_m_s[:20]))


def test_parameters_of_the_wrong_form_are_refused() -> None:
    with pytest.raises(OutOfRange, match="Each member needs"):
        simulate_ensemble(BIN, GOOD, AIR, (), np.ones((3, 4)), probe_depth_m=0.4)
    row = load_parameters().to_array()[None].repeat(2, axis=0)
    with pytest.raises(OutOfRange, match="3 fills for 2 members"):
        simulate_ensemble(BIN, [GOOD] * 3, AIR, (), row, probe_depth_m=0.4)
    row[1, 3] = float("nan")
    with pytest.raises(OutOfRange, match="not a number"):
        simulate_ensemble(BIN, GOOD, AIR, (), row, probe_depth_m=0.4)


@pytest.mark.parametrize(
    "entry, term",
    [
        ("dry_in_kg", "dry mass"),
        ("carbon_in_kg", "carbon"),
        ("nitrogen_in_kg", "nitrogen"),
        ("water_in_kg", "water"),
        ("energy_in_j", "heat"),
    ],
)
def test_a_wrong_entry_in_the_books_breaks_the_run_by_name(entry: str, term: str) -> None:
    state = build_state(BIN, [GOOD], load_parameters().to_array()[None], 15.0, 6, 10)
    state.books[entry] *= 1.0 + 1e-6
    job = stretches.job_of(AIR, load_parameters().soil_memory_days, 1, 6, 10)
    with pytest.raises(BalanceBroken, match=f"balance of {term} is off"):
        stretches.run_all_hours(state, job, [], 1)
