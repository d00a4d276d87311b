"""Heaps that stand at an hour: an ensemble stopped there, copied, and run on as often as wanted.

Knows how a run is cut in two and how one past is given several futures. Knows no physics, and not
what the futures are for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from heapwright.errors import OutOfRange
from heapwright.heap import checks, layout
from heapwright.heap.state import HeapState, build_state
from heapwright.heap.stretches import Job, run_stretches, weather_table
from heapwright.heap.types import (
    BinShape,
    EnsembleRun,
    Fill,
    FloatArray,
    HeapAction,
    IntArray,
)
from heapwright.weather.series import WeatherSeries

_HOURS_OF_FIRST_DAY = 24
#: Hours taken as one where many members follow or foretell a heap: the members differ by more than
#: the longer stride changes any of them (docs/science.md).
FOLLOWING_STRIDE = 2


@dataclass(frozen=True, slots=True)
class Standing:
    """An ensemble of heaps as they stand at an hour.

    Attributes
    ----------
    state : HeapState
        Never changed by `go_on`, which works on a copy.
    hour : int
        Hours since they were built; the weather's index.

    """

    state: HeapState
    hour: int

    @property
    def members(self) -> int:
        """Number of members."""
        return self.state.members

    def chosen(self, members: IntArray) -> Standing:
        """Return a copy of some members, in this order; one may be met more than once."""
        state = self.state
        return Standing(
            HeapState(
                parameters=state.parameters[members],
                sites=state.sites[members],
                books=state.books[members],
                cells=state.cells[members],
            ),
            self.hour,
        )

    def copy(self) -> Standing:
        """Return a copy whose arrays are its own."""
        state = self.state
        return Standing(
            HeapState(
                parameters=state.parameters.copy(),
                sites=state.sites.copy(),
                books=state.books.copy(),
                cells=state.cells.copy(),
            ),
            self.hour,
        )


def built(
    shape: BinShape,
    fills: Sequence[Fill],
    weather: WeatherSeries,
    parameters: FloatArray,
    *,
    radii: int = layout.USUAL_RADII,
    heights: int = layout.USUAL_HEIGHTS,
) -> Standing:
    """Return heaps as just built, one fill and one row of parameters for each member.

    Parameters
    ----------
    shape : BinShape
    fills : sequence of Fill
    weather : WeatherSeries
        Its first hour is the hour of building.
    parameters : array, shape (members, numbers)
    radii, heights : int
        Cells along radius and height.

    Raises
    ------
    OutOfRange
        If an input cannot be.

    """
    rows = np.ascontiguousarray(parameters, dtype=np.float64)
    if len(fills) != rows.shape[0]:
        raise OutOfRange(
            f"{len(fills)} fills for {rows.shape[0]} members", why="each member needs one"
        )
    checks.check_shape(shape)
    for fill in dict.fromkeys(fills):
        checks.check_fill(fill, shape)
    checks.check_weather(weather)
    checks.check_parameters(rows)
    checks.check_grid(radii, heights)
    first_day_c = float(np.mean(weather.temperature_c[:_HOURS_OF_FIRST_DAY]))
    return Standing(build_state(shape, fills, rows, first_day_c, radii, heights), 0)


def go_on(
    standing: Standing,
    weather: WeatherSeries,
    until: int,
    actions: Sequence[HeapAction] = (),
    *,
    probe_depth_m: float,
    probe_radius_fraction: float = 0.0,
    threads: int = 2,
    steps_per_hour: int = 1,
    stride_hours: int = 1,
) -> tuple[EnsembleRun, Standing]:
    """Run standing heaps on to an hour.

    Parameters
    ----------
    standing : Standing
        Left as it is.
    weather : WeatherSeries
        From the building on, so that the soil's memory is whole.
    until : int
        The hour to stop at, hours since building.
    actions : sequence of HeapAction
        Hours count from the building. Those before the standing's hour have been done; those at
        `until` or later are left for whoever goes on from there.
    probe_depth_m, probe_radius_fraction, threads, steps_per_hour
        As `simulate_ensemble`.
    stride_hours : int
        So many hours of weather are taken as one, in `steps_per_hour` steps; two save about a
        quarter of the work. What the run tells of the hours between lies on a straight line, so
        water given shows as a rise over the first stride after it.

    Returns
    -------
    EnsembleRun
        From the standing's hour (index 0) to `until`.
    Standing
        At `until`.

    Raises
    ------
    OutOfRange
        If `until` lies before the standing's hour or beyond the weather, or the stride is empty.
    BalanceBroken
        As `simulate`.

    """
    if not standing.hour <= until <= weather.hours:
        raise OutOfRange(
            f"A run from hour {standing.hour} to hour {until}",
            why=f"it must go forward and the weather ends at hour {weather.hours}",
        )
    if stride_hours < 1:
        raise OutOfRange(f"A stride of {stride_hours} hours", why="it takes at least one")
    state = standing.copy().state
    memory = float(np.median(state.parameters["soil_memory_days"]))
    radii, heights = state.cells.shape[2:]
    job = Job(
        weather_table(weather, memory),
        float(probe_depth_m),
        float(probe_radius_fraction),
        steps_per_hour,
        stride_hours,
        np.zeros((until + 1, state.members, layout.TRACE_COLUMNS)),
        np.zeros((1, layout.RECORD_FIELDS, radii, heights)),
        False,
        [],
    )
    due = [action for action in actions if standing.hour <= int(action.hour) < until]
    checked = checks.check_actions(due, weather.hours)
    run_stretches(state, job, checked, standing.hour, until, threads)
    start = weather.start + timedelta(hours=standing.hour)
    return ensemble_run(start, state, job.trace[standing.hour :]), Standing(state, until)


def ensemble_run(start: datetime, state: HeapState, trace: FloatArray) -> EnsembleRun:
    """Return what is read off an ensemble from its hourly trace."""
    dry = state.dry_kg
    met = (state.cells[:, layout.MET_SHARE] * dry).sum(axis=(1, 2)) / dry.sum(axis=(1, 2))

    def column(place: int) -> FloatArray:
        return np.ascontiguousarray(trace[:, :, place])

    return EnsembleRun(
        start=start,
        probe_c=column(layout.TRACE_PROBE),
        core_moisture=column(layout.TRACE_CORE_MOISTURE),
        mean_moisture=column(layout.TRACE_MEAN_MOISTURE),
        degradable_left=column(layout.TRACE_DEGRADABLE),
        height_m=column(layout.TRACE_HEIGHT),
        volume_m3=column(layout.TRACE_VOLUME),
        dry_mass_kg=column(layout.TRACE_DRY),
        water_kg=column(layout.TRACE_WATER),
        nitrogen_kg=column(layout.TRACE_NITROGEN),
        ammonia_lost_kg=column(layout.TRACE_AMMONIA_LOST),
        water_evaporated_kg=column(layout.TRACE_EVAPORATED),
        hot_share=np.asarray(met),
    )
