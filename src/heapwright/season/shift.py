"""How much greater the numbers of one small group are than those of another, and by what chance.

Knows exact two-sample statistics. Knows nothing of heaps, and gives no cause.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.season.compared import drawn_orders, settings

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Shift:
    """How much greater the numbers of one group are than those of another.

    Attributes
    ----------
    likely : float
        Median of all differences between one of each (Hodges and Lehmann).
    low, high : float
        The interval of it by exact ranks.
    covers : float
        How surely the interval holds the shift; few numbers do not reach the wish.
    chance, least_chance : float
        Of a difference of means at least as large by splitting at random, two-sided; and the
        smallest these numbers could give.
    is_exact : bool
        Whether every split was counted.

    """

    likely: float
    low: float
    high: float
    covers: float
    chance: float
    least_chance: float
    is_exact: bool


def shift(first: Sequence[float], second: Sequence[float]) -> Shift:
    """Return how much greater the first group's numbers are than the second's.

    The shift is the median of all differences, its interval that of Moses by the exact
    distribution of Mann and Whitney's count [1]_; the chance is Fisher's permutation test on the
    difference of means [2]_, with every split counted where they are few.

    Parameters
    ----------
    first, second : sequence of float
        At least one each.

    Raises
    ------
    OutOfRange
        If a group is empty.

    Notes
    -----
    The interval supposes that the groups differ by a shift alone, without ties.

    References
    ----------
    .. [1] M. Hollander, D. A. Wolfe, "Nonparametric Statistical Methods", 1973, ch. 4 (from
       memory).
    .. [2] R. A. Fisher, "The Design of Experiments", 1935, ch. II (from memory).

    """
    if not first or not second:
        raise OutOfRange("A group without a number", why="each group needs at least one")
    one, other = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    differences = np.sort((one[:, None] - other[None, :]).ravel())
    left_out, covers = _ends_left_out(one.size, other.size)
    chance, least, is_exact = _chance_of_split(np.concatenate([one, other]), one.size)
    return Shift(
        likely=float(np.median(differences)),
        low=float(differences[left_out]),
        high=float(differences[-1 - left_out]),
        covers=covers,
        chance=chance,
        least_chance=least,
        is_exact=is_exact,
    )


def _ends_left_out(first: int, second: int) -> tuple[int, float]:
    """Return how many differences the interval leaves out at each end, and how surely it holds."""
    below = np.cumsum(_rank_counts(first, second))
    wish = settings()["shift_covers"]
    fitting = [k for k in range(first * second // 2) if 1.0 - 2.0 * below[k] >= wish]
    left_out = max(fitting, default=0)
    return left_out, max(0.0, float(1.0 - 2.0 * below[left_out]))


@cache
def _rank_counts(first: int, second: int) -> FloatArray:
    """Return the chance of each value of Mann and Whitney's count, 0 to first x second."""
    # By the recurrence p(m, n) = m/(m+n) p(m-1, n) moved by n + n/(m+n) p(m, n-1).
    if first == 0 or second == 0:
        return np.ones(1)
    ways = np.zeros(first * second + 1)
    whole = first + second
    ways[second:] += first / whole * _rank_counts(first - 1, second)
    ways[: first * (second - 1) + 1] += second / whole * _rank_counts(first, second - 1)
    return ways


def _chance_of_split(values: FloatArray, size: int) -> tuple[float, float, bool]:
    is_exact = math.comb(values.size, size) <= settings()["most_exact_splits"]
    if is_exact:
        chosen = np.array(list(itertools.combinations(range(values.size), size)), dtype=np.intp)
    else:
        chosen = drawn_orders(values.size)[:, :size]
    centred = values - values.mean()
    sums = np.abs(centred[chosen].sum(axis=1))
    seen = abs(float(centred[:size].sum()))
    slip = 1e-9 * max(1.0, float(np.abs(centred).sum()))  # equal sums differ by rounding
    far = int((sums >= seen - slip).sum())
    farthest = int((sums >= sums.max() - slip).sum())
    if is_exact:
        return far / sums.size, farthest / sums.size, True
    return (far + 1) / (sums.size + 1), farthest / (sums.size + 1), False
