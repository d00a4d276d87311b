"""Tells what a new heap should be like, from the table of target bands.

Knows the sourced bands and how the usual wishes are made of them. Knows nothing of materials.
"""

from __future__ import annotations

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.mixing.types import Band, Wishes
from heapwright.tables import Estimate, parameter_table
from heapwright.wording import worded

#: Places that ask for different moisture (rows `wish_moisture_*`).
CLIMATES = ("dry", "temperate", "rainy")


def target(row: str) -> Estimate:
    """Return a row of `data/targets.csv`; its low and high are the ends of the band."""
    return parameter_table("heapwright.mixing", "data/targets.csv")[row]


def band(row: str) -> Band:
    """Return a row of `data/targets.csv` as a wished band with its typical value as ideal."""
    found = target(row)
    return Band(found.low, found.high, found.typical, found.source)


def default_wishes(bin_volume_m3: float, climate: str = "dry") -> Wishes:
    """Return what a recipe for a bin should meet unless the person wishes otherwise.

    Parameters
    ----------
    bin_volume_m3 : float
        Inner volume of the bin, > 0. The heap is to fill it, and at least four fifths of it or
        the smallest heap that heats, whichever is less. [m³]
    climate : {"dry", "temperate", "rainy"}, default "dry"
        How wet to build: a heap in a dry place starts wetter because it dries.

    Returns
    -------
    Wishes

    Raises
    ------
    OutOfRange, NotUnderstood
        If the volume is not above 0 or the climate is not one of those.

    """
    if not 0 < bin_volume_m3 < float("inf"):
        raise OutOfRange(
            worded("The bin's volume is {bin_volume_m3:g} m³", bin_volume_m3=bin_volume_m3),
            why="a bin that can be filled has a volume above 0",
            instead="Give its inner width, depth and height",
        )
    if climate not in CLIMATES:
        raise NotUnderstood(
            worded("The climate {climate!r} is not known", climate=climate),
            why="it decides how wet to build",
            instead=worded("Choose one of {climates}", climates=", ".join(CLIMATES)),
        )
    return Wishes(
        volume_m3=_volume_band(bin_volume_m3),
        c_to_n=band("wish_c_to_n"),
        moisture=band(f"wish_moisture_{climate}"),
        bulk_density_kg_m3=band("wish_bulk_density"),
        free_air_space=band("wish_free_air_space"),
    )


def _volume_band(bin_volume_m3: float) -> Band:
    least_heap = target("wish_least_heap_m3")
    least = min(least_heap.typical, target("wish_least_share_of_bin").typical * bin_volume_m3)
    return Band(least, bin_volume_m3, bin_volume_m3, least_heap.source)
