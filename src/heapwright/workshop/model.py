"""Runs a batch's ensemble through its history and weighs it by the thermometer and the hand.

Knows how journal, weather, heap model and fitting come together for one heap. Knows no answer.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from heapwright.advice.types import Interval
from heapwright.errors import HeapwrightError
from heapwright.fitting.carry import carried
from heapwright.fitting.weigh import Weights, misfit_outside, weigh_members, weighted_quantiles
from heapwright.heap.types import EnsembleRun
from heapwright.journal.entries import BatchState, Entry, EntryKind
from heapwright.materials.measured import squeeze_moisture
from heapwright.sentences import Sentence, say, word
from heapwright.tables import parameter_table
from heapwright.weather.series import WeatherSeries
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import HeapHistory, heap_history, settings_table
from heapwright.workshop.weather import garden_weather

FloatArray = NDArray[np.float64]
#: One in ten below, the middle, one in ten above.
LEVELS = np.array([0.1, 0.5, 0.9])
HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class HeapModel:
    """One heap's ensemble, run from its building to the end of the forecast.

    Attributes
    ----------
    history : HeapHistory
    weather : WeatherSeries
    run : EnsembleRun
    parameters : array, shape (members, numbers)
    weights : Weights
    probe_c : array, shape (hours+1, members)
        Temperature at the thermometer's tip, drawn towards the readings. [°C]
    now_index : int
        Index of the present hour.
    probe_depth_m : float
        Depth of the thermometer's tip. [m]
    doubtful : tuple of Entry
        Readings no member can follow.

    """

    history: HeapHistory
    weather: WeatherSeries
    run: EnsembleRun
    parameters: FloatArray
    weights: Weights
    probe_c: FloatArray
    now_index: int
    probe_depth_m: float
    doubtful: tuple[Entry, ...]

    def band(self, values: FloatArray) -> FloatArray:
        """Return the low, likely and high of values of shape (times, members)."""
        return weighted_quantiles(values, self.weights.weight, LEVELS)

    def interval(self, values: FloatArray) -> Interval:
        """Return the low, likely and high of one value per member."""
        low, likely, high = self.band(values[None, :])[:, 0]
        return Interval(float(low), float(likely), float(high))

    def likeliest(self) -> int:
        """Return the member that agrees best; the likely one when nothing was read."""
        return int(np.argmax(self.weights.weight))


def heap_model(garden: Garden, batch: BatchState, days: float | None = None) -> HeapModel | None:
    """Return the batch's weighed ensemble up to now and `days` ahead; None when it is too old.

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
        tuple((entry.id, entry.at) for entry in batch.entries),
        _hour_of(garden),
        _ahead(days),
        garden.state().settings,
        tuple(garden.state().bins.values()),
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
    from heapwright.heap.parameters import load_parameters, sample_parameters
    from heapwright.heap.simulate import simulate_ensemble

    state = garden.state()
    members = round(settings_table()["ensemble_members"])
    history = heap_history(state, batch, members)
    weather = garden_weather(garden, history.start, max(now, history.start) + ahead * 24 * HOUR)
    seed = zlib.crc32(batch.key.encode())
    parameters = sample_parameters(members, np.random.default_rng(seed))
    parameters[0] = load_parameters().to_array()  # as the first fill, the likely one
    depth = _usual_depth(history, state.settings.probe_depth_m)
    run = simulate_ensemble(
        history.shape,
        history.fills,
        weather,
        history.actions,
        parameters,
        probe_depth_m=depth,
    )
    now_index = max(0, round((now - history.start) / HOUR))
    past = tuple(e for e in history.readings if 0 <= _hour(history, e) <= now_index)
    weights = _weigh(history, batch, run, past, now_index)
    good = [entry for i, entry in enumerate(past) if i not in weights.doubtful]
    return HeapModel(
        history=history,
        weather=weather,
        run=run,
        parameters=parameters,
        weights=weights,
        probe_c=_drawn(history, run, good),
        now_index=now_index,
        probe_depth_m=depth,
        doubtful=tuple(past[i] for i in weights.doubtful),
    )


def _usual_depth(history: HeapHistory, setting_m: float) -> float:
    """Return the depth most readings were taken at; the garden's setting without any."""
    depths = [float(e.body["depth_m"]) for e in history.readings if "depth_m" in e.body]
    return float(np.median(depths)) if depths else setting_m


def _weigh(
    history: HeapHistory,
    batch: BatchState,
    run: EnsembleRun,
    past: Sequence[Entry],
    now_index: int,
) -> Weights:
    errors = _reading_errors()
    return weigh_members(
        run.probe_c[[_hour(history, entry) for entry in past], :],
        _temperatures(past),
        error_sd_c=float(np.hypot(errors["reading_sd_c"], errors["model_sd_c"])),
        least_members=errors["least_members"],
        doubtful_sds=errors["doubtful_sds"],
        other_misfit=_hand_misfit(history, batch, run, now_index),
    )


def _drawn(history: HeapHistory, run: EnsembleRun, good: Sequence[Entry]) -> FloatArray:
    """Return the probe's temperatures drawn towards the good readings, one an hour."""
    errors = _reading_errors()
    by_hour = {_hour(history, entry): entry for entry in good}
    hours = sorted(by_hour)
    model_variance = errors["model_sd_c"] ** 2
    return carried(
        run.probe_c,
        np.array(hours, dtype=np.float64),
        _temperatures([by_hour[hour] for hour in hours]),
        gain=model_variance / (model_variance + errors["reading_sd_c"] ** 2),
        carry_hours=errors["carry_hours"],
    )


def _temperatures(entries: Sequence[Entry]) -> FloatArray:
    return np.array([float(e.body["temperature_c"]) for e in entries], dtype=np.float64)


def _hand_misfit(
    history: HeapHistory, batch: BatchState, run: EnsembleRun, now_index: int
) -> FloatArray:
    """Return how badly each member's moisture disagrees with the squeeze tests."""
    sd = settings_table()["squeeze_sd"]
    total = np.zeros(run.core_moisture.shape[1])
    for entry in batch.entries:
        squeeze = entry.body.get("squeeze") if entry.kind is EntryKind.LOOK else None
        hour = _hour(history, entry)
        if squeeze and 0 <= hour <= now_index:
            felt = squeeze_moisture(squeeze)
            total += misfit_outside(run.core_moisture[hour], felt.low, felt.high, sd)
    return total


def _hour(history: HeapHistory, entry: Entry) -> int:
    return round((entry.at - history.start) / HOUR)


def _reading_errors() -> Mapping[str, float]:
    table = parameter_table("heapwright.fitting", "data/reading_error.csv")
    return {name: estimate.typical for name, estimate in table.items()}
