"""What a thermometer reads: the temperature between cells where its tip sits.

Knows depth below the top and distance from the axis. Knows nothing of time or error.
"""

from __future__ import annotations

import numpy as np

from heapwright.heap import layout
from heapwright.heap.resume import Standing
from heapwright.heap.types import FloatArray, HeapRun


def probe_temperature(
    run: HeapRun, depth_m_from_top: float, radius_fraction: float = 0.0
) -> FloatArray:
    """Return what a thermometer at this depth below the top reads, hour by hour.

    The depth is counted from the top of that hour, so the tip sinks as the heap settles.

    Parameters
    ----------
    run : HeapRun
    depth_m_from_top : float
        [m]
    radius_fraction : float
        Distance from the axis, as a share of the radius. [0-1]

    Returns
    -------
    array, shape (hours+1,)
        [°C]

    """
    return _between_cells(run.temperature_c, run.height_m, depth_m_from_top, radius_fraction)


def standing_temperature(
    standing: Standing, depth_m_from_top: float, radius_fraction: float = 0.0
) -> FloatArray:
    """Return what the same thermometer reads in each of the standing heaps, shape (members,)."""
    state = standing.state
    height = state.volume_m3 / state.foot_m2
    field = state.cells[:, layout.TEMPERATURE]
    return _between_cells(field, height, depth_m_from_top, radius_fraction)


def _between_cells(
    field: FloatArray, height_m: FloatArray, depth_m: float, radius_fraction: float
) -> FloatArray:
    """Interpolate fields, shape (heaps, radii, heights), at one place in each heap."""
    radii, heights = field.shape[1:]
    from_foot = (height_m - depth_m) / height_m
    tall = layout.middles(layout.level_edges(heights))
    wide = layout.middles(layout.ring_edges(radii))
    j = np.clip(np.searchsorted(tall, from_foot) - 1, 0, heights - 2)
    upward = np.clip((from_foot - tall[j]) / (tall[j + 1] - tall[j]), 0.0, 1.0)
    i = int(np.clip(np.searchsorted(wide, radius_fraction) - 1, 0, radii - 2))
    outward = float(np.clip((radius_fraction - wide[i]) / (wide[i + 1] - wide[i]), 0.0, 1.0))
    heap = np.arange(field.shape[0])
    low = field[heap, i, j] * (1 - outward) + field[heap, i + 1, j] * outward
    high = field[heap, i, j + 1] * (1 - outward) + field[heap, i + 1, j + 1] * outward
    return np.asarray(low * (1 - upward) + high * upward)
