"""Brings together what a year's plan is made from: bins, standing heaps, stuff, work, beds.

Knows which answer of the workshop each part comes from. Knows no solver and no words of a plan.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

import numpy as np

from heapwright.journal.entries_year import AwayState, WishesState
from heapwright.journal.forms_year import WEEK_DAYS
from heapwright.mixing.targets import target
from heapwright.season.needs import GREENS
from heapwright.season.rotation_types import (
    BedWish,
    HeapForm,
    RotationBin,
    RotationProblem,
    StuffClass,
    StuffOnHand,
    Yield,
)
from heapwright.season.rotation_weights import bed_weight, helper_factor, usual_work_rates
from heapwright.season.stage_types import WEEKS, StageLengths, sure_ends
from heapwright.workshop.beds import today_in, wanted_rounds
from heapwright.workshop.beds_answer import WantedRound
from heapwright.workshop.garden import Garden
from heapwright.workshop.stage_lengths import StageAnswer, stage_lengths
from heapwright.workshop.stock_supplies import supplies
from heapwright.workshop.year_standing import standing_heaps
from heapwright.workshop.year_wishes import bin_volume_m3, loads_per_week

_DAYS_A_WEEK = 7
#: Share of the years that a range of arrivals leaves out at each end, from the other side.
_NEARLY_ALWAYS = 0.95


class Change(StrEnum):
    """What a garden might have that it has not."""

    BIN = "one more bin"
    SHREDDING = "shredding"
    HELPER = "a helper"


@dataclass(frozen=True, slots=True)
class YearInputs:
    """What a plan is made from.

    Attributes
    ----------
    problem : RotationProblem
    stages : StageAnswer
        How long stages take, heap by heap of the ensemble.
    work_days : tuple of int
        0 is Monday.
    away : tuple of bool, one a week
    rounds : tuple of WantedRound
        Of the problem's beds, in its order.
    sureness : float
        Of the stage lengths in the problem. [0-1]
    gather_weeks : int
        Over which a heap is filled.
    arrival_spread : mapping class key -> (low, likely, high)
        What may arrive in a year, as share of what the problem counts on.

    """

    problem: RotationProblem
    stages: StageAnswer
    work_days: tuple[int, ...]
    away: tuple[bool, ...]
    rounds: tuple[WantedRound, ...]
    sureness: float
    gather_weeks: int
    arrival_spread: Mapping[str, tuple[float, float, float]]


def year_inputs(garden: Garden, change: Change | None = None) -> YearInputs:
    """Return what this garden's year is planned from.

    Parameters
    ----------
    garden : Garden
    change : Change, optional
        Plan as if the garden had this as well.

    Raises
    ------
    NotFound
        If there is no bin yet.
    HeapwrightError
        If a heap of this garden cannot be modelled, or the weather is no whole year.

    """
    year = garden.state().year
    shredding = True if change is Change.SHREDDING else year.wishes.shredding
    stages = stage_lengths(garden, shredding=shredding)
    lengths, first_day = stages.lengths, stages.first_day
    work_days = tuple(WEEK_DAYS.index(day) for day in year.wishes.work_days)
    free = _free_days(garden, year.wishes, list(year.aways.values()), first_day)
    factor = helper_factor() if change is Change.HELPER else 1.0
    most = loads_per_week(garden)
    loads = tuple(factor * most * len(days) / max(1, len(work_days)) for days in free)
    gather = year.wishes.gather_weeks
    beds, rounds = _beds(garden, first_day, free)
    problem = RotationProblem(
        first_day=first_day,
        bins=_bins(garden, change),
        stage_weeks=_stage_weeks(lengths, year.wishes.sureness, gather),
        stuff=tuple(
            gathered(one, gather) if one.key == GREENS else one
            for one in supplies(garden, first_day, shredding=shredding)
        ),
        work_loads=loads,
        work=usual_work_rates(),
        form=_form(lengths, year.wishes.sureness),
        beds=beds,
        standing=standing_heaps(garden, stages, year.wishes.sureness),
        compost_on_hand_m3=year.store_m3,
        most_builds=year.wishes.batches_most,
    )
    return YearInputs(
        problem=problem,
        stages=stages,
        work_days=work_days,
        away=tuple(not days for days in free),
        rounds=rounds,
        sureness=year.wishes.sureness,
        gather_weeks=gather,
        arrival_spread=_arrival_spread(garden, problem, shredding=shredding),
    )


def _bins(garden: Garden, change: Change | None) -> tuple[RotationBin, ...]:
    there = list(garden.state().bins_in_use.values())
    row = [RotationBin(one.key, one.name, bin_volume_m3(one)) for one in there]
    if change is Change.BIN and row:
        # The same size as the first of the row, at its end.
        row.append(replace(row[0], key="one-more", name="one more"))
    return tuple(row)


def _stage_weeks(
    lengths: StageLengths, sureness: float, gather: int
) -> tuple[tuple[int, ...], ...]:
    """Return the lengths by the week in which a heap is begun; it is full some weeks later."""
    found = np.roll(sure_ends(lengths, sureness), -gather, axis=1)
    found[0] += gather
    return tuple(tuple(int(weeks) for weeks in row) for row in found)


def gathered(stuff: StuffClass, weeks: int) -> StuffClass:
    """Return a class as a heap that is filled over some weeks takes it.

    A heap begun in week w may take what arrives from w to w + weeks: laid in with brown at once,
    it keeps. Seen from the week of beginning that is stuff which arrived so much earlier and kept
    so much longer. What arrives after the year is taken to be what arrives at its beginning.
    """
    if weeks == 0:
        return stuff

    def shifted(values: tuple[float, ...]) -> tuple[float, ...]:
        return values[weeks:] + values[:weeks]

    early = tuple(
        StuffOnHand(volume_m3, week + stuff.keeps_weeks)
        for week, volume_m3 in enumerate(stuff.arriving_m3[:weeks])
        if volume_m3 > 0.0
    )
    return replace(
        stuff,
        on_hand=(*stuff.on_hand, *early),
        arriving_m3=shifted(stuff.arriving_m3),
        keeps_weeks=stuff.keeps_weeks + weeks,
        need_m3_per_m3=shifted(stuff.need_m3_per_m3),
    )


def _arrival_spread(
    garden: Garden, problem: RotationProblem, *, shredding: bool
) -> dict[str, tuple[float, float, float]]:
    """Return what may arrive of each class, as share of what the plan counts on."""
    counted = {one.key: _arriving_m3(one) for one in problem.stuff}
    levels = [
        {
            one.key: _arriving_m3(one)
            for one in supplies(garden, problem.first_day, shredding=shredding, sureness=sureness)
        }
        for sureness in (_NEARLY_ALWAYS, 0.5, 1.0 - _NEARLY_ALWAYS)
    ]
    return {
        key: (low[key] / there, likely[key] / there, high[key] / there)
        for low, likely, high in [levels]
        for key, there in counted.items()
        if there > 0.0
    }


def _arriving_m3(stuff: StuffClass) -> float:
    return sum(stuff.arriving_m3)


def _form(lengths: StageLengths, sureness: float) -> HeapForm:
    """Return how heaps shrink: the middle of the ensemble, the compost as range."""
    shares = np.where(np.isfinite(lengths.volume_share), lengths.volume_share, np.nan)
    with np.errstate(all="ignore"):
        middle = [float(np.nanmedian(shares[stage])) for stage in range(3)]
        found = shares[3][np.isfinite(shares[3])]
    middle = [share if np.isfinite(share) else 1.0 for share in middle]
    sure, likely, high = (
        np.quantile(found, (1.0 - sureness, 0.5, 0.9)) if found.size else (0.0, 0.0, 0.0)
    )
    return HeapForm(
        volume_share=(middle[0], middle[1], middle[2]),
        yield_share=Yield(float(sure), float(likely), float(high)),
        # Sources differ from half a yard cube to a whole one: below the least none says it heats.
        least_build_m3=target("wish_least_heap_m3").low,
    )


def _free_days(
    garden: Garden, wishes: WishesState, aways: Sequence[AwayState], first_day: date
) -> list[list[date]]:
    """Return for each week the days on which this person works at the heaps."""
    today = today_in(garden)
    there = [one for one in aways if one.in_use]

    def is_free(day: date) -> bool:
        return day >= today and not any(one.from_date <= day <= one.to_date for one in there)

    places = [WEEK_DAYS.index(day) for day in wishes.work_days]
    weeks = []
    for week in range(WEEKS):
        monday = first_day + timedelta(weeks=week)
        weeks.append([day for place in sorted(places) if is_free(day := monday + timedelta(place))])
    return weeks


def free_days(garden: Garden, first_day: date) -> list[list[date]]:
    """Return for each week of the plan the days on which this person works at the heaps."""
    year = garden.state().year
    return _free_days(garden, year.wishes, list(year.aways.values()), first_day)


def _beds(
    garden: Garden, first_day: date, free: Sequence[Sequence[date]]
) -> tuple[tuple[BedWish, ...], tuple[WantedRound, ...]]:
    end = first_day + timedelta(weeks=WEEKS) - timedelta(days=1)
    wishes, rounds = [], []
    for one in wanted_rounds(garden, end):
        if one.still_m3.likely <= 0.0:
            continue
        wishes.append(
            BedWish(
                key=f"{one.key}-{one.due.year}",
                name=one.name,
                compost_m3=one.still_m3.likely,
                due_week=_last_week_before(one.due, first_day, free),
                weight=bed_weight(one.weight),
            )
        )
        rounds.append(one)
    return tuple(wishes), tuple(rounds)


def _last_week_before(due: date, first_day: date, free: Sequence[Sequence[date]]) -> int:
    """Return the last week whose jobs are all done by a day; 0 when it is overdue."""
    week = max(0, (due - first_day).days // _DAYS_A_WEEK)
    if week < len(free) and free[week] and free[week][-1] > due:
        week -= 1
    return max(0, week)


def stuff_named(problem: RotationProblem, key: str) -> StuffClass | None:
    """Return a class of material of the problem by its key, None when it has none."""
    return next((one for one in problem.stuff if one.key == key), None)
