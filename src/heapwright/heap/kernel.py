"""Compiled: the heap hour by hour, for one or many members.

Knows the order of events in an hour: air, heat and decay in steps, then rain, draining, settling,
books, and the balances' check. Every number comes in as an argument; nothing here reads a clock,
a file or a module's variable. Knows nothing of what people do: actions come between calls.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from heapwright.heap.kernel_air import draught, outside_air, oxygen_sweep, pore_gas
from heapwright.heap.kernel_cells import (
    activities,
    contents,
    decay,
    moist_air,
    nitrogen_factor,
    reaction_rates,
    saturations,
    take_step,
    vapour_spread,
)
from heapwright.heap.kernel_compile import inner, inserted, outermost
from heapwright.heap.kernel_heat import (
    cell_equations,
    inner_exchange,
    inner_faces,
    inner_water,
    rim_equations,
    rim_exchange,
    rim_results,
    solve_changes,
)
from heapwright.heap.kernel_water import hold_activity, hold_water, new_values, rain_and_drain
from heapwright.heap.layout import (
    AIR_C,
    AIR_DENSITY,
    ASH,
    CELL_FIELDS,
    FAST,
    FILM,
    FOOT,
    GROUND_C,
    HUMIDITY,
    INERT,
    MEDIUM,
    OUT_C,
    OUT_HEAT,
    OUT_OMEGA,
    OUTSIDE_VALUES,
    OXYGEN,
    PER_AREA,
    RIM_ROWS,
    SHAPE_R,
    SHAPE_Z,
    SIDE,
    SIDE_C,
    SOIL_C,
    SUCTION,
    SUN,
    TEMPERATURE,
    TOP,
    TOP_C,
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
    WORK_ROWS,
)
from heapwright.heap.types import FloatArray, IntArray


@inner
def _surroundings(p: Any, site: Any, hour: FloatArray, outside: FloatArray) -> None:
    """Set the outside air, the sol-air temperatures of side and top, film and wind's suction."""
    air_c = hour[AIR_C]
    omega, density = outside_air(p, air_c, hour[HUMIDITY])
    wind = p.wind_shelter * hour[WIND]
    film = p.film_still_w_m2_k + p.film_per_wind_j_m3_k * wind
    sun = p.sun_absorptance * hour[SUN] * (1.0 - site.shade)
    outside[OUT_C] = air_c
    outside[OUT_OMEGA] = omega
    outside[OUT_HEAT] = omega * (p.latent_heat_j_kg + p.vapour_heat_j_kg_k * air_c)
    outside[SIDE_C] = air_c + p.sun_side_share * sun / film
    outside[TOP_C] = air_c + (sun - p.sky_loss_w_m2) / film
    outside[GROUND_C] = hour[SOIL_C]
    outside[AIR_DENSITY] = density
    outside[FILM] = film
    suction = 0.5 * density * p.wind_suction * wind * wind
    outside[SUCTION] = min(suction, p.wind_suction_most_pa)


@inserted
def _try_step(
    p: Any,
    work: FloatArray,
    rim: FloatArray,
    outside: FloatArray,
    left: FloatArray,
    order: IntArray,
    seconds: float,
    resort: int,
    returned: float,
    radii: int,
    heights: int,
) -> tuple[float, float]:
    """Work out one step without taking it; return the largest change [K] and least water [kg]."""
    first, last = heights, heights + radii * heights
    decay(p, work, seconds, first, last)
    activities(p, work, first, last)
    moist_air(p, work, first, last)
    hold_activity(p, work, rim, outside, order, seconds, radii, heights)
    if resort > 0:
        hold_water(work, seconds, 8.0 if resort == 1 else 0.0, first, last)
    inner_faces(work, radii, heights)
    cell_equations(p, work, seconds, radii, heights)
    rim_equations(p, work, rim, outside, returned, radii, heights)
    solve_changes(work, seconds, radii, heights)
    inner_water(work, seconds, radii, heights)
    rim_results(p, work, rim, outside, left, seconds, returned, radii, heights)
    largest, least = new_values(p, work, first, last)
    return largest, least


@inserted
def _steps_of_hour(
    p: Any,
    returned: float,
    book: Any,
    work: FloatArray,
    rim: FloatArray,
    outside: FloatArray,
    left: FloatArray,
    order: IntArray,
    steps: int,
    radii: int,
    heights: int,
) -> None:
    """Take the hour in `steps` steps, shorter ones where a cell would change by more than 8 K."""
    first, last = heights, heights + radii * heights
    length = 3600.0 / steps
    ahead = 3600.0
    seconds = length
    while ahead > 1e-6:
        seconds = min(seconds, ahead)
        reaction_rates(p, work, first, last)
        oxygen_sweep(p, work, order, heights)
        oxygen_sweep(p, work, order, heights)
        resort = 0
        while True:
            largest, least = _try_step(
                p, work, rim, outside, left, order, seconds, resort, returned, radii, heights
            )
            if (least >= 0.0 and (largest <= 8.0 or resort > 0)) or resort == 2:
                break
            if seconds < 15.0:
                resort += 1
            else:
                seconds *= 0.5
        decayed, matter = take_step(p, work, seconds, first, last)
        book.dry_decayed_kg += decayed
        book.water_made_kg += p.water_per_solids * decayed
        book.water_evaporated_kg += left[4]
        book.energy_reaction_j += p.heat_per_oxygen_j_kg * p.oxygen_per_solids * decayed
        book.energy_matter_j += matter
        book.energy_wall_lost_j += left[SIDE]
        book.energy_top_lost_j += left[TOP]
        book.energy_ground_lost_j += left[FOOT]
        book.energy_air_lost_j += left[3]
        book.steps += 1.0
        ahead -= seconds
        if ahead > 1e-6:
            saturations(work, first, last)
        seconds = min(length, 2.0 * seconds)


@inner
def _check(p: Any, book: Any, work: FloatArray, first: int, last: int, hour_number: float) -> float:
    """Compare contents with the books; keep the largest relative error; return the dry mass."""
    dry, water, energy = 0.0, 0.0, 0.0
    of_dry, of_water = p.solids_heat_j_kg_k, p.water_heat_j_kg_k
    for c in range(first, last):
        mass = work[FAST, c] + work[MEDIUM, c] + work[INERT, c] + work[ASH, c]
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
def _record(
    work: FloatArray,
    height: float,
    volume: float,
    probe: tuple[float, float],
    trace: FloatArray,
    radii: int,
    heights: int,
) -> None:
    """Write one hour's trace."""
    dry, water, degradable, solids = 0.0, 0.0, 0.0, 0.0
    first, last = heights, heights + radii * heights
    for c in range(first, last):
        pool = work[FAST, c] + work[MEDIUM, c]
        degradable += pool
        solids += pool + work[INERT, c]
        dry += pool + work[INERT, c] + work[ASH, c]
        water += work[WATER, c]
    core_dry, core_water = 0.0, 0.0
    for i in range(max(radii // 2, 1)):
        start = heights + i * heights
        for c in range(start + heights // 3, start + heights - heights // 3):
            core_dry += work[FAST, c] + work[MEDIUM, c] + work[INERT, c] + work[ASH, c]
            core_water += work[WATER, c]
    from_foot = (height - probe[0]) / height * heights
    trace[TRACE_PROBE] = _probe(work, from_foot, probe[1] * radii, radii, heights)
    trace[TRACE_CORE_MOISTURE] = core_water / (core_water + core_dry)
    trace[TRACE_MEAN_MOISTURE] = water / (water + dry)
    trace[TRACE_DEGRADABLE] = degradable
    trace[TRACE_HEIGHT] = height
    trace[TRACE_VOLUME] = volume
    trace[TRACE_DRY] = dry
    trace[TRACE_WATER] = water
    trace[TRACE_SOLIDS] = solids


@inner
def _keep(work: FloatArray, fields: FloatArray) -> None:
    """Write every cell's temperature, moisture and oxygen."""
    radii, heights = fields.shape[1], fields.shape[2]
    for i in range(radii):
        for j in range(heights):
            c = heights + i * heights + j
            dry = work[FAST, c] + work[MEDIUM, c] + work[INERT, c] + work[ASH, c]
            fields[0, i, j] = work[TEMPERATURE, c]
            fields[1, i, j] = work[WATER, c] / (work[WATER, c] + dry)
            fields[2, i, j] = work[OXYGEN, c]


@inner
def _from_rim_inwards(radii: int, heights: int) -> IntArray:
    """Return the cells in the order air reaches them: diagonals from the foot's outer edge."""
    order = np.empty(radii * heights, dtype=np.int64)
    place = 0
    for diagonal in range(radii + heights - 1):
        for inward in range(radii):
            j = diagonal - inward
            if 0 <= j < heights:
                order[place] = heights + (radii - 1 - inward) * heights + j
                place += 1
    return order


@inner
def _shapes(work: FloatArray, rings: FloatArray, step_r: float, heights: int) -> None:
    """Set ring areas and the shape of every inner face; faces that do not exist get zero.

    Twice the area over the distance, for the harmonic mean of two cells; radial faces per metre
    of height, upright ones times it.
    """
    radii = rings.shape[0]
    for i in range(radii):
        rings[i] = math.pi * step_r * step_r * (2.0 * i + 1.0)
        for j in range(heights):
            c = heights + i * heights + j
            work[PER_AREA, c] = 1.0 / rings[i]
            work[SHAPE_R, c] = 4.0 * math.pi * (i + 1) if i + 1 < radii else 0.0
            work[SHAPE_Z, c] = 2.0 * rings[i] if j + 1 < heights else 0.0


@outermost
def run_hours(
    parameters: Any,
    sites: Any,
    books: Any,
    cells: FloatArray,
    weather: FloatArray,
    span: IntArray,
    probe: tuple[float, float],
    trace: FloatArray,
    fields: FloatArray,
    keep: bool,
) -> None:
    """Run members through hours: `span` holds first and last hour, first and last member, steps.

    `probe` is depth below the top [m] and share of the radius. Row h + 1 of `trace` (hours + 1,
    members, columns) and, if `keep`, of `fields` (hours + 1, 3, radii, heights; one member) is
    written after hour h. With no hours to run, only row `first` is written, as things stand.
    """
    first_hour, last_hour, steps = span[0], span[1], span[4]
    radii, heights = cells.shape[2], cells.shape[3]
    first, last = heights, heights + radii * heights
    work = np.zeros((WORK_ROWS, last + heights))
    rim = np.zeros((3, RIM_ROWS, max(heights, radii) + 1))
    band = np.zeros((radii * heights + radii + 1, radii + 1))
    pressure = np.zeros(radii * heights + radii + 1)
    rings = np.empty(radii)
    outside, left = np.empty(OUTSIDE_VALUES), np.empty(5)
    order = _from_rim_inwards(radii, heights)
    for m in range(span[2], span[3]):
        p, site, book = parameters[m], sites[m], books[m]
        for field in range(CELL_FIELDS):
            for c in range(first, last):
                work[field, c] = cells[m, field, (c - first) // heights, (c - first) % heights]
        step_r = site.radius_m / radii
        _shapes(work, rings, step_r, heights)
        foot = math.pi * site.radius_m * site.radius_m
        settling = 1.0 - math.exp(-1.0 / (24.0 * p.settling_days))
        slow = 1.0 - math.exp(-1.0 / p.drain_hours)
        dry = _check(p, book, work, first, last, first_hour)
        volume = dry * site.volume_per_dry * site.looseness
        if first_hour == last_hour:
            _record(work, volume / foot, volume, probe, trace[first_hour, m], radii, heights)
            if keep:
                _keep(work, fields[first_hour])
        for h in range(first_hour, last_hour):
            if h == first_hour or h % 24 == 0:
                nitrogen_factor(p, work, first, last)
            sizes = (step_r, volume / foot / heights)
            _surroundings(p, site, weather[h], outside)
            contents(p, work, sizes[1], site.looseness, first, last)
            activities(p, work, first, last)
            saturations(work, first, last)
            pore_gas(p, work, outside, first, last)
            draught(p, site, work, rim, rings, sizes[1], outside, band, pressure, heights)
            vapour_spread(p, work, first, last)
            inner_exchange(p, work, sizes[1], radii, heights)
            rim_exchange(p, site, work, rim, rings, sizes, outside, heights)
            _steps_of_hour(
                p,
                site.vapour_returned,
                book,
                work,
                rim,
                outside,
                left,
                order,
                steps,
                radii,
                heights,
            )
            site.looseness -= settling * (site.looseness - p.settled_share)
            volume = (book.dry_in_kg - book.dry_decayed_kg) * site.volume_per_dry * site.looseness
            step_z = volume / foot / heights
            rain_and_drain(p, site, book, work, rings, step_z, weather[h], slow, heights)
            dry = _check(p, book, work, first, last, h + 1.0)
            volume = dry * site.volume_per_dry * site.looseness
            _record(work, volume / foot, volume, probe, trace[h + 1, m], radii, heights)
            if keep:
                _keep(work, fields[h + 1])
        for field in range(CELL_FIELDS):
            for c in range(first, last):
                cells[m, field, (c - first) // heights, (c - first) % heights] = work[field, c]
