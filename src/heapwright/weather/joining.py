"""Joins weather of several origins into one series: what was seen or forecast first, then usual.

Knows time only. Every seam is said, so that a person can tell a forecast from a usual year.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries
from heapwright.wording import worded

_COLUMNS = ("temperature_c", "relative_humidity", "wind_m_s", "rain_mm", "sun_w_m2")
Hours = NDArray[np.bool_]


def _overlay(under: WeatherSeries, over: WeatherSeries, free: Hours) -> tuple[WeatherSeries, Hours]:
    """Return `under` with the free hours that `over` covers taken from it, and those hours."""
    shift = int((over.start - under.start) // timedelta(hours=1))
    first, end = max(0, shift), min(under.hours, shift + over.hours)
    taken = np.zeros(under.hours, dtype=bool)
    if end <= first:
        return under, taken
    taken[first:end] = free[first:end]
    index = np.flatnonzero(taken)
    columns = {}
    for name in _COLUMNS:
        columns[name] = getattr(under, name).copy()
        columns[name][index] = getattr(over, name)[index - shift]
    return replace(under, **columns), taken


def _span(start: datetime, hours: Hours) -> str:
    index = np.flatnonzero(hours)
    first, last = start + timedelta(hours=int(index[0])), start + timedelta(hours=int(index[-1]))
    return worded(
        "{first:%Y-%m-%d %H}:00 to {last:%Y-%m-%d %H}:00 UTC",
        first=first,
        last=last + timedelta(hours=1),
    )


def blend(
    pieces: Sequence[WeatherSeries], usual: WeatherSeries, start: datetime, end: datetime
) -> WeatherSeries:
    """Return weather from `start` to `end`: pieces where they reach, usual weather elsewhere.

    Parameters
    ----------
    pieces : sequence of WeatherSeries
        What was seen or is forecast; where two cover an hour the earlier in the list counts.
    usual : WeatherSeries
        About a year, laid on the dates by the calendar.
    start, end : datetime
        Timezone-aware.

    Returns
    -------
    WeatherSeries
        Notes say which hours come from where.

    """
    base = on_dates(usual, start, end)
    free = np.ones(base.hours, dtype=bool)
    joined, notes, sources = base, [], []
    for piece in pieces:
        joined, taken = _overlay(joined, piece, free)
        free &= ~taken
        if taken.any():
            notes += [*piece.notes, f"{_span(base.start, taken)}: {piece.source}."]
            sources.append(piece.source)
    if free.any():
        notes += [
            worded("{start}: usual weather, not a forecast.", start=_span(base.start, free)),
            *base.notes,
        ]
        sources.append(usual.source)
    return replace(
        joined,
        start=base.start.astimezone(UTC),
        source=", then ".join(dict.fromkeys(sources)),
        notes=tuple(dict.fromkeys(notes)),
    )
