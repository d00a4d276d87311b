"""Gathers what speaks on a heap's fault: looks in the journal, ticks of now, log and model.

Knows where each witness comes from. Weighs nothing (`heapwright.diagnosis`).
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from heapwright.advice.types import HeapView
from heapwright.diagnosis.course import Log, Read, log_witnesses
from heapwright.diagnosis.looks import SAME_AS, seen_witnesses, ticks
from heapwright.diagnosis.tables import limits
from heapwright.diagnosis.types import FloatArray, Seen
from heapwright.errors import HeapwrightError
from heapwright.journal.entries import BatchState, Entry, EntryKind
from heapwright.weather.series import WeatherSeries
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import is_core_reading
from heapwright.workshop.probe_series import for_rules
from heapwright.workshop.weather import garden_weather

if TYPE_CHECKING:
    from heapwright.workshop.model import HeapModel

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
_WEEK_DAYS = 7


def witnesses_of(
    garden: Garden,
    batch: BatchState,
    view: HeapView,
    model: HeapModel | None,
    seen: Seen | None,
) -> dict[str, FloatArray]:
    """Return all that speaks; what a person saw now outranks what the journal holds.

    Raises
    ------
    NotUnderstood
        If what was seen is no sign.

    """
    noted = {**seen_witnesses(_of_journal(view)), **seen_witnesses(seen or Seen())}
    logged = log_witnesses(log_of(garden, batch, model, view.volume_m3))
    return {**_of_model(model), **logged, **noted}


def _of_journal(view: HeapView) -> Seen:
    """Return the fresh looks; a sign that was not ticked is not taken as looked for."""
    named = {SAME_AS.get(name, name) for name in (*view.pests, *view.looks)}
    return Seen(view.smell, view.squeeze, frozenset(named & set(ticks())))


def log_of(garden: Garden, batch: BatchState, model: HeapModel | None, volume_m3: float) -> Log:
    """Return what the heap's log tells."""
    now = garden.now()
    weather = _weather(garden, batch, model)
    doubtful = () if model is None else tuple(entry.id for entry in model.doubtful)
    # A reading of great heat is never set aside as a slip: a doubt must not hide a danger.
    too_hot_c = limits()["too_hot_c"]
    believed = [
        e
        for e in for_rules(batch)
        if is_core_reading(e)
        and (e.id not in doubtful or float(e.body["temperature_c"]) >= too_hot_c)
    ]
    return Log(
        now_day=(now - batch.built_at) / DAY,
        reads=tuple(_read(entry, batch, weather) for entry in believed),
        turn_days=tuple(
            (entry.at - batch.built_at) / DAY
            for entry in batch.entries
            if entry.kind is EntryKind.TURN
        ),
        air_week_c=None if weather is None else _mean_air(weather, now),
        volume_m3=volume_m3,
    )


def _weather(garden: Garden, batch: BatchState, model: HeapModel | None) -> WeatherSeries | None:
    if model is not None:
        return model.weather
    try:
        start = garden.now() - _WEEK_DAYS * DAY
        return garden_weather(garden, max(batch.built_at, start), garden.now() + DAY)
    except HeapwrightError:
        return None


def _read(entry: Entry, batch: BatchState, weather: WeatherSeries | None) -> Read:
    air = None
    if weather is not None and weather.start <= entry.at:
        hour = int((entry.at - weather.start) / HOUR)
        air = float(weather.temperature_c[min(hour, weather.hours - 1)])
    return Read((entry.at - batch.built_at) / DAY, float(entry.body["temperature_c"]), air)


def _mean_air(weather: WeatherSeries, now: datetime) -> float | None:
    last = int((now - weather.start) / HOUR) + 1
    week = weather.temperature_c[max(0, last - 24 * _WEEK_DAYS) : max(last, 0)]
    return float(np.mean(week)) if week.size else None


def _of_model(model: HeapModel | None) -> dict[str, FloatArray]:
    if model is None:
        return {}
    from heapwright.diagnosis.witness import model_witnesses

    fills = model.history.fills
    return model_witnesses(model.standing, [fills[i].c_to_n for i in model.followed.origin])
