"""Running heaps: one in full detail, or many at once reduced to what is read.

Knows the order of checks, hours and actions, and how results are laid out. The physics is in the
kernel; the numbers come from the tables. Knows nothing of where weather or fills come from.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypedDict

import numpy as np

from heapwright.errors import OutOfRange
from heapwright.heap import checks, layout
from heapwright.heap.parameters import Parameters, load_parameters
from heapwright.heap.resume import built, go_on
from heapwright.heap.state import HeapState, cell_shares
from heapwright.heap.stretches import Job, job_of, run_all_hours
from heapwright.heap.types import (
    BinShape,
    EnsembleRun,
    Fill,
    FloatArray,
    HeapAction,
    HeapRun,
    Ledger,
)
from heapwright.weather.series import WeatherSeries


class Grid(TypedDict):
    """Cells along radius and height, and steps an hour, as `simulate` takes them."""

    radii: int
    heights: int
    steps_per_hour: int


#: For answers read off one run: in the core within 1 K of a grid and step four times as fine, but
#: for the hours of the first steep rise. The usual, coarser grid is for ensembles, whose members
#: lie much further apart than the 3 K its places may be off.
FINE_GRID: Grid = {"radii": 12, "heights": 24, "steps_per_hour": 2}


def simulate(
    shape: BinShape,
    fill: Fill,
    weather: WeatherSeries,
    actions: Sequence[HeapAction] = (),
    *,
    parameters: Parameters | None = None,
    radii: int = layout.USUAL_RADII,
    heights: int = layout.USUAL_HEIGHTS,
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
    state = built(shape, [fill], weather, rows, radii=radii, heights=heights).state
    job = job_of(weather, numbers.soil_memory_days, steps_per_hour, radii, heights)
    run_all_hours(state, job, checks.check_actions(actions, weather.hours), 1)
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
    radii: int = layout.USUAL_RADII,
    heights: int = layout.USUAL_HEIGHTS,
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
    standing = built(shape, members_fills, weather, rows, radii=radii, heights=heights)
    return go_on(
        standing,
        weather,
        weather.hours,
        checks.check_actions(actions, weather.hours),
        probe_depth_m=probe_depth_m,
        probe_radius_fraction=probe_radius_fraction,
        threads=threads,
        steps_per_hour=steps_per_hour,
    )[0]


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


def _heap_run(weather: WeatherSeries, state: HeapState, job: Job) -> HeapRun:
    radii, heights = state.cells.shape[2:]
    trace, book = job.trace[:, 0], state.books[0]
    edges = float(state.sites["radius_m"][0]) * layout.ring_edges(radii)
    return HeapRun(
        start=weather.start,
        temperature_c=np.ascontiguousarray(job.fields[:, layout.RECORD_TEMPERATURE]),
        moisture=np.ascontiguousarray(job.fields[:, layout.RECORD_MOISTURE]),
        oxygen=np.ascontiguousarray(job.fields[:, layout.RECORD_OXYGEN]),
        radius_m=layout.middles(edges),
        radius_edges_m=edges,
        level_edges=layout.level_edges(heights),
        height_m=trace[:, layout.TRACE_HEIGHT].copy(),
        volume_m3=trace[:, layout.TRACE_VOLUME].copy(),
        dry_mass_kg=trace[:, layout.TRACE_DRY].copy(),
        water_kg=trace[:, layout.TRACE_WATER].copy(),
        volatile_solids_kg=trace[:, layout.TRACE_SOLIDS].copy(),
        nitrogen_kg=trace[:, layout.TRACE_NITROGEN].copy(),
        degradable_left=trace[:, layout.TRACE_DEGRADABLE].copy(),
        hours_above_55_c=state.cells[0, layout.HOT_HOURS].copy(),
        cell_share=cell_shares(radii, heights),
        water_evaporated_kg=float(book["water_evaporated_kg"]),
        water_drained_kg=float(book["water_drained_kg"]),
        water_rain_kg=float(book["water_rain_kg"]),
        water_added_kg=float(book["water_given_kg"]),
        heat_released_j=float(book["energy_reaction_j"]),
        ledger=_ledger(trace),
        redistributions=tuple(job.moves),
        worst_balance_error=max(
            float(book[f"worst_{name}"])
            for name in ("dry", "carbon", "nitrogen", "water", "energy")
        ),
    )


def _ledger(trace: FloatArray) -> Ledger:
    def column(place: int) -> FloatArray:
        return trace[:, place].copy()

    return Ledger(
        heat_released_j=column(layout.TRACE_HEAT_RELEASED),
        heat_with_air_j=column(layout.TRACE_HEAT_WITH_AIR),
        heat_through_side_j=column(layout.TRACE_HEAT_THROUGH_SIDE),
        heat_through_top_j=column(layout.TRACE_HEAT_THROUGH_TOP),
        heat_into_ground_j=column(layout.TRACE_HEAT_INTO_GROUND),
        heat_lost_turning_j=column(layout.TRACE_HEAT_LOST_TURNING),
        water_evaporated_kg=column(layout.TRACE_EVAPORATED),
        water_drained_kg=column(layout.TRACE_DRAINED),
        ammonia_lost_kg=column(layout.TRACE_AMMONIA_LOST),
        nitrogen_drained_kg=column(layout.TRACE_NITROGEN_DRAINED),
    )
