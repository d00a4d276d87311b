"""Compiled: moist air, the draught through the heap, and the oxygen it carries.

Knows saturation, buoyancy, Darcy flow and the oxygen of every cell. Knows nothing of heat storage
or of time: everything here is a steady state of the hour.
"""

from __future__ import annotations

import math
from typing import Any

from heapwright.heap.kernel_compile import inner, inserted
from heapwright.heap.layout import (
    ACTIVITY,
    AIR_DENSITY,
    AIR_SPACE,
    BREATH,
    BREATH_IN_R,
    BREATH_IN_Z,
    BREATH_OUT_R,
    BREATH_OUT_Z,
    DEMAND,
    DRY_AIR,
    FLOW_R,
    FLOW_Z,
    FOOT,
    LIGHTNESS,
    MOBILITY,
    OXYGEN,
    PUSH,
    RIM_BREATH,
    RIM_FLOW,
    SATURATION,
    SHAPE_R,
    SHAPE_Z,
    SIDE,
    SUCTION,
    TALL,
    TEMPERATURE,
    TOP,
)
from heapwright.heap.types import FloatArray, IntArray


@inner
def saturation_pressure(temperature_c: float) -> tuple[float, float]:
    """Return the saturation pressure of water and its slope. [Pa, Pa/K]

    Fourth power of a polynomial of degree 5, fitted to the liquid branch of Hyland and Wexler
    (1983) from -40 to 100 degC; within 0.008 %. Below freezing it stays on the liquid branch.
    """
    s = 0.01 * temperature_c
    root = 4.97220814 + s * (
        9.0299474 + s * (4.48776705 + s * (-0.361891133 + s * (-0.422311936 + s * 0.140154026)))
    )
    slope = 9.0299474 + s * (8.9755341 + s * (-1.085673399 + s * (-1.689247744 + s * 0.70077013)))
    square = root * root
    return square * square, 0.04 * square * root * slope


@inner
def outside_air(p: Any, temperature_c: float, humidity: float) -> tuple[float, float]:
    """Return the outside air's humidity ratio and its density. [kg/kg, kg/m3]"""
    vapour = humidity * saturation_pressure(temperature_c)[0]
    kelvin = temperature_c + 273.15
    dry = (p.air_pressure_pa - vapour) / (p.gas_constant_air_j_kg_k * kelvin)
    density = dry + vapour / (p.gas_constant_vapour_j_kg_k * kelvin)
    return p.vapour_to_air_mass * vapour / (p.air_pressure_pa - vapour), density


@inner
def pore_gas(p: Any, work: FloatArray, outside: FloatArray, first: int, last: int) -> None:
    """Find how freely gas moves in each cell and how much lighter than outside air it is.

    Permeability goes with the third power of the free air space (log K linear in log air
    content) and levels off at the loosest heap's. Gas density follows from temperature, vapour,
    and the oxygen already turned into carbon dioxide.
    """
    stated, most = p.permeability_air_space, p.permeability_most_m2
    scale = p.permeability_m2 / (stated * stated * stated)
    pressure, gravity = p.air_pressure_pa, p.gravity_m_s2
    per_air, per_vapour = 1.0 / p.gas_constant_air_j_kg_k, 1.0 / p.gas_constant_vapour_j_kg_k
    per_viscosity = 1.0 / p.air_viscosity_pa_s
    heavier, oxygen_outside, density = p.exchange_gas_weight, p.oxygen_outside, outside[AIR_DENSITY]
    for c in range(first, last):
        space = work[AIR_SPACE, c]
        vapour = work[ACTIVITY, c] * work[SATURATION, c]
        per_kelvin = 1.0 / (work[TEMPERATURE, c] + 273.15)
        dry = (pressure - vapour) * per_kelvin * per_air
        weight = 1.0 + heavier * (oxygen_outside - work[OXYGEN, c])
        pores = scale * space * space * space
        freely = pores * most / (pores + most)
        work[DRY_AIR, c] = dry
        work[LIGHTNESS, c] = gravity * (density - dry * weight - vapour * per_kelvin * per_vapour)
        work[MOBILITY, c] = dry * freely * per_viscosity


@inner
def draught(
    p: Any,
    site: Any,
    work: FloatArray,
    rim: FloatArray,
    rings: FloatArray,
    sizes: tuple[float, float],
    outside: FloatArray,
    band: FloatArray,
    pressure: FloatArray,
    radii: int,
    heights: int,
) -> None:
    """Find the dry air crossing every face from the heap's own buoyancy. [kg/s]

    Steady Darcy flow with no gain or loss of dry air in any cell: a symmetric system for the
    pressure, solved directly (banded elimination). Outward and upward flows are positive.
    """
    radius, height = site.radius_m, sizes[1]
    half = 0.5 * height * work[TALL, heights]  # of the lowest level and of the topmost alike
    first, last = heights, heights + radii * heights
    per_height = 1.0 / height
    for c in range(first, last):
        here, outer, upper = work[MOBILITY, c], work[MOBILITY, c + heights], work[MOBILITY, c + 1]
        work[FLOW_R, c] = work[SHAPE_R, c] * height * here * outer / (here + outer)
        work[FLOW_Z, c] = work[SHAPE_Z, c] * per_height * here * upper / (here + upper)
        weight = work[TALL, c] * work[LIGHTNESS, c] + work[TALL, c + 1] * work[LIGHTNESS, c + 1]
        work[PUSH, c] = work[FLOW_Z, c] * 0.5 * height * weight
    half_r = 0.5 * sizes[0]
    side = 2.0 * math.pi * radius * height * site.wall_factor
    side /= half_r + p.skin_m * (1.0 / site.wall_openness - 1.0)
    per_foot = 1.0 / (half + p.skin_m * (1.0 / site.floor_openness - 1.0))
    per_top = 1.0 / (half + p.skin_m * (1.0 / site.cover_openness - 1.0))
    for q in range(band.shape[0]):
        for k in range(radii + 1):
            band[q, k] = 0.0
    for j in range(heights):
        c = last - heights + j
        rim[SIDE, RIM_FLOW, j] = work[MOBILITY, c] * work[TALL, c] * side
        band[j * radii + radii - 1, 0] = rim[SIDE, RIM_FLOW, j]
    for i in range(radii):
        c = first + i * heights
        below = work[MOBILITY, c] * rings[i] * per_foot
        above = work[MOBILITY, c + heights - 1] * rings[i] * per_top
        rim[FOOT, RIM_FLOW, i], rim[TOP, RIM_FLOW, i] = below, above
        band[i, 0] += below
        band[(heights - 1) * radii + i, 0] += above
        for j in range(heights):
            q = j * radii + i
            c = first + i * heights + j
            band[q, 0] += work[FLOW_R, c] + work[FLOW_R, c - heights] + work[FLOW_Z, c]
            band[q, 0] += work[FLOW_Z, c - 1]
            band[q, radii] = -work[FLOW_Z, c]
            band[q, 1] -= work[FLOW_R, c]
            pressure[q] = work[PUSH, c - 1] - work[PUSH, c]
        pressure[i] += below * half * work[LIGHTNESS, first + i * heights]
        pressure[(heights - 1) * radii + i] -= above * (
            half * work[LIGHTNESS, first + (i + 1) * heights - 1] + outside[SUCTION]
        )
    if radii == 6:  # the usual grid: a width known to the compiler is unrolled
        _solve_banded(band, pressure, 6, radii * heights)
    else:
        _solve_banded(band, pressure, radii, radii * heights)
    _flows(work, rim, pressure, half, outside[SUCTION], radii, heights)


@inserted
def _solve_banded(band: FloatArray, right: FloatArray, width: int, count: int) -> None:
    """Solve a symmetric banded system in place; `band[q, k]` couples unknowns q and q + k."""
    for q in range(count):
        inverse = 1.0 / band[q, 0]
        band[q, 0] = inverse
        known = right[q]
        for k in range(1, width + 1):
            share = band[q, k] * inverse
            for m in range(width + 1 - k):
                band[q + k, m] -= share * band[q, k + m]
            right[q + k] -= share * known
    for q in range(count - 1, -1, -1):
        value = right[q]
        for k in range(1, width + 1):
            value -= band[q, k] * right[q + k]
        right[q] = value * band[q, 0]


@inner
def _flows(
    work: FloatArray,
    rim: FloatArray,
    pressure: FloatArray,
    half: float,
    suction: float,
    radii: int,
    heights: int,
) -> None:
    """Turn pressures into flows; the flow rows hold the conductances on entry."""
    for i in range(radii):
        for j in range(heights):
            q = j * radii + i
            c = heights + i * heights + j
            work[FLOW_R, c] *= pressure[q] - pressure[q + 1]
            work[FLOW_Z, c] *= pressure[q] - pressure[q + radii]
            work[FLOW_Z, c] += work[PUSH, c]
        top = heights + (i + 1) * heights - 1
        q = (heights - 1) * radii + i
        rim[TOP, RIM_FLOW, i] *= pressure[q] + suction + half * work[LIGHTNESS, top]
        rim[FOOT, RIM_FLOW, i] *= pressure[i] - half * work[LIGHTNESS, heights + i * heights]
    for j in range(heights):
        rim[SIDE, RIM_FLOW, j] *= pressure[j * radii + radii - 1]


@inner
def oxygen_everywhere(p: Any, work: FloatArray, order: IntArray, heights: int) -> None:
    """Carry oxygen with the draught and by diffusion until supply and use agree in every cell.

    Sweeps from the foot's rim inwards and back, until no cell's rate changes by more than a
    thousandth, at most twice as many as there are cells from corner to corner. Any number of
    sweeps keeps every value between 0 and the outside air's.
    """
    most = 2 * (order.shape[0] // heights + heights)
    for sweep in range(most):
        if _oxygen_sweep(p, work, order, heights, sweep % 2 == 0) <= 0.0:
            break


@inner
def _oxygen_sweep(p: Any, work: FloatArray, order: IntArray, heights: int, inwards: bool) -> float:
    """Renew the oxygen of every cell once; return above 0 if a rate changed by a thousandth.

    In each cell supply equals use, and use follows O2 / (half + O2): a quadratic, solved exactly.
    """
    outer, half, per_mass = p.oxygen_outside, p.oxygen_half, 1.0 / p.oxygen_to_air_mass
    largest = -1.0
    cells = order.shape[0]
    for place in range(cells):
        c = order[place] if inwards else order[cells - 1 - place]
        reach = work[BREATH, c]
        brought = (
            work[BREATH_IN_R, c] * work[OXYGEN, c + heights]
            + work[BREATH_OUT_R, c - heights] * work[OXYGEN, c - heights]
            + work[BREATH_IN_Z, c] * work[OXYGEN, c + 1]
            + work[BREATH_OUT_Z, c - 1] * work[OXYGEN, c - 1]
            + work[RIM_BREATH, c] * outer
        )
        linear = reach * half - brought + work[DEMAND, c] * per_mass
        root = math.sqrt(linear * linear + 4.0 * reach * brought * half)
        top = 2.0 * brought * half if linear > 0.0 else root - linear
        below = linear + root if linear > 0.0 else 2.0 * reach
        found = min(top / below, outer)
        change = half * abs(found - work[OXYGEN, c])
        largest = max(largest, change - 1e-3 * (half + found) * (half + found))
        work[OXYGEN, c] = found
    return largest
