"""Draws an ensemble towards one observation: the ensemble Kalman step, made sturdy.

Knows means, spreads and correlations of members. Knows nothing of heaps: a member is a number that
was predicted and a row of values that hang together with it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange

FloatArray = NDArray[np.float64]
#: Below this spread all members say the same and nothing can be learnt from the observation.
_LEAST_SPREAD = 1e-9


@dataclass(frozen=True, slots=True)
class Step:
    """How an observation moves the members.

    Attributes
    ----------
    change : array, shape (members,)
        Of the predicted number of each member.
    surprise : float
        How far the observation lay from the mean, in standard deviations of members and error
        together; signed.
    trust : float
        1 when the observation counted with its own error; less when it was so far off that it was
        given a larger one. [0-1]

    """

    change: FloatArray
    surprise: float
    trust: float


def step_towards(
    predicted: FloatArray, observed: float, error_sd: float, *, most_surprise: float
) -> Step:
    """Return how members move when something is observed.

    The members' mean moves to the precision-weighted mean of prediction and observation, and their
    spread shrinks to the root of one over the summed precisions, without noise added (Anderson
    2001, ensemble adjustment). An observation that surprises by more than `most_surprise` is
    given the error with which it would surprise by just that, so that a single wrong reading moves
    the heap by a bounded amount (Huber's idea).

    Parameters
    ----------
    predicted : array, shape (members,)
        What each member says the observation should be.
    observed : float
    error_sd : float
        Standard deviation of the observation's error, > 0.
    most_surprise : float
        In standard deviations, > 0.

    Raises
    ------
    OutOfRange
        If a number is not finite, an error not positive or there are fewer than three members.

    References
    ----------
    [1] Anderson 2001, An ensemble adjustment Kalman filter for data assimilation, Monthly Weather
        Review 129:2884-2903 (from memory).

    """
    if predicted.size < 3 or not np.isfinite(predicted).all() or not np.isfinite(observed):
        raise OutOfRange(
            f"An observation of {observed} against {predicted.size} members",
            why="numbers are compared with at least three members",
        )
    if not (error_sd > 0 and most_surprise > 0):
        raise OutOfRange(f"An error of {error_sd:g}", why="an observation's error is above 0")
    mean, spread2 = float(predicted.mean()), float(predicted.var(ddof=1))
    miss = observed - mean
    surprise = miss / float(np.sqrt(spread2 + error_sd**2))
    error2 = max(error_sd**2, (miss / most_surprise) ** 2 - spread2)
    if spread2 < _LEAST_SPREAD**2:
        return Step(np.zeros_like(predicted), surprise, error_sd**2 / error2)
    after2 = 1.0 / (1.0 / spread2 + 1.0 / error2)
    towards = after2 * (mean / spread2 + observed / error2) - mean
    change = towards + (np.sqrt(after2 / spread2) - 1.0) * (predicted - mean)
    return Step(np.asarray(change), surprise, error_sd**2 / error2)


def carried_over(predicted: FloatArray, change: FloatArray, values: FloatArray) -> FloatArray:
    """Return how other values move with the predicted number, by their regression on it.

    With few members a correlation that is none looks like one: each regression is multiplied by
    the share of its squared correlation that is left after taking off what chance gives on
    average, 1 / (members - 1).

    Parameters
    ----------
    predicted, change : array, shape (members,)
    values : array, shape (members, values)

    Returns
    -------
    array, shape (members, values)

    """
    members = predicted.size
    from_mean = predicted - predicted.mean()
    spread2 = float(np.square(from_mean).sum())
    if spread2 < members * _LEAST_SPREAD**2:
        return np.zeros_like(values)
    others = values - values.mean(axis=0)
    slope = from_mean @ others / spread2
    of_values = np.square(others).sum(axis=0)
    squared = np.divide(
        np.square(slope) * spread2, of_values, out=np.zeros_like(slope), where=of_values > 0
    )
    by_chance = (1.0 - squared) / (members - 2)
    real = np.divide(
        np.maximum(squared - by_chance, 0.0), squared, out=np.zeros_like(slope), where=squared > 0
    )
    return np.asarray(change[:, None] * (slope * real)[None, :])
