"""How much brown to save in autumn, so that every later heap meets its C:N until leaves fall again.

Knows what planned heaps take by the week they are built in, and what else brings brown. Knows no
containers, no dates and no plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.season.needs import Matter, Need, need_for
from heapwright.season.outlook import Cohort, stock_year
from heapwright.season.stage_types import WEEKS
from heapwright.tables import Estimate, Evidence
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
#: One in ten below, one in ten above.
_LOW, _HIGH = 0.1, 0.9


@dataclass(frozen=True, slots=True)
class YearNeeds:
    """What a m³ of new heap takes in each week, draw by draw, each of shape (weeks, draws).

    Attributes
    ----------
    greens_m3, browns_m3 : array
        As they are stored. [m³/m³]
    water_kg : array
        [kg/m³]

    """

    greens_m3: FloatArray
    browns_m3: FloatArray
    water_kg: FloatArray

    @property
    def weeks(self) -> int:
        """The horizon."""
        return int(self.greens_m3.shape[0])


@dataclass(frozen=True, slots=True)
class PlannedBuild:
    """A heap that is to be built.

    Attributes
    ----------
    week : int
        From the running week, 0.
    volume_m3 : float
        As built. [m³]

    """

    week: int
    volume_m3: float


@dataclass(frozen=True, slots=True)
class BuildNeed:
    """What a planned heap takes; low and high are one draw in ten below and above.

    Attributes
    ----------
    build : PlannedBuild
    greens_m3, browns_m3, water_kg : Estimate
        For the whole heap. [m³], [kg]

    """

    build: PlannedBuild
    greens_m3: Estimate
    browns_m3: Estimate
    water_kg: Estimate


@dataclass(frozen=True, slots=True)
class Saving:
    """How much brown is to be saved when the leaves fall.

    Attributes
    ----------
    fall_week : int
        Week in which the saving begins; 0 when leaves fall now.
    needed_m3 : Estimate
        By all heaps from then until leaves fall again. [m³]
    save_m3 : Estimate
        Of that, what neither stock nor other browns give. [m³]
    short_before_m3 : Estimate
        Lacking for the heaps that are built before the leaves fall. [m³]
    builds : int
        How many heaps there are in that year.

    """

    fall_week: int
    needed_m3: Estimate
    save_m3: Estimate
    short_before_m3: Estimate
    builds: int


def needs_by_week(
    greens: Sequence[Matter | None],
    browns: Matter,
    *,
    c_to_n: float | None = None,
    moisture: float = 0.55,
) -> YearNeeds:
    """Return what a m³ of new heap takes in each week, from the greens there are in it.

    Parameters
    ----------
    greens : sequence of Matter or None, one a week
        None where no green is there: then those of the nearest week that has some are taken, a
        later one before an earlier.
    browns : Matter
    c_to_n, moisture
        As `needs.need_for`.

    Raises
    ------
    OutOfRange
        If there are no greens in any week, or the browns are none.

    """
    there = [week for week, one in enumerate(greens) if one is not None]
    if not there:
        raise OutOfRange(
            "No green arrives in any week",
            why="without it there is no C:N to meet",
            instead="Write down what green comes: clippings, scraps, coffee grounds",
        )
    known: dict[int, Need] = {}
    needs = []
    for week in range(len(greens)):
        source = min(there, key=lambda one: (abs(one - week), one < week))
        if source not in known:
            matter = greens[source]
            assert matter is not None  # only such weeks are in `there`
            known[source] = need_for(matter, browns, c_to_n=c_to_n, moisture=moisture)
        needs.append(known[source])
    return YearNeeds(
        greens_m3=np.stack([one.greens_m3 for one in needs]),
        browns_m3=np.stack([one.browns_m3 for one in needs]),
        water_kg=np.stack([one.water_kg for one in needs]),
    )


def three_of(draws: FloatArray) -> Estimate:
    """Return draws, the first the likely one, as an estimate."""
    likely = float(draws[0])
    low, high = np.quantile(draws, [_LOW, _HIGH])
    return Estimate(
        min(float(low), likely),
        likely,
        max(float(high), likely),
        "drawn from the ranges of the materials table",
        Evidence.DERIVED,
    )


def builds_need(builds: Sequence[PlannedBuild], needs: YearNeeds) -> tuple[BuildNeed, ...]:
    """Return what each planned heap takes, in the order given."""
    _check(builds, needs.weeks)
    return tuple(
        BuildNeed(
            one,
            three_of(one.volume_m3 * needs.greens_m3[one.week]),
            three_of(one.volume_m3 * needs.browns_m3[one.week]),
            three_of(one.volume_m3 * needs.water_kg[one.week]),
        )
        for one in builds
    )


def to_save(
    builds: Sequence[PlannedBuild],
    needs: YearNeeds,
    fall_week: int,
    there: Sequence[Sequence[Cohort]],
) -> Saving:
    """Return how much brown is to be saved when leaves fall, until they fall again.

    The planned heaps take what is there without the leaves, what spoils soonest first; what is
    then lacking from the fall on is to be saved, what is lacking before it cannot be. Heaps that
    the plan builds before the fall are taken to be built again a year later. Little needed is
    held against much there, and the other way round.

    Parameters
    ----------
    builds : sequence of PlannedBuild
    needs : YearNeeds
    fall_week : int
        First week in which leaves fall.
    there : three sequences of Cohort
        Browns other than the leaves, low, likely, high: on hand, and what comes up to 52 weeks
        after the fall.

    Raises
    ------
    OutOfRange
        If a heap or the fall lies outside of the weeks.

    """
    if not 0 <= fall_week < needs.weeks:
        raise OutOfRange(worded("Leaves fall in week {week}", week=fall_week))
    wanted = [(one.build.week, one.browns_m3) for one in builds_need(builds, needs)]
    again = [(week + WEEKS, need) for week, need in wanted if week < fall_week]
    ends = [_lacking(wanted + again, row, there[2 - row], fall_week) for row in range(3)]
    after = [need for week, need in wanted + again if week >= fall_week]
    return Saving(
        fall_week=fall_week,
        needed_m3=_rising([sum(_end(need, row) for need in after) for row in range(3)]),
        save_m3=_rising([save for _, save in ends]),
        short_before_m3=_rising([before for before, _ in ends]),
        builds=len(builds),
    )


def _lacking(
    wanted: Sequence[tuple[int, Estimate]], row: int, there: Sequence[Cohort], fall_week: int
) -> tuple[float, float]:
    """Return what is lacking before the fall and from it on. [m³]"""
    by_week = [0.0] * (fall_week + WEEKS)
    for week, need in wanted:
        by_week[week] += _end(need, row)
    lacking = stock_year(there, by_week).lacking_m3
    return float(lacking[:fall_week].sum()), float(lacking[fall_week:].sum())


def _end(estimate: Estimate, row: int) -> float:
    return (estimate.low, estimate.typical, estimate.high)[row]


def _rising(values: Sequence[float]) -> Estimate:
    low, likely, high = values
    return Estimate(low, likely, high, "planned heaps and the materials table", Evidence.DERIVED)


def _check(builds: Sequence[PlannedBuild], weeks: int) -> None:
    for one in builds:
        if not 0 <= one.week < weeks or not 0.0 <= one.volume_m3 < float("inf"):
            raise OutOfRange(
                worded(
                    "A heap of {volume:g} m³ in week {week}", volume=one.volume_m3, week=one.week
                ),
                why=worded("the weeks run from 0 to {last}", last=weeks - 1),
            )
