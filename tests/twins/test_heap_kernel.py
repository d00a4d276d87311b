"""The compiled heap kernel against its plain twin, a closed solution, and finer grids and steps."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from scipy import special

from heapwright.heap import layout
from heapwright.heap.parameters import load_parameters, sample_parameters
from heapwright.heap.simulate import probe_temperature, simulate, simulate_ensemble
from heapwright.heap.state import build_state, cell_shares
from heapwright.heap.stretches import job_of, run_all_hours, weather_table
from heapwright.heap.types import ActionKind, BinShape, Cover, Fill, HeapAction, Wall
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
    run = simulate(shape, GOOD, weather, radii=4, heights=5)
    parameters = load_parameters()
    first_day = float(weather.temperature_c[:24].mean())
    twin = PlainHeap(build_state(shape, [GOOD], parameters.to_array()[None], first_day, 4, 5))
    table = weather_table(weather, parameters.soil_memory_days)
    for hour in range(weather.hours):
        twin.hour(hour, table[hour])
        assert np.abs(twin.t - run.temperature_c[hour + 1]).max() < 1e-4, hour
        assert np.abs(twin.oxygen - run.oxygen[hour + 1]).max() < 1e-6, hour
    assert twin.t.max() > 60.0
    assert abs(twin.water.sum() - run.water_kg[-1]) < 1e-4


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
    radius = outer * (np.arange(radii) + 0.5) / radii
    level = height * (np.arange(heights) + 0.5) / heights
    for hour in (6, 12, 24):
        left = cooling_cylinder(radius, level, (outer, height), conductivity / heat, 3600.0 * hour)
        wanted = 10.0 + 50.0 * left
        assert np.abs(job.fields[hour, 0] - wanted).max() < cell_band_k
        assert (
            abs(((job.fields[hour, 0] - wanted) * cell_shares(radii, heights)).sum()) < mean_band_k
        )


def test_coarse_grid_and_hourly_step_stay_near_a_fine_reference() -> None:
    weather = swinging(120, sun_w_m2=400.0)
    fine = simulate(BIN, GOOD, weather, radii=24, heights=40, steps_per_hour=60)
    usual = simulate(BIN, GOOD, weather)
    depth = 0.5 * float(fine.height_m[0])
    off = probe_temperature(usual, depth) - probe_temperature(fine, depth)
    assert np.abs(off).max() < 2.5
    assert np.sqrt(np.mean(off**2)) < 0.9
    means = [(run.temperature_c * run.cell_share).sum(axis=(1, 2)) for run in (fine, usual)]
    assert np.abs(means[0] - means[1]).max() < 1.5
    lost = [float(run.volatile_solids_kg[0] - run.volatile_solids_kg[-1]) for run in (fine, usual)]
    assert abs(lost[1] - lost[0]) < 0.04 * lost[0]


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
