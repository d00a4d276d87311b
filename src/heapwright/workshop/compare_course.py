"""A heap's temperature between its readings: one run of the model, drawn through what was read.

Knows how one run and the readings become an estimate where readings lie near enough together, and
nothing where they do not. It is no fitted ensemble (`model.py`), which would cost a second a heap
and months of heaps a quarter of a minute. Knows no comparison.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from heapwright.advice.types import Interval
from heapwright.errors import HeapwrightError
from heapwright.journal.entries import BatchState
from heapwright.season.compared import settings
from heapwright.sentences import Sentence, say, word
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import heap_history
from heapwright.workshop.weather import garden_weather

FloatArray = NDArray[np.float64]
HOUR = timedelta(hours=1)
#: One in ten lies further off on either side of a normal error (standard table).
_TENTH = 1.2816


@dataclass(frozen=True, slots=True)
class HeapEstimate:
    """A heap's likely course, hour by hour from its building.

    Attributes
    ----------
    start : datetime
    likely_c : array, shape (hours+1,)
        Where the thermometer stood; not a number where nothing was read near by. [°C]
    spread_c : array, shape (hours+1,)
        One standard deviation of its error. [K]
    volume_m3 : array, shape (hours+1,)
        Of the run. [m³]

    """

    start: datetime
    likely_c: FloatArray
    spread_c: FloatArray
    volume_m3: FloatArray

    def hot_days(self, limit_c: float) -> Interval | None:
        """Return how long it was at a temperature or more; None where nothing is estimated.

        Low and high suppose that the error lies to one side all the time, so they are wide. [d]
        """
        known = ~np.isnan(self.likely_c)
        if not known.any():
            return None
        likely, off = self.likely_c[known], _TENTH * self.spread_c[known]
        low, middle, high = (
            float((likely + shift >= limit_c).sum()) / 24.0 for shift in (-off, 0.0, off)
        )
        return Interval(low, middle, high)

    @property
    def covered_days(self) -> float:
        """How much of its life the estimate speaks of. [d]"""
        return float((~np.isnan(self.likely_c)).sum()) / 24.0


def heap_estimate(
    garden: Garden, batch: BatchState, until: datetime
) -> tuple[HeapEstimate | None, tuple[Sentence, ...]]:
    """Return a heap's estimate up to its last reading or work, or None and why there is none.

    Parameters
    ----------
    garden : Garden
    batch : BatchState
        Without the move by which it became part of another heap.
    until : datetime
        Its end, or now.

    """
    try:
        return _estimate(garden, batch, until), ()
    except HeapwrightError as problem:
        return None, (
            say("Between readings nothing is said: {why}", why=word(problem.explanation())),
        )


def _estimate(garden: Garden, batch: BatchState, until: datetime) -> HeapEstimate:
    from heapwright.heap.probe import probe_temperature
    from heapwright.heap.simulate import simulate

    state = garden.state()
    history = heap_history(state, batch, 1)
    hours = max(2, int((until - history.start) / HOUR))
    weather = garden_weather(garden, history.start, history.start + hours * HOUR)
    actions = [action for action in history.actions if action.hour < hours]
    run = simulate(history.shape, history.fills[0], weather, actions)
    depths = [float(one.body["depth_m"]) for one in history.readings if "depth_m" in one.body]
    depth_m = float(np.median(depths)) if depths else state.settings.probe_depth_m
    model_c = probe_temperature(run, depth_m)
    read = [
        (min(hours, max(0, round((one.at - history.start) / HOUR))), one.body["temperature_c"])
        for one in history.readings
    ]
    likely, spread = through_readings(model_c, [(hour, float(value)) for hour, value in read])
    return HeapEstimate(history.start, likely, spread, run.volume_m3)


def through_readings(
    model_c: FloatArray, read: list[tuple[int, float]]
) -> tuple[FloatArray, FloatArray]:
    """Return a model's course drawn through readings, with its error; nan far from readings.

    What a reading says beyond the model is carried to the next one by a straight line; from the
    building, where the heap is known, it grows from nothing. The error grows with the time to the
    nearest reading as the forecast's does, `unfollowed_c` x sqrt(1 - exp(-2 t / unfollowed_hours))
    of `fitting/data/filter.csv`. A reading's own error is left out: one thermometer reads all.

    Parameters
    ----------
    model_c : array, shape (hours+1,)
        [°C]
    read : list of (int, float)
        Hour and temperature, in order of time; of an hour's several the last counts.

    Returns
    -------
    likely_c, spread_c : array, shape (hours+1,)

    Notes
    -----
    Gaps longer than `hot_gap_days` of `season/data/compared.csv` and all after the last reading
    stay unknown.

    """
    from heapwright.fitting.settings import filter_settings

    filtering = filter_settings()
    likely = np.full(model_c.shape, np.nan)
    spread = np.zeros(model_c.shape)
    for (since, first), (until, second) in _gaps(dict(read), float(model_c[0])):
        hours = np.arange(since, until + 1)
        share = (hours - since) / (until - since)
        ends = first - model_c[since], second - model_c[until]
        likely[hours] = model_c[hours] + ends[0] * (1.0 - share) + ends[1] * share
        away = np.minimum(hours - since, until - hours)
        grown = 1.0 - np.exp(-2.0 * away / filtering.unfollowed_hours)
        spread[hours] = filtering.unfollowed_c * np.sqrt(grown)
    return likely, spread


def _gaps(
    read: dict[int, float], built_c: float
) -> Iterator[tuple[tuple[int, float], tuple[int, float]]]:
    """Yield readings one after the other that are near enough; the building is the first."""
    if not read:
        return
    known = sorted(({0: built_c} | read).items())
    longest = 24.0 * settings()["hot_gap_days"]
    for before, after in itertools.pairwise(known):
        if after[0] - before[0] <= longest:
            yield before, after
