"""Compiled: the exchange of heat and vapour through the outside faces: side, top and foot.

Knows walls, cover, ground and film in series with the outermost half cell, air going in and out,
and what drips back from a cover. The inner faces are in `kernel_heat`.
"""

from __future__ import annotations

import math
from typing import Any

from heapwright.heap.kernel_compile import inner
from heapwright.heap.layout import (
    BREATH,
    CHANGE,
    CHANGE_R,
    CONDUCTIVITY,
    DIAGONAL_R,
    DIAGONAL_Z,
    FILM,
    GAIN,
    HEAT,
    HEAT_RISE,
    LEAVING,
    LEFT,
    LEFT_WATER,
    LEFT_WITH_AIR,
    NET,
    OMEGA,
    OMEGA_RISE,
    OUT_C,
    OUT_HEAT,
    OUT_OMEGA,
    OUTSIDE_VALUES,
    RIM_BREATH,
    RIM_ENTERING,
    RIM_FLOW,
    RIM_LEAVING,
    RIM_LED,
    RIM_OUTWARD,
    SIDE,
    SPREAD,
    TALL,
    TEMPERATURE,
    TOP,
)
from heapwright.heap.types import FloatArray


@inner
def rim_place(group: int, radii: int, heights: int) -> tuple[int, int, int]:
    """Return first cell, step and number of the cells on the side, the top or the foot."""
    if group == SIDE:
        return heights + (radii - 1) * heights, 1, heights
    if group == TOP:
        return heights + heights - 1, heights, radii
    return heights, heights, radii


@inner
def rim_exchange(
    p: Any,
    site: Any,
    work: FloatArray,
    rim: FloatArray,
    rings: FloatArray,
    sizes: tuple[float, float],
    outside: FloatArray,
    radii: int,
    heights: int,
) -> None:
    """Set the same for the outside faces, with wall, cover, ground and film in series.

    `sizes` holds the thickness of the outermost ring and the height of the heap. [m]
    """
    step_r, height = sizes
    side = 2.0 * math.pi * site.radius_m * height * site.wall_factor
    film = 1.0 / outside[FILM]
    ratio = p.diffusivity_oxygen_m2_s / p.diffusivity_vapour_m2_s
    for group in range(3):
        start, stride, count = rim_place(group, radii, heights)
        half, resistance, openness = 0.5 * height, site.ground_resistance, site.floor_openness
        if group == SIDE:
            half, resistance, openness = (
                0.5 * step_r,
                site.wall_resistance + film,
                site.wall_openness,
            )
        elif group == TOP:
            resistance, openness = site.cover_resistance + film, site.cover_openness
        for k in range(count):
            c = start + k * stride
            area = side * work[TALL, c] if group == SIDE else rings[k]
            diffusion = work[SPREAD, c] * area * openness / p.skin_m
            depth = half if group == SIDE else half * work[TALL, c]
            led = area / (depth / work[CONDUCTIVITY, c] + resistance)
            flow = rim[group, RIM_FLOW, k]
            onward = max(flow, 0.0)
            rim[group, RIM_LEAVING, k] = onward + diffusion
            rim[group, RIM_ENTERING, k] = onward - flow + diffusion
            rim[group, RIM_OUTWARD, k] = p.air_heat_j_kg_k * onward
            rim[group, RIM_LED, k] = led
            work[LEAVING, c] += onward + diffusion
            work[RIM_BREATH, c] += onward - flow + ratio * diffusion
            work[BREATH, c] += onward - flow + ratio * diffusion


@inner
def rim_equations(
    p: Any,
    work: FloatArray,
    rim: FloatArray,
    outside: FloatArray,
    returned: float,
    radii: int,
    heights: int,
) -> None:
    """Enter the outside faces. `returned` is the share of vapour that drips back from the cover.

    What drips back has the outside air's temperature.
    """
    of_water = p.water_heat_j_kg_k
    for group in range(3):
        start, stride, count = rim_place(group, radii, heights)
        diagonal = DIAGONAL_R if group == SIDE else DIAGONAL_Z
        for k in range(count):
            c = start + k * stride
            t = work[TEMPERATURE, c]
            leaving, entering = rim[group, RIM_LEAVING, k], rim[group, RIM_ENTERING, k]
            onward, led = rim[group, RIM_OUTWARD, k], rim[group, RIM_LED, k]
            water = leaving * work[OMEGA, c] - entering * outside[OUT_OMEGA]
            drip = returned if group == TOP and water > 0.0 else 0.0
            own = of_water * (drip * outside[OUT_C] + (1.0 - drip) * t)
            backward = onward - p.air_heat_j_kg_k * rim[group, RIM_FLOW, k]
            work[NET, c] -= (
                leaving * work[HEAT, c]
                - entering * outside[OUT_HEAT]
                + onward * t
                - backward * outside[OUT_C]
                + led * (t - outside[group])
                - own * water
            )
            work[diagonal, c] += (
                leaving * (work[HEAT_RISE, c] - own * work[OMEGA_RISE, c]) + onward + led
            )


@inner
def rim_results(
    p: Any,
    work: FloatArray,
    rim: FloatArray,
    outside: FloatArray,
    seconds: float,
    returned: float,
    radii: int,
    heights: int,
) -> None:
    """Take the vapour through the outside faces from the cells.

    The last places of `outside` get what left in this step: heat led through side, top and
    foot, heat carried with the air [J], and water [kg].
    """
    of_water = p.water_heat_j_kg_k
    for k in range(LEFT, OUTSIDE_VALUES):
        outside[k] = 0.0
    for group in range(3):
        start, stride, count = rim_place(group, radii, heights)
        row = CHANGE_R if group == SIDE else CHANGE
        for k in range(count):
            c = start + k * stride
            change = work[row, c]
            t = work[TEMPERATURE, c] + change
            leaving, entering = rim[group, RIM_LEAVING, k], rim[group, RIM_ENTERING, k]
            onward = rim[group, RIM_OUTWARD, k]
            water = leaving * work[OMEGA, c] - entering * outside[OUT_OMEGA]
            drip = returned if group == TOP and water > 0.0 else 0.0
            water += leaving * work[OMEGA_RISE, c] * change
            backward = onward - p.air_heat_j_kg_k * rim[group, RIM_FLOW, k]
            outside[LEFT_WITH_AIR] += seconds * (
                leaving * (work[HEAT, c] + work[HEAT_RISE, c] * change)
                - entering * outside[OUT_HEAT]
                + onward * t
                - backward * outside[OUT_C]
                - drip * water * of_water * outside[OUT_C]
            )
            outside[LEFT + group] += seconds * rim[group, RIM_LED, k] * (t - outside[group])
            outside[LEFT_WATER] += seconds * (1.0 - drip) * water
            work[GAIN, c] -= seconds * (1.0 - drip) * water
