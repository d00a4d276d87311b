"""Lays the year's plan into months: the water its heaps take, compost for the beds, what to buy.

Knows how plan and stage lengths come together. Plans nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from heapwright.garden.ledger import (
    FloatArray,
    money_of,
    month_of,
    months_between,
    over_members,
    weeks_in_months,
)
from heapwright.garden.ledger_types import Prices
from heapwright.season.stage_types import week_of_year
from heapwright.season.water_ahead import water_by_week
from heapwright.workshop.garden import Garden
from heapwright.workshop.ledger_answer import MonthAhead
from heapwright.workshop.stage_lengths import stage_lengths
from heapwright.workshop.year_answer import YearAnswer, YearBed

_A_DAY = timedelta(days=1)


def months_ahead(
    garden: Garden, answer: YearAnswer, today: date, prices: Prices, year: int | None
) -> tuple[tuple[MonthAhead, ...], MonthAhead | None]:
    """Return the months that a plan reaches, and all of them together.

    Parameters
    ----------
    garden : Garden
    answer : YearAnswer
    today : date
        Days before it are not expected any more.
    prices : Prices
    year : int or None
        Only the months of a calendar year.

    Raises
    ------
    HeapwrightError
        If the garden's usual heap cannot be modelled.

    """
    last = answer.problem.day_of(answer.problem.weeks) - _A_DAY
    months = [one for one in months_between(today, last) if year in (None, one.year)]
    if not months:
        return (), None
    weekly = _weekly_kg(garden, answer)
    water = weeks_in_months(weekly, answer.first_day, months, today)
    beds = [(max(today, bed.due), bed) for bed in answer.beds]
    found = tuple(
        _month(month, row, [bed for due, bed in beds if month_of(due) == month], prices)
        for month, row in zip(months, water, strict=True)
    )
    within = [bed for due, bed in beds if month_of(due) in months]
    return found, _month(months[0], water.sum(axis=0), within, prices)


def _weekly_kg(garden: Garden, answer: YearAnswer) -> FloatArray:
    stages = stage_lengths(garden)
    batches = garden.state().batches
    weeks = stages.lengths.weeks.size
    built = {
        heap.key: (week_of_year(batches[heap.key].built_at.date()) - week_of_year(stages.first_day))
        % weeks
        for heap in answer.problem.standing
    }
    return water_by_week(answer.plan, answer.problem, stages.lengths, built)


def _month(month: date, water: FloatArray, beds: Sequence[YearBed], prices: Prices) -> MonthAhead:
    water_kg = over_members(water)
    own = sum(bed.served_m3 for bed in beds)
    buy = sum(bed.short_m3 for bed in beds)
    return MonthAhead(month, water_kg, own, buy, money_of(water_kg, own, buy, prices))
