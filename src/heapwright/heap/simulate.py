"""Running heaps: one in full detail, or many at once reduced to what is read.

Knows the order of checks, hours and actions, and how results are laid out. The physics is in the
kernel; the numbers come from the tables. Knows nothing of where weather or fills come from.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from heapwright.errors import BalanceBroken, OutOfRange
from heapwright.heap import checks, layout
from heapwright.heap.actions import apply_action
from heapwright.heap.parameters import Parameters, load_parameters
from heapwright.heap.state import HeapState, build_state, cell_shares
from heapwright.heap.types import (
    BinShape,
    EnsembleRun,
    Fill,
    FloatArray,
    HeapAction,
    HeapRun,
)
from heapwright.weather.series import WeatherSeries

# Largest relative error any balance may show; rounding alone stays far below.
BALANCE_TOLERANCE = 1e-9
HOURS_OF_FIRST_DAY = 24
_FIRST_WEEK = 168


@dataclass(frozen=True, slots=True)
class _Job:
    """What every stretch of a run needs besides the state."""

    weather: FloatArray
    probe_depth_m: float
    probe_radius_fraction: float
    steps: int
    trace: FloatArray
    fields: FloatArray
    keep: bool


def simulate(
    shape: BinShape,
    fill: Fill,
    weather: WeatherSeries,
    actions: Sequence[HeapAction] = (),
    *,
    parameters: Parameters | None = None,
    radii: int = 6,
    heights: int = 10,
    steps_per_hour: int = 1,
) -> HeapRun:
    """Run one heap through its weather and actions.

    Parameters
    ----------
    shape : BinShape
    fill : Fill
        As built at the first hour.
    weather : WeatherSeries
        The run lasts as long as it.
    actions : sequence of HeapAction
    parameters : Parameters, default the typical values of the table
    radii, heights : int
        Cells along radius and height.
    steps_per_hour : int
        Steps the hour is cut into; more for reference runs only.

    Returns
    -------
    HeapRun

    Raises
    ------
    OutOfRange
        If an input cannot be.
    BalanceBroken
        If dry mass, water or heat do not add up (a defect of ours).

    """
    numbers = parameters or load_parameters()
    rows = numbers.to_array()[None, :]
    _check(shape, [fill], weather, rows, radii, heights)
    hours = weather.hours
    state = build_state(shape, [fill], rows, _first_day_c(weather), radii, heights)
    job = _Job(
        weather_table(weather, numbers.soil_memory_days),
        0.0,
        0.0,
        steps_per_hour,
        np.zeros((hours + 1, 1, layout.TRACE_COLUMNS)),
        np.zeros((hours + 1, layout.RECORD_FIELDS, radii, heights)),
        True,
    )
    _run(state, job, checks.check_actions(actions, hours), 1)
    return _heap_run(weather, state, job)


def simulate_ensemble(
    shape: BinShape,
    fills: Sequence[Fill] | Fill,
    weather: WeatherSeries,
    actions: Sequence[HeapAction] = (),
    parameters: FloatArray | None = None,
    *,
    probe_depth_m: float,
    probe_radius_fraction: float = 0.0,
    threads: int = 2,
    radii: int = 6,
    heights: int = 10,
    steps_per_hour: int = 1,
) -> EnsembleRun:
    """Run many members of one heap, each with its own parameters and fill.

    Parameters
    ----------
    shape : BinShape
    fills : Fill or sequence of Fill
        One for all, or one per member.
    weather : WeatherSeries
    actions : sequence of HeapAction
    parameters : array, shape (members, numbers)
        Such as from `sample_parameters`; the typical values for every fill when None.
    probe_depth_m : float
        Depth of the thermometer's tip below the top. [m]
    probe_radius_fraction : float
        Its distance from the axis, as a share of the radius. [0-1]
    threads : int
        Members are split over this many threads (the kernel lets go of the interpreter).

    Returns
    -------
    EnsembleRun

    Raises
    ------
    OutOfRange, BalanceBroken
        As `simulate`.

    """
    members_fills = [fills] if isinstance(fills, Fill) else list(fills)
    rows = _rows_for(members_fills, parameters)
    if len(members_fills) == 1:
        members_fills *= rows.shape[0]
    _check(shape, members_fills, weather, rows, radii, heights)
    hours = weather.hours
    state = build_state(shape, members_fills, rows, _first_day_c(weather), radii, heights)
    memory = float(np.median(state.parameters["soil_memory_days"]))
    job = _Job(
        weather_table(weather, memory),
        float(probe_depth_m),
        float(probe_radius_fraction),
        steps_per_hour,
        np.zeros((hours + 1, rows.shape[0], layout.TRACE_COLUMNS)),
        np.zeros((1, layout.RECORD_FIELDS, radii, heights)),
        False,
    )
    _run(state, job, checks.check_actions(actions, hours), threads)
    return _ensemble_run(weather, state, job)


def probe_temperature(
    run: HeapRun, depth_m_from_top: float, radius_fraction: float = 0.0
) -> FloatArray:
    """Return what a thermometer at this depth below the top reads, hour by hour.

    The depth is counted from the top of that hour, so the tip sinks as the heap settles.

    Returns
    -------
    array, shape (hours+1,)
        [°C]

    """
    radii, heights = run.temperature_c.shape[1:]
    from_foot = (run.height_m - depth_m_from_top) / run.height_m * heights
    level = np.clip(from_foot - 0.5, 0.0, heights - 1.0)
    ring = float(np.clip(radius_fraction * radii - 0.5, 0.0, radii - 1.0))
    i = min(int(ring), radii - 2)
    j = np.minimum(level.astype(np.int64), heights - 2)
    hour = np.arange(run.height_m.shape[0])
    outward, upward = ring - i, level - j
    field = run.temperature_c
    low = field[hour, i, j] * (1 - outward) + field[hour, i + 1, j] * outward
    high = field[hour, i, j + 1] * (1 - outward) + field[hour, i + 1, j + 1] * outward
    return np.asarray(low * (1 - upward) + high * upward)


def weather_table(weather: WeatherSeries, soil_memory_days: float) -> FloatArray:
    """Return the weather as the kernel reads it, shape (hours, columns), with the soil.

    Soil temperature under the heap is the air's, smoothed; it starts at the first week's mean.
    """
    table = np.empty((weather.hours, layout.WEATHER_COLUMNS))
    table[:, layout.AIR_C] = weather.temperature_c
    table[:, layout.HUMIDITY] = weather.relative_humidity
    table[:, layout.WIND] = weather.wind_m_s
    table[:, layout.RAIN] = weather.rain_mm
    table[:, layout.SUN] = weather.sun_w_m2
    soil = float(np.mean(weather.temperature_c[:_FIRST_WEEK]))
    weight = 1.0 - float(np.exp(-1.0 / (24.0 * soil_memory_days)))
    for hour in range(weather.hours):
        soil += weight * (float(weather.temperature_c[hour]) - soil)
        table[hour, layout.SOIL_C] = soil
    return table


def _rows_for(fills: Sequence[Fill], parameters: FloatArray | None) -> FloatArray:
    if parameters is None:
        return np.repeat(load_parameters().to_array()[None, :], len(fills), axis=0)
    rows = np.ascontiguousarray(parameters, dtype=np.float64)
    checks.check_parameters(rows)
    if len(fills) not in (1, rows.shape[0]):
        raise OutOfRange(
            f"{len(fills)} fills for {rows.shape[0]} members",
            why="each member needs one",
            instead="Give one fill for all, or one for each",
        )
    return rows


def _check(
    shape: BinShape,
    fills: Sequence[Fill],
    weather: WeatherSeries,
    rows: FloatArray,
    radii: int,
    heights: int,
) -> None:
    checks.check_shape(shape)
    for fill in dict.fromkeys(fills):
        checks.check_fill(fill, shape)
    checks.check_weather(weather)
    checks.check_parameters(rows)
    checks.check_grid(radii, heights)


def _first_day_c(weather: WeatherSeries) -> float:
    return float(np.mean(weather.temperature_c[:HOURS_OF_FIRST_DAY]))


def _run(state: HeapState, job: _Job, actions: Sequence[HeapAction], threads: int) -> None:
    """Run all hours, stopping at each hour that has actions."""
    hours = job.weather.shape[0]
    stops = sorted({int(action.hour) for action in actions} | {hours})
    with ThreadPoolExecutor(max_workers=max(threads, 1)) as pool:
        _stretch(state, job, 0, 0, threads, pool)
        now = 0
        for stop in stops:
            if stop > now:
                _stretch(state, job, now, stop, threads, pool)
                _check_balances(state)
                now = stop
            for action in actions:
                if int(action.hour) == stop:
                    apply_action(state, action, float(job.weather[stop, layout.AIR_C]))
                    checks.check_height(float(np.max(state.volume_m3 / state.foot_m2)))


def _stretch(
    state: HeapState, job: _Job, first: int, last: int, threads: int, pool: ThreadPoolExecutor
) -> None:
    from heapwright.heap.kernel import run_hours  # the compiler is loaded only when needed

    edges = np.linspace(0, state.members, max(min(threads, state.members), 1) + 1).astype(int)
    waiting = [
        pool.submit(
            run_hours,
            state.parameters,
            state.sites,
            state.books,
            state.cells,
            job.weather,
            np.array([first, last, low, high, job.steps], dtype=np.int64),
            (job.probe_depth_m, job.probe_radius_fraction),
            job.trace,
            job.fields,
            job.keep,
        )
        for low, high in pairwise(edges)
    ]
    for part in waiting:
        part.result()


def _check_balances(state: HeapState) -> None:
    for name, term in (
        ("worst_dry", "dry mass"),
        ("worst_water", "water"),
        ("worst_energy", "heat"),
    ):
        errors = np.asarray(state.books[name])
        if not (errors <= BALANCE_TOLERANCE).all():
            member = int(np.argmax(~(errors <= BALANCE_TOLERANCE)))
            hour = float(state.books["worst_hour"][member])
            raise BalanceBroken(
                f"The balance of {term} is off by {errors[member]:.1e} of its size by hour "
                f"{hour:.0f}",
                why="what went in, what changed and what left do not add up",
                instead="Please report this with the bin and the weather used",
                kept="The numbers of this run were not used.",
            )
    if not np.isfinite(state.cells).all():
        raise BalanceBroken("A cell's state is not a number", kept="The run was not used.")


def _heap_run(weather: WeatherSeries, state: HeapState, job: _Job) -> HeapRun:
    radii, heights = state.cells.shape[2:]
    trace, book = job.trace[:, 0], state.books[0]
    radius = float(state.sites["radius_m"][0])
    return HeapRun(
        start=weather.start,
        temperature_c=np.ascontiguousarray(job.fields[:, layout.RECORD_TEMPERATURE]),
        moisture=np.ascontiguousarray(job.fields[:, layout.RECORD_MOISTURE]),
        oxygen=np.ascontiguousarray(job.fields[:, layout.RECORD_OXYGEN]),
        radius_m=radius * (np.arange(radii) + 0.5) / radii,
        height_m=trace[:, layout.TRACE_HEIGHT].copy(),
        volume_m3=trace[:, layout.TRACE_VOLUME].copy(),
        dry_mass_kg=trace[:, layout.TRACE_DRY].copy(),
        water_kg=trace[:, layout.TRACE_WATER].copy(),
        volatile_solids_kg=trace[:, layout.TRACE_SOLIDS].copy(),
        degradable_left=trace[:, layout.TRACE_DEGRADABLE] / max(book["degradable_in_kg"], 1e-12),
        hours_above_55_c=state.cells[0, layout.HOT_HOURS].copy(),
        cell_share=cell_shares(radii, heights),
        water_evaporated_kg=float(book["water_evaporated_kg"]),
        water_drained_kg=float(book["water_drained_kg"]),
        water_rain_kg=float(book["water_rain_kg"]),
        water_added_kg=float(book["water_given_kg"]),
        heat_released_j=float(book["energy_reaction_j"]),
    )


def _ensemble_run(weather: WeatherSeries, state: HeapState, job: _Job) -> EnsembleRun:
    trace = job.trace
    dry = state.dry_kg
    met = (state.cells[:, layout.MET_SHARE] * dry).sum(axis=(1, 2)) / dry.sum(axis=(1, 2))
    degradable = np.maximum(np.asarray(state.books["degradable_in_kg"]), 1e-12)
    return EnsembleRun(
        start=weather.start,
        probe_c=np.ascontiguousarray(trace[:, :, layout.TRACE_PROBE]),
        core_moisture=np.ascontiguousarray(trace[:, :, layout.TRACE_CORE_MOISTURE]),
        mean_moisture=np.ascontiguousarray(trace[:, :, layout.TRACE_MEAN_MOISTURE]),
        degradable_left=trace[:, :, layout.TRACE_DEGRADABLE] / degradable,
        height_m=np.ascontiguousarray(trace[:, :, layout.TRACE_HEIGHT]),
        dry_mass_kg=np.ascontiguousarray(trace[:, :, layout.TRACE_DRY]),
        hot_share=np.asarray(met),
    )
