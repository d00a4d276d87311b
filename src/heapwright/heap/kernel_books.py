"""Compiled: the books of a run: the balances' check, the hourly trace, the fields kept.

Knows how contents are compared with what went in and out, and what is written down each hour.
Changes nothing in the heap.
"""

from __future__ import annotations

from typing import Any

from heapwright.heap.kernel_compile import inner
from heapwright.heap.layout import (
    ASH,
    FAST,
    MEDIUM,
    OXYGEN,
    SLOW,
    TEMPERATURE,
    TRACE_CORE_MOISTURE,
    TRACE_DEGRADABLE,
    TRACE_DRY,
    TRACE_HEIGHT,
    TRACE_MEAN_MOISTURE,
    TRACE_PROBE,
    TRACE_SOLIDS,
    TRACE_VOLUME,
    TRACE_WATER,
    WATER,
)
from heapwright.heap.types import FloatArray


@inner
def check_balances(
    p: Any, book: Any, work: FloatArray, first: int, last: int, hour_number: float
) -> float:
    """Compare contents with the books; keep the largest relative error; return the dry mass."""
    dry, water, energy = 0.0, 0.0, 0.0
    of_dry, of_water = p.solids_heat_j_kg_k, p.water_heat_j_kg_k
    for c in range(first, last):
        mass = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c] + work[ASH, c]
        dry += mass
        water += work[WATER, c]
        energy += (of_dry * mass + of_water * work[WATER, c]) * work[TEMPERATURE, c]
    dry_error = abs(dry - book.dry_in_kg + book.dry_decayed_kg) / book.dry_in_kg
    came = book.water_in_kg + book.water_rain_kg + book.water_given_kg + book.water_made_kg
    water_error = abs(water - came + book.water_evaporated_kg + book.water_drained_kg) / (
        came + book.dry_in_kg
    )
    booked = (
        book.energy_in_j
        + book.energy_reaction_j
        + book.energy_matter_j
        + book.energy_rain_j
        + book.energy_given_j
        - book.energy_drained_lost_j
        - book.energy_air_lost_j
        - book.energy_wall_lost_j
        - book.energy_top_lost_j
        - book.energy_ground_lost_j
        - book.energy_turn_lost_j
    )
    size = (
        abs(book.energy_in_j)
        + book.energy_reaction_j
        + abs(book.energy_air_lost_j)
        + abs(book.energy_given_j)
        + of_dry * book.dry_in_kg
        + of_water * came
    )
    energy_error = abs(energy - booked) / size
    worst = max(dry_error, max(water_error, energy_error))
    if worst > max(book.worst_dry, max(book.worst_water, book.worst_energy)):
        book.worst_hour = hour_number
    book.worst_dry = max(book.worst_dry, dry_error)
    book.worst_water = max(book.worst_water, water_error)
    book.worst_energy = max(book.worst_energy, energy_error)
    return dry


@inner
def _probe(work: FloatArray, from_foot: float, from_axis: float, radii: int, heights: int) -> float:
    """Return the temperature between cells, both places counted in cells from foot and axis."""
    z = min(max(from_foot - 0.5, 0.0), heights - 1.0)
    r = min(max(from_axis - 0.5, 0.0), radii - 1.0)
    j = min(int(z), heights - 2)
    i = min(int(r), radii - 2)
    c = heights + i * heights + j
    up, out = z - j, r - i
    low = work[TEMPERATURE, c] * (1.0 - out) + work[TEMPERATURE, c + heights] * out
    high = work[TEMPERATURE, c + 1] * (1.0 - out) + work[TEMPERATURE, c + heights + 1] * out
    reading: float = low * (1.0 - up) + high * up
    return reading


@inner
def record_trace(
    book: Any,
    work: FloatArray,
    volume: float,
    foot: float,
    probe: tuple[float, float],
    trace: FloatArray,
    radii: int,
    heights: int,
) -> None:
    """Write one hour's trace; `foot` is the plan area. [m2]"""
    height = volume / foot
    dry, water, degradable, solids = 0.0, 0.0, 0.0, 0.0
    first, last = heights, heights + radii * heights
    for c in range(first, last):
        pool = work[FAST, c] + work[MEDIUM, c]
        degradable += pool
        solids += pool + work[SLOW, c]
        dry += pool + work[SLOW, c] + work[ASH, c]
        water += work[WATER, c]
    core_dry, core_water = 0.0, 0.0
    for i in range(max(radii // 2, 1)):
        start = heights + i * heights
        for c in range(start + heights // 3, start + heights - heights // 3):
            core_dry += work[FAST, c] + work[MEDIUM, c] + work[SLOW, c] + work[ASH, c]
            core_water += work[WATER, c]
    from_foot = (height - probe[0]) / height * heights
    trace[TRACE_PROBE] = _probe(work, from_foot, probe[1] * radii, radii, heights)
    trace[TRACE_CORE_MOISTURE] = core_water / (core_water + core_dry)
    trace[TRACE_MEAN_MOISTURE] = water / (water + dry)
    trace[TRACE_DEGRADABLE] = degradable / (book.degradable_in_kg + 1e-12)
    trace[TRACE_HEIGHT] = height
    trace[TRACE_VOLUME] = volume
    trace[TRACE_DRY] = dry
    trace[TRACE_WATER] = water
    trace[TRACE_SOLIDS] = solids


@inner
def keep_fields(work: FloatArray, fields: FloatArray) -> None:
    """Write every cell's temperature, moisture and oxygen."""
    radii, heights = fields.shape[1], fields.shape[2]
    for i in range(radii):
        for j in range(heights):
            c = heights + i * heights + j
            dry = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c] + work[ASH, c]
            fields[0, i, j] = work[TEMPERATURE, c]
            fields[1, i, j] = work[WATER, c] / (work[WATER, c] + dry)
            fields[2, i, j] = work[OXYGEN, c]
