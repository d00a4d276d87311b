"""Compiled: moist air, the draught through the heap, and the oxygen it carries.

Knows saturation, buoyancy, Darcy flow and the oxygen of every cell. Knows nothing of heat storage
or of time: everything here is a steady state of the hour.
"""

from __future__ import annotations

import math
from typing import Any

from numba import njit

from heapwright.heap.layout import OXYGEN, TEMPERATURE
from heapwright.heap.types import FloatArray

# Rows of the work space (each radii x (heights + 1)); faces first, then cells.
FLOW_R, FLOW_Z, DIFF_R, DIFF_Z, COND_R, COND_Z = range(6)
(AIR_SPACE, ACTIVITY, FACTOR, CAPACITY, MOBILITY, DRY_AIR, LIGHTNESS, DEMAND, OUTGOING) = range(
    6, 15
)
AIR_WORK_ROWS = 15


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
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


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def humidity_ratio(
    temperature_c: float, activity: float, pressure_pa: float, mass_ratio: float
) -> tuple[float, float]:
    """Return kg vapour per kg dry air over water of this activity, and its slope per K."""
    saturated, slope = saturation_pressure(min(temperature_c, 95.0))
    vapour = activity * saturated
    dry = 1.0 / (pressure_pa - vapour)
    return mass_ratio * vapour * dry, mass_ratio * activity * slope * pressure_pa * dry * dry


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def outside_air(p: Any, temperature_c: float, relative_humidity: float) -> tuple[float, float]:
    """Return the outside air's humidity ratio and its density. [kg/kg, kg/m3]"""
    saturated, _ = saturation_pressure(temperature_c)
    vapour = relative_humidity * saturated
    kelvin = temperature_c + 273.15
    dry = (p.air_pressure_pa - vapour) / (p.gas_constant_air_j_kg_k * kelvin)
    density = dry + vapour / (p.gas_constant_vapour_j_kg_k * kelvin)
    return p.vapour_to_air_mass * vapour / (p.air_pressure_pa - vapour), density


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def pore_gas(p: Any, cells: FloatArray, work: FloatArray, air_density: float) -> None:
    """Find how freely gas moves in each cell and how much lighter than outside air it is.

    Kozeny-Carman in the free air space, scaled to the permeability at one half and levelling off at
    the loosest heap's; gas density from
    temperature, vapour, and the oxygen already turned into carbon dioxide.
    """
    temperature, oxygen = cells[TEMPERATURE], cells[OXYGEN]
    space, activity = work[AIR_SPACE], work[ACTIVITY]
    scale = p.permeability_m2 * (0.25 / 0.125)
    most = p.permeability_most_m2
    for i in range(temperature.shape[0]):
        for j in range(temperature.shape[1]):
            saturated, _ = saturation_pressure(min(temperature[i, j], 95.0))
            vapour = activity[i, j] * saturated
            per_kelvin = 1.0 / (temperature[i, j] + 273.15)
            dry = (p.air_pressure_pa - vapour) * per_kelvin / p.gas_constant_air_j_kg_k
            weight = 1.0 + p.exchange_gas_weight * (p.oxygen_outside - oxygen[i, j])
            wet = vapour * per_kelvin / p.gas_constant_vapour_j_kg_k
            solid = 1.0 - space[i, j]
            pores = scale * space[i, j] * space[i, j] * space[i, j] / (solid * solid)
            pores = pores * most / (pores + most)
            work[DRY_AIR, i, j] = dry
            work[LIGHTNESS, i, j] = p.gravity_m_s2 * (air_density - dry * weight - wet)
            work[MOBILITY, i, j] = dry * pores / p.air_viscosity_pa_s


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def draught(
    p: Any,
    site: Any,
    work: FloatArray,
    rings: FloatArray,
    step_r: float,
    step_z: float,
    suction_pa: float,
    band: FloatArray,
    pressure: FloatArray,
) -> None:
    """Find the dry air crossing every face from the heap's own buoyancy. [kg/s]

    Steady Darcy flow with no gain or loss of dry air in any cell: a symmetric system for the
    pressure, solved directly (banded elimination). Outward and upward flows are positive.
    """
    mobility = work[MOBILITY]
    radii, heights = rings.shape[0], mobility.shape[1] - 1
    band[:, :] = 0.0
    pressure[:] = 0.0
    side = 2.0 * math.pi * radii * step_r * step_z * site.wall_factor * site.wall_openness
    for i in range(radii):
        for j in range(heights):
            q = j * radii + i
            here = mobility[i, j]
            if i + 1 < radii:
                there = mobility[i + 1, j]
                area = 2.0 * math.pi * (i + 1) * step_r * step_z
                freely = 2.0 * here * there / (here + there) * area / step_r
                band[q, 0] += freely
                band[q + 1, 0] += freely
                band[q, 1] -= freely
                work[FLOW_R, i, j] = freely
            else:
                freely = here * side / (0.5 * step_r)
                band[q, 0] += freely
                work[FLOW_R, i, j] = freely
            _column_face(
                site, work, rings, step_z, suction_pa, band, pressure, p.floor_openness, i, j
            )
    _solve_banded(band, pressure, radii, radii * heights)
    _flows(site, work, pressure, step_z, suction_pa, radii, heights)


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _column_face(
    site: Any,
    work: FloatArray,
    rings: FloatArray,
    step_z: float,
    suction_pa: float,
    band: FloatArray,
    pressure: FloatArray,
    floor_openness: float,
    i: int,
    j: int,
) -> None:
    """Enter the face above cell (i, j), and the foot, into the pressure system."""
    mobility, lightness, flow = work[MOBILITY], work[LIGHTNESS], work[FLOW_Z]
    radii, heights = rings.shape[0], mobility.shape[1] - 1
    q = j * radii + i
    here = mobility[i, j]
    if j == 0:
        freely = here * rings[i] * floor_openness / (0.5 * step_z)
        band[q, 0] += freely
        pressure[q] += freely * 0.5 * step_z * lightness[i, 0]
        flow[i, 0] = freely
    if j + 1 < heights:
        there = mobility[i, j + 1]
        freely = 2.0 * here * there / (here + there) * rings[i] / step_z
        push = freely * 0.5 * step_z * (lightness[i, j] + lightness[i, j + 1])
        band[q, 0] += freely
        band[q + radii, 0] += freely
        band[q, radii] -= freely
        pressure[q] -= push
        pressure[q + radii] += push
    else:
        freely = here * rings[i] * site.cover_openness / (0.5 * step_z)
        band[q, 0] += freely
        pressure[q] -= freely * (0.5 * step_z * lightness[i, j] + suction_pa)
    flow[i, j + 1] = freely


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _solve_banded(band: FloatArray, right: FloatArray, width: int, count: int) -> None:
    """Solve a symmetric banded system in place; `band[q, k]` couples unknowns q and q + k."""
    for q in range(count):
        inverse = 1.0 / band[q, 0]
        for k in range(1, width + 1):
            share = band[q, k] * inverse
            if share != 0.0:
                for m in range(k, width + 1):
                    band[q + k, m - k] -= share * band[q, m]
                right[q + k] -= share * right[q]
    for q in range(count - 1, -1, -1):
        value = right[q]
        for k in range(1, width + 1):
            value -= band[q, k] * right[q + k]
        right[q] = value / band[q, 0]


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _flows(
    site: Any,
    work: FloatArray,
    pressure: FloatArray,
    step_z: float,
    suction_pa: float,
    radii: int,
    heights: int,
) -> None:
    """Turn pressures into flows; the flow arrays hold the conductances on entry."""
    lightness = work[LIGHTNESS]
    for i in range(radii):
        for j in range(heights):
            q = j * radii + i
            outside = pressure[q + 1] if i + 1 < radii else 0.0
            work[FLOW_R, i, j] *= pressure[q] - outside
            if j == 0:
                work[FLOW_Z, i, 0] *= 0.5 * step_z * lightness[i, 0] - pressure[q]
            if j + 1 < heights:
                rise = 0.5 * step_z * (lightness[i, j] + lightness[i, j + 1])
                work[FLOW_Z, i, j + 1] *= pressure[q] - pressure[q + radii] + rise
            else:
                rise = 0.5 * step_z * lightness[i, j]
                work[FLOW_Z, i, j + 1] *= pressure[q] + suction_pa + rise


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def oxygen_sweep(p: Any, cells: FloatArray, work: FloatArray, upward: bool) -> None:
    """Carry oxygen with the draught and by diffusion, cell by cell.

    In each cell supply equals use, and use follows O2 / (half + O2): a quadratic, solved exactly.
    Any number of sweeps keeps every value between 0 and the outside air's.
    """
    oxygen = cells[OXYGEN]
    radii, heights = oxygen.shape
    for step in range(heights):
        j = step if upward else heights - 1 - step
        for i in range(radii - 1, -1, -1):
            oxygen[i, j] = _oxygen_of_cell(p, oxygen, work, i, j)


@njit(cache=True, fastmath=True, nogil=True, error_model="numpy")
def _oxygen_of_cell(p: Any, oxygen: FloatArray, work: FloatArray, i: int, j: int) -> float:
    flow_r, flow_z, diff_r, diff_z = work[FLOW_R], work[FLOW_Z], work[DIFF_R], work[DIFF_Z]
    radii, heights = oxygen.shape
    ratio = p.diffusivity_oxygen_m2_s / p.diffusivity_vapour_m2_s
    outside: float = p.oxygen_outside
    enter: float = max(-flow_r[i, j], 0.0) + ratio * diff_r[i, j]
    reach: float = enter
    brought: float = enter * (oxygen[i + 1, j] if i + 1 < radii else outside)
    if i > 0:
        enter = max(flow_r[i - 1, j], 0.0) + ratio * diff_r[i - 1, j]
        reach += enter
        brought += enter * oxygen[i - 1, j]
    enter = max(flow_z[i, j], 0.0) + ratio * diff_z[i, j]
    reach += enter
    brought += enter * (oxygen[i, j - 1] if j > 0 else outside)
    enter = max(-flow_z[i, j + 1], 0.0) + ratio * diff_z[i, j + 1]
    reach += enter
    brought += enter * (oxygen[i, j + 1] if j + 1 < heights else outside)
    half: float = p.oxygen_half
    linear: float = reach * half - brought + work[DEMAND, i, j] / p.oxygen_to_air_mass
    root = math.sqrt(linear * linear + 4.0 * reach * brought * half)
    if linear > 0.0:
        return 2.0 * brought * half / (linear + root)
    return min((root - linear) / (2.0 * reach), outside)
