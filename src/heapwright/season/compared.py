"""What a few heaps say together, pair by pair, and how easily chance alone would do the same.

Knows rank statistics for few numbers, some of them known only as "between" two values. Knows
nothing of heaps, and gives no cause: heaps of a garden were not drawn by lot.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.season.between import Between
from heapwright.tables import parameter_table
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
_SEED = 1938  # fixed, so that the same heaps always give the same answer


@cache
def settings() -> dict[str, float]:
    """Return the typical values of `data/compared.csv`."""
    table = parameter_table("heapwright.season", "data/compared.csv")
    return {name: row.typical for name, row in table.items()}


@dataclass(frozen=True, slots=True)
class Pairs:
    """How often the heap with more of one thing has more of the other, pair by pair.

    Attributes
    ----------
    agree, against, undecided : int
        Pairs of heaps; undecided where one is equal or not known well enough.
    chance : float
        How often shuffled numbers lean at least as far to either side: the two-sided p-value.
    least_chance : float
        The smallest chance that these numbers could have given in any order.
    is_exact : bool
        Whether every order was counted; otherwise orders were drawn.

    """

    agree: int
    against: int
    undecided: int
    chance: float
    least_chance: float
    is_exact: bool

    @property
    def leaning(self) -> float:
        """How far the decided pairs lean, -1 to 1 (Kendall's tau where all are decided)."""
        decided = self.agree + self.against
        return (self.agree - self.against) / decided if decided else 0.0


def pairs(choices: Sequence[float], outcomes: Sequence[Between]) -> Pairs:
    """Return how far one number of each heap goes with another, by pairs of heaps.

    Kendall's S [1]_ over the pairs whose order is certain: numbers known as "between" are compared
    as Gehan [2]_ did with censored times, and only what no value within the bounds could turn
    round is counted. The chance is that of a permutation test: with all orders counted up to eight
    heaps (and beyond where all pairs are decided), else with orders drawn, the real one among
    them [3]_.

    Parameters
    ----------
    choices : sequence of float
        One per heap, such as its moisture when built.
    outcomes : sequence of Between
        One per heap, such as its days to 55 °C.

    Raises
    ------
    OutOfRange
        If they are not equally many, or fewer than two.

    References
    ----------
    .. [1] M. G. Kendall, "A new measure of rank correlation", Biometrika 30, 1938 (from memory).
    .. [2] E. A. Gehan, "A generalized Wilcoxon test for comparing arbitrarily singly-censored
       samples", Biometrika 52, 1965 (from memory).
    .. [3] B. Phipson, G. K. Smyth, "Permutation p-values should never be zero", Stat. Appl.
       Genet. Mol. Biol. 9, 2010 (from memory).

    """
    count = len(choices)
    if count != len(outcomes) or count < 2:
        raise OutOfRange(
            worded("{first} choices and {second} outcomes", first=count, second=len(outcomes)),
            why="each heap has one of both, and two heaps make the first pair",
        )
    values = np.asarray(choices, dtype=np.float64)
    first = np.sign(values[:, None] - values[None, :])
    second = np.array([[_order(one, other) for other in outcomes] for one in outcomes], dtype=float)
    upper = np.triu_indices(count, 1)
    products = first[upper] * second[upper]
    agree, against = int((products > 0).sum()), int((products < 0).sum())
    chance, least, is_exact = _chance_of_sum(first, second, float(products.sum()))
    return Pairs(agree, against, products.size - agree - against, chance, least, is_exact)


def _order(one: Between, other: Between) -> int:
    if one.is_surely_more_than(other):
        return 1
    return -1 if other.is_surely_more_than(one) else 0


def _chance_of_sum(first: FloatArray, second: FloatArray, seen: float) -> tuple[float, float, bool]:
    """Return the chance of a sum of products of pairs so far from zero, and the least chance."""
    count = first.shape[0]
    upper = np.triu_indices(count, 1)
    if bool(np.all(first[upper] != 0) and np.all(second[upper] != 0)):
        return *_chance_in_order(count, seen), True
    is_exact = count <= settings()["most_exact_heaps"]
    # The outcome's pairs stay, the choice's are looked up in each order; small whole numbers, so
    # single precision is exact.
    matters = np.flatnonzero(second[upper])
    looked_up = first.astype(np.float32).ravel().take(_pairs_of_orders(count, is_exact)[:, matters])
    sizes = np.abs(looked_up @ second[upper][matters].astype(np.float32))
    if is_exact:
        return float((sizes >= abs(seen)).mean()), float((sizes >= sizes.max()).mean()), True
    most = max(abs(seen), float(sizes.max()))
    drawn = sizes.size + 1
    return (
        float(((sizes >= abs(seen)).sum() + 1) / drawn),
        float(((sizes >= most).sum() + (abs(seen) >= most)) / drawn),
        False,
    )


def _chance_in_order(count: int, seen: float) -> tuple[float, float]:
    """Return the same where every pair is decided, by Kendall's own counting of inversions."""
    ways = np.ones(1)
    for size in range(2, count + 1):
        ways = np.convolve(ways, np.ones(size)) / size
    sums = len(ways) - 1 - 2 * np.arange(len(ways))
    far = float(ways[np.abs(sums) >= abs(seen)].sum())
    return min(1.0, far), float(ways[0] + ways[-1])


@lru_cache(maxsize=2)
def _pairs_of_orders(count: int, is_exact: bool) -> NDArray[np.uint16]:
    """Return for each order the places of its pairs in a table of count x count, flattened.

    Small and few are kept: those of forty heaps take 16 MB.
    """
    orders = _all_orders(count) if is_exact else drawn_orders(count)
    upper = np.triu_indices(count, 1)
    return (orders[:, upper[0]] * count + orders[:, upper[1]]).astype(np.uint16)


def _all_orders(count: int) -> IntArray:
    return np.array(list(itertools.permutations(range(count))), dtype=np.intp)


@lru_cache(maxsize=2)
def drawn_orders(count: int) -> IntArray:
    """Return many orders of `count` things drawn by lot, the same ones every time."""
    rng = np.random.default_rng([_SEED, count])
    orders = np.tile(np.arange(count, dtype=np.intp), (round(settings()["random_orders"]), 1))
    return rng.permuted(orders, axis=1)


def holm(chances: Sequence[float]) -> tuple[float, ...]:
    """Return chances corrected for how many were looked at, in the order given.

    Holm's step-down: the smallest times their number, the next times one less, never falling.
    It holds however the questions hang together.

    Parameters
    ----------
    chances : sequence of float
        p-values, 0 to 1.

    References
    ----------
    S. Holm, "A simple sequentially rejective multiple test procedure", Scand. J. Stat. 6, 1979
    (from memory).

    """
    order = sorted(range(len(chances)), key=lambda place: chances[place])
    corrected = [0.0] * len(chances)
    reached = 0.0
    for rank, place in enumerate(order):
        reached = max(reached, min(1.0, (len(chances) - rank) * chances[place]))
        corrected[place] = reached
    return tuple(corrected)
