"""Compiled: the water of the cells: activity held in step, new contents, rain and draining.

Knows how vapour, made water, rain and surplus change a cell's water. Knows nothing of air flow.
"""

from __future__ import annotations

import math
from typing import Any

from heapwright.heap.kernel_cells import moist_air
from heapwright.heap.kernel_compile import inner
from heapwright.heap.kernel_rim import rim_place
from heapwright.heap.layout import (
    ACTIVITY,
    AIR_C,
    AMMONIUM,
    ASH,
    CAPACITY,
    CHANGE,
    FAST,
    GAIN,
    HEAT,
    HEAT_RISE,
    INWARD_R,
    INWARD_Z,
    LEAVING,
    LOSS_FAST,
    LOSS_MEDIUM,
    LOSS_RISE,
    LOSS_SLOW,
    MEDIUM,
    NEW_TEMPERATURE,
    NEW_WATER,
    OMEGA,
    OMEGA_RISE,
    OUT_OMEGA,
    OUTWARD_R,
    OUTWARD_Z,
    PER_AREA,
    RAIN,
    RIM_ENTERING,
    SLOW,
    TEMPERATURE,
    WATER,
)
from heapwright.heap.types import FloatArray, IntArray


@inner
def hold_activity(
    p: Any,
    work: FloatArray,
    rim: FloatArray,
    outside: FloatArray,
    order: IntArray,
    seconds: float,
    radii: int,
    heights: int,
) -> None:
    """Give dry cells the water activity they will have at the end of the step.

    In a dry cell a step can change the activity much; used as it was, the cell would overshoot
    between drinking and drying. The water balance of each such cell is solved with its
    neighbours' air, in the order air reaches them.
    """
    sorbed = p.sorption_half * p.sorption_half
    driest = 0.0
    for c in range(heights, heights + radii * heights):
        turned_over = seconds * work[LEAVING, c] * work[OMEGA, c] * (1.0 - work[ACTIVITY, c])
        driest = max(driest, 2.0 * turned_over - 0.05 * work[WATER, c])
    if driest <= 0.0:
        return
    for place in range(order.shape[0]):
        c = order[place]
        activity = work[ACTIVITY, c]
        taken = seconds * work[LEAVING, c] * work[OMEGA, c]
        # How far this step moves the cell towards its own end state, in shares of its water.
        if 2.0 * taken * (1.0 - activity) > 0.05 * work[WATER, c]:
            a, b = c - heights, c + heights
            brought = (
                work[OUTWARD_R, a] * work[OMEGA, a]
                + work[INWARD_R, c] * work[OMEGA, b]
                + work[OUTWARD_Z, c - 1] * work[OMEGA, c - 1]
                + work[INWARD_Z, c] * work[OMEGA, c + 1]
                + _brought_from_outside(rim, c, radii, heights) * outside[OUT_OMEGA]
            )
            dry = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c] + work[ASH, c]
            most = (work[WATER, c] + seconds * brought) / dry
            at_full = taken / (activity + 1e-30) / dry
            activity = _end_activity(most, at_full, sorbed, work[WATER, c] / dry)
            work[ACTIVITY, c] = activity
            moist_air(p, work, c, c + 1)
            # Warmed in this step, the cell gives off more, dries, and so gives off less again.
            carried = math.sqrt(sorbed * activity / (1.0 - activity + 1e-12)) + 1e-12
            damped = 1.0 / (1.0 + at_full * 2.0 * activity * (1.0 - activity) / carried)
            lost = (1.0 - damped) * work[OMEGA_RISE, c]
            work[OMEGA_RISE, c] -= lost
            work[HEAT_RISE, c] -= lost * (
                p.latent_heat_j_kg + p.vapour_heat_j_kg_k * work[TEMPERATURE, c]
            )


@inner
def hold_water(work: FloatArray, seconds: float, warming_k: float, first: int, last: int) -> None:
    """Last resort of the shortest step: no cell's air may take out more than the cell holds.

    Holds for warming up to `warming_k`; with zero, the air's moisture is fixed through the step
    instead of following the temperature, and holds always.
    """
    follow = 1.0 if warming_k > 0.0 else 0.0
    for c in range(first, last):
        most = 0.9 * work[WATER, c] / (seconds * work[LEAVING, c])
        wanted = work[OMEGA, c] + warming_k * work[OMEGA_RISE, c]
        kept = min(1.0, most / (wanted + 1e-30))
        work[OMEGA, c] *= kept
        work[HEAT, c] *= kept
        work[OMEGA_RISE, c] *= kept * follow
        work[HEAT_RISE, c] *= kept * follow


@inner
def _brought_from_outside(rim: FloatArray, c: int, radii: int, heights: int) -> float:
    """Return how much outside air and diffusion enter this cell. [kg/s]"""
    entering = 0.0
    for group in range(3):
        start, stride, count = rim_place(group, radii, heights)
        place = c - start
        if place >= 0 and place % stride == 0 and place // stride < count:
            entering += rim[group, RIM_ENTERING, place // stride]
    return entering


@inner
def _end_activity(most: float, at_full: float, sorbed: float, start: float) -> float:
    """Solve X + at_full * aw(X) = most for the activity aw = X2 / (X2 + sorbed), 0 <= X <= most."""
    low, high = 0.0, most
    x = min(start, most)
    for _ in range(30):
        squared = x * x
        activity = squared / (squared + sorbed)
        error = x + at_full * activity - most
        if error > 0.0:
            high = x
        else:
            low = x
        # Before x moves on: next to the root a step may round onto the bracket and be refused.
        if abs(error) <= 1e-9 * most:
            break
        slope = 1.0 + at_full * 2.0 * x * sorbed / ((squared + sorbed) * (squared + sorbed))
        step = x - error / slope
        x = step if low < step < high else 0.5 * (low + high)
    return x * x / (x * x + sorbed)


@inner
def new_values(p: Any, work: FloatArray, first: int, last: int) -> tuple[float, float]:
    """Find each cell's new water and temperature; return the largest change and least water.

    Nothing is changed yet: the caller takes the step or tries a shorter one. Heat is carried as
    an amount, so the change is heat above the old temperature over the new capacity.
    """
    heat_per_kg = p.heat_per_oxygen_j_kg * p.oxygen_per_solids
    made, of_dry, of_water = p.water_per_solids, p.solids_heat_j_kg_k, p.water_heat_j_kg_k
    largest, least = 0.0, 1.0e30
    for c in range(first, last):
        change = work[CHANGE, c]
        scale = 1.0 + work[LOSS_RISE, c] * change
        planned = (work[LOSS_FAST, c] + work[LOSS_MEDIUM, c] + work[LOSS_SLOW, c]) * scale
        scale = max(0.0, scale)
        lost_fast = min(work[LOSS_FAST, c] * scale, work[FAST, c])
        lost_medium = min(work[LOSS_MEDIUM, c] * scale, work[MEDIUM, c])
        lost_slow = min(work[LOSS_SLOW, c] * scale, work[SLOW, c])
        lost = lost_fast + lost_medium + lost_slow
        gain = work[GAIN, c] + made * lost
        capacity = work[CAPACITY, c] - of_dry * lost + of_water * gain
        step = (work[CAPACITY, c] * change + heat_per_kg * (lost - planned)) / capacity
        work[GAIN, c] = gain
        work[LOSS_FAST, c] = lost_fast
        work[LOSS_MEDIUM, c] = lost_medium
        work[LOSS_SLOW, c] = lost_slow
        work[NEW_WATER, c] = work[WATER, c] + gain
        work[NEW_TEMPERATURE, c] = work[TEMPERATURE, c] + step
        largest = max(largest, abs(step))
        least = min(least, work[NEW_WATER, c])
    return largest, least


@inner
def _pour(p: Any, work: FloatArray, c: int, water: float, temperature_c: float) -> None:
    """Give a cell water of this temperature."""
    dry = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c] + work[ASH, c]
    capacity = p.solids_heat_j_kg_k * dry + p.water_heat_j_kg_k * work[WATER, c]
    given = p.water_heat_j_kg_k * water
    work[WATER, c] += water
    work[TEMPERATURE, c] = (capacity * work[TEMPERATURE, c] + given * temperature_c) / (
        capacity + given
    )


@inner
def _any_surplus(p: Any, work: FloatArray, height: float, heights: int, radii: int) -> bool:
    """Return whether any cell holds more water than it can hold or has room for."""
    per_matter, per_ash = 1.0 / p.matter_density_kg_m3, 1.0 / p.ash_density_kg_m3
    per_water, holding = 1.0 / p.water_density_kg_m3, p.holding_kg_kg
    pores = height * (1.0 - p.air_space_least)
    surplus = -1.0
    for c in range(heights, heights + radii * heights):
        solids = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c]
        filled = work[WATER, c] * per_water + solids * per_matter + work[ASH, c] * per_ash
        over = work[WATER, c] - holding * (solids + work[ASH, c])
        surplus = max(surplus, max(over, filled * work[PER_AREA, c] - pores))
    return surplus > 0.0


@inner
def rain_and_drain(
    p: Any,
    site: Any,
    book: Any,
    work: FloatArray,
    rings: FloatArray,
    height: float,
    hour: FloatArray,
    slow: float,
    radii: int,
    heights: int,
) -> None:
    """Let rain in at the top, let surplus water sink from cell to cell and out at the foot.

    `slow` is the share of the surplus over the holding capacity that sinks in the hour; what the
    pores have no room for sinks at once.
    """
    if hour[RAIN] <= 0.0 and not _any_surplus(p, work, height, heights, radii):
        return
    per_matter, per_ash = 1.0 / p.matter_density_kg_m3, 1.0 / p.ash_density_kg_m3
    holding, of_water, density = p.holding_kg_kg, p.water_heat_j_kg_k, p.water_density_kg_m3
    rain = hour[RAIN] * (1.0 - site.rain_kept)
    rain_c = max(hour[AIR_C], 0.0)
    pores = height * (1.0 - p.air_space_least)
    for i in range(radii):
        start = heights + i * heights
        if rain > 0.0:
            _pour(p, work, start + heights - 1, rain * rings[i], rain_c)
            book.water_rain_kg += rain * rings[i]
            book.energy_rain_j += of_water * rain * rings[i] * rain_c
        for c in range(start + heights - 1, start - 1, -1):
            solids = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c]
            matter = solids * per_matter + work[ASH, c] * per_ash
            most = density * (pores / work[PER_AREA, c] - matter)
            held = holding * (solids + work[ASH, c])
            water = work[WATER, c]
            sinking = max(slow * max(water - held, 0.0), water - max(most, 0.0))
            if sinking > 0.0:
                dissolved = work[AMMONIUM, c] * sinking / water
                work[AMMONIUM, c] -= dissolved
                work[WATER, c] = water - sinking
                if c > start:
                    work[AMMONIUM, c - 1] += dissolved
                    _pour(p, work, c - 1, sinking, work[TEMPERATURE, c])
                else:
                    book.water_drained_kg += sinking
                    book.nitrogen_drained_kg += dissolved
                    book.energy_drained_lost_j += of_water * sinking * work[TEMPERATURE, c]
