"""How good a forecast given as members is: coverage of its band, and the CRPS.

Knows arrays only.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


def crps(members: FloatArray, truth: FloatArray) -> FloatArray:
    """Return the continuous ranked probability score of each forecast; lower is better.

    The mean distance of the members from the truth less half their mean distance from one another
    (Gneiting & Raftery 2007, equation 21, from memory). Of a single member it is the distance.

    Parameters
    ----------
    members : array, shape (forecasts, members)
    truth : array, shape (forecasts,)

    Returns
    -------
    array, shape (forecasts,)
        In the unit of the members.

    """
    count = members.shape[1]
    from_truth = np.abs(members - truth[:, None]).mean(axis=1)
    ordered = np.sort(members, axis=1)
    rank = 2.0 * np.arange(1, count + 1) - count - 1.0
    between = 2.0 * (ordered * rank).sum(axis=1) / count**2
    return np.asarray(from_truth - 0.5 * between)


def covered(members: FloatArray, truth: FloatArray, share: float) -> NDArray[np.bool_]:
    """Return whether the central band that holds `share` of the members holds the truth."""
    low, high = np.quantile(members, [0.5 - share / 2.0, 0.5 + share / 2.0], axis=1)
    return np.asarray((low <= truth) & (truth <= high))


def interval_of_mean(
    values: FloatArray, groups: NDArray[np.int64], seed: int
) -> tuple[float, float]:
    """Return the 95 % interval of a mean, by drawing whole groups anew (bootstrap).

    Forecasts of one heap hang together, so heaps are drawn and not forecasts.
    """
    rng = np.random.default_rng(seed)
    ids = np.unique(groups)
    sums = np.array([values[groups == one].sum() for one in ids])
    counts = np.array([(groups == one).sum() for one in ids])
    drawn = rng.integers(0, ids.size, (2000, ids.size))
    means = sums[drawn].sum(axis=1) / counts[drawn].sum(axis=1)
    low, high = np.quantile(means, [0.025, 0.975])
    return float(low), float(high)
