"""Weighs the members of an ensemble by how well each agrees with the thermometer.

Knows tempered importance weights and weighted quantiles. Knows nothing of heaps: a member is a row
of predicted temperatures. This is the thin form of fitting; a sequential one can replace it behind
`weigh_members`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange

FloatArray = NDArray[np.float64]
#: Halvings in the search for the temper; 2**-40 of the range is far below what matters.
BISECTIONS = 40


@dataclass(frozen=True, slots=True)
class Weights:
    """How much each member counts, and how the readings fared.

    Attributes
    ----------
    weight : array, shape (members,)
        Sums to 1.
    temper : float
        Power the likelihood was softened by so that enough members count; 1 means not softened,
        near 0 means that the readings and the model hardly agree. [0-1]
    effective_members : float
        1 / sum of squared weights.
    doubtful : tuple of int
        Indices of readings that lie far from what every member says.

    """

    weight: FloatArray
    temper: float
    effective_members: float
    doubtful: tuple[int, ...]


def weigh_members(
    predicted_c: FloatArray,
    observed_c: FloatArray,
    *,
    error_sd_c: float,
    least_members: float,
    doubtful_sds: float,
    other_misfit: FloatArray | None = None,
) -> Weights:
    """Weigh members by a Gaussian likelihood, tempered so that enough of them still count.

    The likelihood is raised to the largest power in [0, 1] that leaves `least_members` effective
    members; the power is found by bisection, because the effective number falls as it rises.

    Parameters
    ----------
    predicted_c : array, shape (readings, members)
        What each member says at each reading. [°C]
    observed_c : array, shape (readings,)
        What was read. [°C]
    error_sd_c : float
        Standard deviation of reading and model error together, > 0. [°C]
    least_members : float
        Effective members to keep; at most the number of members.
    doubtful_sds : float
        A reading farther than this many `error_sd_c` from every member is doubtful and is not
        counted.
    other_misfit : array, shape (members,), optional
        Minus log likelihood of each member from other witnesses, such as a squeeze test.

    Returns
    -------
    Weights

    Raises
    ------
    OutOfRange
        If shapes disagree, a number is not finite or `error_sd_c` is not positive.

    Notes
    -----
    Readings are taken as independent; readings an hour apart are not, so many of them make the
    weights too sure before tempering. Known bias: the band is that of the sampled members; truth
    outside their range is not covered.

    """
    _check(predicted_c, observed_c, error_sd_c)
    members = predicted_c.shape[1]
    distance = np.abs(predicted_c - observed_c[:, None]) / error_sd_c
    doubtful = distance.min(axis=1) > doubtful_sds if members else np.zeros(0, dtype=bool)
    misfit = 0.5 * np.square(distance[~doubtful]).sum(axis=0)
    if other_misfit is not None:
        misfit = misfit + other_misfit
    temper = _temper(misfit, min(float(least_members), float(members)))
    weight = _softened(misfit, temper)
    return Weights(
        weight=weight,
        temper=temper,
        effective_members=_effective(weight),
        doubtful=tuple(int(i) for i in np.flatnonzero(doubtful)),
    )


def misfit_outside(values: FloatArray, low: float, high: float, sd: float) -> FloatArray:
    """Return how badly each member misses an interval that a hand test gave.

    Parameters
    ----------
    values : array, shape (members,)
    low, high : float
        The interval; inside it the misfit is 0.
    sd : float
        How fast it grows outside, in the unit of `values`, > 0.

    Returns
    -------
    array, shape (members,)
        Minus log likelihood: half the squared distance in `sd`.

    """
    distance = np.maximum(np.maximum(low - values, values - high), 0.0) / sd
    return np.asarray(0.5 * np.square(distance), dtype=np.float64)


def weighted_quantiles(values: FloatArray, weight: FloatArray, levels: FloatArray) -> FloatArray:
    """Return quantiles over the members, for each time.

    Each sorted member stands at the middle of its weight and the levels are interpolated between.

    Parameters
    ----------
    values : array, shape (times, members)
    weight : array, shape (members,)
        Not negative, sums to 1.
    levels : array, shape (levels,)
        In [0, 1].

    Returns
    -------
    array, shape (levels, times)

    """
    order = np.argsort(values, axis=1)
    ordered = np.take_along_axis(values, order, axis=1)
    weights = weight[order]
    middles = np.cumsum(weights, axis=1) - 0.5 * weights
    result = np.empty((levels.shape[0], values.shape[0]))
    for time in range(values.shape[0]):
        result[:, time] = np.interp(levels, middles[time], ordered[time])
    return result


def _softened(misfit: FloatArray, temper: float) -> FloatArray:
    raw = np.exp(-temper * (misfit - misfit.min()))
    return np.asarray(raw / raw.sum(), dtype=np.float64)


def _effective(weight: FloatArray) -> float:
    return float(1.0 / np.square(weight).sum())


def _temper(misfit: FloatArray, least_members: float) -> float:
    if _effective(_softened(misfit, 1.0)) >= least_members:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        if _effective(_softened(misfit, middle)) >= least_members:
            low = middle
        else:
            high = middle
    return low


def _check(predicted_c: FloatArray, observed_c: FloatArray, error_sd_c: float) -> None:
    if predicted_c.ndim != 2 or predicted_c.shape[0] != observed_c.shape[0]:
        raise OutOfRange(
            f"{observed_c.shape[0]} readings against predictions of shape {predicted_c.shape}",
            why="each reading needs one prediction per member",
        )
    if predicted_c.shape[1] == 0:
        raise OutOfRange("An ensemble without members", why="there is nothing to weigh")
    if not (np.isfinite(predicted_c).all() and np.isfinite(observed_c).all()):
        raise OutOfRange("A temperature that is not a number", why="it cannot be compared")
    if not error_sd_c > 0:
        raise OutOfRange(f"Reading error {error_sd_c} °C", why="it must be more than 0")
