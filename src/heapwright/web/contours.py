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
