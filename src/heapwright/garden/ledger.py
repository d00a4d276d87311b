"""Keeps the ledger: bookings summed by month, weeks laid into months, what it costs.

Knows calendar and arithmetic. Knows no journal, no plan and no word.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heapwright.garden.ledger_types import Booking, Kind, Money, Prices, Range, Sums

FloatArray = NDArray[np.float64]
_MONTHS_A_YEAR = 12
_DAYS_A_WEEK = 7
_WATER_KG_PER_M3 = 1000.0  # 1 kg of water is 1 litre, near enough for a hose
_FIELD = {
    Kind.WATER: "water_kg",
    Kind.OWN: "own_m3",
    Kind.BOUGHT: "bought_m3",
    Kind.KITCHEN: "kitchen_kg",
    Kind.GREENS: "greens_kg",
    Kind.BROWNS: "browns_kg",
    Kind.OTHER: "other_kg",
}


def month_of(day: date) -> date:
    """Return the first day of the month a day lies in."""
    return day.replace(day=1)


def months_on(month: date, number: int) -> date:
    """Return the first day of the month so many months later; earlier when below nothing."""
    months = month.year * _MONTHS_A_YEAR + month.month - 1 + number
    return date(months // _MONTHS_A_YEAR, months % _MONTHS_A_YEAR + 1, 1)


def months_between(first: date, last: date) -> tuple[date, ...]:
    """Return the first days of all months from one day's to another's, both among them."""
    found, month = [], month_of(first)
    while month <= last:
        found.append(month)
        month = months_on(month, 1)
    return tuple(found)


def by_month(bookings: Iterable[Booking], months: Sequence[date]) -> Mapping[date, Sums]:
    """Return what was booked in each of some months; other months are left out.

    Parameters
    ----------
    bookings : iterable of Booking
    months : sequence of date
        First days of months.

    """
    found = {month: Sums() for month in months}
    for one in bookings:
        month = month_of(one.on)
        if month in found:
            found[month] = found[month].plus(booked(one))
    return found


def booked(one: Booking) -> Sums:
    """Return a booking as a sum of its own."""
    if one.amount is None:
        return Sums(unmeasured=1)
    found: dict[str, Any] = {_FIELD[one.kind]: one.amount}
    return Sums(**found)


def total(sums: Iterable[Sums]) -> Sums:
    """Return all together."""
    found = Sums()
    for one in sums:
        found = found.plus(one)
    return found


def weeks_in_months(
    weekly: FloatArray, first_day: date, months: Sequence[date], from_day: date
) -> FloatArray:
    """Return amounts of weeks laid into months, each week's spread evenly over its days.

    Parameters
    ----------
    weekly : array, shape (weeks, members)
    first_day : date
        First day of week 0.
    months : sequence of date
        First days of months; what falls elsewhere is left out.
    from_day : date
        Days before it are left out.

    Returns
    -------
    array, shape (months, members)

    """
    place = {month: number for number, month in enumerate(months)}
    share = np.zeros((len(months), weekly.shape[0]))
    for week in range(weekly.shape[0]):
        for number in range(_DAYS_A_WEEK):
            day = first_day + timedelta(days=_DAYS_A_WEEK * week + number)
            month = place.get(month_of(day))
            if month is not None and day >= from_day:
                share[month, week] += 1.0 / _DAYS_A_WEEK
    return np.asarray(share @ weekly)


def over_members(values: FloatArray) -> Range:
    """Return the middle eight in ten of runs, and their mean, which alone adds up month by month.

    Parameters
    ----------
    values : array, shape (members,)

    """
    low, high = np.quantile(values, [0.1, 0.9])
    mean = float(np.mean(values))
    return Range(min(float(low), mean), mean, max(float(high), mean))


def money_of(water_kg: Range, own_m3: float, bought_m3: float, prices: Prices) -> Money:
    """Return what water and bought compost cost, and what own compost would have cost.

    Parameters
    ----------
    water_kg : Range
        [kg]
    own_m3, bought_m3 : float
        [m³]
    prices : Prices

    """
    water, compost = prices.water_m3, prices.compost_m3
    return Money(
        water=None if water is None else water_kg.times(water / _WATER_KG_PER_M3),
        bought=None if compost is None else bought_m3 * compost,
        saved=None if compost is None else own_m3 * compost,
    )
