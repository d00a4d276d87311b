"""Compiled: the heap hour by hour, for one or many members.

Knows the order of events in an hour: air, heat and decay in steps, then rain, draining, settling,
books, and the balances' check. Every number comes in as an argument; nothing here reads a clock,
a file or a module's variable. Knows nothing of what people do: actions come between calls.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit

from heapwright.heap.kernel_air import (
    ACTIVITY,
    AIR_SPACE,
    CAPACITY,
    COND_R,
    COND_Z,
    DIFF_R,
    DIFF_Z,
    DRY_AIR,
    FACTOR,
    FLOW_R,
    FLOW_Z,
    OUTGOING,
    draught,
    outside_air,
    oxygen_sweep,
    pore_gas,
)
from heapwright.heap.kernel_heat import (
    CHANGE,
    CHANGE_R,
    DIAGONAL_R,
    DIAGONAL_Z,
    GAIN,
    GROUND_C,
    OUT_C,
    OUT_HEAT,
    OUT_OMEGA,
    OUTSIDE_VALUES,
    SIDE_C,
    TOP_C,
    WORK_ROWS,
    cell_capacity,
    inner_faces,
    inner_water,
    local_terms,
    new_values,
    outer_face,
    outer_result,
    reaction_rates,
    solve_changes,
    take_step,
)
from heapwright.heap.layout import (
    AIR_C,
    ASH,
    FAST,
    HUMIDITY,
    INERT,
    MEDIUM,
    NITROGEN,
    NITROGEN_FACTOR,
    OXYGEN,
    RAIN,
    SOIL_C,
    SUN,
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
    WIND,
)
from heapwright.heap.types import FloatArray

CONDUCTIVITY = GAIN  # free until the step begins


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _logistic(x: float) -> float:
    """Return 1 / (1 + exp(-x)), the exponential by a short series and six squarings."""
    small = max(-20.0, min(20.0, -x)) * 0.015625
    e = 1.0 + small * (
        1.0
        + small
        * (
            0.5
            + small
            * (0.16666666666666666 + small * (0.041666666666666664 + small * 0.008333333333333333))
        )
    )
    for _ in range(6):
        e *= e
    return 1.0 / (1.0 + e)


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _dry_mass(cells: FloatArray) -> float:
    total = 0.0
    for i in range(cells.shape[1]):
        for j in range(cells.shape[2]):
            total += cells[FAST, i, j] + cells[MEDIUM, i, j] + cells[INERT, i, j] + cells[ASH, i, j]
    return total


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _nitrogen_factor(p: Any, cells: FloatArray) -> None:
    """Renew how far nitrogen slows each cell: (enough / C:N)^exponent, at most 1."""
    for i in range(cells.shape[1]):
        for j in range(cells.shape[2]):
            solids = cells[FAST, i, j] + cells[MEDIUM, i, j] + cells[INERT, i, j]
            ratio = (
                p.nitrogen_enough * cells[NITROGEN, i, j] / (p.carbon_of_solids * solids + 1e-30)
            )
            cells[NITROGEN_FACTOR, i, j] = ratio**p.nitrogen_exponent if ratio < 1.0 else 1.0


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _contents(
    p: Any, cells: FloatArray, work: FloatArray, rings: FloatArray, step_z: float
) -> None:
    """Set each cell's free air space, conductivity, water activity and slow rate factor."""
    for i in range(cells.shape[1]):
        volume = rings[i] * step_z
        for j in range(cells.shape[2]):
            solids = cells[FAST, i, j] + cells[MEDIUM, i, j] + cells[INERT, i, j]
            ash, water = cells[ASH, i, j], cells[WATER, i, j]
            dry = solids + ash
            filled = (
                water / p.water_density_kg_m3
                + solids / p.matter_density_kg_m3
                + ash / p.ash_density_kg_m3
            )
            space = min(0.95, max(p.air_space_least, 1.0 - filled / volume))
            moisture = water / (water + dry)
            carried = (water / dry) * (water / dry)
            work[AIR_SPACE, i, j] = space
            work[ACTIVITY, i, j] = carried / (carried + p.sorption_half * p.sorption_half)
            work[CONDUCTIVITY, i, j] = (
                p.conductivity_bare_w_m_k
                + (p.conductivity_per_dry_w_m2_kg * dry + p.conductivity_per_water_w_m2_kg * water)
                / volume
            )
            work[FACTOR, i, j] = (
                _logistic(p.moisture_slope * moisture - p.moisture_shift)
                * _logistic(p.air_space_slope * space - p.air_space_shift)
                * cells[NITROGEN_FACTOR, i, j]
            )


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _exchange(
    p: Any,
    site: Any,
    cells: FloatArray,
    work: FloatArray,
    rings: FloatArray,
    step_r: float,
    step_z: float,
    film: float,
) -> None:
    """Set conduction [W/K] and vapour diffusion [kg/s] of every face, walls and film included."""
    radii, heights = rings.shape[0], cells.shape[2]
    k = work[CONDUCTIVITY]
    rise = p.diffusivity_vapour_m2_s * (1.0 - 20.0 * p.diffusivity_rise_per_k)
    for i in range(radii):
        for j in range(heights):
            space = work[AIR_SPACE, i, j]
            t = cells[TEMPERATURE, i, j]
            work[OUTGOING, i, j] = (
                space
                * space
                * work[DRY_AIR, i, j]
                * (rise + p.diffusivity_vapour_m2_s * p.diffusivity_rise_per_k * t)
            )
    spread = work[OUTGOING]
    for i in range(radii):
        area_r = 2.0 * math.pi * (i + 1) * step_r * step_z
        area_z = rings[i]
        for j in range(heights):
            if i + 1 < radii:
                work[COND_R, i, j] = (
                    2.0 * k[i, j] * k[i + 1, j] / (k[i, j] + k[i + 1, j]) * area_r / step_r
                )
                work[DIFF_R, i, j] = (
                    2.0
                    * spread[i, j]
                    * spread[i + 1, j]
                    / (spread[i, j] + spread[i + 1, j])
                    * area_r
                    / step_r
                )
            else:
                area = area_r * site.wall_factor
                work[COND_R, i, j] = area / (
                    0.5 * step_r / k[i, j] + site.wall_resistance + 1.0 / film
                )
                work[DIFF_R, i, j] = spread[i, j] * area * site.wall_openness / (0.5 * step_r)
            if j == 0:
                work[COND_Z, i, 0] = area_z / (0.5 * step_z / k[i, 0] + p.ground_resistance_m2_k_w)
                work[DIFF_Z, i, 0] = spread[i, 0] * area_z * p.floor_openness / (0.5 * step_z)
            if j + 1 < heights:
                work[COND_Z, i, j + 1] = (
                    2.0 * k[i, j] * k[i, j + 1] / (k[i, j] + k[i, j + 1]) * area_z / step_z
                )
                work[DIFF_Z, i, j + 1] = (
                    2.0
                    * spread[i, j]
                    * spread[i, j + 1]
                    / (spread[i, j] + spread[i, j + 1])
                    * area_z
                    / step_z
                )
            else:
                work[COND_Z, i, j + 1] = area_z / (
                    0.5 * step_z / k[i, j] + site.cover_resistance + 1.0 / film
                )
                work[DIFF_Z, i, j + 1] = (
                    spread[i, j] * area_z * site.cover_openness / (0.5 * step_z)
                )


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _outgoing(work: FloatArray, radii: int, heights: int) -> None:
    """Add up how much air and diffusion leaves each cell, for the guard against running dry."""
    for i in range(radii):
        for j in range(heights):
            leaving = max(work[FLOW_R, i, j], 0.0) + work[DIFF_R, i, j]
            if i > 0:
                leaving += max(-work[FLOW_R, i - 1, j], 0.0) + work[DIFF_R, i - 1, j]
            leaving += max(-work[FLOW_Z, i, j], 0.0) + work[DIFF_Z, i, j]
            leaving += max(work[FLOW_Z, i, j + 1], 0.0) + work[DIFF_Z, i, j + 1]
            work[OUTGOING, i, j] = leaving


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _surroundings(
    p: Any, site: Any, hour: FloatArray, outside: FloatArray
) -> tuple[float, float, float]:
    """Set the outside air and the sol-air temperatures of side and top; return density, film."""
    omega, density = outside_air(p, hour[AIR_C], hour[HUMIDITY])
    wind = p.wind_shelter * hour[WIND]
    film = p.film_still_w_m2_k + p.film_per_wind_j_m3_k * wind
    sun = p.sun_absorptance * hour[SUN] * (1.0 - site.shade)
    outside[OUT_C] = hour[AIR_C]
    outside[OUT_OMEGA] = omega
    outside[OUT_HEAT] = omega * (p.latent_heat_j_kg + p.vapour_heat_j_kg_k * hour[AIR_C])
    outside[SIDE_C] = hour[AIR_C] + p.sun_side_share * sun / film
    outside[TOP_C] = hour[AIR_C] + (sun - p.sky_loss_w_m2) / film
    outside[GROUND_C] = hour[SOIL_C]
    return density, film, 0.5 * density * p.wind_suction * wind * wind


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _outer_faces(
    p: Any, site: Any, cells: FloatArray, work: FloatArray, outside: FloatArray
) -> None:
    radii, heights = cells.shape[1], cells.shape[2]
    for j in range(heights):
        i = radii - 1
        face = (work[FLOW_R, i, j], work[DIFF_R, i, j], work[COND_R, i, j], outside[SIDE_C], 0.0)
        outer_face(p, cells, work, outside, face, i, j, DIAGONAL_R)
    for i in range(radii):
        face = (-work[FLOW_Z, i, 0], work[DIFF_Z, i, 0], work[COND_Z, i, 0], outside[GROUND_C], 0.0)
        outer_face(p, cells, work, outside, face, i, 0, DIAGONAL_Z)
        j = heights
        face = (
            work[FLOW_Z, i, j],
            work[DIFF_Z, i, j],
            work[COND_Z, i, j],
            outside[TOP_C],
            site.vapour_returned,
        )
        outer_face(p, cells, work, outside, face, i, j - 1, DIAGONAL_Z)


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _outer_results(
    p: Any, site: Any, cells: FloatArray, work: FloatArray, outside: FloatArray, seconds: float
) -> tuple[float, float, float, float, float]:
    """Take the vapour through the outside faces from the cells; return what left in this step.

    Returns
    -------
    water [kg], heat with air, through the wall, the top and the foot [J]
    """
    radii, heights = cells.shape[1], cells.shape[2]
    water, air, wall, top, ground = 0.0, 0.0, 0.0, 0.0, 0.0
    for j in range(heights):
        i = radii - 1
        face = (work[FLOW_R, i, j], work[DIFF_R, i, j], work[COND_R, i, j], outside[SIDE_C], 0.0)
        left, carried, led = outer_result(p, cells, work, outside, face, work[CHANGE_R, i, j], i, j)
        work[GAIN, i, j] -= seconds * left
        water, air, wall = water + left, air + carried, wall + led
    for i in range(radii):
        face = (-work[FLOW_Z, i, 0], work[DIFF_Z, i, 0], work[COND_Z, i, 0], outside[GROUND_C], 0.0)
        left, carried, led = outer_result(p, cells, work, outside, face, work[CHANGE, i, 0], i, 0)
        work[GAIN, i, 0] -= seconds * left
        water, air, ground = water + left, air + carried, ground + led
        j = heights
        face = (
            work[FLOW_Z, i, j],
            work[DIFF_Z, i, j],
            work[COND_Z, i, j],
            outside[TOP_C],
            site.vapour_returned,
        )
        left, carried, led = outer_result(
            p, cells, work, outside, face, work[CHANGE, i, j - 1], i, j - 1
        )
        work[GAIN, i, j - 1] -= seconds * left
        water, air, top = water + left, air + carried, top + led
    return seconds * water, seconds * air, seconds * wall, seconds * top, seconds * ground


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _steps_of_hour(
    p: Any,
    site: Any,
    book: Any,
    cells: FloatArray,
    work: FloatArray,
    outside: FloatArray,
    steps: int,
) -> None:
    """Take the hour in `steps` steps, shorter ones where a cell would change by more than 8 K."""
    radii, heights = cells.shape[1], cells.shape[2]
    length = 3600.0 / steps
    left = 3600.0
    seconds = length
    while left > 1e-6:
        seconds = min(seconds, left)
        for i in range(radii):
            for j in range(heights):
                work[CAPACITY, i, j] = cell_capacity(p, cells, i, j)
        reaction_rates(p, cells, work)
        oxygen_sweep(p, cells, work, True)
        oxygen_sweep(p, cells, work, True)
        while True:
            local_terms(p, cells, work, seconds)
            inner_faces(p, cells, work)
            _outer_faces(p, site, cells, work, outside)
            solve_changes(work, radii, heights, seconds, CAPACITY)
            inner_water(cells, work, seconds)
            water, air, wall, top, ground = _outer_results(p, site, cells, work, outside, seconds)
            largest, least = new_values(p, cells, work, seconds)
            if (largest <= 8.0 and least >= 0.0) or seconds < 15.0:
                break
            seconds *= 0.5
        decayed, matter = take_step(p, cells, work, seconds)
        book.dry_decayed_kg += decayed
        book.water_made_kg += p.water_per_solids * decayed
        book.water_evaporated_kg += water
        book.energy_reaction_j += p.heat_per_oxygen_j_kg * p.oxygen_per_solids * decayed
        book.energy_matter_j += matter
        book.energy_air_lost_j += air
        book.energy_wall_lost_j += wall
        book.energy_top_lost_j += top
        book.energy_ground_lost_j += ground
        book.steps += 1.0
        left -= seconds
        seconds = min(length, 2.0 * seconds)


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _pour(p: Any, cells: FloatArray, i: int, j: int, water: float, temperature_c: float) -> None:
    """Give a cell water of this temperature."""
    capacity = cell_capacity(p, cells, i, j)
    given = p.water_heat_j_kg_k * water
    cells[WATER, i, j] += water
    cells[TEMPERATURE, i, j] = (capacity * cells[TEMPERATURE, i, j] + given * temperature_c) / (
        capacity + given
    )


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _rain_and_drain(
    p: Any,
    site: Any,
    book: Any,
    cells: FloatArray,
    rings: FloatArray,
    step_z: float,
    hour: FloatArray,
) -> None:
    """Let rain in at the top, let surplus water sink from cell to cell and out at the foot."""
    radii, heights = cells.shape[1], cells.shape[2]
    kept = 1.0 - site.rain_kept
    slow = 1.0 - math.exp(-1.0 / p.drain_hours)
    for i in range(radii):
        rain = hour[RAIN] * rings[i] * kept
        if rain > 0.0:
            _pour(p, cells, i, heights - 1, rain, max(hour[AIR_C], 0.0))
            book.water_rain_kg += rain
            book.energy_rain_j += p.water_heat_j_kg_k * rain * max(hour[AIR_C], 0.0)
        for j in range(heights - 1, -1, -1):
            solids = cells[FAST, i, j] + cells[MEDIUM, i, j] + cells[INERT, i, j]
            room = p.water_density_kg_m3 * (
                rings[i] * step_z * (1.0 - p.air_space_least)
                - solids / p.matter_density_kg_m3
                - cells[ASH, i, j] / p.ash_density_kg_m3
            )
            holding = p.holding_kg_kg * (solids + cells[ASH, i, j])
            water = cells[WATER, i, j]
            sinking = max(slow * max(water - holding, 0.0), water - max(room, 0.0))
            if sinking > 0.0:
                t = cells[TEMPERATURE, i, j]
                cells[WATER, i, j] -= sinking
                if j > 0:
                    _pour(p, cells, i, j - 1, sinking, t)
                else:
                    book.water_drained_kg += sinking
                    book.energy_drained_lost_j += p.water_heat_j_kg_k * sinking * t


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _check(p: Any, book: Any, cells: FloatArray, hour_number: float) -> None:
    """Compare contents with the books; keep the largest relative error of each balance."""
    dry, water, energy = 0.0, 0.0, 0.0
    for i in range(cells.shape[1]):
        for j in range(cells.shape[2]):
            dry += cells[FAST, i, j] + cells[MEDIUM, i, j] + cells[INERT, i, j] + cells[ASH, i, j]
            water += cells[WATER, i, j]
            energy += cell_capacity(p, cells, i, j) * cells[TEMPERATURE, i, j]
    dry_error = abs(dry - book.dry_in_kg + book.dry_decayed_kg) / book.dry_in_kg
    came = book.water_in_kg + book.water_rain_kg + book.water_given_kg + book.water_made_kg
    water_error = abs(water - came + book.water_evaporated_kg + book.water_drained_kg) / (
        came + 1.0
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
        + (p.solids_heat_j_kg_k * dry + p.water_heat_j_kg_k * came)
    )
    energy_error = abs(energy - booked) / size
    if max(dry_error, water_error, energy_error) > max(
        book.worst_dry, book.worst_water, book.worst_energy
    ):
        book.worst_hour = hour_number
    book.worst_dry = max(book.worst_dry, dry_error)
    book.worst_water = max(book.worst_water, water_error)
    book.worst_energy = max(book.worst_energy, energy_error)


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def probe_reading(temperature: FloatArray, from_foot: float, from_axis: float) -> float:
    """Return the temperature between cells, both places counted in cells from foot and axis."""
    radii, heights = temperature.shape
    z = min(max(from_foot - 0.5, 0.0), heights - 1.0)
    r = min(max(from_axis - 0.5, 0.0), radii - 1.0)
    j = min(int(z), max(heights - 2, 0))
    i = min(int(r), max(radii - 2, 0))
    jn, im = min(j + 1, heights - 1), min(i + 1, radii - 1)
    fz, fr = z - j, r - i
    low: float = temperature[i, j] * (1.0 - fr) + temperature[im, j] * fr
    high: float = temperature[i, jn] * (1.0 - fr) + temperature[im, jn] * fr
    reading: float = low * (1.0 - fz) + high * fz
    return reading


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _record(
    cells: FloatArray,
    rings: FloatArray,
    height: float,
    volume: float,
    probe_depth: float,
    probe_radius: float,
    trace: FloatArray,
    fields: FloatArray,
    keep: bool,
) -> None:
    """Write one hour's trace and, if `keep`, every cell's temperature, moisture and oxygen."""
    radii, heights = cells.shape[1], cells.shape[2]
    dry, water, degradable, solids = 0.0, 0.0, 0.0, 0.0
    core_dry, core_water = 0.0, 0.0
    inner, low, high = max(radii // 2, 1), heights // 3, heights - heights // 3
    for i in range(radii):
        for j in range(heights):
            pool = cells[FAST, i, j] + cells[MEDIUM, i, j]
            matter = pool + cells[INERT, i, j]
            degradable += pool
            solids += matter
            dry += matter + cells[ASH, i, j]
            water += cells[WATER, i, j]
            if i < inner and low <= j < high:
                core_dry += matter + cells[ASH, i, j]
                core_water += cells[WATER, i, j]
            if keep:
                fields[0, i, j] = cells[TEMPERATURE, i, j]
                fields[1, i, j] = cells[WATER, i, j] / (
                    cells[WATER, i, j] + matter + cells[ASH, i, j]
                )
                fields[2, i, j] = cells[OXYGEN, i, j]
    from_foot = (height - probe_depth) / height * heights
    trace[TRACE_PROBE] = probe_reading(cells[TEMPERATURE], from_foot, probe_radius * radii)
    trace[TRACE_CORE_MOISTURE] = core_water / (core_water + core_dry)
    trace[TRACE_MEAN_MOISTURE] = water / (water + dry)
    trace[TRACE_DEGRADABLE] = degradable
    trace[TRACE_HEIGHT] = height
    trace[TRACE_VOLUME] = volume
    trace[TRACE_DRY] = dry
    trace[TRACE_WATER] = water
    trace[TRACE_SOLIDS] = solids


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def run_hours(
    parameters: Any,
    sites: Any,
    books: Any,
    cells_of_all: FloatArray,
    weather: FloatArray,
    first_hour: int,
    last_hour: int,
    first_member: int,
    last_member: int,
    steps: int,
    probe_depth: float,
    probe_radius: float,
    trace: FloatArray,
    fields: FloatArray,
    keep: bool,
) -> None:
    """Run members `first_member` to `last_member` from `first_hour` to `last_hour`.

    Row h + 1 of `trace` (hours + 1, members, columns) and, if `keep`, of `fields` (hours + 1,
    3, radii, heights; single member) is written after hour h. With `first_hour == last_hour`
    only that row is written, as things stand.
    """
    radii, heights = cells_of_all.shape[2], cells_of_all.shape[3]
    work = np.zeros((WORK_ROWS, radii, heights + 1))
    band = np.zeros((radii * heights + radii + 1, radii + 1))
    pressure = np.zeros(radii * heights + radii + 1)
    rings = np.empty(radii)
    outside = np.empty(OUTSIDE_VALUES)
    for m in range(first_member, last_member):
        p, site, book, cells = parameters[m], sites[m], books[m], cells_of_all[m]
        step_r = site.radius_m / radii
        for i in range(radii):
            rings[i] = math.pi * step_r * step_r * (2.0 * i + 1.0)
        foot = math.pi * site.radius_m * site.radius_m
        settling = 1.0 - math.exp(-1.0 / (24.0 * p.settling_days))
        if first_hour == last_hour:
            volume = _dry_mass(cells) * site.volume_per_dry * site.looseness
            _record(
                cells,
                rings,
                volume / foot,
                volume,
                probe_depth,
                probe_radius,
                trace[first_hour, m],
                fields[first_hour if keep else 0],
                keep,
            )
        for h in range(first_hour, last_hour):
            if h == first_hour or h % 24 == 0:
                _nitrogen_factor(p, cells)
            volume = _dry_mass(cells) * site.volume_per_dry * site.looseness
            step_z = volume / foot / heights
            density, film, suction = _surroundings(p, site, weather[h], outside)
            _contents(p, cells, work, rings, step_z)
            pore_gas(p, cells, work, density)
            draught(p, site, work, rings, step_r, step_z, suction, band, pressure)
            _exchange(p, site, cells, work, rings, step_r, step_z, film)
            _outgoing(work, radii, heights)
            _steps_of_hour(p, site, book, cells, work, outside, steps)
            site.looseness -= settling * (site.looseness - p.settled_share)
            volume = _dry_mass(cells) * site.volume_per_dry * site.looseness
            step_z = volume / foot / heights
            _rain_and_drain(p, site, book, cells, rings, step_z, weather[h])
            _check(p, book, cells, h + 1.0)
            _record(
                cells,
                rings,
                volume / foot,
                volume,
                probe_depth,
                probe_radius,
                trace[h + 1, m],
                fields[h + 1 if keep else 0],
                keep,
            )
