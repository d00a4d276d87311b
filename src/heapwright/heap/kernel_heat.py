"""Compiled: the exchange of heat and vapour between cells and with the outside, in one step.

Knows one step from known flows. The step is linear in the temperature change: radial and vertical
exchange are solved one after the other in change form (Douglas-Rachford), so the balances of heat
and water close to rounding and no step length is unstable. Knows nothing of weather or actions.

Heat is counted above each cell's own water: what leaves a cell with its vapour is the latent part,
because the water's own heat goes with the water.
"""

from __future__ import annotations

from typing import Any

from heapwright.heap.kernel_compile import inner
from heapwright.heap.layout import (
    BREATH,
    BREATH_IN_R,
    BREATH_IN_Z,
    BREATH_OUT_R,
    BREATH_OUT_Z,
    CAPACITY,
    CHANGE,
    CHANGE_R,
    CONDUCTIVITY,
    DIAGONAL_R,
    DIAGONAL_Z,
    FLOW_R,
    FLOW_Z,
    GAIN,
    HEAT,
    HEAT_R,
    HEAT_RISE,
    HEAT_Z,
    INWARD_R,
    INWARD_Z,
    LEAVING,
    LOSS_FAST,
    LOSS_MEDIUM,
    LOSS_RISE,
    LOSS_SLOW,
    LOWER_R,
    LOWER_Z,
    NET,
    OMEGA,
    OMEGA_RISE,
    OUTWARD_R,
    OUTWARD_Z,
    RIM_BREATH,
    SENSIBLE_IN_R,
    SENSIBLE_IN_Z,
    SENSIBLE_OUT_R,
    SENSIBLE_OUT_Z,
    SHAPE_R,
    SHAPE_Z,
    SPREAD,
    TEMPERATURE,
    UPPER_R,
    UPPER_Z,
    WATER_R,
    WATER_Z,
)
from heapwright.heap.types import FloatArray


@inner
def inner_exchange(p: Any, work: FloatArray, height: float, radii: int, heights: int) -> None:
    """Set what crosses the inner faces per unit: conduction, diffusion and draught together.

    OUTWARD and INWARD carry vapour [kg/s], SENSIBLE_OUT and SENSIBLE_IN heat per degree [W/K].
    """
    air_heat, last = p.air_heat_j_kg_k, heights + radii * heights
    ratio = p.diffusivity_oxygen_m2_s / p.diffusivity_vapour_m2_s
    per_height = 1.0 / height
    for c in range(heights, last):
        b = c + heights
        k, d = work[CONDUCTIVITY, c], work[SPREAD, c]
        other_k, other_d = work[CONDUCTIVITY, b], work[SPREAD, b]
        shape = work[SHAPE_R, c] * height
        led = shape * k * other_k / (k + other_k)
        spread = shape * d * other_d / (d + other_d)
        onward = max(work[FLOW_R, c], 0.0)
        backward = onward - work[FLOW_R, c]
        smeared = 0.5 * (onward + backward)
        oxygen_spread = max(ratio * spread - smeared, 0.0)
        over = max(smeared - spread, 0.0)
        spread = max(spread - smeared, 0.0)
        rise = 0.5 * (work[HEAT_RISE, c] + work[HEAT_RISE, b])
        led = max(led - over * rise - smeared * air_heat, 0.0)
        work[BREATH_OUT_R, c] = onward + oxygen_spread
        work[BREATH_IN_R, c] = backward + oxygen_spread
        work[OUTWARD_R, c] = onward + spread
        work[INWARD_R, c] = backward + spread
        work[SENSIBLE_OUT_R, c] = air_heat * onward + led
        work[SENSIBLE_IN_R, c] = air_heat * backward + led
    for c in range(heights, last):
        k, d = work[CONDUCTIVITY, c], work[SPREAD, c]
        other_k, other_d = work[CONDUCTIVITY, c + 1], work[SPREAD, c + 1]
        shape = work[SHAPE_Z, c] * per_height
        led = shape * k * other_k / (k + other_k)
        spread = shape * d * other_d / (d + other_d)
        onward = max(work[FLOW_Z, c], 0.0)
        backward = onward - work[FLOW_Z, c]
        smeared = 0.5 * (onward + backward)
        oxygen_spread = max(ratio * spread - smeared, 0.0)
        over = max(smeared - spread, 0.0)
        spread = max(spread - smeared, 0.0)
        rise = 0.5 * (work[HEAT_RISE, c] + work[HEAT_RISE, c + 1])
        led = max(led - over * rise - smeared * air_heat, 0.0)
        work[BREATH_OUT_Z, c] = onward + oxygen_spread
        work[BREATH_IN_Z, c] = backward + oxygen_spread
        work[OUTWARD_Z, c] = onward + spread
        work[INWARD_Z, c] = backward + spread
        work[SENSIBLE_OUT_Z, c] = air_heat * onward + led
        work[SENSIBLE_IN_Z, c] = air_heat * backward + led
    for c in range(heights, last):
        work[LEAVING, c] = (
            work[OUTWARD_R, c]
            + work[INWARD_R, c - heights]
            + work[OUTWARD_Z, c]
            + work[INWARD_Z, c - 1]
        )
        work[BREATH, c] = (
            work[BREATH_IN_R, c]
            + work[BREATH_OUT_R, c - heights]
            + work[BREATH_IN_Z, c]
            + work[BREATH_OUT_Z, c - 1]
        )
        work[RIM_BREATH, c] = 0.0


@inner
def inner_faces(work: FloatArray, radii: int, heights: int) -> None:
    """Set the vapour and heat crossing every inner face at the present temperatures."""
    first, last = heights, heights + radii * heights
    for c in range(first, last - heights):
        b = c + heights
        out, back = work[OUTWARD_R, c], work[INWARD_R, c]
        work[WATER_R, c] = out * work[OMEGA, c] - back * work[OMEGA, b]
        work[HEAT_R, c] = (
            out * work[HEAT, c]
            - back * work[HEAT, b]
            + work[SENSIBLE_OUT_R, c] * work[TEMPERATURE, c]
            - work[SENSIBLE_IN_R, c] * work[TEMPERATURE, b]
        )
    for c in range(first, last - 1):
        b = c + 1
        out, back = work[OUTWARD_Z, c], work[INWARD_Z, c]
        work[WATER_Z, c] = out * work[OMEGA, c] - back * work[OMEGA, b]
        work[HEAT_Z, c] = (
            out * work[HEAT, c]
            - back * work[HEAT, b]
            + work[SENSIBLE_OUT_Z, c] * work[TEMPERATURE, c]
            - work[SENSIBLE_IN_Z, c] * work[TEMPERATURE, b]
        )


@inner
def cell_equations(p: Any, work: FloatArray, seconds: float, radii: int, heights: int) -> None:
    """Write every cell's heat balance as two lines of a tridiagonal system, radial and vertical.

    One loop for each row of the system: only short loops become vector code.
    """
    first, last = heights, heights + radii * heights
    per_second, of_water = 1.0 / seconds, p.water_heat_j_kg_k
    heat_per_kg = p.heat_per_oxygen_j_kg * p.oxygen_per_solids * per_second
    for c in range(first, last):
        a = c - heights
        water = work[WATER_R, a] - work[WATER_R, c] + work[WATER_Z, c - 1] - work[WATER_Z, c]
        heat = work[HEAT_R, a] - work[HEAT_R, c] + work[HEAT_Z, c - 1] - work[HEAT_Z, c]
        work[NET, c] = heat - of_water * work[TEMPERATURE, c] * water
    for c in range(first, last):
        power = heat_per_kg * (work[LOSS_FAST, c] + work[LOSS_MEDIUM, c] + work[LOSS_SLOW, c])
        work[NET, c] += power
        work[DIAGONAL_Z, c] = work[CAPACITY, c] * per_second - power * work[LOSS_RISE, c]
    for c in range(first, last):
        own = of_water * work[TEMPERATURE, c]
        crossing = work[OUTWARD_R, c] + work[INWARD_R, c - heights]
        work[DIAGONAL_R, c] = (
            work[CAPACITY, c] * per_second
            + crossing * (work[HEAT_RISE, c] - own * work[OMEGA_RISE, c])
            + work[SENSIBLE_OUT_R, c]
            + work[SENSIBLE_IN_R, c - heights]
        )
    for c in range(first, last):
        own = of_water * work[TEMPERATURE, c]
        crossing = work[OUTWARD_Z, c] + work[INWARD_Z, c - 1]
        work[DIAGONAL_Z, c] += (
            crossing * (work[HEAT_RISE, c] - own * work[OMEGA_RISE, c])
            + work[SENSIBLE_OUT_Z, c]
            + work[SENSIBLE_IN_Z, c - 1]
        )
    _side_lines(work, of_water, first, last, heights, UPPER_R)
    _side_lines(work, of_water, first, last, 1, UPPER_Z)


@inner
def _side_lines(
    work: FloatArray, of_water: float, first: int, last: int, stride: int, upper: int
) -> None:
    """Write what the neighbours' temperature changes add: the rows beside the diagonal."""
    outward, inward = (OUTWARD_R, INWARD_R) if upper == UPPER_R else (OUTWARD_Z, INWARD_Z)
    out_led, in_led = (
        (SENSIBLE_OUT_R, SENSIBLE_IN_R) if upper == UPPER_R else (SENSIBLE_OUT_Z, SENSIBLE_IN_Z)
    )
    lower = LOWER_R if upper == UPPER_R else LOWER_Z
    for c in range(first, last):
        b = c + stride
        own = of_water * work[TEMPERATURE, c]
        work[upper, c] = (
            work[inward, c] * (own * work[OMEGA_RISE, b] - work[HEAT_RISE, b]) - work[in_led, c]
        )
    for c in range(first, last):
        a = c - stride
        own = of_water * work[TEMPERATURE, c]
        work[lower, c] = (
            work[outward, a] * (own * work[OMEGA_RISE, a] - work[HEAT_RISE, a]) - work[out_led, a]
        )


@inner
def solve_changes(work: FloatArray, seconds: float, radii: int, heights: int) -> None:
    """Solve for the temperature change: all radial lines, then all vertical lines.

    Neither sweep needs pivoting: every column is dominated by its diagonal.
    """
    first, last = heights, heights + radii * heights
    for c in range(first, last):
        lower = work[LOWER_R, c]
        pivot = 1.0 / (work[DIAGONAL_R, c] - lower * work[UPPER_R, c - heights])
        work[CHANGE_R, c] = (work[NET, c] - lower * work[CHANGE_R, c - heights]) * pivot
        work[UPPER_R, c] *= pivot
    for c in range(last - heights - 1, first - 1, -1):
        work[CHANGE_R, c] -= work[UPPER_R, c] * work[CHANGE_R, c + heights]
    per_second = 1.0 / seconds
    for j in range(heights):
        for i in range(radii):
            c = first + i * heights + j
            lower = work[LOWER_Z, c]
            right = work[CAPACITY, c] * per_second * work[CHANGE_R, c]
            pivot = 1.0 / (work[DIAGONAL_Z, c] - lower * work[UPPER_Z, c - 1])
            work[CHANGE, c] = (right - lower * work[CHANGE, c - 1]) * pivot
            work[UPPER_Z, c] *= pivot
    for j in range(heights - 2, -1, -1):
        for i in range(radii):
            c = first + i * heights + j
            work[CHANGE, c] -= work[UPPER_Z, c] * work[CHANGE, c + 1]


@inner
def inner_water(work: FloatArray, seconds: float, radii: int, heights: int) -> None:
    """Add up the vapour that went from cell to cell; the outside faces come on top. [kg]"""
    first, last = heights, heights + radii * heights
    for c in range(first, last - heights):
        b = c + heights
        work[WATER_R, c] += (
            work[OUTWARD_R, c] * work[OMEGA_RISE, c] * work[CHANGE_R, c]
            - work[INWARD_R, c] * work[OMEGA_RISE, b] * work[CHANGE_R, b]
        )
    for c in range(first, last - 1):
        work[WATER_Z, c] += (
            work[OUTWARD_Z, c] * work[OMEGA_RISE, c] * work[CHANGE, c]
            - work[INWARD_Z, c] * work[OMEGA_RISE, c + 1] * work[CHANGE, c + 1]
        )
    for c in range(first, last):
        work[GAIN, c] = seconds * (
            work[WATER_R, c - heights] - work[WATER_R, c] + work[WATER_Z, c - 1] - work[WATER_Z, c]
        )
