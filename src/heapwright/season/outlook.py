"""How the stock goes through the year: what comes, is used, spoils, runs out.

Knows cohorts of stuff that keep for so many weeks, and wishes that wait for so many. Knows
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
        What was wanted and not there, in the week in which it could wait no longer.

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


def stock_year(
    cohorts: Sequence[Cohort], wanted_m3: Sequence[float], waits_weeks: int = 0
) -> StockYear:
    """Return how a class of stuff goes through the weeks.

    In each week first comes what comes. Then whatever ends in it is settled: a wish that cannot
    wait longer takes what spoils soonest, and what spoils is given to the wish that can wait
    least; what is left of either is lacking, or lost.

    Parameters
    ----------
    cohorts : sequence of Cohort
    wanted_m3 : sequence of float
        Wished for from each week on; its length is the number of weeks. [m³]
    waits_weeks : int, default 0
        For so many weeks more a wish can be met: a heap that is filled bit by bit. What waits
        beyond the last week is neither met nor lacking.

    Raises
    ------
    OutOfRange
        If an amount lies below 0 or has no end.

    Notes
    -----
    No other order serves more: of the stuff and wishes that meet in a week, the one that ends
    first is matched with the partner that ends first, and any partner that ends later meets all
    that this one does later on.

    """
    amounts = [*(one.volume_m3 for one in cohorts), *wanted_m3]
    if any(not 0.0 <= amount < float("inf") for amount in amounts):
        raise OutOfRange(worded("An amount of stuff below nothing, or without end"))
    year = _Year(len(wanted_m3))
    for week, wished in enumerate(wanted_m3):
        for one in cohorts:
            if one.week == week:
                year.came[week] += one.volume_m3
                year.stuff.append([float(one.last_week), one.volume_m3])
        year.wishes.append([float(week + waits_weeks), wished])
        year.settle(week)
    return StockYear(year.left, year.came, year.used, year.spoiled, year.lacking)


class _Year:
    """The weeks while they are gone through; stuff and wishes are [last week, m³]."""

    def __init__(self, weeks: int) -> None:
        self.stuff: list[list[float]] = []
        self.wishes: list[list[float]] = []
        self.left, self.came, self.used, self.spoiled, self.lacking = (
            np.zeros(weeks) for _ in range(5)
        )

    def settle(self, week: int) -> None:
        """Match what ends in a week, then let it go."""
        self.stuff.sort(key=lambda lot: lot[0])
        self.wishes.sort(key=lambda wish: wish[0])
        fresh = [lot for lot in self.stuff if lot[0] >= week]
        for lot in fresh:
            for wish in self.wishes:
                if lot[0] == week or wish[0] == week:
                    taken = min(lot[1], wish[1])
                    lot[1] -= taken
                    wish[1] -= taken
                    self.used[week] += taken
        self.spoiled[week] = sum(lot[1] for lot in self.stuff if lot[0] <= week)
        self.lacking[week] = sum(wish[1] for wish in self.wishes if wish[0] <= week)
        self.stuff = [lot for lot in self.stuff if lot[0] > week and lot[1] > 0.0]
        self.wishes = [wish for wish in self.wishes if wish[0] > week and wish[1] > 0.0]
        self.left[week] = sum(lot[1] for lot in self.stuff)


def cohorts_of(arriving_m3: Sequence[float], keeps_weeks: int) -> list[Cohort]:
    """Return a cohort for each week in which something arrives."""
    return [
        Cohort(week, float(volume), week + keeps_weeks)
        for week, volume in enumerate(arriving_m3)
        if volume > 0.0
    ]
