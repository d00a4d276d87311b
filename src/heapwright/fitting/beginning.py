"""Begins to follow a heap: many heaps are built, and the first readings choose among them.

Knows how a wide ensemble is thinned once its heaps have shown whether they heat. That is decided
in the first days and cannot be mended afterwards by small steps: a heap that stays cold and one
that heats are two heaps. Knows no journal.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from heapwright.fitting.followed import Followed, Judged
from heapwright.fitting.observations import MoistureSeen, Seen, TemperatureSeen, is_backed
from heapwright.fitting.settings import FilterSettings
from heapwright.fitting.weigh import misfit_outside, weigh_members
from heapwright.heap.resume import FOLLOWING_STRIDE, Standing, go_on
from heapwright.heap.types import EnsembleRun, FloatArray, HeapAction
from heapwright.weather.series import WeatherSeries

HOURS_A_DAY = 24
#: A reading whose tip lay within this of the usual depth speaks of the same place. [m]
_SAME_DEPTH_M = 0.1


def begin(
    standing: Standing,
    deviations: FloatArray,
    weather: WeatherSeries,
    actions: Sequence[HeapAction],
    seen: Sequence[Seen],
    *,
    probe_depth_m: float,
    settings: FilterSettings,
    threads: int = 2,
) -> tuple[Followed, int]:
    """Return the ensemble after its first readings have chosen among the heaps built.

    Parameters
    ----------
    standing : Standing
        As built, many members.
    deviations : array, shape (members, numbers)
    weather, actions
        From the building on, as `heap.resume.go_on`.
    seen : sequence of Seen
        All that was seen, in order of time.
    probe_depth_m : float
        [m]
    settings : FilterSettings
    threads : int

    Returns
    -------
    Followed
        With `settings.members` members, at the hour of the last reading that chose; as built, and
        the first members of all, when nothing was read in the first days.
    int
        How many of `seen` have been used.

    """
    first = _first(seen, probe_depth_m, settings)
    until = first[-1].hour if first else standing.hour
    run, after = go_on(
        standing,
        weather,
        until,
        actions,
        probe_depth_m=probe_depth_m,
        threads=threads,
        stride_hours=FOLLOWING_STRIDE,
    )
    here = [one for one in first if _is_here(one, probe_depth_m)]
    judged, used = _judged(here, seen, run, settings)
    members = min(round(settings.members), standing.members)
    if any(isinstance(one, TemperatureSeen) for one in used):
        kept = comb(_weights(used, run, settings), members)
        after, run = after.chosen(kept), run.of_members(kept)
    else:  # nothing to choose by: the first members, as built
        kept = np.arange(members)
        after = standing.chosen(kept)
        run, _ = go_on(after, weather, after.hour, probe_depth_m=probe_depth_m)
    followed = Followed(
        standing=after,
        deviations=deviations[kept],
        origin=kept,
        pools_log=np.zeros((kept.size, 3)),
        runs=(run,),
        judged=judged,
    )
    return followed, len(first)


def comb(weight: FloatArray, count: int) -> NDArray[np.int64]:
    """Return `count` members that stand for a weighed ensemble.

    A comb of `count` teeth is laid over the running sum of the weights, so that every member is
    met as often as it weighs, to within one tooth.
    """
    teeth = (np.arange(count) + 0.5) / count
    return np.minimum(np.searchsorted(np.cumsum(weight), teeth), weight.size - 1)


def _is_here(one: Seen, depth_m: float) -> bool:
    """Whether it speaks of the core, or of the whole heap: a cool top or edge chooses nothing."""
    if not isinstance(one, TemperatureSeen):
        return True
    return one.radius_fraction == 0.0 and abs(one.depth_m - depth_m) <= _SAME_DEPTH_M


def _first(seen: Sequence[Seen], depth_m: float, settings: FilterSettings) -> list[Seen]:
    """Return what was seen up to the last reading that may choose."""
    readings = [
        one.hour for one in seen if isinstance(one, TemperatureSeen) and _is_here(one, depth_m)
    ]
    early = [hour for hour in readings if hour <= settings.choosing_days * HOURS_A_DAY]
    if not early:
        return []
    last = early[: round(settings.choosing_readings)][-1]
    return [one for one in seen if one.hour <= last]


def _judged(
    first: Sequence[Seen], seen: Sequence[Seen], run: EnsembleRun, settings: FilterSettings
) -> tuple[tuple[Judged, ...], list[Seen]]:
    """Hold the first observations against all heaps built; return those that are believed too."""
    judged, used = [], []
    for one in first:
        predicted = _predicted(one, run)
        spread = float(predicted.std(ddof=1))
        surprise = (one.value - float(predicted.mean())) / float(np.hypot(spread, one.error_sd))
        backed = is_backed(one, seen, settings.agree_k, settings.agree_hours)
        doubtful = abs(surprise) > settings.doubtful_surprise and not backed
        judged.append(Judged(one, float(predicted.mean()), spread, surprise, None, doubtful))
        if not doubtful:
            used.append(one)
    return tuple(judged), used


def _predicted(one: Seen, run: EnsembleRun) -> FloatArray:
    """Return what each heap says of an observation of its core or of all of it."""
    if isinstance(one, TemperatureSeen):
        hourly = run.probe_c
    else:
        hourly = run.mean_moisture if isinstance(one, MoistureSeen) else run.height_m
    return np.asarray(hourly[one.hour])


def _weights(used: Sequence[Seen], run: EnsembleRun, settings: FilterSettings) -> FloatArray:
    readings = [one for one in used if isinstance(one, TemperatureSeen)]
    other = np.zeros(run.probe_c.shape[1])
    for one in used:
        if isinstance(one, MoistureSeen):
            other += misfit_outside(run.mean_moisture[one.hour], one.low, one.high, one.edge_sd)
    return weigh_members(
        run.probe_c[[one.hour for one in readings], :],
        np.array([one.value_c for one in readings], dtype=np.float64),
        error_sd_c=settings.choosing_sd_c,
        least_members=settings.choosing_least,
        doubtful_sds=np.inf,
        other_misfit=other,
    ).weight
