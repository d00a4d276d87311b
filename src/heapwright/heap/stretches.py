"""The stretches of hours between actions: calling the kernel, then checking its books.

Knows how members are shared out over threads and what is done when a balance does not close. Knows
nothing of what results are made of.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np

from heapwright.errors import BalanceBroken
from heapwright.heap import checks, layout
from heapwright.heap.actions import apply_action, redistribution
from heapwright.heap.state import HeapState
from heapwright.heap.types import FloatArray, HeapAction, Redistribution
from heapwright.weather.series import WeatherSeries

# Largest relative error any balance may show; rounding alone stays far below.
BALANCE_TOLERANCE = 1e-9
_FIRST_WEEK = 168
# One for each stretch that is running in this process; a list's append and pop need no lock.
_stretches: list[int] = []


@dataclass(frozen=True, slots=True)
class Job:
    """What every stretch of a run needs besides the state."""

    weather: FloatArray
    probe_depth_m: float
    probe_radius_fraction: float
    steps: int
    stride_hours: int
    trace: FloatArray
    fields: FloatArray
    keep: bool
    moves: list[Redistribution]


def job_of(
    weather: WeatherSeries, soil_memory_days: float, steps: int, radii: int, heights: int
) -> Job:
    """Return the job of one member whose every cell is kept, hour by hour."""
    return Job(
        weather_table(weather, soil_memory_days),
        0.0,
        0.0,
        steps,
        1,
        np.zeros((weather.hours + 1, 1, layout.TRACE_COLUMNS)),
        np.zeros((weather.hours + 1, layout.RECORD_FIELDS, radii, heights)),
        True,
        [],
    )


def run_all_hours(state: HeapState, job: Job, actions: Sequence[HeapAction], threads: int) -> None:
    """Run all hours of the weather, stopping at each hour that has actions.

    Raises
    ------
    BalanceBroken
        As `run_stretches`.

    """
    run_stretches(state, job, actions, 0, job.weather.shape[0], threads)


def run_stretches(
    state: HeapState,
    job: Job,
    actions: Sequence[HeapAction],
    first: int,
    last: int,
    threads: int,
) -> None:
    """Run from hour `first` to hour `last`, stopping at each hour that has actions.

    Rows `first` to `last` of the job's trace are written.

    Raises
    ------
    BalanceBroken
        If dry mass, water or heat do not add up, or a value is not a number.

    """
    pool, threads = _pool(), max(threads, 1)
    stops = sorted({int(action.hour) for action in actions} | {last})
    _stretch(state, job, first, first, threads, pool)
    now = first
    for stop in stops:
        if stop > now:
            _stretch(state, job, now, stop, threads, pool)
            _check_balances(state)
            now = stop
        for action in actions:
            if int(action.hour) == stop:
                if job.keep and (moved := redistribution(state, action, stop)) is not None:
                    job.moves.append(moved)
                apply_action(state, action, float(job.weather[stop, layout.AIR_C]))
                checks.check_height(float(np.max(state.volume_m3 / state.foot_m2)))


@cache
def _pool() -> ThreadPoolExecutor:
    """Return the threads of this process; starting new ones for each stretch would cost more."""
    return ThreadPoolExecutor(thread_name_prefix="heap")


def _forget_parent() -> None:
    _pool.cache_clear()
    _stretches.clear()


# A forked child has none of its parent's threads: it must start its own.
if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_forget_parent)


def _stretch(
    state: HeapState, job: Job, first: int, last: int, threads: int, pool: ThreadPoolExecutor
) -> None:
    # The compiler is loaded only when needed.
    from heapwright.heap.kernel import run_hours, run_hours_usual

    usual = state.cells.shape[2:] == (layout.USUAL_RADII, layout.USUAL_HEIGHTS)
    kernel = run_hours_usual if usual else run_hours

    def members(low: int, high: int) -> None:
        # Seen so, the kernel's plain Python form reads them too (for coverage). Kept so, every
        # look at a field from Python would cost a hundred times as much.
        kernel(
            state.parameters.view(np.recarray),
            state.sites.view(np.recarray),
            state.books.view(np.recarray),
            state.cells,
            job.weather,
            np.array([first, last, low, high, job.steps, job.stride_hours], dtype=np.int64),
            (job.probe_depth_m, job.probe_radius_fraction),
            job.trace,
            job.fields,
            job.keep,
        )

    with _running() as others:
        # Several bins followed side by side fill the processor by themselves.
        parts = 1 if first == last or others else min(threads, state.members)
        if parts == 1:
            members(0, state.members)
            return
        edges = np.linspace(0, state.members, parts + 1).astype(int)
        for part in [pool.submit(members, low, high) for low, high in pairwise(edges)]:
            part.result()


@contextmanager
def _running() -> Iterator[int]:
    """Count a stretch as running; say how many others are."""
    _stretches.append(0)
    try:
        yield len(_stretches) - 1
    finally:
        _stretches.pop()


def _check_balances(state: HeapState) -> None:
    for name, term in (
        ("worst_dry", "dry mass"),
        ("worst_carbon", "carbon"),
        ("worst_nitrogen", "nitrogen"),
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


def weather_table(weather: WeatherSeries, soil_memory_days: float) -> FloatArray:
    """Return the weather as the kernel reads it, shape (hours, columns), with the soil.

    Soil temperature under the heap is the air's, smoothed; it starts at the first week's mean.
    """
    # The compiler is loaded only when needed.
    from heapwright.heap.kernel_soil import smooth_soil

    table = np.empty((weather.hours, layout.WEATHER_COLUMNS))
    table[:, layout.AIR_C] = weather.temperature_c
    table[:, layout.HUMIDITY] = weather.relative_humidity
    table[:, layout.WIND] = weather.wind_m_s
    table[:, layout.RAIN] = weather.rain_mm
    table[:, layout.SUN] = weather.sun_w_m2
    start = float(np.mean(weather.temperature_c[:_FIRST_WEEK]))
    smooth_soil(table, start, 1.0 - float(np.exp(-1.0 / (24.0 * soil_memory_days))))
    return table
