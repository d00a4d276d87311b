"""Follows a batch with its ensemble, and goes on from where it was when more is told.

Knows what a batch's ensemble starts from and what of it is remembered between two looks. Knows no
answer. Nothing remembered is truth: it can be made anew from the journal.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from heapwright.journal.entries import BatchState
from heapwright.weather.series import WeatherSeries
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import HeapHistory

if TYPE_CHECKING:
    from heapwright.fitting.followed import Followed
    from heapwright.fitting.observations import Seen
    from heapwright.heap.types import FloatArray


@dataclass(frozen=True, slots=True)
class Start:
    """What an ensemble starts from.

    Attributes
    ----------
    history : HeapHistory
    weather : WeatherSeries
    deviations : array, shape (members, numbers)
        Where each member's numbers stand in their ranges.
    depth_m : float
        Of the thermometer that is told. [m]
    seed : int

    """

    history: HeapHistory
    weather: WeatherSeries
    deviations: FloatArray
    depth_m: float
    seed: int


def followed_until(
    garden: Garden, batch: BatchState, start: Start, seen: Sequence[Seen], until: int
) -> Followed:
    """Return the ensemble after all that was seen, at hour `until`.

    What it was after the last settled observation is remembered, by everything it depends on;
    told more, it goes on from there. An older entry changed or a day's weather replaced is found
    by that, and the heap is followed anew from where it still holds.
    """
    from heapwright.fitting.settings import filter_settings

    settled = _settled(seen, filter_settings().agree_hours)
    marks = _marks(batch, start, seen)
    known, count = _latest_known(garden, marks)
    followed, count = (known, count) if known is not None else _begun(start, seen)
    if count < settled:
        followed = _followed_on(followed, start, seen[count:settled], 0, seen)
        after = followed
        garden.remembered(marks[settled - 1], lambda: after)
    return _followed_on(followed, start, seen[max(count, settled) :], until, seen)


def _settled(seen: Sequence[Seen], agree_hours: float) -> int:
    """Return how many observations no reading still to come can make believed or doubted."""
    if not seen:
        return 0
    return sum(one.hour <= seen[-1].hour - agree_hours for one in seen)


def _followed_on(
    followed: Followed, start: Start, seen: Sequence[Seen], until: int, known: Sequence[Seen]
) -> Followed:
    from heapwright.fitting.filter import follow
    from heapwright.fitting.settings import filter_settings

    return follow(
        followed,
        start.weather,
        start.history.actions,
        seen,
        until,
        known=known,
        probe_depth_m=start.depth_m,
        settings=filter_settings(),
        seed=start.seed,
    )


def _begun(start: Start, seen: Sequence[Seen]) -> tuple[Followed, int]:
    from heapwright.fitting.beginning import begin
    from heapwright.fitting.settings import filter_settings
    from heapwright.heap.parameters import parameters_at
    from heapwright.heap.resume import built

    standing = built(
        start.history.shape,
        start.history.fills,
        start.weather,
        parameters_at(start.deviations),
    )
    return begin(
        standing,
        start.deviations,
        start.weather,
        start.history.actions,
        seen,
        probe_depth_m=start.depth_m,
        settings=filter_settings(),
    )


def _latest_known(
    garden: Garden, marks: Sequence[tuple[object, ...]]
) -> tuple[Followed | None, int]:
    for count in range(len(marks), 0, -1):
        known: Followed | None = garden.recalled(marks[count - 1])
        if known is not None:
            return known, count
    return None, 0


def _marks(batch: BatchState, start: Start, seen: Sequence[Seen]) -> list[tuple[object, ...]]:
    """Return for each observation a mark of all that the ensemble after it depends on."""
    from heapwright.fitting.observations import is_backed
    from heapwright.fitting.settings import filter_settings

    history, settings = start.history, filter_settings()
    mark = zlib.crc32(
        repr((history.shape, history.fills, start.depth_m, start.seed)).encode(),
        zlib.crc32(start.deviations.tobytes()),
    )
    marks: list[tuple[object, ...]] = []
    hour = 0
    for one in seen:
        mark = _weather_mark(start.weather, hour, one.hour, mark)
        done = [a for a in history.actions if hour <= int(a.hour) < one.hour]
        backed = is_backed(one, seen, settings.agree_k, settings.agree_hours)
        mark = zlib.crc32(repr((done, one, backed)).encode(), mark)
        hour = one.hour
        marks.append(("followed", batch.key, hour, mark))
    return marks


def _weather_mark(weather: WeatherSeries, first: int, last: int, mark: int) -> int:
    for values in (
        weather.temperature_c,
        weather.relative_humidity,
        weather.wind_m_s,
        weather.rain_mm,
        weather.sun_w_m2,
    ):
        mark = zlib.crc32(np.ascontiguousarray(values[first:last]).tobytes(), mark)
    return mark
