"""Finds the lines and regions of equal value in a grid of values (marching squares).

Knows grids and crossings. Knows nothing of heat or drawing. `static/cut.js` does the same in the
browser; a test holds the two together.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]
Point = tuple[float, float]
#: A side of a square: its lower or left corner, and whether it leads upward.
_Side = tuple[int, int, bool]


def isolines(values: Values, across: Values, up: Values, level: float) -> list[list[Point]]:
    """Return the lines on which `values` crosses `level`.

    Parameters
    ----------
    values : array, shape (len(across), len(up))
    across, up : array
        Places of the values.
    level : float

    Returns
    -------
    list of list of (across, up)
        Each line once, by straight interpolation along the grid; a closed one ends where it
        began, an open one at the grid's edge.

    """
    links = _links(values >= level)
    lines = [_walk(side, links) for side in list(links) if len(links[side]) == 1]
    lines += [_walk(side, links) for side in list(links) if links[side]]
    return [[_crossing(values, across, up, level, side) for side in line] for line in lines]


def regions(values: Values, across: Values, up: Values, level: float) -> list[list[Point]]:
    """Return the closed rings around everything at `level` or more, the grid's edge included.

    Filled by the even-odd rule they are exactly where `values` is at `level` or more.
    """
    wall = np.pad(values, 1, constant_values=min(level, float(values.min())) - 1.0)
    return isolines(wall, np.pad(across, 1, mode="edge"), np.pad(up, 1, mode="edge"), level)


def _links(inside: NDArray[np.bool_]) -> dict[_Side, list[_Side]]:
    """Return for each crossed side the sides that the line goes on to, one or two."""
    corners = inside[:-1, :-1], inside[1:, :-1], inside[1:, 1:], inside[:-1, 1:]
    mixed = np.logical_or.reduce(corners) & ~np.logical_and.reduce(corners)
    links: dict[_Side, list[_Side]] = {}
    for i, j in np.argwhere(mixed).tolist():
        around = (
            ((i, j, False), inside[i, j] != inside[i + 1, j]),
            ((i + 1, j, True), inside[i + 1, j] != inside[i + 1, j + 1]),
            ((i, j + 1, False), inside[i + 1, j + 1] != inside[i, j + 1]),
            ((i, j, True), inside[i, j + 1] != inside[i, j]),
        )
        crossed = [side for side, is_crossed in around if is_crossed]
        for one, other in zip(crossed[::2], crossed[1::2], strict=True):
            links.setdefault(one, []).append(other)
            links.setdefault(other, []).append(one)
    return links


def _walk(start: _Side, links: dict[_Side, list[_Side]]) -> list[_Side]:
    """Return the line from a side on, taking its links away."""
    line = [start]
    here = start
    while links[here]:
        following = links[here].pop(0)
        links[following].remove(here)
        line.append(following)
        here = following
    return line if len(line) > 1 else []


def _crossing(values: Values, across: Values, up: Values, level: float, side: _Side) -> Point:
    """Return where the line crosses a side, by straight interpolation."""
    i, j, is_upward = side
    far_i, far_j = (i, j + 1) if is_upward else (i + 1, j)
    share = float((level - values[i, j]) / (values[far_i, far_j] - values[i, j]))
    return (
        float(across[i] + share * (across[far_i] - across[i])),
        float(up[j] + share * (up[far_j] - up[j])),
    )
