"""One heap's ensemble, brought to what was seen of it and run on into the next days.

Knows how journal, weather, heap model and fitting come together for one heap. Knows no answer.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heapwright.advice.types import Interval
from heapwright.errors import HeapwrightError
from heapwright.fitting.weigh import weighted_quantiles
from heapwright.journal.entries import BatchState, Entry
from heapwright.sentences import Sentence, say, word
from heapwright.weather.series import WeatherSeries
from heapwright.workshop.following import Start, followed_until
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import HeapHistory, as_found, heap_history, settings_table
from heapwright.workshop.lessons import Taught, taught_before, teaching
from heapwright.workshop.probe_series import for_model
from heapwright.workshop.senses import seen_of
from heapwright.workshop.weather import garden_weather

if TYPE_CHECKING:
    from heapwright.fitting.doubt import Doubt
    from heapwright.fitting.followed import Followed
    from heapwright.heap.resume import Standing
    from heapwright.heap.types import EnsembleRun

FloatArray = NDArray[np.float64]
#: One in ten below, the middle, one in ten above.
LEVELS = np.array([0.1, 0.5, 0.9])
HOUR = timedelta(hours=1)
#: So many of the last observations tell whether the heap is still followed: their middle surprise
#: beyond this many standard deviations says no.
_LATEST, _HARD_SURPRISE = 5, 2.0


@dataclass(frozen=True, slots=True)
class HeapModel:
    """One heap's ensemble, from its building through what was seen to the end of the forecast.

    Attributes
    ----------
    history : HeapHistory
    weather : WeatherSeries
        From the building to the end of the forecast.
    followed : Followed
        The members at the present hour, each as likely as any other.
    run : EnsembleRun
        The past, each hour as it was known before later observations, and the forecast.
    probe_c : array, shape (hours+1, members)
        Temperature at the thermometer's tip, ahead with what no member can follow. [°C]
    now_index : int
        Index of the present hour.
    probe_depth_m : float
        Depth of the thermometer's tip. [m]
    doubts : tuple of Doubt
        Readings that look wrong, with the reason.
    doubtful : tuple of Entry
        Their entries.
    taught : Taught or None
        What earlier heaps had taught when it was built.

    """

    history: HeapHistory
    weather: WeatherSeries
    followed: Followed
    run: EnsembleRun
    probe_c: FloatArray
    now_index: int
    probe_depth_m: float
    doubts: tuple[Doubt, ...]
    doubtful: tuple[Entry, ...]
    taught: Taught | None

    @property
    def standing(self) -> Standing:
        """The members as they stand now, to be given other futures."""
        return self.followed.standing

    @property
    def weight(self) -> FloatArray:
        """How much each member counts: all alike, since what was seen moved them."""
        members = self.standing.members
        return np.full(members, 1.0 / members)

    @property
    def is_hard_to_follow(self) -> bool:
        """Whether the latest readings keep surprising the model."""
        latest = [abs(one.surprise) for one in self.followed.judged[-_LATEST:]]
        return len(latest) == _LATEST and float(np.median(latest)) > _HARD_SURPRISE

    def band(self, values: FloatArray) -> FloatArray:
        """Return the low, likely and high of values of shape (times, members)."""
        return weighted_quantiles(values, self.weight, LEVELS)

    def interval(self, values: FloatArray) -> Interval:
        """Return the low, likely and high of one value per member."""
        low, likely, high = self.band(values[None, :])[:, 0]
        return Interval(float(low), float(likely), float(high))


def heap_model(garden: Garden, batch: BatchState, days: float | None = None) -> HeapModel | None:
    """Return the batch's fitted ensemble up to now and `days` ahead; None when it is too old.

    Parameters
    ----------
    garden : Garden
    batch : BatchState
    days : float, optional
        How far to look ahead; the table's usual if not given.

    """
    now = _hour_of(garden)
    if (now - batch.built_at) / timedelta(days=1) > settings_table()["oldest_run_days"]:
        return None
    key = ("model", *model_key(garden, batch, days))
    return garden.remembered(key, lambda: _run(garden, batch, now, _ahead(days)))


def model_key(garden: Garden, batch: BatchState, days: float | None) -> tuple[object, ...]:
    """Return everything a run of the batch depends on, to remember answers by."""
    return (
        batch.key,
        tuple((entry.id, entry.at) for entry in for_model(batch)),
        _hour_of(garden),
        _ahead(days),
        garden.state().settings,
        tuple(garden.state().bins.values()),
        teaching(garden, batch),
    )


def _hour_of(garden: Garden) -> datetime:
    return garden.now().replace(minute=0, second=0, microsecond=0)


def _ahead(days: float | None) -> float:
    return settings_table()["forecast_days"] if days is None else days


def try_heap_model(
    garden: Garden, batch: BatchState, days: float | None = None
) -> tuple[HeapModel | None, tuple[Sentence, ...]]:
    """Return the ensemble, or None with the reason why this heap cannot be modelled."""
    try:
        model = heap_model(garden, batch, days)
    except HeapwrightError as problem:
        return None, (say("Without a forecast: {why}", why=word(problem.explanation())),)
    if model is None:
        return None, (say("Built so long ago that it is not followed hour by hour any more."),)
    return model, ()


def _run(garden: Garden, batch: BatchState, now: datetime, ahead: float) -> HeapModel:
    from heapwright.fitting.doubt import doubts
    from heapwright.heap.resume import FOLLOWING_STRIDE, go_on

    taught = taught_before(garden, batch)
    start = ensemble_start(garden, batch, now, ahead, taught)
    history, weather = start.history, start.weather
    now_index = max(0, round((now - history.start) / HOUR))
    followed = followed_at(garden, batch, start, now)
    forecast, _ = go_on(
        followed.standing,
        weather,
        weather.hours,
        history.actions,
        probe_depth_m=start.depth_m,
        stride_hours=FOLLOWING_STRIDE,
    )
    found = doubts(followed.judged)
    wrong = {one.judged.seen.source_id for one in found}
    run = followed.after(forecast, followed.standing).run
    return HeapModel(
        history=history,
        weather=weather,
        followed=followed,
        run=run,
        probe_c=_widened(followed, run, now_index, start.seed),
        now_index=now_index,
        probe_depth_m=start.depth_m,
        doubts=found,
        taught=taught,
        doubtful=tuple(entry for entry in batch.entries if entry.id in wrong),
    )


def ensemble_start(
    garden: Garden, batch: BatchState, now: datetime, ahead: float, taught: Taught | None
) -> Start:
    """Return what the batch's ensemble starts from: its fills, numbers and weather.

    Parameters
    ----------
    garden : Garden
    batch : BatchState
    now : datetime
    ahead : float
        Days of weather beyond now.
    taught : Taught or None
        What earlier heaps taught.

    """
    from heapwright.fitting.lesson import taught as deviations_taught
    from heapwright.fitting.settings import heaps_built
    from heapwright.heap.parameters import sample_deviations

    state = garden.state()
    members = heaps_built()
    history = heap_history(state, batch, members)
    lesson = None if taught is None else taught.lesson
    if lesson is not None:
        fills = tuple(as_found(fill, lesson.fill_log) for fill in history.fills)
        history = replace(history, fills=fills)
    weather = garden_weather(garden, history.start, max(now, history.start) + ahead * 24 * HOUR)
    seed = zlib.crc32(batch.key.encode())
    standard = sample_deviations(members, np.random.default_rng(seed))
    standard[0] = 0.0  # as the first fill, the likely one
    depth_m = _usual_depth(history, state.settings.probe_depth_m)
    return Start(history, weather, deviations_taught(standard, lesson), depth_m, seed)


def followed_at(garden: Garden, batch: BatchState, start: Start, at: datetime) -> Followed:
    """Return the batch's ensemble at a moment, having met what was seen up to then."""
    hour = max(0, round((at - start.history.start) / HOUR))
    height_m = start.history.shape.height_m
    seen = seen_of(batch, start.history.start, hour, start.depth_m, height_m)
    return followed_until(garden, batch, start, seen, hour)


def _usual_depth(history: HeapHistory, setting_m: float) -> float:
    """Return the depth most readings were taken at; the garden's setting without any."""
    depths = [float(e.body["depth_m"]) for e in history.readings if "depth_m" in e.body]
    return float(np.median(depths)) if depths else setting_m


def _widened(followed: Followed, run: EnsembleRun, now_index: int, seed: int) -> FloatArray:
    """Return the probe's temperature with what no member can follow, from the last reading on."""
    from heapwright.fitting.settings import filter_settings, with_unfollowed

    believed = (one.seen.hour for one in followed.judged if not one.is_doubtful)
    last = max(believed, default=0)
    lead = np.arange(run.probe_c.shape[0], dtype=np.float64) - min(last, now_index)
    return with_unfollowed(run.probe_c, lead, filter_settings(), seed)
