"""Compiled: the heap hour by hour, for one or many members.

Knows the order of events in an hour: air, heat and decay in steps, then rain, draining, settling,
books, and the balances' check. Every number comes in as an argument; nothing here reads a clock,
a file or a module's variable. Knows nothing of what people do: actions come between calls.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from heapwright.heap.kernel_air import draught, outside_air, oxygen_everywhere, pore_gas
from heapwright.heap.kernel_books import check_balances, keep_fields, record_trace
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
from heapwright.heap.kernel_grid import from_rim_inwards, ring_edge, shapes
from heapwright.heap.kernel_heat import (
    cell_equations,
    inner_exchange,
    inner_faces,
    inner_water,
    solve_changes,
)
from heapwright.heap.kernel_nitrogen import nitrogen_of_hours, remember_solids
from heapwright.heap.kernel_rim import rim_equations, rim_exchange, rim_results
from heapwright.heap.kernel_water import hold_activity, hold_water, new_values, rain_and_drain
from heapwright.heap.layout import (
    AIR_C,
    AIR_DENSITY,
    CELL_FIELDS,
    FILM,
    FOOT,
    GROUND_C,
    HUMIDITY,
    LEFT,
    LEFT_WATER,
    LEFT_WITH_AIR,
    OUT_C,
    OUT_HEAT,
    OUT_OMEGA,
    OUTSIDE_VALUES,
    RAIN,
    RIM_ROWS,
    SIDE,
    SIDE_C,
    SOIL_C,
    SUCTION,
    SUN,
    TOP,
    TOP_C,
    USUAL_HEIGHTS,
    USUAL_RADII,
    WIND,
    WORK_ROWS,
)
from heapwright.heap.types import FloatArray, IntArray

# Slow things are worked out less often: hours between one draught and the next, one account of
# nitrogen and the next. Both are renewed whenever an action has changed the heap.
_DRAUGHT_EVERY = 2
_NITROGEN_EVERY = 3


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
    rim_results(p, work, rim, outside, seconds, returned, radii, heights)
    largest, least = new_values(p, work, first, last)
    return largest, least


@inner
def _weather_between(weather: FloatArray, first: int, last: int, mean: FloatArray) -> None:
    """Set the weather of some hours taken as one: means, and the rain's mean for each hour."""
    for column in range(weather.shape[1]):
        total = 0.0
        for h in range(first, last):
            total += weather[h, column]
        mean[column] = total / (last - first)


@inserted
def _fill_trace(trace: FloatArray, first: int, last: int) -> None:
    """Lay a straight line over the rows between two hours that were recorded."""
    for h in range(first + 1, last):
        share = (h - first) / (last - first)
        for column in range(trace.shape[1]):
            trace[h, column] = trace[first, column] + share * (
                trace[last, column] - trace[first, column]
            )


@inserted
def _steps_of_stride(
    p: Any,
    returned: float,
    book: Any,
    work: FloatArray,
    rim: FloatArray,
    outside: FloatArray,
    order: IntArray,
    duration: float,
    steps: int,
    radii: int,
    heights: int,
) -> None:
    """Take `duration` [s] in `steps` steps, shorter where a cell would change by more than 8 K."""
    first, last = heights, heights + radii * heights
    length = duration / steps
    ahead = duration
    seconds = length
    while ahead > 1e-6:
        seconds = min(seconds, ahead)
        reaction_rates(p, work, first, last)
        oxygen_everywhere(p, work, order, heights)
        resort = 0
        while True:
            largest, least = _try_step(
                p, work, rim, outside, order, seconds, resort, returned, radii, heights
            )
            if (least >= 0.0 and (largest <= 8.0 or resort > 0)) or resort == 2:
                break
            if seconds < 15.0:
                resort += 1
            else:
                seconds *= 0.5
        decayed, matter = take_step(p, work, seconds, first, last)
        book.dry_decayed_kg += decayed
        book.carbon_decayed_kg += p.carbon_of_solids * decayed
        book.water_made_kg += p.water_per_solids * decayed
        book.water_evaporated_kg += outside[LEFT_WATER]
        book.energy_reaction_j += p.heat_per_oxygen_j_kg * p.oxygen_per_solids * decayed
        book.energy_matter_j += matter
        book.energy_wall_lost_j += outside[LEFT + SIDE]
        book.energy_top_lost_j += outside[LEFT + TOP]
        book.energy_ground_lost_j += outside[LEFT + FOOT]
        book.energy_air_lost_j += outside[LEFT_WITH_AIR]
        book.steps += 1.0
        ahead -= seconds
        if ahead > 1e-6:
            saturations(work, first, last)
        seconds = min(length, 2.0 * seconds)


@inserted
def _air_of_stride(
    p: Any,
    site: Any,
    work: FloatArray,
    rim: FloatArray,
    rings: FloatArray,
    sizes: tuple[float, float],
    outside: FloatArray,
    band: FloatArray,
    pressure: FloatArray,
    renewed: bool,
    radii: int,
    heights: int,
) -> None:
    """Set what stays as it is through the stride: contents, draught, and what crosses each face.

    The draught is worked out anew when `renewed`; it changes slowly.
    """
    first, last = heights, heights + radii * heights
    contents(p, work, sizes[1], site.looseness, first, last)
    activities(p, work, first, last)
    saturations(work, first, last)
    moist_air(p, work, first, last)
    if renewed:
        pore_gas(p, work, outside, first, last)
        draught(p, site, work, rim, rings, sizes, outside, band, pressure, radii, heights)
    vapour_spread(p, work, first, last)
    inner_exchange(p, work, sizes[1], radii, heights)
    rim_exchange(p, site, work, rim, rings, sizes, outside, radii, heights)


@inserted
def _copy_cells(
    cells: FloatArray, work: FloatArray, radii: int, heights: int, into_work: bool
) -> None:
    """Copy the cells' fields into the work space, or back out of it."""
    for field in range(CELL_FIELDS):
        for i in range(radii):
            for j in range(heights):
                c = heights + i * heights + j
                if into_work:
                    work[field, c] = cells[field, i, j]
                else:
                    cells[field, i, j] = work[field, c]


@inserted
def _run_member(
    p: Any,
    site: Any,
    book: Any,
    cells: FloatArray,
    weather: FloatArray,
    span: IntArray,
    probe: tuple[float, float],
    trace: FloatArray,
    fields: FloatArray,
    keep: bool,
    radii: int,
    heights: int,
) -> None:
    """Run one member from hour `span[0]` to `span[1]`: `span[5]` hours a stride, `span[4]` steps.

    Weather, contents and air stay as they are through a stride.
    """
    first, last = heights, heights + radii * heights
    work = np.zeros((WORK_ROWS, last + heights))
    rim = np.zeros((3, RIM_ROWS, max(heights, radii) + 1))
    band = np.zeros((radii * heights + radii + 1, radii + 1))
    pressure = np.zeros(radii * heights + radii + 1)
    rings, outside = np.empty(radii), np.empty(OUTSIDE_VALUES)
    air = np.empty(weather.shape[1])
    order = from_rim_inwards(radii, heights)
    _copy_cells(cells, work, radii, heights, True)
    outermost = site.radius_m * (1.0 - ring_edge(radii - 1, radii))
    shapes(work, rings, site.radius_m, radii, heights)
    foot = math.pi * site.radius_m * site.radius_m
    dry = check_balances(p, book, work, first, last, span[0])
    volume = dry * site.volume_per_dry * site.looseness
    if span[0] == span[1]:
        record_trace(book, work, volume, foot, probe, trace[span[0]], radii, heights)
        if keep:
            keep_fields(work, fields[span[0]])
    remember_solids(work, first, last)
    waiting = 0.0
    h, stride = span[0], span[5]
    while h < span[1]:
        after = min(h + stride, span[1])
        hours = float(after - h)
        if h == span[0] or h % 24 < stride:
            nitrogen_factor(p, work, first, last)
        sizes = (outermost, volume / foot)
        _weather_between(weather, h, after, air)
        _surroundings(p, site, air, outside)
        renewed = h == span[0] or h % _DRAUGHT_EVERY < stride
        _air_of_stride(
            p, site, work, rim, rings, sizes, outside, band, pressure, renewed, radii, heights
        )
        _steps_of_stride(
            p, site.vapour_returned, book, work, rim, outside, order, 3600.0 * hours, span[4],
            radii, heights,
        )  # fmt: skip
        waiting += hours
        if after // _NITROGEN_EVERY > h // _NITROGEN_EVERY or after == span[1]:
            nitrogen_of_hours(p, book, work, rim, waiting, radii, heights)
            waiting = 0.0
        settling = 1.0 - math.exp(-hours / (24.0 * p.settling_days))
        site.looseness -= settling * (site.looseness - p.settled_share)
        volume = (book.dry_in_kg - book.dry_decayed_kg) * site.volume_per_dry * site.looseness
        air[RAIN] *= hours
        slow = 1.0 - math.exp(-hours / p.drain_hours)
        rain_and_drain(p, site, book, work, rings, volume / foot, air, slow, radii, heights)
        dry = check_balances(p, book, work, first, last, float(after))
        volume = dry * site.volume_per_dry * site.looseness
        record_trace(book, work, volume, foot, probe, trace[after], radii, heights)
        _fill_trace(trace, h, after)
        if keep:
            keep_fields(work, fields[after])
        h = after
    _copy_cells(cells, work, radii, heights, False)


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
    """Run members through hours.

    `span` holds first and last hour, first and last member, steps in a stride, hours of a stride
    (more than one only where `keep` is not asked for).

    `probe` is depth below the top [m] and share of the radius. Row h + 1 of `trace` (hours + 1,
    members, columns) and, if `keep`, of `fields` (hours + 1, 3, radii, heights; one member) is
    written after hour h. With no hours to run, only row `first` is written, as things stand.
    """
    for m in range(span[2], span[3]):
        _run_member(
            parameters[m], sites[m], books[m], cells[m], weather, span, probe, trace[:, m],
            fields, keep, cells.shape[2], cells.shape[3],
        )  # fmt: skip


@outermost
def run_hours_usual(
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
    """Do the same on the usual grid only: sizes known to the compiler make it twice as fast."""
    for m in range(span[2], span[3]):
        _run_member(
            parameters[m], sites[m], books[m], cells[m], weather, span, probe, trace[:, m],
            fields, keep, USUAL_RADII, USUAL_HEIGHTS,
        )  # fmt: skip
