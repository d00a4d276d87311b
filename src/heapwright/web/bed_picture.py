"""Draws a bed cut open, its compost layer to scale; or a pot with compost's share of the mix.

Knows lengths in millimetres and where the lines go. Knows nothing of what is advised.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.garden.beds import soil_depth_m
from heapwright.workshop.beds_answer import BedLine

#: One unit of the picture is a millimetre, the same for all beds, so that they can be compared.
WIDTH, ABOVE, BELOW = 240.0, 115.0, 310.0
POT = 300.0
_MM = 1000.0


@dataclass(frozen=True, slots=True)
class BedPicture:
    """A bed cut open; heights upwards from the ground, in units of the picture.

    Attributes
    ----------
    is_pot : bool
    low, likely, high : float
        Of the layer, or of the compost in the pot.
    laid : float
        What lies there for this round.
    dug : float
        How deep it is worked in; 0 when it stays on top.

    """

    is_pot: bool
    low: float
    likely: float
    high: float
    laid: float
    dug: float
    width: float = WIDTH
    above: float = ABOVE
    below: float = BELOW
    pot: float = POT


def bed_picture(line: BedLine) -> BedPicture:
    """Return the picture of a bed as it stands."""
    share = line.layer.share
    if share is not None:
        parts = (share.low * POT, share.typical * POT, share.high * POT)
        mix_m3 = line.bed.mix_m3 or 1.0
        return BedPicture(True, *parts, min(POT, line.laid_m3 / mix_m3 * POT), 0.0)
    depth, soil = line.layer.depth_m, soil_depth_m(line.bed.use)
    low, likely, high = (
        (0.0, 0.0, 0.0)
        if depth is None
        else tuple(min(ABOVE, x * _MM) for x in (depth.low, depth.typical, depth.high))
    )
    laid_m = line.laid_m3 / line.bed.area_m2 if line.bed.area_m2 else 0.0
    dug = 0.0 if soil is None else soil.high * _MM
    return BedPicture(False, low, likely, high, min(ABOVE, laid_m * _MM), min(BELOW, dug))
