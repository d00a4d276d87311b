"""A batch told once more from its building on, with all that its readings have taught.

Knows which heaps, run from start to now in one piece, agree with everything that was seen. Used
where a whole life is needed: pictures of the heap and how much of it got hot. Knows no answer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.fitting.settings import reading_errors
from heapwright.fitting.weigh import Weights, weigh_members
from heapwright.heap.types import Fill
from heapwright.journal.entries import BatchState
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import as_found
from heapwright.workshop.model import HOUR, HeapModel, model_key

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Hindsight:
    """Heaps that can be run from their building on, and how much each counts.

    Attributes
    ----------
    fills : tuple of Fill
        What was put in, as the readings make it out.
    parameters : array, shape (members, numbers)
    weights : Weights
        By how well each, run in one piece, agrees with the readings.

    """

    fills: tuple[Fill, ...]
    parameters: FloatArray
    weights: Weights

    def likeliest(self) -> int:
        """Return the member that agrees best."""
        return int(np.argmax(self.weights.weight))


def batch_hindsight(garden: Garden, batch: BatchState, model: HeapModel) -> Hindsight:
    """Return the hindsight of a batch's fitted ensemble, remembered for the hour."""
    key = ("hindsight", *model_key(garden, batch, 0.0))
    return garden.remembered(key, lambda: hindsight_of(model))


def hindsight_of(model: HeapModel) -> Hindsight:
    """Return the heaps of a fitted ensemble, run once more in one piece and weighed.

    The filter draws a heap's state along as it goes; here the same numbers and what was found to
    have been put in are run without any such help, and those that agree count most.
    """
    from heapwright.heap.parameters import parameters_at
    from heapwright.heap.resume import built, go_on

    followed = model.followed
    fills = tuple(
        as_found(model.history.fills[origin], logs)
        for origin, logs in zip(followed.origin, followed.pools_log, strict=True)
    )
    parameters = parameters_at(followed.deviations)
    standing = built(model.history.shape, fills, model.weather, parameters)
    run, _ = go_on(
        standing,
        model.weather,
        model.now_index,
        model.history.actions,
        probe_depth_m=model.probe_depth_m,
    )
    return Hindsight(fills, parameters, _weights(model, run.probe_c))


def _weights(model: HeapModel, probe_c: FloatArray) -> Weights:
    doubtful = {entry.id for entry in model.doubtful}
    readings = [
        (round((entry.at - model.history.start) / HOUR), float(entry.body["temperature_c"]))
        for entry in model.history.readings
        if entry.id not in doubtful
    ]
    past = [(hour, value) for hour, value in readings if 0 <= hour <= model.now_index]
    errors = reading_errors()
    return weigh_members(
        probe_c[[hour for hour, _ in past], :],
        np.array([value for _, value in past], dtype=np.float64),
        error_sd_c=float(np.hypot(errors["reading_sd_c"], errors["model_sd_c"])),
        least_members=errors["least_members"],
        doubtful_sds=errors["doubtful_sds"],
    )
