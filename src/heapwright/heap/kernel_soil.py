"""Compiled: the soil under the heap, which follows the air slowly.

Knows one exponential memory. Knows nothing of heaps.
"""

from __future__ import annotations

from heapwright.heap.kernel_compile import outermost
from heapwright.heap.layout import AIR_C, SOIL_C
from heapwright.heap.types import FloatArray


@outermost
def smooth_soil(weather: FloatArray, start_c: float, weight: float) -> None:
    """Set the soil of every hour: it moves by `weight` of what parts it from that hour's air."""
    soil = start_c
    for h in range(weather.shape[0]):
        soil += weight * (weather[h, AIR_C] - soil)
        weather[h, SOIL_C] = soil
