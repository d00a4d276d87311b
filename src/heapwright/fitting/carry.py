"""Carries what the model missed at each reading into the hours around it.

Knows interpolation and decay of a miss in time. Knows nothing of heaps. With `weigh` it is the
thin form of fitting; a sequential one replaces both.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange

FloatArray = NDArray[np.float64]


def carried(
    predicted_c: FloatArray,
    reading_hours: FloatArray,
    observed_c: FloatArray,
    *,
    gain: float,
    carry_hours: float,
) -> FloatArray:
    """Return predictions drawn towards the readings, each member by its own miss.

    At a reading a member moves by `gain` times its miss; between readings the miss is
    interpolated in time; before the first it grows from nothing at the start; after the last it
    decays as exp(-t / carry_hours).

    Parameters
    ----------
    predicted_c : array, shape (hours, members)
        Hourly predictions from the start. [°C]
    reading_hours : array, shape (readings,)
        When each reading was taken, hours after the start, rising, inside the run.
    observed_c : array, shape (readings,)
        [°C]
    gain : float
        Share of a miss that is the model's and not the reading's: model variance over the sum of
        both, as in an optimal linear estimate. [0-1]
    carry_hours : float
        Time constant, > 0. [h]

    Returns
    -------
    array, shape (hours, members)

    Raises
    ------
    OutOfRange
        If the gain or the time constant cannot be.

    """
    if not 0 <= gain <= 1 or not carry_hours > 0:
        raise OutOfRange(
            f"A gain of {gain:g} over {carry_hours:g} hours",
            why="a gain lies between 0 and 1 and the time is above 0",
        )
    if reading_hours.size == 0:
        return predicted_c
    hours = np.arange(predicted_c.shape[0], dtype=np.float64)
    index = np.rint(reading_hours).astype(np.int64)
    miss = gain * (observed_c[:, None] - predicted_c[index])
    weights = _interpolation(hours, index.astype(np.float64), carry_hours)
    return np.asarray(predicted_c + weights @ miss, dtype=np.float64)


def _interpolation(hours: FloatArray, at: FloatArray, carry_hours: float) -> FloatArray:
    """Return how much each reading's miss counts at each hour, shape (hours, readings)."""
    weights = np.empty((hours.size, at.size))
    for reading in range(at.size):
        one = np.zeros(at.size)
        one[reading] = 1.0
        weights[:, reading] = np.interp(hours, np.append(0.0, at), np.append(0.0, one))
    after = hours > at[-1]
    weights[after] = 0.0
    weights[after, -1] = np.exp(-(hours[after] - at[-1]) / carry_hours)
    return weights
