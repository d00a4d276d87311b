"""Compiled: nitrogen set free and taken up by decay, and ammonia carried off with the air.

Knows the dissolved nitrogen of each cell and its way out through the pores. Knows nothing of heat;
what drains away with water is in `kernel_water`.
"""

from __future__ import annotations

from typing import Any

from heapwright.heap.kernel_cells import exponential, logistic
from heapwright.heap.kernel_compile import inner
from heapwright.heap.kernel_rim import rim_place
from heapwright.heap.layout import (
    AMMONIA,
    AMMONIUM,
    DRY_AIR,
    FAST,
    INWARD_R,
    INWARD_Z,
    LEAVING,
    MEDIUM,
    NITROGEN,
    OUTWARD_R,
    OUTWARD_Z,
    RIM_LEAVING,
    SLOW,
    SOLIDS_BEFORE,
    TEMPERATURE,
    WATER,
)
from heapwright.heap.types import FloatArray


@inner
def nitrogen_of_hours(
    p: Any, book: Any, work: FloatArray, rim: FloatArray, hours: float, radii: int, heights: int
) -> None:
    """Set free and bind nitrogen by what decayed since, then let ammonia move with the air."""
    first, last = heights, heights + radii * heights
    _set_free(p, work, first, last)
    _evaporate(p, work, hours, first, last)
    _carry(book, work, rim, radii, heights)
    remember_solids(work, first, last)


@inner
def remember_solids(work: FloatArray, first: int, last: int) -> None:
    """Keep each cell's volatile solids, to know later what has decayed since."""
    for c in range(first, last):
        work[SOLIDS_BEFORE, c] = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c]


@inner
def _set_free(p: Any, work: FloatArray, first: int, last: int) -> None:
    """Dissolve the nitrogen of decayed matter that microbes do not build in; or take up more."""
    needed = p.carbon_of_solids * p.microbe_carbon_share / p.microbe_c_to_n
    for c in range(first, last):
        solids = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c]
        decayed = max(work[SOLIDS_BEFORE, c] - solids, 0.0)
        held = work[NITROGEN, c] / (work[SOLIDS_BEFORE, c] + 1e-30)
        spare = max(decayed * (held - needed), -work[AMMONIUM, c])
        work[NITROGEN, c] -= spare
        work[AMMONIUM, c] += spare


@inner
def _evaporate(p: Any, work: FloatArray, hours: float, first: int, last: int) -> None:
    """Take these hours' ammonia out of each cell; keep it per leaving air until it is carried.

    The dissolved part that is free ammonia follows pH and temperature (Emerson and co-workers
    1975), its pressure over water Henry's law. Taken in implicitly: never more than there is.
    """
    in_all = 3600.0 * hours * p.water_density_kg_m3 * p.ammonia_gas_share
    for c in range(first, last):
        kelvin = work[TEMPERATURE, c] + 273.15
        strength = p.ammonia_strength + p.ammonia_strength_k / kelvin
        free = logistic(2.302585093 * (p.ammonia_ph - strength))
        lift = exponential(p.ammonia_rise_k * (1.0 / 298.15 - 1.0 / kelvin))
        room = work[DRY_AIR, c] * work[WATER, c] + 1e-30
        going = in_all * free * lift * work[LEAVING, c] / room
        taken = work[AMMONIUM, c] * going / (1.0 + going)
        work[AMMONIUM, c] -= taken
        work[AMMONIA, c] = taken / (work[LEAVING, c] + 1e-30)


@inner
def _carry(book: Any, work: FloatArray, rim: FloatArray, radii: int, heights: int) -> None:
    """Give each cell's ammonia to the cells its air goes to; what leaves the heap is booked."""
    for c in range(heights, heights + radii * heights):
        work[AMMONIUM, c] += (
            work[AMMONIA, c - heights] * work[OUTWARD_R, c - heights]
            + work[AMMONIA, c + heights] * work[INWARD_R, c]
            + work[AMMONIA, c - 1] * work[OUTWARD_Z, c - 1]
            + work[AMMONIA, c + 1] * work[INWARD_Z, c]
        )
    lost = 0.0
    for group in range(3):
        start, stride, count = rim_place(group, radii, heights)
        for k in range(count):
            lost += work[AMMONIA, start + k * stride] * rim[group, RIM_LEAVING, k]
    book.ammonia_lost_kg += lost
