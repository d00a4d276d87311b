"""Lays a year of weather on other dates: the same calendar day and hour, whatever the year.

Knows the calendar only. What it gives is the weather of a usual year, never a forecast, and the
notes say so.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.weather.series import WeatherSeries
from heapwright.wording import worded

IntArray = NDArray[np.int64]

_LEAP_YEAR_DAYS = 366
_HOURS_A_DAY = 24
#: Days before each month in a leap year, so that 29 February has a place of its own.
_DAYS_BEFORE = np.array([0, 31, 60, 91, 121, 152, 182, 213, 244, 274, 305, 335])


def _hour_stamps(start: datetime, hours: int) -> NDArray[np.datetime64]:
    first = np.datetime64(start.astimezone(UTC).replace(tzinfo=None), "h")
    return first + np.arange(hours)


def _calendar_place(stamps: NDArray[np.datetime64]) -> tuple[IntArray, IntArray]:
    """Return the day of a leap year (0-365) and the hour of the day (0-23)."""
    days = stamps.astype("datetime64[D]")
    months = stamps.astype("datetime64[M]")
    in_month = (days - months.astype("datetime64[D]")).astype(np.int64)
    hour = (stamps - days.astype("datetime64[h]")).astype(np.int64)
    return _DAYS_BEFORE[months.astype(np.int64) % 12] + in_month, hour


def _first_hour_of_each_place(series: WeatherSeries) -> IntArray:
    """Return for each day and hour of the calendar the first index in the series, or -1."""
    day, hour = _calendar_place(_hour_stamps(series.start, series.hours))
    table = np.full((_LEAP_YEAR_DAYS, _HOURS_A_DAY), -1, dtype=np.int64)
    order = np.arange(series.hours)[::-1]
    table[day[order], hour[order]] = order
    return table


def _borrow_from_day_before(table: IntArray) -> IntArray:
    filled = table.copy()
    while (filled < 0).any():
        before = np.roll(filled, 1, axis=0)
        filled = np.where(filled < 0, before, filled)
    return filled


def on_dates(
    series: WeatherSeries, start: datetime, end: datetime, *, least_days: int = 350
) -> WeatherSeries:
    """Return the series laid on other dates, hour by hour of the calendar (in UTC).

    Of several years the first is taken. A calendar hour the series lacks, such as 29 February in
    a typical year, is taken from the day before.

    Parameters
    ----------
    series : WeatherSeries
        About a year or more.
    start, end : datetime
        Timezone-aware; floored and raised to the hour.
    least_days : int
        A shorter series is refused: it cannot stand for a year.

    Returns
    -------
    WeatherSeries
        From `start` to `end`.

    Raises
    ------
    WeatherProblem
        If the series is too short or the dates are the wrong way round.

    """
    if series.hours < least_days * _HOURS_A_DAY:
        raise WeatherProblem(
            worded(
                "{source} covers {hours:.0f} days",
                source=series.source,
                hours=series.hours / _HOURS_A_DAY,
            ),
            why=worded(
                "At least {least_days} are needed to stand for a whole year", least_days=least_days
            ),
            instead="Choose one of the climates, or give a file with a year in it",
        )
    first = start.astimezone(UTC).replace(minute=0, second=0, microsecond=0)
    hours = -int((first - end.astimezone(UTC)) // timedelta(hours=1))
    if hours < 1:
        raise WeatherProblem(
            worded(
                "Weather from {start:%Y-%m-%d %H:%M} to {end:%Y-%m-%d %H:%M} is wanted",
                start=start,
                end=end,
            ),
            why="The end must come after the beginning",
        )
    day, hour = _calendar_place(_hour_stamps(first, hours))
    table = _first_hour_of_each_place(series)
    borrowed = int(np.unique(day[table[day, hour] < 0]).size)
    return _picked(series, _borrow_from_day_before(table)[day, hour], first, borrowed)


def _picked(series: WeatherSeries, index: IntArray, start: datetime, days: int) -> WeatherSeries:
    notes = [
        worded(
            "{source} is laid on these dates: usual weather for the day, not a forecast.",
            source=series.source,
        )
    ]
    if days:
        count = "1 day" if days == 1 else worded("{days} days", days=days)
        notes.append(
            worded("Hours missing from it on {count} are taken from the day before.", count=count)
        )
    return replace(
        series,
        start=start,
        temperature_c=series.temperature_c[index],
        relative_humidity=series.relative_humidity[index],
        wind_m_s=series.wind_m_s[index],
        rain_mm=series.rain_mm[index],
        sun_w_m2=series.sun_w_m2[index],
        notes=(*series.notes, *notes),
    )
