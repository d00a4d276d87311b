"""Answers what water, compost and material went through the garden by month, and what it cost.

Knows how journal, prices and the year's plan come together. What is booked stands in
`ledger_done.py`, what is expected in `ledger_ahead.py`.
"""

from __future__ import annotations

from datetime import date

from heapwright.errors import HeapwrightError, OutOfRange
from heapwright.garden.carbon import kept_kg_per_kg
from heapwright.garden.ledger import by_month, money_of, month_of, months_between, months_on, total
from heapwright.garden.ledger_types import Booking, Money, Prices, Range, Sums
from heapwright.garden.tables import PACKAGE
from heapwright.sentences import Sentence
from heapwright.sources import describe
from heapwright.tables import estimate_from_row, read_rows
from heapwright.wording import worded
from heapwright.workshop import ledger_words
from heapwright.workshop.beds import today_in
from heapwright.workshop.garden import Garden
from heapwright.workshop.ledger_ahead import months_ahead
from heapwright.workshop.ledger_answer import Carbon, Factor, Ledger, MonthAhead, MonthDone
from heapwright.workshop.ledger_done import bookings
from heapwright.workshop.year_answer import YearAnswer

_MONTHS_BACK = 11
#: Nobody logged a heap before.
_EARLIEST_YEAR = 1990


def ledger_now(garden: Garden, year: int | None = None) -> Ledger:
    """Return the ledger with the months ahead as the year's plan has them now.

    Where the year cannot be planned, the ledger says why and tells the months done all the same.

    Parameters
    ----------
    garden : Garden
    year : int, optional
        A calendar year; the last twelve months and the plan's if not given.

    Raises
    ------
    OutOfRange
        If it is no year that can have anything in it.

    """
    # Planning loads a solver, which an older year's ledger does without.
    from heapwright.workshop.year import year as plan_year

    today = today_in(garden)
    if year is not None:
        _check_year(year, today)
    if not garden.state().bins_in_use:
        return ledger(garden, None, year, why=ledger_words.no_plan())
    if year is not None and year < today.year:
        return ledger(garden, None, year)
    try:
        answer = plan_year(garden)
    except HeapwrightError as problem:
        return ledger(garden, None, year, why=ledger_words.no_plan_now(problem))
    return ledger(garden, answer, year)


def ledger(
    garden: Garden,
    answer: YearAnswer | None,
    year: int | None = None,
    *,
    why: Sentence | None = None,
) -> Ledger:
    """Return what went through the garden by month, and what is expected.

    Parameters
    ----------
    garden : Garden
    answer : YearAnswer or None
        The year's plan; without one nothing is expected.
    year : int, optional
        A calendar year; the last twelve months and the plan's if not given.
    why : Sentence, optional
        Why there is no plan.

    Raises
    ------
    OutOfRange
        If it is no year that can have anything in it.

    """
    today, state = today_in(garden), garden.state()
    if year is not None:
        _check_year(year, today)
    prices = prices_of(garden)
    everything = bookings(state)
    months = _months_done(today, year)
    sums = by_month(everything, months)
    done = tuple(MonthDone(month, one, _money(one, prices)) for month, one in sums.items())
    together = total(one.sums for one in done)
    ahead: tuple[MonthAhead, ...] = ()
    ahead_sum: MonthAhead | None = None
    heaps = 0
    if answer is not None:
        heaps = len(answer.plan.batches)
        ahead, ahead_sum = months_ahead(garden, answer, today, prices, year)
    done_money = _money(together, prices)
    told = [*ledger_words.done_told(together, done_money, prices)] if done else []
    notes = [*ledger_words.notes(together, prices)]
    if ahead_sum is not None:
        told += ledger_words.ahead_told(ahead_sum, prices, heaps)
        notes += ledger_words.ahead_notes()
    if why is not None:
        notes.insert(0, why)
    return Ledger(
        garden_name=state.settings.name,
        is_demo=state.settings.is_demo,
        today=today,
        year=year,
        years=_years(everything, today),
        prices=prices,
        done=done,
        done_sums=together,
        done_money=done_money,
        ahead=ahead,
        ahead_sum=ahead_sum,
        carbon=carbon_of(together.kitchen_kg),
        told=tuple(told),
        notes=tuple(notes),
    )


def prices_of(garden: Garden) -> Prices:
    """Return what this person pays, as far as they said."""
    wishes = garden.state().year.wishes
    return Prices(wishes.water_price_m3, wishes.compost_price_m3, wishes.currency)


def carbon_of(kitchen_kg: float) -> Carbon:
    """Return what kitchen scraps kept out of the air, with what that rests on.

    Parameters
    ----------
    kitchen_kg : float
        Wet mass that went into heaps. [kg]

    """
    per_kg = kept_kg_per_kg()
    kept_kg = per_kg.times(kitchen_kg)
    told = tuple(ledger_words.carbon_told(kitchen_kg, per_kg, kept_kg))
    return Carbon(kitchen_kg, per_kg, kept_kg, told, tuple(_factors()))


def _factors() -> list[Factor]:
    return [
        Factor(
            id=row["id"],
            told=ledger_words.FACTORS[row["id"]],
            value=estimate_from_row(row),
            unit=row["unit"],
            citation=describe(row["source"]),
            place=row["place"],
        )
        for row in read_rows(PACKAGE, "data/carbon.csv")
    ]


def _money(sums: Sums, prices: Prices) -> Money:
    return money_of(Range.exactly(sums.water_kg), sums.own_m3, sums.bought_m3, prices)


def _months_done(today: date, year: int | None) -> tuple[date, ...]:
    if year is None:
        return months_between(months_on(month_of(today), -_MONTHS_BACK), today)
    return months_between(date(year, 1, 1), min(today, date(year, 12, 31)))


def _years(everything: tuple[Booking, ...], today: date) -> tuple[int, ...]:
    first = min((one.on.year for one in everything), default=today.year)
    return tuple(range(min(first, today.year), today.year + 1))


def _check_year(year: int, today: date) -> None:
    if not _EARLIEST_YEAR <= year <= today.year + 1:
        raise OutOfRange(
            worded("Nothing can be booked in the year {year}", year=f"{year}"),
            instead=worded(
                "Name one from {first} to {last}",
                first=f"{_EARLIEST_YEAR}",
                last=f"{today.year + 1}",
            ),
            kept="Nothing was changed.",
        )
