"""Reads a table of monthly figures: twelve rows, one a month, with stated units.

Knows month names and numbers. What becomes of the figures is the business of `normals`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from heapwright.errors import WeatherProblem
from heapwright.weather import raw
from heapwright.weather.columns import column_numbers, split_table
from heapwright.weather.headings import quantities_of
from heapwright.weather.normals import MONTHS, MonthlyNormals
from heapwright.weather.raw import HOURS_A_DAY
from heapwright.weather.units import is_energy, to_si
from heapwright.wording import worded

_NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_HEADING = "month"
_WET_DAYS = ("wet_days", "rain_days", "days_with_rain", "wet days", "rain days")


def _month_number(text: str) -> int | None:
    text = text.strip().casefold()
    if text.isdigit():
        return int(text)
    return _NAMES.index(text[:3]) + 1 if text[:3] in _NAMES else None


def _months(header: Sequence[str], rows: Sequence[Sequence[str]]) -> list[int | None]:
    place = [name.casefold() for name in header].index(_HEADING)
    return [_month_number(row[place]) if place < len(row) else None for row in rows]


def is_monthly(header: Sequence[str], rows: Sequence[Sequence[str]]) -> bool:
    """Return whether a table has a month column and no more than twelve rows."""
    return _HEADING in (name.casefold() for name in header) and len(rows) <= MONTHS


def read_monthly(text: str, *, units: Mapping[str, str] | None = None) -> MonthlyNormals:
    """Return twelve monthly figures of each quantity, in SI.

    Temperatures are mean daily lowest and highest, rain the month's total, sun a mean power or the
    energy of a mean day.

    Parameters
    ----------
    text : str
        The file: a column "month" and others with their unit in the heading.
    units : mapping of str to str, optional
        Units of headings that state none.

    Raises
    ------
    WeatherProblem, UnreadableFile
        If a month is lacking or doubled, or a unit is not stated.

    """
    header, rows, separator = split_table(text)
    months = _months(header, rows)
    if sorted(month or 0 for month in months) != list(range(1, MONTHS + 1)):
        raise WeatherProblem(
            worded("The table has {number} rows for its months", number=len(rows)),
            why="Each of the twelve months must stand in it once, as a number or a name",
            kept="Nothing was read.",
        )
    order = np.argsort(np.array([month or 0 for month in months]))
    values = {}
    for quantity, (name, unit) in quantities_of(header, units or {}).items():
        found = to_si(quantity, unit, column_numbers(header, rows, name, separator))[order]
        if quantity == raw.SUN and is_energy(unit):
            found = found / HOURS_A_DAY
        values[quantity] = found
    wet = next((name for name in header if name.casefold() in _WET_DAYS), None)
    wet_days = column_numbers(header, rows, wet, separator)[order] if wet else None
    return MonthlyNormals(values, wet_days)
