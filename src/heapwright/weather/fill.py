"""Fills what a weather file leaves out: hours missing here and there, and whole quantities.

Knows straight lines, the same hour of days around, and the published estimates of humidity and
sun. Refuses what cannot be filled honestly. Every filling is a sentence.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.tables import Estimate
from heapwright.weather import raw
from heapwright.weather.moist_air import relative_humidity_from_dew_point
from heapwright.weather.raw import HOURS_A_DAY, HOURS_A_YEAR, Place
from heapwright.weather.sun import above_the_air_w_m2, share_from_daily_range
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
Hours = NDArray[np.datetime64]

_NAMES = {
    raw.TEMPERATURE: "temperature",
    raw.DEW_POINT: "dew point",
    raw.HUMIDITY: "humidity",
    raw.WIND: "wind",
    raw.RAIN: "rain",
    raw.SUN: "sun",
}

_HUMIDITY_GUESSED = (
    "No humidity in it: the night's lowest temperature is taken as the dew point, which reads too "
    "damp in a dry place (FAO Irrigation and Drainage Paper 56, equation 48)."
)
_SUN_GUESSED = (
    "No sun in it: worked out from the day's temperature range (Hargreaves and Samani), good to "
    "about a third on a single day."
)


def _runs(missing: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return (first, end) of each run of missing hours."""
    edges = np.diff(np.concatenate(([0], missing.astype(np.int8), [0])))
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return [(int(a), int(b)) for a, b in zip(starts, ends, strict=True)]


def _straight_line(values: FloatArray) -> FloatArray:
    known = np.isfinite(values)
    index = np.arange(values.size, dtype=np.float64)
    return np.interp(index, index[known], values[known])


def _same_hour_around(values: FloatArray, first: int, end: int, days: int) -> FloatArray:
    """Return the mean of the same hour on the days before and after a gap, NaN if none is known."""
    span = np.arange(first, end)
    shifts = np.arange(1, days + 1 + (end - first) // HOURS_A_DAY) * HOURS_A_DAY
    index = span[:, None] + np.concatenate((-shifts, shifts))[None, :]
    inside = (index >= 0) & (index < values.size)
    picked = np.where(inside, values[np.clip(index, 0, values.size - 1)], np.nan)
    count = np.isfinite(picked).sum(axis=1)
    total = np.nansum(picked, axis=1)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _too_long(quantity: str, hours: int, most: float, source: str) -> WeatherProblem:
    return WeatherProblem(
        worded(
            "{names} is missing in {source} for {hours} hours on end",
            names=_NAMES[quantity].capitalize(),
            source=source,
            hours=hours,
        ),
        why=f"More than {most:.0f} hours cannot be filled honestly",
        instead="Give a file without that gap, or choose a climate and let it stand in",
        kept="Nothing was read.",
    )


def _fill_column(
    quantity: str, values: FloatArray, rules: Mapping[str, Estimate], source: str
) -> tuple[FloatArray, tuple[str, ...]]:
    runs = _runs(~np.isfinite(values))
    short, long = rules["short_gap_h"].typical, rules["long_gap_h"].typical
    longest = max((end - first for first, end in runs), default=0)
    if longest > long:
        raise _too_long(quantity, longest, long, source)
    line = _straight_line(values)
    filled = values.copy()
    bridged = borrowed = 0
    for first, end in runs:
        if end - first <= short:
            filled[first:end] = line[first:end]
            bridged += end - first
        else:
            usual = _same_hour_around(values, first, end, int(rules["neighbour_days"].typical))
            filled[first:end] = np.where(np.isfinite(usual), usual, line[first:end])
            borrowed += end - first
    return filled, _said(quantity, bridged, borrowed)


def _hours(count: int) -> str:
    return "1 missing hour" if count == 1 else worded("{count} missing hours", count=count)


def _said(quantity: str, bridged: int, borrowed: int) -> tuple[str, ...]:
    name = _NAMES[quantity].capitalize()
    notes = []
    if bridged:
        notes.append(
            worded(
                "{name}: {bridged} bridged by a straight line.", name=name, bridged=_hours(bridged)
            )
        )
    if borrowed:
        notes.append(
            worded(
                "{name}: {borrowed} filled from the same hours of days around.",
                name=name,
                borrowed=_hours(borrowed),
            )
        )
    return tuple(notes)


def _fill_rain(values: FloatArray) -> tuple[FloatArray, tuple[str, ...]]:
    missing = int((~np.isfinite(values)).sum())
    filled = np.where(np.isfinite(values), values, 0.0)
    notes = []
    if missing:
        notes.append(
            worded("Rain: {missing} hours without a report are taken as dry.", missing=missing)
        )
    if filled.size >= HOURS_A_YEAR // 2 and not filled.any():
        notes.append("Rain is zero all the time in it: many such files leave rain out.")
    return filled, tuple(notes)


def fill_gaps(
    columns: Mapping[str, FloatArray], rules: Mapping[str, Estimate], source: str
) -> tuple[dict[str, FloatArray], tuple[str, ...]]:
    """Return the columns without missing hours, and what was done.

    A column with nothing in it is left out, for `fill_whole_quantities` to supply.

    Raises
    ------
    WeatherProblem
        If a gap is longer than the rules allow.

    """
    filled: dict[str, FloatArray] = {}
    notes: tuple[str, ...] = ()
    for quantity, values in columns.items():
        if not np.isfinite(values).any():
            continue
        if quantity == raw.RAIN:
            filled[quantity], said = _fill_rain(values)
        else:
            filled[quantity], said = _fill_column(quantity, values, rules, source)
        notes += said
    return filled, notes


def _solar_days(hours: Hours, place: Place | None) -> NDArray[np.int64]:
    """Return for each hour the number of its local solar day, from 0."""
    offset = place.solar_offset_h if place else 0
    days = (hours + offset).astype("datetime64[D]").astype(np.int64)
    return np.asarray(days - days[0])


def _daily(values: FloatArray, day: NDArray[np.int64], lowest: bool) -> FloatArray:
    bound = np.full(int(day[-1]) + 1, np.inf if lowest else -np.inf)
    (np.minimum if lowest else np.maximum).at(bound, day, values)
    return bound


def _humidity(
    columns: Mapping[str, FloatArray], day: NDArray[np.int64]
) -> tuple[FloatArray, tuple[str, ...]]:
    """Estimate humidity: from the dew point, or from the night's lowest temperature."""
    air = columns[raw.TEMPERATURE]
    if raw.DEW_POINT in columns:
        return relative_humidity_from_dew_point(air, columns[raw.DEW_POINT]), ()
    dew = _daily(air, day, lowest=True)[day]
    return relative_humidity_from_dew_point(air, dew), (_HUMIDITY_GUESSED,)


def place_needed(what: str) -> WeatherProblem:
    """Return the error that asks where weather was seen."""
    return WeatherProblem(
        what,
        why="Where the weather was seen is not known",
        instead="Say where, such as latitude 32.2 and longitude -110.9",
        kept="Nothing was read.",
    )


def _sun(
    hours: Hours, air: FloatArray, day: NDArray[np.int64], place: Place | None
) -> tuple[FloatArray, tuple[str, ...]]:
    """Estimate sun from the day's temperature range; needs to know where the place is."""
    if place is None:
        raise place_needed("The file has no sun in it, and it cannot be worked out")
    warmest, coldest = _daily(air, day, lowest=False), _daily(air, day, lowest=True)
    share = share_from_daily_range(warmest - coldest)[day]
    above = above_the_air_w_m2(hours, place.latitude_deg, place.longitude_deg)
    return share * above, (_SUN_GUESSED,)


def fill_whole_quantities(
    hours: Hours,
    columns: Mapping[str, FloatArray],
    place: Place | None,
    rules: Mapping[str, Estimate],
) -> tuple[dict[str, FloatArray], tuple[str, ...]]:
    """Return the columns with humidity, wind, rain and sun supplied where a file has none."""
    filled = dict(columns)
    notes: tuple[str, ...] = ()
    day = _solar_days(hours, place)
    if raw.HUMIDITY not in filled:
        filled[raw.HUMIDITY], said = _humidity(filled, day)
        notes += said
    if raw.WIND not in filled:
        wind = rules["wind_when_unknown_m_s"].typical
        filled[raw.WIND] = np.full(hours.size, wind)
        notes += (worded("No wind in it: {wind:g} m/s is assumed throughout.", wind=wind),)
    if raw.RAIN not in filled:
        filled[raw.RAIN] = np.zeros(hours.size)
        notes += ("No rain in it: every day is taken as dry.",)
    if raw.SUN not in filled:
        filled[raw.SUN], said = _sun(hours, filled[raw.TEMPERATURE], day, place)
        notes += said
    return filled, notes
