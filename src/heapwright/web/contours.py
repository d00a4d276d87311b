"""Finds the line of equal value through a grid of values (marching squares).

Knows grids and crossings. Knows nothing of heat or drawing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]
Point = tuple[float, float]


def contour(values: Values, across: Values, up: Values, level: float) -> list[tuple[Point, Point]]:
    """Return the pieces of the line where `values` crosses `level`.

    Parameters
    ----------
    values : array, shape (len(across), len(up))
    across, up : array
        Places of the values; the grid is taken to go on unchanged to `across` = 0.
    level : float

    Returns
    -------
    list of ((across, up), (across, up))
        Straight pieces, one or two for each square the line passes, in no order.

    """
    across = np.concatenate(([0.0], across))
    values = np.concatenate((values[:1], values))
    pieces: list[tuple[Point, Point]] = []
    for i in range(len(across) - 1):
        for j in range(len(up) - 1):
            corners = ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1))
            crossings = [
                _crossing(values, across, up, level, corners[k], corners[(k + 1) % 4])
                for k in range(4)
                if (values[corners[k]] >= level) != (values[corners[(k + 1) % 4]] >= level)
            ]
            pieces += list(zip(crossings[::2], crossings[1::2], strict=True))
    return pieces


def _crossing(
    values: Values,
    across: Values,
    up: Values,
    level: float,
    one: tuple[int, int],
    other: tuple[int, int],
) -> Point:
    """Return where the line crosses the side between two corners, by straight interpolation."""
    share = float((level - values[one]) / (values[other] - values[one]))
    return (
        float(across[one[0]] + share * (across[other[0]] - across[one[0]])),
        float(up[one[1]] + share * (up[other[1]] - up[one[1]])),
    )


def chained(pieces: list[tuple[Point, Point]]) -> list[list[Point]]:
    """Return the pieces joined end to end into as few lines as they make.

    Each piece is used once; a closed line ends where it began. A piece without length, where the
    line passes through a corner of the grid, is left out.
    """
    pieces = [piece for piece in pieces if _near(piece[0]) != _near(piece[1])]
    ends: dict[Point, list[int]] = {}
    for number, piece in enumerate(pieces):
        for point in piece:
            ends.setdefault(_near(point), []).append(number)
    # Begin at loose ends, so that an open line is walked from one end to the other.
    order = sorted(
        range(len(pieces)), key=lambda i: min(len(ends[_near(point)]) for point in pieces[i])
    )
    left = set(order)
    return [_walk(first, pieces, ends, left) for first in order if first in left]


def _walk(
    first: int,
    pieces: list[tuple[Point, Point]],
    ends: dict[Point, list[int]],
    left: set[int],
) -> list[Point]:
    """Return the line that begins with one piece, taking its pieces out of `left`."""
    left.discard(first)
    start, here = pieces[first]
    if len(ends[_near(start)]) > 1 and len(ends[_near(here)]) == 1:
        start, here = here, start
    line = [start, here]
    while (following := next((i for i in ends[_near(here)] if i in left), None)) is not None:
        left.discard(following)
        one, other = pieces[following]
        here = other if _near(one) == _near(here) else one
        line.append(here)
    return line


def _near(point: Point) -> Point:
    """Two crossings of one side are the same point but for round-off."""
    return round(point[0], 9), round(point[1], 9)
