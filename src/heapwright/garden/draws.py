"""Draws of several uncertain factors that are not tied to one another, the same every time.

Knows how the draws are spread. Knows nothing of what they mean.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from heapwright.tables import Estimate

#: Enough for two steady digits of a product of five: see tests/laws/test_beds_share.py.
DRAWS = 4096
_PRIMES = (2, 3, 5, 7, 11, 13, 17)


def spread_independently(factors: Sequence[Estimate]) -> NDArray[np.float64]:
    """Return draws of each factor: evenly spread over its range, half of them below typical.

    Steps by the square roots of primes: no whole-number sum of them is a whole number, so no
    factor is tied to another.

    Parameters
    ----------
    factors : sequence of Estimate
        At most seven.

    Returns
    -------
    array, shape (factors, DRAWS)

    """
    steps = np.sqrt(np.array(_PRIMES[: len(factors)], dtype=np.float64))
    places = (np.arange(1, DRAWS + 1) * steps[:, None]) % 1.0
    ranks = (np.argsort(np.argsort(places, axis=1), axis=1) + 0.5) / DRAWS
    return np.array(
        [
            np.interp(rank, [0.0, 0.5, 1.0], [one.low, one.typical, one.high])
            for rank, one in zip(ranks, factors, strict=True)
        ]
    )
