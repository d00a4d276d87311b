"""When a heap's hot work ends and its curing with it, member by member of the ensemble.

Knows the pools the model has left and how long curing takes by its sources. Knows nothing of
tests or calendars. Beyond the model's horizon a member goes on at its own pace of the last days,
slowed as a cooling heap is: a rough line, and its spread says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.finish.guides import limits
from heapwright.fitting.weigh import weighted_quantiles
from heapwright.tables import Estimate
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
HOURS_A_DAY = 24.0
#: How much of the end of the run, but nothing before now, tells a member's pace.
PACE_HOURS = 7 * 24
LEVELS = np.array([0.1, 0.5, 0.9])
#: Steps by it never fall into a pattern with the members (fractional part of the golden ratio).
GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0


@dataclass(frozen=True, slots=True)
class DayRange:
    """Days from now: one in ten below low, one in ten above high; None is beyond a year."""

    low: float | None
    likely: float | None
    high: float | None


def spread_over(estimate: Estimate, members: int, turn: int = 0) -> FloatArray:
    """Return one value of an estimate for each member, evenly spread over its range.

    Half of them lie below the typical value. Members with neighbouring numbers get values far
    from one another, so that they are not tied to how the ensemble was drawn.

    Parameters
    ----------
    estimate : Estimate
    members : int
    turn : int, default 0
        Another number gives another order, for a second uncertain thing of the same members.

    """
    places = (GOLDEN * (np.arange(members) * (turn + 1) + 0.5) + 0.37 * turn) % 1.0
    ranks = (np.argsort(np.argsort(places)) + 0.5) / members
    values = np.interp(ranks, [0.0, 0.5, 1.0], [estimate.low, estimate.typical, estimate.high])
    return np.asarray(values, dtype=np.float64)


def days_until_spent(
    degradable_left: FloatArray,
    now_index: int,
    spent_share: FloatArray,
    slowing: FloatArray,
) -> FloatArray:
    """Return in how many days each member has no more food for heat than a spent heap.

    Within the run it is read from it. Beyond, with L at its end and the first-order pace k of its
    last week ahead of now, t = ln(L / spent) / k, times a slowing.

    Parameters
    ----------
    degradable_left : array, shape (hours+1, members)
        Fast and medium pools left, as share of those built in. [0-1]
    now_index : int
    spent_share : array, shape (members,)
        Where a member counts as spent. [0-1]
    slowing : array, shape (members,)
        At least 1.

    Returns
    -------
    array, shape (members,)
        0 for one that is spent already, infinite for one that stands still. [d]

    """
    if not 0 <= now_index < degradable_left.shape[0]:
        raise OutOfRange(
            worded(
                "Hour {now_index} of a run of {shape} hours",
                now_index=now_index,
                shape=degradable_left.shape[0] - 1,
            ),
            why="now must lie within it",
        )
    ahead = degradable_left[now_index:]
    reached = ahead <= spent_share
    within = np.argmax(reached, axis=0) / HOURS_A_DAY
    rest = (ahead.shape[0] - 1) / HOURS_A_DAY
    days = np.where(reached.any(axis=0), within, rest + _days_beyond(ahead, spent_share) * slowing)
    return np.asarray(days, dtype=np.float64)


def _days_beyond(ahead: FloatArray, spent_share: FloatArray) -> FloatArray:
    last = ahead[-1]
    back = min(PACE_HOURS, ahead.shape[0] - 1)
    if back == 0:
        return np.full(last.shape, np.inf)
    before = ahead[-1 - back]
    with np.errstate(divide="ignore", invalid="ignore"):
        pace = np.log(before / last) / (back / HOURS_A_DAY)
        wanted = np.log(last / spent_share)
        days = np.where(pace > 0.0, wanted / pace, np.inf)
    return np.asarray(np.where(wanted <= 0.0, 0.0, days), dtype=np.float64)


def cured_in_days(hot_work_ends: FloatArray, cure: Estimate) -> FloatArray:
    """Return in how many days each member has cured, with a curing time of its own.

    Parameters
    ----------
    hot_work_ends : array, shape (members,)
        Days from now, negative when it ended already.
    cure : Estimate
        Days of curing.

    Returns
    -------
    array, shape (members,)
        [d]

    """
    return hot_work_ends + spread_over(cure, hot_work_ends.shape[0], turn=2)


def day_range(low: float, likely: float, high: float, *, not_before: float = 0.0) -> DayRange:
    """Return days as they are told: never before now or `not_before`, none beyond the farthest."""
    farthest = limits()["farthest_days"].typical
    low, likely, high = (max(x, not_before, 0.0) for x in (low, likely, high))
    return DayRange(*(x if x <= farthest else None for x in (low, likely, high)))


def middle_eight_in_ten(values: FloatArray) -> tuple[float, float, float]:
    """Return the 10th, 50th and 90th percentile of values that are all as likely."""
    weight = np.full(values.shape[0], 1.0 / values.shape[0])
    low, likely, high = weighted_quantiles(values[None, :], weight, LEVELS)[:, 0]
    return float(low), float(likely), float(high)
