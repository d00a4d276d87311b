"""Compiled: how the heap is cut into cells: edges of rings and levels, shapes of the faces.

Knows geometry only; the grading of the grid stands in `layout`, with its plain form.
"""

from __future__ import annotations

import math

import numpy as np

from heapwright.heap.kernel_compile import inner
from heapwright.heap.layout import (
    LEVEL_GRADING,
    PER_AREA,
    RING_GRADING,
    SHAPE_R,
    SHAPE_Z,
    TALL,
)
from heapwright.heap.types import FloatArray, IntArray


@inner
def ring_edge(place: int, radii: int) -> float:
    """Return the edge of a ring as a share of the radius (see `layout.ring_edges`)."""
    share = place / radii
    edge: float = share * (1.0 + RING_GRADING - RING_GRADING * share)
    return edge


@inner
def ring_middle(i: int, radii: int) -> float:
    """Return the middle of a ring as a share of the radius."""
    middle: float = 0.5 * (ring_edge(i, radii) + ring_edge(i + 1, radii))
    return middle


@inner
def level_edge(place: int, heights: int) -> float:
    """Return the edge of a level as a share of the height (see `layout.level_edges`)."""
    share = place / heights
    edge: float = share - LEVEL_GRADING * math.sin(2.0 * math.pi * share) / (2.0 * math.pi)
    return edge


@inner
def shapes(work: FloatArray, rings: FloatArray, radius: float, radii: int, heights: int) -> None:
    """Set ring areas and the shape of every inner face; faces that do not exist get zero.

    Twice the area over the distance, for the harmonic mean of two cells, of a heap one metre
    high: radial faces grow with its height, upright ones shrink.
    """
    for i in range(radii):
        near, far = ring_edge(i, radii), ring_edge(i + 1, radii)
        rings[i] = math.pi * radius * radius * (far * far - near * near)
        # Twice the face over the distance from middle to middle.
        round_face = 8.0 * math.pi * far / (ring_edge(i + 2, radii) - near)
        for j in range(heights):
            c = heights + i * heights + j
            tall = level_edge(j + 1, heights) - level_edge(j, heights)
            both = level_edge(j + 2, heights) - level_edge(j, heights)
            work[TALL, c] = tall
            work[PER_AREA, c] = 1.0 / (rings[i] * tall)
            work[SHAPE_R, c] = round_face * tall if i + 1 < radii else 0.0
            work[SHAPE_Z, c] = 4.0 * rings[i] / both if j + 1 < heights else 0.0


@inner
def from_rim_inwards(radii: int, heights: int) -> IntArray:
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
