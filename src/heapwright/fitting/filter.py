"""Follows a heap with its thermometer: runs the ensemble from one observation to the next.

Knows how members' state and numbers are drawn towards what was seen, as it was seen, and how they
drift apart between. Knows no journal. The physics is `heap`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from heapwright.fitting.analysis import carried_over, step_towards
from heapwright.fitting.followed import ADJUSTED, LOGS, Followed, Judged, amend, values_of
from heapwright.fitting.observations import MoistureSeen, Seen, TemperatureSeen, is_backed
from heapwright.fitting.settings import FilterSettings
from heapwright.heap.probe import standing_temperature
from heapwright.heap.resume import FOLLOWING_STRIDE, Standing, go_on
from heapwright.heap.types import FloatArray, HeapAction
from heapwright.weather.series import WeatherSeries

#: Share of the radius that stands for a probe that missed the core.
_NEAR_WALL = 0.9
#: No single observation changes a mass by more than this factor's logarithm (two thirds more).
_MOST_LOG = 0.5
#: Members differ by so much of the water that none of them had known of.
_UNEVEN = 0.3


def follow(
    followed: Followed,
    weather: WeatherSeries,
    actions: Sequence[HeapAction],
    seen: Sequence[Seen],
    until: int,
    *,
    known: Sequence[Seen],
    probe_depth_m: float,
    settings: FilterSettings,
    seed: int,
    threads: int = 2,
) -> Followed:
    """Return the ensemble after it has met what was seen, at hour `until`.

    Parameters
    ----------
    followed : Followed
        Where to go on from; left as it is.
    weather, actions
        From the building on, as `heap.resume.go_on`.
    seen : sequence of Seen
        Those from the followed hour up to `until`, in order of time.
    until : int
    known : sequence of Seen
        All that is known, earlier and later ones too: a reading that surprises much is believed
        when another one near it says the same, and left out otherwise.
    probe_depth_m : float
        Of the thermometer that `run` tells. [m]
    settings : FilterSettings
    seed : int
        Of the drift; the same whether followed in one piece or several.
    threads : int

    """

    def run_to(now: Followed, hour: int) -> Followed:
        if hour <= now.standing.hour:
            return now
        run, standing = go_on(
            now.standing,
            weather,
            hour,
            actions,
            probe_depth_m=probe_depth_m,
            threads=threads,
            stride_hours=FOLLOWING_STRIDE,
        )
        return now.after(run, standing)

    for one in seen:
        backed = is_backed(one, known, settings.agree_k, settings.agree_hours)
        there = run_to(followed, one.hour)
        drift = _drift(there, followed.standing.hour, settings, seed)
        predicted = one.predicted(there.standing)
        if isinstance(one, TemperatureSeen):
            predicted = predicted + drift.warmth_k
        judged = _judged(there.standing, one, predicted, backed, settings)
        # A reading left out leaves no trace: the heap goes on from where it was before.
        if not judged.is_doubtful:
            most = settings.most_surprise_backed if backed else settings.most_surprise
            followed = _drawn(there, drift, one, predicted, most)
            if isinstance(one, MoistureSeen):
                followed = _with_water_not_known(followed, one, settings, seed)
        followed = replace(followed, judged=(*followed.judged, judged))
    return run_to(followed, until)


@dataclass(frozen=True, slots=True)
class _Drift:
    """How far members have drifted apart since the last observation.

    Attributes
    ----------
    deviations : array, shape (members, numbers)
        Where the numbers stand by now.
    warmth_k : array, shape (members,)
        Added to every cell's temperature. [K]

    """

    deviations: FloatArray
    warmth_k: FloatArray


def _drift(followed: Followed, since: int, settings: FilterSettings, seed: int) -> _Drift:
    """Return the drift of what the hours since the last observation made uncertain."""
    hour, members = followed.standing.hour, followed.standing.members
    if hour <= since:
        return _Drift(followed.deviations, np.zeros(members))
    days = (hour - since) / 24.0
    rng = np.random.default_rng([seed, hour])
    noise = rng.standard_normal((members, len(ADJUSTED)))
    deviations = followed.deviations.copy()
    deviations[:, ADJUSTED] += np.sqrt(settings.forget_per_day * days) * (
        noise - noise.mean(axis=0)
    )
    warmth = rng.standard_normal(members)
    warmth = settings.drift_k_day * np.sqrt(min(days, 1.0)) * (warmth - warmth.mean())
    return _Drift(deviations, warmth)


def _judged(
    standing: Standing, seen: Seen, predicted: FloatArray, backed: bool, settings: FilterSettings
) -> Judged:
    """Hold an observation against the members."""
    step = step_towards(predicted, seen.value, seen.error_sd, most_surprise=settings.most_surprise)
    is_doubtful = abs(step.surprise) > settings.doubtful_surprise and not backed
    return Judged(
        seen=seen,
        predicted=float(predicted.mean()),
        spread=float(predicted.std(ddof=1)),
        surprise=step.surprise,
        at_edge=_at_edge(standing, seen) if is_doubtful else None,
        is_doubtful=is_doubtful,
    )


def _with_water_not_known(
    followed: Followed, seen: MoistureSeen, settings: FilterSettings, seed: int
) -> Followed:
    """Give or take the water that members who all agree cannot explain.

    A hand outranks the model: where the range it told still lies more than `believed_surprise` of
    its own blur from the members' mean, the members are taken to be spread so far that it would
    surprise by just that, and their water (nothing else) moves by the gain that follows.
    """
    members = seen.predicted(followed.standing)
    mean, blur = float(members.mean()), seen.edge_sd
    miss = seen.outside_by(mean)
    if abs(miss) <= settings.believed_surprise * blur:
        return followed
    spread2 = (miss / settings.believed_surprise) ** 2 - blur**2
    after = mean + miss * spread2 / (spread2 + blur**2)
    log = float(np.log(after / (1.0 - after)) - np.log(mean / (1.0 - mean)))
    log = float(np.clip(log, -_MOST_LOG, _MOST_LOG))
    rng = np.random.default_rng([seed, seen.hour, 1])
    share = 1.0 + _UNEVEN * rng.standard_normal(members.size)
    still = np.zeros_like(followed.standing.state.cells[:, 0])
    return amend(
        followed,
        followed.deviations,
        still,
        still + (log * share)[:, None, None],
        np.zeros((members.size, LOGS)),
        np.zeros(members.size),
    )


def _at_edge(standing: Standing, seen: Seen) -> float | None:
    if not isinstance(seen, TemperatureSeen):
        return None
    return float(standing_temperature(standing, seen.depth_m, _NEAR_WALL).mean())


def _drawn(
    followed: Followed, drift: _Drift, seen: Seen, predicted: FloatArray, most_surprise: float
) -> Followed:
    """Draw the drifted members towards one observation."""
    step = step_towards(predicted, seen.value, seen.error_sd, most_surprise=most_surprise)
    values, parts = values_of(followed, drift.deviations, drift.warmth_k)
    moved = carried_over(predicted, step.change, values)
    change = {name: moved[:, part] for name, part in parts.items()}
    deviations = drift.deviations.copy()
    deviations[:, ADJUSTED] += change["numbers"]
    grid = followed.standing.state.cells.shape[2:]
    warmer = change["temperature"] + drift.warmth_k[:, None]
    most = _MOST_LOG
    return amend(
        followed,
        deviations,
        warmer.reshape(-1, *grid),
        np.clip(change["water"], -most, most).reshape(-1, *grid),
        np.clip(change["logs"], -most, most),
        change["activity"][:, 0],
    )
