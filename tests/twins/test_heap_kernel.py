"""The compiled heap kernel against its plain twin, a closed solution, and finer grids and steps."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, special

from heapwright.heap import kernel_water, layout
from heapwright.heap.parameters import load_parameters, sample_parameters
from heapwright.heap.probe import probe_temperature
from heapwright.heap.simulate import FINE_GRID, simulate, simulate_ensemble
from heapwright.heap.state import build_state, cell_shares
from heapwright.heap.stretches import job_of, run_all_hours, weather_table
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
from tests.twins.plain_heap import PlainHeap


def swinging(
    hours: int,
    mean_c: float = 15.0,
    swing_k: float = 5.0,
    rain_mm: float = 0.0,
    wind_m_s: float = 1.0,
    sun_w_m2: float = 0.0,
    humidity: float = 0.6,
) -> WeatherSeries:
    """Return weather that swings by the day, invented."""
    day = 2 * np.pi * (np.arange(hours) - 9) / 24
    rain = np.where(np.arange(hours) % 30 == 7, rain_mm, 0.0)
    return WeatherSeries(
        start=datetime(2021, 6, 1, tzinfo=UTC),
        temperature_c=mean_c + swing_k * np.sin(day),
        relative_humidity=np.full(hours, humidity),
        wind_m_s=np.full(hours, wind_m_s),
        rain_mm=rain,
        sun_w_m2=sun_w_m2 * np.maximum(np.sin(day), 0.0),
        source="invented",
    )


GOOD = Fill(
    wet_mass_kg=380.0,
    moisture=0.6,
    volume_m3=0.95,
    ash_dry=0.12,
    fast_share=0.2,
    medium_share=0.35,
    c_to_n=34.0,
)
BIN = BinShape(1.0, 1.0, 1.0, Wall.PALLETS, Cover.BROWN_CAP, 0.3)


@pytest.mark.parametrize("cover", [Cover.OPEN, Cover.TARP])
def test_kernel_agrees_with_plain_numpy(cover: Cover) -> None:
    weather = swinging(96, rain_mm=6.0, sun_w_m2=500.0)
    shape = replace(BIN, cover=cover)
    rich = replace(GOOD, c_to_n=14.0)
    run = simulate(shape, rich, weather, radii=4, heights=5)
    parameters = load_parameters()
    first_day = float(weather.temperature_c[:24].mean())
    twin = PlainHeap(build_state(shape, [rich], parameters.to_array()[None], first_day, 4, 5))
    table = weather_table(weather, parameters.soil_memory_days)
    for hour in range(weather.hours):
        twin.hour(hour, table[hour])
        assert np.abs(twin.t - run.temperature_c[hour + 1]).max() < 1e-4, hour
        assert np.abs(twin.oxygen - run.oxygen[hour + 1]).max() < 1e-6, hour
    assert twin.t.max() > 60.0
    assert abs(twin.water.sum() - run.water_kg[-1]) < 1e-4
    assert twin.ammonia_lost > 1e-3
    assert abs(twin.ammonia_lost - run.ledger.ammonia_lost_kg[-1]) < 1e-6
    nitrogen = float(twin.nitrogen.sum() + twin.ammonium.sum())
    assert abs(nitrogen - run.nitrogen_kg[-1]) < 1e-6


def cooling_cylinder(
    radius_m: np.ndarray,
    level_m: np.ndarray,
    size: tuple[float, float],
    diffusivity: float,
    seconds: float,
) -> np.ndarray:
    """Share of the first excess left in a cylinder whose whole surface is held at the outside's.

    Product of the series for an endless cylinder and for a slab (Carslaw and Jaeger, Conduction
    of Heat in Solids, 1959, sections 7.6 and 3.3).
    """
    outer, height = size
    roots = special.jn_zeros(0, 60)
    round_part = sum(
        2
        / (x * special.j1(x))
        * special.j0(x * radius_m / outer)
        * np.exp(-(x**2) * diffusivity * seconds / outer**2)
        for x in roots
    )
    odd = 2 * np.arange(60) + 1
    flat_part = sum(
        4
        / np.pi
        / n
        * np.sin(n * np.pi * level_m / height)
        * np.exp(-((n * np.pi) ** 2) * diffusivity * seconds / height**2)
        for n in odd
    )
    return np.asarray(round_part)[:, None] * np.asarray(flat_part)[None, :]


@pytest.mark.parametrize(
    "radii, heights, cell_band_k, mean_band_k", [(6, 10, 2.5, 1.2), (24, 40, 0.3, 0.1)]
)
def test_conduction_alone_matches_carslaw_jaeger_cylinder(
    radii: int, heights: int, cell_band_k: float, mean_band_k: float
) -> None:
    quiet = replace(
        load_parameters(), permeability_m2=1e-20, diffusivity_vapour_m2_s=1e-15,
        diffusivity_oxygen_m2_s=1e-15, film_still_w_m2_k=1e9, ground_resistance_m2_k_w=1e-9,
        sky_loss_w_m2=0.0, settled_share=1.0, slow_rate_per_day=0.0,
        conductivity_per_water_w_m2_kg=1.6e-3,
    )  # fmt: skip
    dead = replace(GOOD, fast_share=0.0, medium_share=0.0, temperature_c=60.0)
    weather = swinging(24, mean_c=10.0, swing_k=0.0, wind_m_s=0.0)
    shape = BinShape(1.0, 1.0, 1.0, Wall.NONE, Cover.OPEN)
    state = build_state(shape, [dead], quiet.to_array()[None], 10.0, radii, heights)
    state.sites["wall_factor"] = 1.0
    job = job_of(weather, 20.0, 20, radii, heights)
    run_all_hours(state, job, [], 1)
    height, outer = float(state.volume_m3[0] / state.foot_m2[0]), float(state.sites["radius_m"][0])
    dry, water = 0.4 * 380.0 / 0.95, 0.6 * 380.0 / 0.95
    conductivity = (
        quiet.conductivity_bare_w_m_k
        + quiet.conductivity_per_dry_w_m2_kg * dry
        + quiet.conductivity_per_water_w_m2_kg * water
    )
    heat = quiet.solids_heat_j_kg_k * dry + quiet.water_heat_j_kg_k * water
    radius = outer * layout.middles(layout.ring_edges(radii))
    level = height * layout.middles(layout.level_edges(heights))
    for hour in (6, 12, 24):
        left = cooling_cylinder(radius, level, (outer, height), conductivity / heat, 3600.0 * hour)
        wanted = 10.0 + 50.0 * left
        assert np.abs(job.fields[hour, 0] - wanted).max() < cell_band_k
        assert (
            abs(((job.fields[hour, 0] - wanted) * cell_shares(radii, heights)).sum()) < mean_band_k
        )


def _core(run: HeapRun) -> np.ndarray:
    """Return two places in the core, hour by hour, shape (2, hours+1)."""
    half = 0.5 * float(run.height_m.mean())
    return np.stack([probe_temperature(run, half), probe_temperature(run, 0.35, 0.3)])


CONVERGENCE = {
    "a usual heap": (BIN, GOOD, swinging(504, mean_c=20.0, sun_w_m2=400.0)),
    "a dry heap in heat": (
        BIN,
        replace(GOOD, wet_mass_kg=300.0, moisture=0.5),
        swinging(504, mean_c=33.0, swing_k=8.0, sun_w_m2=700.0, humidity=0.25),
    ),
    "a loose heap behind wire in the cold": (
        BinShape(0.8, 0.8, 0.8, Wall.WIRE, Cover.BROWN_CAP, 0.3),
        replace(GOOD, wet_mass_kg=200.0, volume_m3=0.5),
        swinging(504, mean_c=5.0, wind_m_s=3.0),
    ),
}


@pytest.mark.parametrize("name", CONVERGENCE)
def test_grid_and_step_converge(name: str) -> None:
    """The grid for single answers within 1 K once the first rise is over; 2 K within it.

    In the rise of 5-10 K an hour a shift by a quarter of an hour alone makes 2 K.
    """
    shape, fill, weather = CONVERGENCE[name]
    reference = simulate(shape, fill, weather, radii=24, heights=40, steps_per_hour=60)
    fine = simulate(shape, fill, weather, **FINE_GRID)
    usual = simulate(shape, fill, weather)
    for run, rise_k, after_k, loss in ((fine, 2.0, 1.0, 0.01), (usual, 5.0, 3.0, 0.03)):
        off = np.abs(_core(run) - _core(reference))
        assert off.max() < rise_k
        assert off[:, 72:].max() < after_k
        lost = [float(r.volatile_solids_kg[0] - r.volatile_solids_kg[-1]) for r in (run, reference)]
        assert abs(lost[0] - lost[1]) < loss * lost[1]


def test_finer_steps_approach_one_answer() -> None:
    weather = swinging(96, sun_w_m2=400.0)
    runs = [simulate(BIN, GOOD, weather, steps_per_hour=steps) for steps in (60, 4, 1)]
    off = [np.abs(run.temperature_c - runs[0].temperature_c).max() for run in runs[1:]]
    assert off[0] < 1.0 and off[1] < 2.5 and off[0] < off[1]


ACTIONS = (
    HeapAction(20.0, ActionKind.MOVE, 10.0),
    HeapAction(50.0, ActionKind.WET, 15.0),
    HeapAction(60.0, ActionKind.COVER, cover=Cover.TARP),
)


def test_ensemble_member_equals_its_single_run() -> None:
    weather = swinging(96, rain_mm=4.0)
    rows = sample_parameters(5, np.random.default_rng(3))
    rows[:, layout.PARAMETER_DTYPE.names.index("soil_memory_days")] = 20.0
    rows[2] = load_parameters().to_array()
    many = simulate_ensemble(
        BIN, GOOD, weather, ACTIONS, rows, probe_depth_m=0.4, probe_radius_fraction=0.3
    )
    one = simulate(BIN, GOOD, weather, ACTIONS)
    assert np.abs(many.probe_c[:, 2] - probe_temperature(one, 0.4, 0.3)).max() < 1e-9
    assert np.abs(many.height_m[:, 2] - one.height_m).max() < 1e-12
    assert np.abs(many.dry_mass_kg[:, 2] - one.dry_mass_kg).max() < 1e-9
    assert np.abs(many.degradable_left[:, 2] - one.degradable_left).max() < 1e-9


def test_threads_do_not_change_the_answer() -> None:
    weather = swinging(72)
    rows = sample_parameters(7, np.random.default_rng(4))
    runs = [
        simulate_ensemble(BIN, GOOD, weather, ACTIONS, rows, probe_depth_m=0.4, threads=threads)
        for threads in (1, 2, 3)
    ]
    for run in runs[1:]:
        assert np.array_equal(run.probe_c, runs[0].probe_c)
        assert np.array_equal(run.hot_share, runs[0].hot_share)


@settings(max_examples=400, deadline=None)
@given(
    most=st.floats(1e-4, 4.0),
    at_full=st.floats(0.0, 60.0),
    half=st.floats(0.06, 0.15),
    start=st.floats(1e-6, 4.0),
)
def test_a_dry_cells_activity_is_the_root_that_brentq_finds(
    most: float, at_full: float, half: float, start: float
) -> None:
    """Water left plus what leaves with the air makes up what there was, X + at_full aw(X)."""
    sorbed = half * half

    def off(x: float) -> float:
        return x + at_full * x * x / (x * x + sorbed) - most

    root = float(optimize.brentq(off, 0.0, most, xtol=1e-15, rtol=1e-14))
    found = kernel_water._end_activity.py_func(most, at_full, sorbed, start)
    assert found == pytest.approx(root * root / (root * root + sorbed), rel=1e-6, abs=1e-12)
