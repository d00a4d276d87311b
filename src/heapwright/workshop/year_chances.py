"""Plays a plan in many years of this garden: as the heap model spreads, as arrivals spread.

Knows where each spread comes from, and draws them the same way every time. Counts nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from heapwright.season.play import Course
from heapwright.season.rotation_chances import Chances, chances
from heapwright.season.rotation_plan import RotationPlan
from heapwright.season.rotation_types import RotationProblem, StandingHeap, StuffClass, Yield
from heapwright.season.stage_types import NEVER_WEEKS, StageLengths, sure_ends
from heapwright.workshop.year_problem import YearInputs

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
YEARS = 200
_SEED = 52


def year_chances(inputs: YearInputs, plan: RotationPlan) -> Chances:
    """Return how often beds are served in time and when heaps are ready, over `YEARS` years."""
    return chances(plan, inputs.problem, list(_years(inputs)))


def _years(inputs: YearInputs) -> Iterator[Course]:
    """Yield years, each with one heap of the ensemble for all its stages: a slow garden is slow."""
    problem, lengths = inputs.problem, inputs.stages.lengths
    weeks = member_weeks(inputs)
    pace = _pace(lengths, inputs.sureness)
    shares = _yield_shares(lengths)
    rng = np.random.default_rng(_SEED)
    for number in range(YEARS):
        member = number % lengths.members
        yields = problem.form.yield_share
        part = rng.random()
        yield Course(
            stage_weeks=tuple(row[:, member].tolist() for row in weeks),
            standing_weeks=[
                _standing_weeks(heap, float(pace[member])) for heap in problem.standing
            ],
            arriving_m3=_arriving(problem, inputs, rng),
            yield_share=float(shares[member]) if np.isfinite(shares[member]) else yields.sure,
            standing_yield_m3=[
                yield_at(heap.yield_m3, part, inputs.sureness) for heap in problem.standing
            ],
        )


def member_weeks(inputs: YearInputs) -> IntArray:
    """Return the weeks of each stage by week of beginning, shape (3, weeks, members)."""
    days = np.roll(inputs.stages.lengths.days, -inputs.gather_weeks, axis=1)
    members = range(days.shape[2])
    # A heap by itself is an ensemble of one: rounded up at its ends, as the plan's own lengths.
    alone = [
        sure_ends(replace(inputs.stages.lengths, days=days[:, :, [one]]), 1.0) for one in members
    ]
    weeks = np.stack(alone, axis=2)
    weeks[0] += inputs.gather_weeks
    return np.minimum(weeks, NEVER_WEEKS)


def _pace(lengths: StageLengths, sureness: float) -> FloatArray:
    """Return how long each heap of the ensemble takes, as share of what plans count on."""
    counted = sure_ends(lengths, sureness).sum(axis=0) * 7.0
    total = np.where(np.isfinite(lengths.total_days), lengths.total_days, np.nan)
    ratio = total / np.where(counted < NEVER_WEEKS, counted, np.nan)[:, None]
    with np.errstate(all="ignore"):
        middle = np.nanmedian(ratio, axis=0)
    return np.where(np.isfinite(middle), middle, np.inf)  # never ready in any week


def _standing_weeks(heap: StandingHeap, pace: float) -> tuple[int, ...]:
    """Return the weeks a standing heap takes in a year of such a pace."""
    return tuple(
        NEVER_WEEKS
        if weeks >= NEVER_WEEKS or not np.isfinite(pace)
        else max(0 if place == 0 else 1, round(weeks * pace))
        for place, weeks in enumerate((heap.weeks_left, *heap.later_weeks))
    )


def _yield_shares(lengths: StageLengths) -> FloatArray:
    """Return each member's compost as share of what is built, the middle over the weeks."""
    shares = np.where(np.isfinite(lengths.volume_share[3]), lengths.volume_share[3], np.nan)
    with np.errstate(all="ignore"):
        return np.asarray(np.nanmedian(shares, axis=0))


def yield_at(made: Yield, part: float, sureness: float) -> float:
    """Return a yield that is not exceeded in a share `part` of the years. [m³]

    Through the sure one (not reached in 1 - sureness of the years), the likely and the high one
    (0.9); below the sure one the line goes on, for a poor year gives less than is counted on.
    """
    if part >= 0.5 or sureness <= 0.5:
        return float(np.interp(part, [0.5, 0.9], [made.likely, made.high]))
    slope = (made.likely - made.sure) / (sureness - 0.5)
    return max(0.0, made.likely - slope * (0.5 - part))


def _arriving(
    problem: RotationProblem, inputs: YearInputs, rng: np.random.Generator
) -> list[list[float]]:
    """Return what arrives in a year: each class as a whole more or less than counted on."""
    return [
        (np.asarray(stuff.arriving_m3) * _more_or_less(stuff, inputs, rng)).tolist()
        for stuff in problem.stuff
    ]


def _more_or_less(stuff: StuffClass, inputs: YearInputs, rng: np.random.Generator) -> float:
    """Return a factor on what was counted on, from the spread of the year's arrivals."""
    low, likely, high = inputs.arrival_spread.get(stuff.key, (1.0, 1.0, 1.0))
    return float(np.interp(rng.random(), [0.0, 0.5, 1.0], [low, likely, high]))
