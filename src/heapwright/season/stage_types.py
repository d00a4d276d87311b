"""How long the stages of a heap take, by the week it is built in, heap by heap of an ensemble.

Knows the form of the answer, how weeks between are filled in, and how an ensemble becomes one
number of weeks. Runs no heap.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

WEEKS = 52
STAGES = 3
#: A stage that is never over in this share of the heaps: beyond any plan.
NEVER_WEEKS = 999
_DAYS_A_WEEK = 7
#: A number of weeks that rounding alone has put above a whole one is that whole one.
_SLIP = 1e-9


@dataclass(frozen=True, slots=True)
class StageLengths:
    """How a well-kept heap goes through its stages: FIRST, MIDDLE, CURE.

    FIRST is from building until its first heat is spent, MIDDLE from being forked inside-out
    until turning no longer heats it, CURE from then until it is ready. Infinite days: that heap
    never comes so far within the time that is run.

    Attributes
    ----------
    weeks : array, shape (weeks,)
        Weeks of building; week of the year (0 begins on 1 January) as they are run, 0 the running
        week after `from_day`.
    days : array, shape (3, weeks, members)
        Length of each stage. [d]
    volume_share : array, shape (4, weeks, members)
        Volume as built (1), at the end of FIRST, of MIDDLE, and of the finished compost, as share
        of the volume built. [0-1]
    water_kg : array, shape (3, weeks, members)
        Water given in each stage to a heap of `built_m3`; what is put in while building is in the
        first. [kg], 1 kg is 1 litre
    stirs : array, shape (3, weeks, members)
        How often it is stirred where it stands in a stage, besides the moves between stages.
    hottest_c : array, shape (weeks, members)
        The highest its core gets. [°C]
    built_m3 : float
        Volume of the heap as built. [m³]

    """

    weeks: IntArray
    days: FloatArray
    volume_share: FloatArray
    water_kg: FloatArray
    stirs: FloatArray
    hottest_c: FloatArray
    built_m3: float

    @property
    def members(self) -> int:
        """Number of heaps in each week."""
        return int(self.days.shape[2])

    @property
    def total_days(self) -> FloatArray:
        """Days from building until ready, shape (weeks, members)."""
        return np.asarray(self.days.sum(axis=0))

    @property
    def never_share(self) -> FloatArray:
        """Share of the heaps that never get ready, by week of building. [0-1]"""
        return np.asarray(np.isinf(self.total_days).mean(axis=1))

    def compost_share(self, levels: tuple[float, float, float] = (0.1, 0.5, 0.9)) -> FloatArray:
        """Return low, likely and high of compost as share of what is built, shape (3, weeks).

        Heaps that never get ready give none and are left out; NaN where none does.
        """
        found = np.full((len(levels), self.weeks.size), np.nan)
        for week in range(self.weeks.size):
            values = self.volume_share[3, week]
            there = values[np.isfinite(values)]
            if there.size:
                found[:, week] = np.quantile(there, levels)
        return found


def sure_weeks(lengths: StageLengths, sureness: float) -> IntArray:
    """Return whole weeks within which each stage is over in a share of the heaps.

    Parameters
    ----------
    lengths : StageLengths
    sureness : float
        Share of the heaps, above 0. [0-1]

    Returns
    -------
    array, shape (3, weeks)
        At least 1; `NEVER_WEEKS` where too many heaps never come so far.

    Raises
    ------
    OutOfRange
        If the sureness is no share.

    """
    if not 0.0 < sureness <= 1.0:
        raise OutOfRange(
            worded("A sureness of {sureness:g}", sureness=sureness),
            why="it is a share of the heaps, above 0 and at most 1",
        )
    # The least length that at least such a share of the heaps keeps: no value is made up between.
    place = int(np.ceil(sureness * lengths.members - _SLIP)) - 1
    days = np.sort(lengths.days, axis=2)[:, :, place]
    weeks = np.full(days.shape, NEVER_WEEKS, dtype=np.int64)
    is_known = np.isfinite(days)
    weeks[is_known] = np.ceil(days[is_known] / _DAYS_A_WEEK - _SLIP).astype(np.int64)
    return np.clip(weeks, 1, NEVER_WEEKS)


def sure_ends(lengths: StageLengths, sureness: float) -> IntArray:
    """Return whole weeks of the stages such that each *end* is in time in a share of the heaps.

    A heap that is slow in one stage is not slow in all: the weeks of `sure_weeks`, each sure for
    itself, add up to far later than the heap as a whole needs. Here it is the end of each stage,
    counted from building, that is sure.

    Parameters
    ----------
    lengths : StageLengths
    sureness : float
        Share of the heaps, above 0. [0-1]

    Returns
    -------
    array, shape (3, weeks)
        Weeks of each stage, at least 1; `NEVER_WEEKS` where too many heaps never come so far.

    """
    ends = sure_weeks(replace(lengths, days=np.cumsum(lengths.days, axis=0)), sureness)
    found = ends.copy()
    for stage in range(1, found.shape[0]):
        is_known = ends[stage] < NEVER_WEEKS
        # Counted from the end that the plan gives the stage before, rounding and all.
        before = found[:stage].sum(axis=0)
        found[stage] = np.where(is_known, np.maximum(1, ends[stage] - before), NEVER_WEEKS)
    return found


def every_week(run: StageLengths) -> StageLengths:
    """Return the lengths for each of the 52 weeks of the year from those weeks that were run.

    Between two weeks each heap's values lie on a straight line, the last week run meeting the
    first again, since the usual year repeats. Between one that gets ready and one that never
    does, it never does.

    Parameters
    ----------
    run : StageLengths
        At least one week, rising, the first 0.

    """
    known = np.append(run.weeks, WEEKS).astype(np.float64)
    asked = np.arange(WEEKS, dtype=np.float64)
    right = np.clip(np.searchsorted(known, asked, side="right"), 1, known.size - 1)
    left = right - 1
    share = (asked - known[left]) / (known[right] - known[left])
    right %= run.weeks.size

    def between(values: FloatArray, axis: int) -> FloatArray:
        one, other = np.take(values, left, axis=axis), np.take(values, right, axis=axis)
        shape = [1] * values.ndim
        shape[axis] = WEEKS
        part = share.reshape(shape)
        with np.errstate(invalid="ignore"):
            line = one + part * (other - one)
        # Infinite on one side makes the line nonsense; on the known week itself it is known.
        line = np.where(np.isfinite(one) & np.isfinite(other), line, _neither(one, other))
        return np.asarray(np.where(np.broadcast_to(part == 0.0, line.shape), one, line))

    return replace(
        run,
        weeks=np.arange(WEEKS),
        days=between(run.days, 1),
        volume_share=between(run.volume_share, 1),
        water_kg=between(run.water_kg, 1),
        stirs=between(run.stirs, 1),
        hottest_c=between(run.hottest_c, 0),
    )


def _neither(one: FloatArray, other: FloatArray) -> FloatArray:
    """Return infinite where one is, else not a number: there is nothing to tell."""
    return np.where(np.isinf(one) | np.isinf(other), np.inf, np.nan)


def from_day(lengths: StageLengths, first_day: date) -> StageLengths:
    """Return the lengths with the week of a day as week 0.

    Parameters
    ----------
    lengths : StageLengths
        Of all 52 weeks, as `every_week` gives them.
    first_day : date

    """
    turn = -week_of_year(first_day)
    return replace(
        lengths,
        weeks=np.arange(lengths.weeks.size),
        days=np.roll(lengths.days, turn, axis=1),
        volume_share=np.roll(lengths.volume_share, turn, axis=1),
        water_kg=np.roll(lengths.water_kg, turn, axis=1),
        stirs=np.roll(lengths.stirs, turn, axis=1),
        hottest_c=np.roll(lengths.hottest_c, turn, axis=0),
    )


def week_of_year(day: date) -> int:
    """Return the week of the year, 0 to 51; 0 begins on 1 January, the last is longer."""
    return min((day.timetuple().tm_yday - 1) // _DAYS_A_WEEK, WEEKS - 1)
