"""Compiled: the books of a run: the balances' check, the hourly trace, the fields kept.

Knows how contents are compared with what went in and out, and what is written down each hour.
Changes nothing in the heap.
"""

from __future__ import annotations

from typing import Any

from heapwright.heap.kernel_compile import inner
from heapwright.heap.kernel_grid import ring_middle
from heapwright.heap.layout import (
    AMMONIUM,
    ASH,
    CORE_HALF_HEIGHT,
    CORE_RADIUS,
    FAST,
    MEDIUM,
    NITROGEN,
    OXYGEN,
    SLOW,
    TALL,
    TEMPERATURE,
    TRACE_AMMONIA_LOST,
    TRACE_CORE_MOISTURE,
    TRACE_DEGRADABLE,
    TRACE_DRAINED,
    TRACE_DRY,
    TRACE_EVAPORATED,
    TRACE_HEAT_INTO_GROUND,
    TRACE_HEAT_LOST_TURNING,
    TRACE_HEAT_RELEASED,
    TRACE_HEAT_THROUGH_SIDE,
    TRACE_HEAT_THROUGH_TOP,
    TRACE_HEAT_WITH_AIR,
    TRACE_HEIGHT,
    TRACE_MEAN_MOISTURE,
    TRACE_NITROGEN,
    TRACE_NITROGEN_DRAINED,
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
    """Compare contents with the books; keep the largest relative errors; return the dry mass."""
    dry, water, energy, solids, nitrogen = 0.0, 0.0, 0.0, 0.0, 0.0
    of_dry, of_water = p.solids_heat_j_kg_k, p.water_heat_j_kg_k
    for c in range(first, last):
        matter = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c]
        mass = matter + work[ASH, c]
        solids += matter
        dry += mass
        nitrogen += work[NITROGEN, c] + work[AMMONIUM, c]
        water += work[WATER, c]
        energy += (of_dry * mass + of_water * work[WATER, c]) * work[TEMPERATURE, c]
    dry_error = abs(dry - book.dry_in_kg + book.dry_decayed_kg) / book.dry_in_kg
    carbon = p.carbon_of_solids * solids
    carbon_error = abs(carbon - book.carbon_in_kg + book.carbon_decayed_kg) / (
        book.carbon_in_kg + 1e-30
    )
    nitrogen_error = abs(
        nitrogen - book.nitrogen_in_kg + book.ammonia_lost_kg + book.nitrogen_drained_kg
    ) / (book.nitrogen_in_kg + 1e-30)
    came = book.water_in_kg + book.water_rain_kg + book.water_given_kg + book.water_made_kg
    water_error = abs(water - came + book.water_evaporated_kg + book.water_drained_kg) / (
        came + book.dry_in_kg
    )
    energy_error = abs(energy - _heat_booked(book)) / (
        abs(book.energy_in_j)
        + book.energy_reaction_j
        + abs(book.energy_air_lost_j)
        + abs(book.energy_given_j)
        + of_dry * book.dry_in_kg
        + of_water * came
    )
    before = _worst(book)
    book.worst_dry = max(book.worst_dry, dry_error)
    book.worst_carbon = max(book.worst_carbon, carbon_error)
    book.worst_nitrogen = max(book.worst_nitrogen, nitrogen_error)
    book.worst_water = max(book.worst_water, water_error)
    book.worst_energy = max(book.worst_energy, energy_error)
    if _worst(book) > before:
        book.worst_hour = hour_number
    return dry


@inner
def _worst(book: Any) -> float:
    """Return the largest relative error of any balance so far."""
    matter = max(book.worst_dry, max(book.worst_carbon, book.worst_nitrogen))
    worst: float = max(matter, max(book.worst_water, book.worst_energy))
    return worst


@inner
def _heat_booked(book: Any) -> float:
    """Return the heat the heap should hold by what came in and what left. [J]"""
    heat: float = (
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
    return heat


@inner
def _probe(work: FloatArray, from_foot: float, from_axis: float, radii: int, heights: int) -> float:
    """Return the temperature between cells, at shares of the height and of the radius."""
    j, below = 0, 0.5 * work[TALL, heights]
    above = below + 0.5 * (work[TALL, heights] + work[TALL, heights + 1])
    while j < heights - 2 and above < from_foot:
        j += 1
        below = above
        above += 0.5 * (work[TALL, heights + j] + work[TALL, heights + j + 1])
    up = min(max((from_foot - below) / (above - below), 0.0), 1.0)
    i = 0
    while i < radii - 2 and ring_middle(i + 1, radii) < from_axis:
        i += 1
    near, far = ring_middle(i, radii), ring_middle(i + 1, radii)
    out = min(max((from_axis - near) / (far - near), 0.0), 1.0)
    c = heights + i * heights + j
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
    dry, water, degradable, solids, nitrogen = 0.0, 0.0, 0.0, 0.0, 0.0
    first, last = heights, heights + radii * heights
    for c in range(first, last):
        pool = work[FAST, c] + work[MEDIUM, c]
        degradable += pool
        solids += pool + work[SLOW, c]
        dry += pool + work[SLOW, c] + work[ASH, c]
        water += work[WATER, c]
        nitrogen += work[NITROGEN, c] + work[AMMONIUM, c]
    core_dry, core_water = 0.0, 0.0
    for i in range(radii):
        if i > 0 and ring_middle(i, radii) > CORE_RADIUS:
            break
        start = heights + i * heights
        level = 0.0
        for c in range(start, start + heights):
            level += work[TALL, c]
            if abs(level - 0.5 * work[TALL, c] - 0.5) > CORE_HALF_HEIGHT:
                continue
            core_dry += work[FAST, c] + work[MEDIUM, c] + work[SLOW, c] + work[ASH, c]
            core_water += work[WATER, c]
    from_foot = (height - probe[0]) / height
    trace[TRACE_PROBE] = _probe(work, from_foot, probe[1], radii, heights)
    trace[TRACE_CORE_MOISTURE] = core_water / (core_water + core_dry)
    trace[TRACE_MEAN_MOISTURE] = water / (water + dry)
    trace[TRACE_DEGRADABLE] = degradable / (book.degradable_in_kg + 1e-12)
    trace[TRACE_HEIGHT] = height
    trace[TRACE_VOLUME] = volume
    trace[TRACE_DRY] = dry
    trace[TRACE_WATER] = water
    trace[TRACE_SOLIDS] = solids
    trace[TRACE_NITROGEN] = nitrogen
    _trace_books(book, trace)


@inner
def _trace_books(book: Any, trace: FloatArray) -> None:
    """Write what has left since the heap was built."""
    trace[TRACE_AMMONIA_LOST] = book.ammonia_lost_kg
    trace[TRACE_NITROGEN_DRAINED] = book.nitrogen_drained_kg
    trace[TRACE_EVAPORATED] = book.water_evaporated_kg
    trace[TRACE_DRAINED] = book.water_drained_kg
    trace[TRACE_HEAT_RELEASED] = book.energy_reaction_j
    trace[TRACE_HEAT_WITH_AIR] = book.energy_air_lost_j
    trace[TRACE_HEAT_THROUGH_SIDE] = book.energy_wall_lost_j
    trace[TRACE_HEAT_THROUGH_TOP] = book.energy_top_lost_j
    trace[TRACE_HEAT_INTO_GROUND] = book.energy_ground_lost_j
    trace[TRACE_HEAT_LOST_TURNING] = book.energy_turn_lost_j


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
