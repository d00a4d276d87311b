"""Turns days into hours: temperature by two half waves, rain spread evenly over its day.

Knows the sun's times at a place. Knows no file format.

References
----------
[1] de Wit, C.T., Goudriaan, J., van Laar, H.H., et al., Simulation of assimilation, respiration
    and transpiration of crops, Pudoc, Wageningen, 1978: cosine from the minimum at sunrise to the
    maximum at 14 h solar time, and back to the next sunrise (from memory).
[2] Allen, R.G., Pereira, L.S., Raes, D., Smith, M., FAO Irrigation and Drainage Paper 56, 1998,
    equation 48: the dew point stands near the day's minimum.

"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.weather import raw
from heapwright.weather.checks import Stated, believable
from heapwright.weather.fill import place_needed
from heapwright.weather.raw import HOURS_A_DAY, Place, RawDays, RawHours
from heapwright.weather.sun import above_the_air_w_m2, sun_position
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Hours = NDArray[np.datetime64]

#: Solar hour of the day's highest temperature [1].
WARMEST_HOUR = 14
#: Coldest hour where the sun neither rises nor sets, and where the place is unknown (our choice).
USUAL_COLDEST_HOUR = 6


def sunrise_hours(days: Hours, place: Place | None) -> IntArray:
    """Return for each day the solar hour (0-11) in which the sun comes up."""
    if place is None:
        return np.full(days.size, USUAL_COLDEST_HOUR)
    first = np.arange(1, HOURS_A_DAY // 2 + 1) - place.solar_offset_h
    morning = days.astype("datetime64[h]")[:, None] + first.astype("timedelta64[h]")[None, :]
    up = sun_position(morning, place.latitude_deg, place.longitude_deg).cos_zenith > 0.0
    rises = up.any(axis=1) & ~up.all(axis=1)
    return np.where(rises, np.argmax(up, axis=1), USUAL_COLDEST_HOUR)


def temperature_hours(coldest: FloatArray, warmest: FloatArray, sunrise: IntArray) -> FloatArray:
    """Return hourly temperature from days' lowest and highest, by [1].

    Each day's lowest stands in its sunrise hour and its highest at 14 h, exactly; in between lie
    half waves, so no hour leaves the band between the extremes next to it.

    Parameters
    ----------
    coldest, warmest : array, shape (days,)
        Day's lowest and highest [°C].
    sunrise : array, shape (days,)
        Hour of the lowest, 0-13.

    Returns
    -------
    array, shape (24 days,)
        Temperature of each solar hour [°C].

    """
    days = coldest.size
    start = np.arange(days) * HOURS_A_DAY
    hours = np.empty(2 * days + 2)
    values = np.empty(2 * days + 2)
    hours[1:-1:2], hours[2:-1:2] = start + sunrise, start + WARMEST_HOUR
    values[1:-1:2], values[2:-1:2] = coldest, warmest
    hours[0], values[0] = WARMEST_HOUR - HOURS_A_DAY, warmest[0]
    hours[-1], values[-1] = hours[-3] + HOURS_A_DAY, coldest[-1]
    at = np.arange(days * HOURS_A_DAY, dtype=np.float64)
    left = np.searchsorted(hours, at, side="right") - 1
    share = (at - hours[left]) / (hours[left + 1] - hours[left])
    wave = (1.0 - np.cos(np.pi * share)) / 2.0
    return np.asarray(values[left] + (values[left + 1] - values[left]) * wave)


def _on_daily_grid(reading: RawDays) -> tuple[Hours, dict[str, FloatArray], tuple[str, ...]]:
    stamps, first = np.unique(reading.days, return_index=True)
    repeated = reading.days.size - stamps.size
    days = np.arange(stamps[0], stamps[-1] + 1)
    place = (stamps - stamps[0]).astype(np.int64)
    columns = {}
    for name, values in reading.values.items():
        columns[name] = np.full(days.size, np.nan)
        columns[name][place] = values[first]
    said = (
        (worded("{repeated} days stand twice; the first of each was kept.", repeated=repeated),)
        if repeated
        else ()
    )
    return days, columns, said


def _swapped(columns: Mapping[str, FloatArray], days: Hours) -> None:
    wrong = np.flatnonzero(columns[raw.COLDEST] > columns[raw.WARMEST])
    if wrong.size:
        day = wrong[0]
        raise WeatherProblem(
            worded(
                "{days}: lowest temperature {columns:g} °C is above the highest, {columns_2:g} °C",
                days=days[day],
                columns=columns[raw.COLDEST][day],
                columns_2=columns[raw.WARMEST][day],
            ),
            instead="Check which column is which",
            kept="Nothing was read.",
        )


def _bridged(values: FloatArray, most_days: int, name: str) -> tuple[FloatArray, int]:
    known = np.isfinite(values)
    if not known.any():
        raise WeatherProblem(
            worded("There is no {name} in the file", name=name), kept="Nothing was read."
        )
    index = np.arange(values.size)
    gap = int(np.diff(np.concatenate(([-1], index[known], [values.size]))).max()) - 1
    if gap > most_days:
        raise WeatherProblem(
            worded("{name} is missing for {gap} days on end", name=name.capitalize(), gap=gap),
            why=f"More than {most_days} days cannot be filled honestly",
            instead="Give a file without that gap, or choose a climate and let it stand in",
            kept="Nothing was read.",
        )
    return np.interp(index, index[known], values[known]), int((~known).sum())


def _needed(reading: RawDays) -> None:
    for quantity, words in ((raw.COLDEST, "lowest"), (raw.WARMEST, "highest")):
        if quantity not in reading.values:
            raise WeatherProblem(
                worded(
                    "There is no {words} temperature of the day in {source}",
                    words=words,
                    source=reading.source,
                ),
                instead="Name the column and its unit",
                kept="Nothing was read.",
            )


def hours_from_days(reading: RawDays, *, most_days: int = 10) -> RawHours:
    """Return hours made of days: same lowest, highest, rain total, and mean wind and sun.

    Rain is spread evenly over its day (common practice: daily records do not say when). Humidity,
    dew point and wind stay the same all day. Without sun, `checks` works it out later.

    Parameters
    ----------
    reading : RawDays
        With lowest and highest temperature.
    most_days : int
        A longer gap is refused.

    Returns
    -------
    RawHours
        In UTC, beginning at local solar midnight to the nearest hour.

    Raises
    ------
    WeatherProblem
        If a temperature column is absent, swapped, or gappy for too long.

    """
    _needed(reading)
    days, columns, said = _on_daily_grid(reading)
    columns, refused = believable(Stated(days, columns, reading.units), daily=True)
    _swapped(columns, days)
    coldest, gaps = _bridged(columns[raw.COLDEST], most_days, "the lowest temperature")
    warmest, more = _bridged(columns[raw.WARMEST], most_days, "the highest temperature")
    values = _spread(columns, days, coldest, warmest, reading.place)
    notes = [*said, *refused]
    notes.append("Made from days: the hours in between are drawn, not seen; rain is spread evenly.")
    if gaps or more:
        notes.append(
            worded(
                "{gaps} days without temperature bridged by a straight line.", gaps=max(gaps, more)
            )
        )
    offset = reading.place.solar_offset_h if reading.place else 0
    begins = days[0].astype("datetime64[h]") - offset + np.arange(days.size * HOURS_A_DAY)
    return RawHours(
        begins=begins.astype("datetime64[s]"),
        values=values,
        source=reading.source,
        place=reading.place,
        notes=(*reading.notes, *notes),
        typical=reading.typical,
    )


def _spread(
    columns: Mapping[str, FloatArray],
    days: Hours,
    coldest: FloatArray,
    warmest: FloatArray,
    place: Place | None,
) -> dict[str, FloatArray]:
    values = {
        raw.TEMPERATURE: temperature_hours(coldest, warmest, sunrise_hours(days, place)),
    }
    if raw.RAIN in columns:
        values[raw.RAIN] = np.repeat(columns[raw.RAIN] / HOURS_A_DAY, HOURS_A_DAY)
    for quantity in (raw.WIND, raw.DEW_POINT, raw.HUMIDITY):
        if quantity in columns:
            values[quantity] = np.repeat(columns[quantity], HOURS_A_DAY)
    if raw.SUN in columns:
        values[raw.SUN] = sun_hours(columns[raw.SUN], days, place)
    return values


def sun_hours(mean_w_m2: FloatArray, days: Hours, place: Place | None) -> FloatArray:
    """Return hourly sun from days' means, spread as the sun above the air is; the mean is kept.

    Raises
    ------
    WeatherProblem
        If the place is not known.

    """
    if place is None:
        raise place_needed("The days' sun cannot be spread over their hours")
    first = days[0].astype("datetime64[h]") - place.solar_offset_h
    hours = first + np.arange(days.size * HOURS_A_DAY)
    above = above_the_air_w_m2(hours, place.latitude_deg, place.longitude_deg)
    by_day = above.reshape(days.size, HOURS_A_DAY)
    daily = by_day.mean(axis=1)
    share = np.where(daily > 0.0, mean_w_m2 / np.where(daily > 0.0, daily, 1.0), 0.0)
    return np.asarray((by_day * share[:, None]).ravel())
