"""Draws a forecast as rows of figures with a small curve beside them.

Knows how hours become days at one time of day and how a band is drawn with letters. The figures
beside it say the same, so nothing is lost to who cannot see it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from heapwright.cli import screen
from heapwright.quantities import format_temperature, temperature_in
from heapwright.sentences import Reader
from heapwright.wording import dated
from heapwright.workshop.answers import Forecast

HOURS_A_DAY = 24
MOST_COLUMNS = 36
LEAST_COLUMNS = 10
BESIDE = 34  # what day and figures take up


@dataclass(frozen=True, slots=True)
class DayAhead:
    """A forecast at this time of day, so many days ahead."""

    at: datetime
    low_c: float
    likely_c: float
    high_c: float
    air_c: float


def daily(answer: Forecast) -> tuple[DayAhead, ...]:
    """Return the forecast at the present hour and the same hour of each day ahead."""
    hours = range(answer.now_index, len(answer.likely_c), HOURS_A_DAY)
    return tuple(
        DayAhead(
            at=answer.start + timedelta(hours=hour),
            low_c=float(answer.low_c[hour]),
            likely_c=float(answer.likely_c[hour]),
            high_c=float(answer.high_c[hour]),
            air_c=float(answer.air_c[min(hour, len(answer.air_c) - 1)]),
        )
        for hour in hours
    )


def lines(ahead: Sequence[DayAhead], zone: tzinfo, reader: Reader) -> Iterator[str]:
    """Yield the days in rows: low, likely, high, and where they lie between coldest and hottest."""
    if not ahead:
        return
    coldest = min(day.low_c for day in ahead)
    hottest = max(day.high_c for day in ahead)
    columns = max(LEAST_COLUMNS, min(MOST_COLUMNS, screen.width() - BESIDE))
    headings = ("Day", "low", "likely", "high", _scale(coldest, hottest, columns, reader))
    rows = [
        (
            dated(day.at.astimezone(zone), "EEE d"),
            *(format_temperature(value, reader.units) for value in _three(day)),
            _band(day, coldest, hottest, columns),
        )
        for day in ahead
    ]
    yield from screen.table(rows, headings, right=(1, 2, 3))


def _three(day: DayAhead) -> tuple[float, float, float]:
    return day.low_c, day.likely_c, day.high_c


def _scale(coldest: float, hottest: float, columns: int, reader: Reader) -> str:
    unit = reader.units.temperature_unit
    left, right = (f"{temperature_in(value, unit):.0f}" for value in (coldest, hottest))
    return left + right.rjust(columns - len(left))


def _band(day: DayAhead, coldest: float, hottest: float, columns: int) -> str:
    """Return the row's drawing: a line from low to high with a dot at likely."""
    step = (hottest - coldest) / (columns - 1) or 1.0
    low, likely, high = (round((value - coldest) / step) for value in _three(day))
    drawn = " " * low + "─" * (high - low + 1)
    return drawn[:likely] + "●" + drawn[likely + 1 :]
