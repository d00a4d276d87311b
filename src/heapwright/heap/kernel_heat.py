"""Compiled: decay, heat and water of every cell over one step, implicit and conservative.

Knows one step from known flows. The step is linear in the temperature change: radial and vertical
exchange are solved one after the other in change form (Douglas-Rachford), so the balances of heat
and water close to rounding and no step length is unstable. Knows nothing of weather or actions.
"""

from __future__ import annotations

from typing import Any

from numba import njit

from heapwright.heap.kernel_air import (
    ACTIVITY,
    AIR_WORK_ROWS,
    CAPACITY,
    COND_R,
    COND_Z,
    DEMAND,
    DIFF_R,
    DIFF_Z,
    FACTOR,
    FLOW_R,
    FLOW_Z,
    OUTGOING,
    humidity_ratio,
)
from heapwright.heap.layout import (
    ASH,
    BUILD_UP,
    FAST,
    HOT_HOURS,
    INERT,
    MEDIUM,
    MET_SHARE,
    OXYGEN,
    TEMPERATURE,
    WAITING_HOURS,
    WATER,
)
from heapwright.heap.types import FloatArray

_FIRST = AIR_WORK_ROWS
OMEGA, OMEGA_RISE, HEAT, HEAT_RISE = range(_FIRST, _FIRST + 4)
NET, DIAGONAL_R, LOWER_R, UPPER_R, DIAGONAL_Z, LOWER_Z, UPPER_Z = range(_FIRST + 4, _FIRST + 11)
WATER_R, WATER_Z, CHANGE_R, CHANGE = range(_FIRST + 11, _FIRST + 15)
LOSS_FAST, LOSS_MEDIUM, LOSS_RISE, RATE, GAIN = range(_FIRST + 15, _FIRST + 20)
NEW_TEMPERATURE, NEW_WATER = range(_FIRST + 20, _FIRST + 22)
WORK_ROWS = _FIRST + 22

# Places in the vector of what surrounds the heap in this hour.
OUT_C, OUT_OMEGA, OUT_HEAT, SIDE_C, TOP_C, GROUND_C = range(6)
OUTSIDE_VALUES = 6


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def temperature_factor(p: Any, t: float) -> tuple[float, float]:
    """Return the cardinal-temperature factor (Rosso, Lobry & Flandrois 1993) and its slope."""
    low, best, high = p.temperature_lowest_c, p.temperature_best_c, p.temperature_highest_c
    if t <= low or t >= high:
        return 0.0, 0.0
    above = (t - high) * (t - low) * (t - low)
    above_slope = (t - low) * (3.0 * t - low - 2.0 * high)
    span = best - low
    below = span * (span * (t - best) - (best - high) * (best + low - 2.0 * t))
    below_slope = span * (span + 2.0 * (best - high))
    return above / below, (above_slope * below - above * below_slope) / (below * below)


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def decayed_share(x: float) -> float:
    """Return 1 - exp(-x) for 0 <= x; a rational form, never 1 or more (error x^5/720)."""
    return x / (1.0 + x * (0.5 + x * 0.08333333333333333))


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def reaction_rates(p: Any, cells: FloatArray, work: FloatArray) -> None:
    """Set each cell's relative rate without oxygen, and the oxygen it would use. [-], [kg/s]"""
    temperature, build_up = cells[TEMPERATURE], cells[BUILD_UP]
    fast, medium = cells[FAST], cells[MEDIUM]
    per_second = p.oxygen_per_solids / 86400.0
    for i in range(temperature.shape[0]):
        for j in range(temperature.shape[1]):
            factor, slope = temperature_factor(p, temperature[i, j])
            rate = factor * work[FACTOR, i, j]
            work[RATE, i, j] = rate
            work[LOSS_RISE, i, j] = slope / factor if factor > 1e-9 else 0.0
            use = p.fast_rate_per_day * fast[i, j] + p.medium_rate_per_day * medium[i, j]
            work[DEMAND, i, j] = per_second * rate * build_up[i, j] * use


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def local_terms(p: Any, cells: FloatArray, work: FloatArray, seconds: float) -> None:
    """Set what each cell does by itself in this step: decay, and the moisture of its air.

    The air's water and heat are straight lines about the present temperature. Where a step could
    take out much of a cell's water, its activity is held down so that it cannot run dry.
    """
    temperature, water, oxygen = cells[TEMPERATURE], cells[WATER], cells[OXYGEN]
    days = seconds / 86400.0
    heat_per_kg = p.heat_per_oxygen_j_kg * p.oxygen_per_solids
    for i in range(temperature.shape[0]):
        for j in range(temperature.shape[1]):
            t = temperature[i, j]
            omega, rise = humidity_ratio(
                t, work[ACTIVITY, i, j], p.air_pressure_pa, p.vapour_to_air_mass
            )
            drawn = 2.0 * seconds * work[OUTGOING, i, j] * omega / (water[i, j] + 1e-9)
            kept = (1.0 + drawn) / (1.0 + drawn * (1.0 + drawn))
            omega *= kept
            rise *= kept
            vapour = p.latent_heat_j_kg + p.vapour_heat_j_kg_k * t
            work[OMEGA, i, j] = omega
            work[OMEGA_RISE, i, j] = rise
            work[HEAT, i, j] = omega * vapour
            work[HEAT_RISE, i, j] = rise * vapour + omega * p.vapour_heat_j_kg_k
            air = oxygen[i, j] / (p.oxygen_half + oxygen[i, j])
            done = work[RATE, i, j] * air * cells[BUILD_UP, i, j] * days
            lost_fast = cells[FAST, i, j] * decayed_share(done * p.fast_rate_per_day)
            lost_medium = cells[MEDIUM, i, j] * decayed_share(done * p.medium_rate_per_day)
            work[LOSS_FAST, i, j] = lost_fast
            work[LOSS_MEDIUM, i, j] = lost_medium
            power = heat_per_kg * (lost_fast + lost_medium) / seconds
            capacity = work[CAPACITY, i, j] / seconds
            # A falling rate is taken in whole (stable), a rising one at mid step (accurate).
            relative = work[LOSS_RISE, i, j]
            if relative > 0.0:
                relative = min(0.5 * relative, 0.4 * capacity / (power + 1e-30))
            work[LOSS_RISE, i, j] = relative
            work[NET, i, j] = power
            work[DIAGONAL_R, i, j] = capacity
            work[DIAGONAL_Z, i, j] = capacity - power * relative
            work[LOWER_R, i, j] = work[UPPER_R, i, j] = 0.0
            work[LOWER_Z, i, j] = work[UPPER_Z, i, j] = 0.0


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def inner_faces(p: Any, cells: FloatArray, work: FloatArray) -> None:
    """Enter the exchange between neighbouring cells into both systems."""
    radii, heights = cells.shape[1], cells.shape[2]
    for i in range(radii - 1):
        for j in range(heights):
            face = (work[FLOW_R, i, j], work[DIFF_R, i, j], work[COND_R, i, j])
            work[WATER_R, i, j] = _join(
                p, cells[TEMPERATURE], work, face, (i, j, i + 1, j), DIAGONAL_R
            )
    for i in range(radii):
        for j in range(heights - 1):
            face = (work[FLOW_Z, i, j + 1], work[DIFF_Z, i, j + 1], work[COND_Z, i, j + 1])
            work[WATER_Z, i, j + 1] = _join(
                p, cells[TEMPERATURE], work, face, (i, j, i, j + 1), DIAGONAL_Z
            )


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _join(
    p: Any,
    temperature: FloatArray,
    work: FloatArray,
    face: tuple[float, ...],
    pair: tuple[int, int, int, int],
    diagonal: int,
) -> float:
    """Exchange between cell a and its outer or upper neighbour b; return vapour a to b [kg/s].

    Heat is counted above each cell's own water: what leaves a cell with its vapour is the latent
    part, because the water's own heat goes with the water. The rows below the diagonal and above
    it follow the diagonal's row in the work space.
    """
    flow, diffusion, conduction = face
    ai, aj, bi, bj = pair
    onward = max(flow, 0.0)
    backward = onward - flow
    from_a, from_b = onward + diffusion, backward + diffusion
    t_a, t_b = temperature[ai, aj], temperature[bi, bj]
    water: float = from_a * work[OMEGA, ai, aj] - from_b * work[OMEGA, bi, bj]
    heat = (
        from_a * work[HEAT, ai, aj]
        - from_b * work[HEAT, bi, bj]
        + p.air_heat_j_kg_k * (onward * t_a - backward * t_b)
        + conduction * (t_a - t_b)
    )
    rise_a = from_a * work[HEAT_RISE, ai, aj] + p.air_heat_j_kg_k * onward + conduction
    rise_b = from_b * work[HEAT_RISE, bi, bj] + p.air_heat_j_kg_k * backward + conduction
    water_a = p.water_heat_j_kg_k * from_a * work[OMEGA_RISE, ai, aj]
    water_b = p.water_heat_j_kg_k * from_b * work[OMEGA_RISE, bi, bj]
    work[NET, ai, aj] -= heat - p.water_heat_j_kg_k * t_a * water
    work[NET, bi, bj] += heat - p.water_heat_j_kg_k * t_b * water
    work[diagonal, ai, aj] += rise_a - t_a * water_a
    work[diagonal, bi, bj] += rise_b - t_b * water_b
    work[diagonal + 1, bi, bj] = t_b * water_a - rise_a
    work[diagonal + 2, ai, aj] = t_a * water_b - rise_b
    return water


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def outer_face(
    p: Any,
    cells: FloatArray,
    work: FloatArray,
    outside: FloatArray,
    face: tuple[float, ...],
    i: int,
    j: int,
    diagonal: int,
) -> None:
    """Enter one outside face of cell (i, j) into the system. Positive is outward.

    `face` holds flow, diffusion, conduction, the surface's temperature and the share of rising
    vapour that drips back (at the outside air's temperature).
    """
    flow, diffusion, conduction, surface_c, returned = face
    onward = max(flow, 0.0)
    leaving, entering = onward + diffusion, onward - flow + diffusion
    t = cells[TEMPERATURE, i, j]
    water = leaving * work[OMEGA, i, j] - entering * outside[OUT_OMEGA]
    drip = returned if water > 0.0 else 0.0
    own = p.water_heat_j_kg_k * (drip * outside[OUT_C] + (1.0 - drip) * t)
    work[NET, i, j] -= (
        leaving * work[HEAT, i, j]
        - entering * outside[OUT_HEAT]
        + p.air_heat_j_kg_k * (onward * t - (onward - flow) * outside[OUT_C])
        + conduction * (t - surface_c)
        - own * water
    )
    work[diagonal, i, j] += (
        leaving * work[HEAT_RISE, i, j]
        + p.air_heat_j_kg_k * onward
        + conduction
        - own * leaving * work[OMEGA_RISE, i, j]
    )


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def outer_result(
    p: Any,
    cells: FloatArray,
    work: FloatArray,
    outside: FloatArray,
    face: tuple[float, ...],
    change: float,
    i: int,
    j: int,
) -> tuple[float, float, float]:
    """Return what left through an outside face: water [kg/s], heat with air, by conduction [W]."""
    flow, diffusion, conduction, surface_c, returned = face
    onward = max(flow, 0.0)
    leaving, entering = onward + diffusion, onward - flow + diffusion
    t = cells[TEMPERATURE, i, j]
    water = leaving * work[OMEGA, i, j] - entering * outside[OUT_OMEGA]
    drip = returned if water > 0.0 else 0.0
    water += leaving * work[OMEGA_RISE, i, j] * change
    air = (
        leaving * (work[HEAT, i, j] + work[HEAT_RISE, i, j] * change)
        - entering * outside[OUT_HEAT]
        + p.air_heat_j_kg_k * (onward * (t + change) - (onward - flow) * outside[OUT_C])
        - drip * water * p.water_heat_j_kg_k * outside[OUT_C]
    )
    return (1.0 - drip) * water, air, conduction * (t + change - surface_c)


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def solve_changes(
    work: FloatArray, radii: int, heights: int, seconds: float, capacity_row: int
) -> None:
    """Solve for the temperature change: all radial lines, then all vertical lines.

    Neither sweep needs pivoting: every column is dominated by its diagonal.
    """
    net, change = work[CHANGE_R], work[CHANGE]
    for i in range(radii):
        for j in range(heights):
            lower = work[LOWER_R, i, j]
            if i > 0:
                pivot = 1.0 / (work[DIAGONAL_R, i, j] - lower * work[UPPER_R, i - 1, j])
                net[i, j] = (work[NET, i, j] - lower * net[i - 1, j]) * pivot
            else:
                pivot = 1.0 / work[DIAGONAL_R, i, j]
                net[i, j] = work[NET, i, j] * pivot
            work[UPPER_R, i, j] *= pivot
    for i in range(radii - 2, -1, -1):
        for j in range(heights):
            net[i, j] -= work[UPPER_R, i, j] * net[i + 1, j]
    per_second = 1.0 / seconds
    for j in range(heights):
        for i in range(radii):
            right = work[capacity_row, i, j] * per_second * net[i, j]
            lower = work[LOWER_Z, i, j]
            if j > 0:
                pivot = 1.0 / (work[DIAGONAL_Z, i, j] - lower * work[UPPER_Z, i, j - 1])
                change[i, j] = (right - lower * change[i, j - 1]) * pivot
            else:
                pivot = 1.0 / work[DIAGONAL_Z, i, j]
                change[i, j] = right * pivot
            work[UPPER_Z, i, j] *= pivot
    for j in range(heights - 2, -1, -1):
        for i in range(radii):
            change[i, j] -= work[UPPER_Z, i, j] * change[i, j + 1]


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def inner_water(cells: FloatArray, work: FloatArray, seconds: float) -> None:
    """Add up the vapour that went from cell to cell; the outside faces come on top. [kg]"""
    radii, heights = cells.shape[1], cells.shape[2]
    gain = work[GAIN]
    for i in range(radii):
        for j in range(heights):
            gain[i, j] = 0.0
    for i in range(radii - 1):
        for j in range(heights):
            flow = work[FLOW_R, i, j]
            onward = max(flow, 0.0)
            moved = seconds * (
                work[WATER_R, i, j]
                + (onward + work[DIFF_R, i, j]) * work[OMEGA_RISE, i, j] * work[CHANGE_R, i, j]
                - (onward - flow + work[DIFF_R, i, j])
                * (work[OMEGA_RISE, i + 1, j] * work[CHANGE_R, i + 1, j])
            )
            gain[i, j] -= moved
            gain[i + 1, j] += moved
    for i in range(radii):
        for j in range(heights - 1):
            flow = work[FLOW_Z, i, j + 1]
            onward = max(flow, 0.0)
            moved = seconds * (
                work[WATER_Z, i, j + 1]
                + (onward + work[DIFF_Z, i, j + 1]) * work[OMEGA_RISE, i, j] * work[CHANGE, i, j]
                - (onward - flow + work[DIFF_Z, i, j + 1])
                * (work[OMEGA_RISE, i, j + 1] * work[CHANGE, i, j + 1])
            )
            gain[i, j] -= moved
            gain[i, j + 1] += moved


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def new_values(p: Any, cells: FloatArray, work: FloatArray, seconds: float) -> tuple[float, float]:
    """Find each cell's new water and temperature; return the largest change and least water.

    Nothing is changed yet: the caller takes the step or tries a shorter one. Heat is carried as an
    amount, so the new temperature is heat over the new capacity.
    """
    heat_per_kg = p.heat_per_oxygen_j_kg * p.oxygen_per_solids
    largest, least = 0.0, 1.0e30
    for i in range(cells.shape[1]):
        for j in range(cells.shape[2]):
            change, t = work[CHANGE, i, j], cells[TEMPERATURE, i, j]
            lost_fast, lost_medium = work[LOSS_FAST, i, j], work[LOSS_MEDIUM, i, j]
            planned = (lost_fast + lost_medium) * (1.0 + work[LOSS_RISE, i, j] * change)
            scale = max(0.0, 1.0 + work[LOSS_RISE, i, j] * change)
            lost_fast = min(lost_fast * scale, cells[FAST, i, j])
            lost_medium = min(lost_medium * scale, cells[MEDIUM, i, j])
            work[LOSS_FAST, i, j] = lost_fast
            work[LOSS_MEDIUM, i, j] = lost_medium
            lost = lost_fast + lost_medium
            water = cells[WATER, i, j] + work[GAIN, i, j] + p.water_per_solids * lost
            capacity = (
                work[CAPACITY, i, j]
                - p.solids_heat_j_kg_k * lost
                + p.water_heat_j_kg_k * (water - cells[WATER, i, j])
            )
            # Heat above this cell's old temperature, over the new capacity.
            excess = work[CAPACITY, i, j] * change + heat_per_kg * (lost - planned)
            step = excess / capacity
            work[NEW_WATER, i, j] = water
            work[NEW_TEMPERATURE, i, j] = t + step
            largest = max(largest, abs(step))
            least = min(least, water)
    return largest, least


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def take_step(p: Any, cells: FloatArray, work: FloatArray, seconds: float) -> tuple[float, float]:
    """Make the new values the present ones; return dry mass decayed and heat of matter changed.

    Decayed matter takes its own heat along and made water brings its own, both at the cell's
    temperature: the heat of reaction is stated at that temperature.
    """
    hours, hot = seconds / 3600.0, 55.0
    decayed, matter = 0.0, 0.0
    growth = 2.302585093 / p.build_up_tenfold_days * seconds / 86400.0
    matter_heat = p.water_heat_j_kg_k * p.water_per_solids - p.solids_heat_j_kg_k
    for i in range(cells.shape[1]):
        for j in range(cells.shape[2]):
            before, after = cells[TEMPERATURE, i, j], work[NEW_TEMPERATURE, i, j]
            lost = work[LOSS_FAST, i, j] + work[LOSS_MEDIUM, i, j]
            decayed += lost
            matter += matter_heat * before * lost
            cells[FAST, i, j] -= work[LOSS_FAST, i, j]
            cells[MEDIUM, i, j] -= work[LOSS_MEDIUM, i, j]
            cells[WATER, i, j] = work[NEW_WATER, i, j]
            cells[TEMPERATURE, i, j] = after
            air = cells[OXYGEN, i, j] / (p.oxygen_half + cells[OXYGEN, i, j])
            x = growth * work[RATE, i, j] * air
            grown = (1.0 + x * (0.5 + x / 12.0)) / (1.0 + x * (x / 12.0 - 0.5))
            share = cells[BUILD_UP, i, j]
            cells[BUILD_UP, i, j] = share * grown / (1.0 - share + share * grown)
            if before >= hot or after >= hot:
                high, low = max(before, after), min(before, after)
                spent = hours * (1.0 if low >= hot else (high - hot) / (high - low))
                cells[HOT_HOURS, i, j] += spent
                cells[WAITING_HOURS, i, j] += spent
                if cells[WAITING_HOURS, i, j] >= 72.0:
                    cells[MET_SHARE, i, j] = 1.0
    return decayed, matter


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def cell_capacity(p: Any, cells: FloatArray, i: int, j: int) -> float:
    """Return the heat capacity of a cell's dry matter and water. [J/K]"""
    dry = cells[FAST, i, j] + cells[MEDIUM, i, j] + cells[INERT, i, j] + cells[ASH, i, j]
    capacity: float = p.solids_heat_j_kg_k * dry + p.water_heat_j_kg_k * cells[WATER, i, j]
    return capacity
