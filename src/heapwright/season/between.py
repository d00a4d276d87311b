"""Numbers known only as "between" two values, and the middle of a few of them.

Knows bounds: what no value within them could turn round is certain, all else is not. Knows nothing
of heaps.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from heapwright.errors import OutOfRange
from heapwright.wording import worded


@dataclass(frozen=True, slots=True)
class Between:
    """A number that was not seen itself, only that it lies after `low` and not after `high`.

    Attributes
    ----------
    low : float
        Equal to `high` when the number is known.
    high : float or None
        None when it is only known to lie beyond `low`.

    """

    low: float
    high: float | None

    def __post_init__(self) -> None:
        if not math.isfinite(self.low) or (self.high is not None and not self.low <= self.high):
            raise OutOfRange(
                worded("Between {low} and {high}", low=self.low, high=self.high),
                why="the first must not be greater than the second",
            )

    @classmethod
    def exactly(cls, value: float) -> Between:
        """Return a number that is known."""
        return cls(value, value)

    @property
    def is_exact(self) -> bool:
        """Whether the number is known."""
        return self.low == self.high

    def is_surely_more_than(self, other: Between) -> bool:
        """Whether it is greater than another, whatever both are within their bounds."""
        if other.high is None:
            return False
        return self.low > other.high or (self.low == other.high and not self.is_exact)


@dataclass(frozen=True, slots=True)
class Middle:
    """The middle of a few numbers, with all the room their bounds leave.

    Attributes
    ----------
    low, high : float; high may be None
        The median lies between; equal when it is known.
    least : float
        The smallest lower bound.
    most : float or None
        The greatest upper bound; None when one has none.
    count : int
    covers : float
        How surely the range from least to most holds the median of all such heaps, 1 - 2^(1-n):
        the chance that not all of n lie on one side of it.

    """

    low: float
    high: float | None
    least: float
    most: float | None
    count: int
    covers: float


def middle(values: Sequence[Between]) -> Middle:
    """Return the middle of a few numbers with its bounds.

    Parameters
    ----------
    values : sequence of Between
        At least one.

    Raises
    ------
    OutOfRange
        Without any.

    """
    if not values:
        raise OutOfRange("The middle of no numbers", why="at least one is wanted")
    lows = [one.low for one in values]
    highs = [math.inf if one.high is None else one.high for one in values]
    # Each number lies between its bounds, so the median lies between the medians of the bounds.
    upper = _median(highs)
    return Middle(
        low=_median(lows),
        high=None if math.isinf(upper) else upper,
        least=min(lows),
        most=None if math.isinf(max(highs)) else max(highs),
        count=len(values),
        covers=1.0 - 2.0 ** (1 - len(values)),
    )


def _median(values: Sequence[float]) -> float:
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2.0
