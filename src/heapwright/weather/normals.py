"""Turns twelve monthly figures into a usual year: smooth from day to day, true to every month.

Knows the calendar and how to draw the smoothest year with given monthly means. What it gives has
no cold snaps and no heat waves; the notes say so. Deterministic: no dice.

References
----------
[1] Rymes, M.D., Myers, D.R., "Mean preserving algorithm for smoothly interpolating averaged data",
    Solar Energy 71, 225-231, 2001: why a curve through monthly means must give them back. The
    curve here is our own choice: the one with the least total bending.

"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.tables import parameter_table
from heapwright.weather import raw
from heapwright.weather.moist_air import dew_point_c
from heapwright.weather.raw import Place, RawDays
from heapwright.weather.stamps import TYPICAL_YEAR
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

MONTHS = 12
#: Days of each month in a typical year.
MONTH_DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_DAYS = int(MONTH_DAYS.sum())

_SMOOTH = (
    "A usual year drawn from monthly figures: no cold snaps, no heat waves. Never rely on it alone "
    "to promise that a heap will not freeze."
)


@dataclass(frozen=True, slots=True)
class MonthlyNormals:
    """Twelve figures of each quantity, January first.

    Attributes
    ----------
    values : mapping of str to array, shape (12,)
        By quantity of `raw`: mean daily lowest and highest temperature are needed; month's total
        of rain, mean humidity, wind and sun if known. SI.
    wet_days : array, shape (12,), optional
        Days with rain in each month.

    """

    values: Mapping[str, FloatArray]
    wet_days: FloatArray | None = None


def _month_of_day() -> IntArray:
    return np.repeat(np.arange(MONTHS), MONTH_DAYS)


@cache
def _smoother() -> FloatArray:
    """Return the matrix that turns 12 means into the 365 days with the least bending."""
    bend = -2.0 * np.eye(_DAYS) + np.roll(np.eye(_DAYS), 1, axis=0) + np.roll(np.eye(_DAYS), -1, 0)
    mean = (_month_of_day()[None, :] == np.arange(MONTHS)[:, None]) / MONTH_DAYS[:, None]
    system = np.zeros((_DAYS + MONTHS, _DAYS + MONTHS))
    system[:_DAYS, :_DAYS] = bend.T @ bend
    system[:_DAYS, _DAYS:], system[_DAYS:, :_DAYS] = mean.T, mean
    right = np.zeros((_DAYS + MONTHS, MONTHS))
    right[_DAYS:] = np.eye(MONTHS)
    return np.asarray(np.linalg.solve(system, right)[:_DAYS])


def smooth_days(
    monthly: FloatArray, *, lowest: float = -np.inf, highest: float = np.inf
) -> FloatArray:
    """Return 365 daily values whose monthly means are the given ones.

    The curve runs smoothly round the year's end. Where it would leave the bounds, that month's
    swing about its mean is made smaller, so the mean still holds.

    Parameters
    ----------
    monthly : array, shape (12,)
        Monthly means, within the bounds.
    lowest, highest : float
        What the quantity can be.

    Returns
    -------
    array, shape (365,)

    """
    month = _month_of_day()
    means = np.asarray(monthly, dtype=np.float64)
    swing = _smoother() @ means - means[month]
    share = np.ones(MONTHS)
    for index in range(MONTHS):
        days = swing[month == index]
        up, down = max(days.max(), 0.0), min(days.min(), 0.0)
        room_up, room_down = highest - means[index], lowest - means[index]
        share[index] = min(
            1.0,
            room_up / up if up > room_up else 1.0,
            room_down / down if down < room_down else 1.0,
        )
    return np.asarray(means[month] + share[month] * swing)


def rainy_days(total_mm: FloatArray, wet_days: FloatArray) -> FloatArray:
    """Return daily rain: each month's total in equal amounts on evenly spaced days."""
    rain = np.zeros(_DAYS)
    first = np.concatenate(([0], np.cumsum(MONTH_DAYS)[:-1]))
    for month in range(MONTHS):
        if total_mm[month] <= 0.0:
            continue
        length = int(MONTH_DAYS[month])
        count = int(np.clip(round(float(wet_days[month])), 1, length))
        days = first[month] + ((np.arange(count) + 0.5) * length / count).astype(np.int64)
        rain[days] = total_mm[month] / count
    return rain


def _usual_wet_days(total_mm: FloatArray) -> FloatArray:
    depth = parameter_table("heapwright.weather", "gaps.csv")["wet_day_mm"].typical
    return np.asarray(np.ceil(total_mm / depth))


def _checked(normals: MonthlyNormals) -> None:
    for quantity, words in ((raw.COLDEST, "lowest"), (raw.WARMEST, "highest")):
        if quantity not in normals.values:
            raise WeatherProblem(
                worded(
                    "The monthly figures have no mean {words} temperature of the day", words=words
                ),
                instead="Give both, with their unit",
                kept="Nothing was read.",
            )
    for quantity, column in normals.values.items():
        if column.shape != (MONTHS,) or not np.isfinite(column).all():
            raise WeatherProblem(
                worded(
                    "The monthly figures of {quantity} are not twelve numbers",
                    quantity=quantity.replace("_", " "),
                ),
                instead="Give one for each month, January first",
                kept="Nothing was read.",
            )


def days_from_normals(
    normals: MonthlyNormals, *, source: str, place: Place | None = None
) -> RawDays:
    """Return a usual year by days from monthly figures; `days.hours_from_days` makes it hours.

    Each month keeps its mean lowest and highest temperature, its rain, wind and sun exactly.
    Humidity is carried as the dew point of the month's mean temperature and humidity.

    Parameters
    ----------
    normals : MonthlyNormals
        Twelve figures each.
    source : str
        Words for the person.
    place : Place, optional
        Where.

    Raises
    ------
    WeatherProblem
        If a temperature is lacking or a column is not twelve numbers.

    """
    _checked(normals)
    given = normals.values
    values = {raw.COLDEST: smooth_days(given[raw.COLDEST])}
    spread = given[raw.WARMEST] - given[raw.COLDEST]
    values[raw.WARMEST] = values[raw.COLDEST] + smooth_days(spread, lowest=0.0)
    for quantity in (raw.WIND, raw.SUN):
        if quantity in given:
            values[quantity] = smooth_days(given[quantity], lowest=0.0)
    if raw.HUMIDITY in given:
        mean = (values[raw.COLDEST] + values[raw.WARMEST]) / 2.0
        values[raw.DEW_POINT] = dew_point_c(
            mean, smooth_days(given[raw.HUMIDITY], lowest=0.0, highest=1.0)
        )
    if raw.RAIN in given:
        wet = normals.wet_days
        total = given[raw.RAIN]
        values[raw.RAIN] = rainy_days(total, _usual_wet_days(total) if wet is None else wet)
    days = np.datetime64(f"{TYPICAL_YEAR}-01-01", "D") + np.arange(_DAYS)
    return RawDays(
        days=days, values=values, source=source, place=place, notes=(_SMOOTH,), typical=True
    )
