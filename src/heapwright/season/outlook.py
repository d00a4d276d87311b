"""How the stock goes through the year: what comes, is used, spoils, runs out.

Knows cohorts of stuff that keep for so many weeks, and takes from what spoils soonest first. Knows
no materials, no calendar and no plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
_NOTHING_M3 = 1e-9


@dataclass(frozen=True, slots=True)
class Cohort:
    """Stuff that came in one week.

    Attributes
    ----------
    week : int
        In which it is there first; 0 for what is on hand.
    volume_m3 : float
        [m³]
    last_week : int
        In which it can still be used; less than `week` for what is spoilt already.

    """

    week: int
    volume_m3: float
    last_week: int


@dataclass(frozen=True, slots=True)
class StockYear:
    """A class of stuff through the weeks.

    Attributes
    ----------
    left_m3 : array, shape (weeks,)
        At the end of each week, after what was used and what spoilt.
    came_m3, used_m3, spoiled_m3 : array, shape (weeks,)
        In the week; what was on hand at the beginning came in week 0.
    lacking_m3 : array, shape (weeks,)
        What was wanted and not there.

    """

    left_m3: FloatArray
    came_m3: FloatArray
    used_m3: FloatArray
    spoiled_m3: FloatArray
    lacking_m3: FloatArray

    @property
    def runs_out_week(self) -> int | None:
        """The first week in which something wanted is not there; None when there never is."""
        short = np.flatnonzero(self.lacking_m3 > _NOTHING_M3)
        return int(short[0]) if short.size else None

    @property
    def most_m3(self) -> float:
        """The most that is there to build with in any week. [m³]"""
        return float(np.max(self.left_m3 + self.used_m3 + self.spoiled_m3))


def stock_year(cohorts: Sequence[Cohort], wanted_m3: Sequence[float]) -> StockYear:
    """Return how a class of stuff goes through the weeks.

    In each week first comes what comes, then what is wanted is taken, what spoils soonest first
    (no other order could serve more), then what cannot be used later is lost.

    Parameters
    ----------
    cohorts : sequence of Cohort
    wanted_m3 : sequence of float
        In each week; its length is the number of weeks. [m³]

    Raises
    ------
    OutOfRange
        If an amount lies below 0 or has no end.

    """
    amounts = [*(one.volume_m3 for one in cohorts), *wanted_m3]
    if any(not 0.0 <= amount < float("inf") for amount in amounts):
        raise OutOfRange(worded("An amount of stuff below nothing, or without end"))
    weeks = len(wanted_m3)
    came, used, spoiled, lacking, left = (np.zeros(weeks) for _ in range(5))
    there: list[list[float]] = []  # [last week, volume], what spoils soonest first
    for week in range(weeks):
        for one in (one for one in cohorts if one.week == week):
            came[week] += one.volume_m3
            there.append([float(one.last_week), one.volume_m3])
        there.sort(key=lambda lot: lot[0])
        fresh = [lot for lot in there if lot[0] >= week]
        want = wanted_m3[week]
        for lot in fresh:
            taken = min(lot[1], want)
            lot[1] -= taken
            want -= taken
            used[week] += taken
        lacking[week] = want
        spoiled[week] = sum(lot[1] for lot in there if lot[0] <= week)
        there = [lot for lot in there if lot[0] > week and lot[1] > 0.0]
        left[week] = sum(lot[1] for lot in there)
    return StockYear(left, came, used, spoiled, lacking)


def cohorts_of(arriving_m3: Sequence[float], keeps_weeks: int) -> list[Cohort]:
    """Return a cohort for each week in which something arrives."""
    return [
        Cohort(week, float(volume), week + keeps_weeks)
        for week, volume in enumerate(arriving_m3)
        if volume > 0.0
    ]
