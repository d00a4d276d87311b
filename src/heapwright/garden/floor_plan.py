"""Lays bins out in a place, in one row, with room before them for a fork and a barrow.

Knows lengths in metres. Draws nothing and knows no code's distances.
"""

from __future__ import annotations

import math

from heapwright.errors import OutOfRange
from heapwright.garden.site import site_figures
from heapwright.garden.site_types import FloorPlan, Rect
from heapwright.wording import worded

_HAIR = 1e-9


def floor_plan(width_m: float, depth_m: float, side_m: float, wanted: int) -> FloorPlan | None:
    """Return the bins laid out; None when not one fits with its room in front.

    The row stands along the back, or along the left side where more bins fit so. Where fewer fit
    than are wanted, as many as fit; where none does, smaller bins are tried down to the smallest
    that heats.

    Parameters
    ----------
    width_m, depth_m : float
        Of the place, above 0. [m]
    side_m : float
        Of a bin, inside. [m]
    wanted : int
        At least 1.

    Raises
    ------
    OutOfRange
        If a length or the number cannot be.

    """
    if min(width_m, depth_m, side_m) <= 0 or wanted < 1:
        raise OutOfRange(
            worded(
                "A place of {width:g} by {depth:g} m for {wanted} bins of {side:g} m",
                width=width_m,
                depth=depth_m,
                wanted=wanted,
                side=side_m,
            ),
            why="each must be more than nothing",
        )
    table = site_figures()
    smallest, step = table["side_m"].low, table["side_step_m"].typical
    while True:
        along, across = _fitting(width_m, depth_m, side_m), _fitting(depth_m, width_m, side_m)
        if max(along, across) > 0:
            return _laid(width_m, depth_m, side_m, wanted, along, across)
        if side_m - step < smallest - _HAIR:
            return None
        side_m -= step


def least_room_m(side_m: float, wanted: int) -> tuple[float, float]:
    """Return the width and depth that so many bins ask for, with room in front. [m]"""
    panel, front = site_figures()["panel_m"].typical, site_figures()["front_m"].typical
    return wanted * (side_m + panel) + panel, side_m + 2 * panel + front


def _fitting(length_m: float, across_m: float, side_m: float) -> int:
    """Return how many bins fit in a row of that length, the front across it."""
    panel, front = site_figures()["panel_m"].typical, site_figures()["front_m"].typical
    if across_m + _HAIR < side_m + 2 * panel + front:
        return 0
    return max(0, math.floor((length_m - panel + _HAIR) / (side_m + panel)))


def _laid(
    width_m: float, depth_m: float, side_m: float, wanted: int, along: int, across: int
) -> FloorPlan:
    is_turned = min(across, wanted) > min(along, wanted)
    length_m, back_m = (depth_m, width_m) if is_turned else (width_m, depth_m)
    fits, panel = (across if is_turned else along), site_figures()["panel_m"].typical
    count = min(wanted, fits)
    pitch, row_m = side_m + panel, side_m + 2 * panel
    bins = [Rect(panel + pitch * n, panel, side_m, side_m) for n in range(count)]
    store = Rect(panel + pitch * count, panel, side_m, side_m) if fits > count else None
    front = Rect(0.0, row_m, length_m, back_m - row_m)
    if is_turned:
        bins, front = [_turned(one) for one in bins], _turned(front)
        store = None if store is None else _turned(store)
    return FloorPlan(
        width_m=width_m,
        depth_m=depth_m,
        side_m=side_m,
        bins=tuple(bins),
        store=store,
        front=front,
        turning_m=min(site_figures()["front_m"].typical, length_m),
        is_turned=is_turned,
        wanted=wanted,
    )


def _turned(one: Rect) -> Rect:
    return Rect(one.y_m, one.x_m, one.depth_m, one.width_m)
