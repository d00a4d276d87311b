"""Follows a heap with its thermometer: runs the ensemble from one observation to the next.

Knows how members' state and numbers are drawn towards what was seen, as it was seen, and how the
spread that a limited ensemble loses is given back. Knows no journal. The physics is `heap`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from heapwright.fitting.analysis import carried_over, step_towards
from heapwright.fitting.followed import ADJUSTED, Followed, Judged, amend, joined, values_of
from heapwright.fitting.observations import Seen, TemperatureSeen, is_backed
from heapwright.fitting.settings import FilterSettings
from heapwright.heap.probe import standing_temperature
from heapwright.heap.resume import Standing, go_on
from heapwright.heap.types import FloatArray, HeapAction
from heapwright.weather.series import WeatherSeries

#: Share of the radius that stands for a probe that missed the core.
_NEAR_WALL = 0.9


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
            now.standing, weather, hour, actions, probe_depth_m=probe_depth_m, threads=threads
        )
        return replace(now, standing=standing, run=joined(now.run, run))

    for one in seen:
        backed = is_backed(one, known, settings.agree_k, settings.agree_hours)
        there = _drifted(run_to(followed, one.hour), followed.standing.hour, settings, seed)
        judged = _judged(there.standing, one, backed, settings)
        # A reading left out leaves no trace: the heap goes on from where it was before.
        after = followed if judged.is_doubtful else _drawn(there, one, backed, settings)
        followed = replace(after, judged=(*followed.judged, judged))
    return run_to(followed, until)


def _drifted(followed: Followed, since: int, settings: FilterSettings, seed: int) -> Followed:
    """Let the members drift apart by what the hours since the last observation made uncertain."""
    hour = followed.standing.hour
    if hour <= since:
        return followed
    days = (hour - since) / 24.0
    rng = np.random.default_rng([seed, hour])
    members = followed.standing.members
    noise = rng.standard_normal((members, len(ADJUSTED)))
    deviations = followed.deviations.copy()
    deviations[:, ADJUSTED] += np.sqrt(settings.forget_per_day * days) * (
        noise - noise.mean(axis=0)
    )
    warmth = rng.standard_normal(members)
    warmth = settings.drift_k_day * np.sqrt(min(days, 1.0)) * (warmth - warmth.mean())
    return amend(followed, deviations, *_no_change(followed.standing, warmth))


def _judged(standing: Standing, seen: Seen, backed: bool, settings: FilterSettings) -> Judged:
    """Hold an observation against the members."""
    predicted = seen.predicted(standing)
    step = step_towards(predicted, seen.value, seen.error_sd, most_surprise=settings.most_surprise)
    return Judged(
        seen=seen,
        predicted=float(predicted.mean()),
        spread=float(predicted.std(ddof=1)),
        surprise=step.surprise,
        at_edge=_at_edge(standing, seen),
        is_doubtful=abs(step.surprise) > settings.doubtful_surprise and not backed,
    )


def _at_edge(standing: Standing, seen: Seen) -> float | None:
    if not isinstance(seen, TemperatureSeen):
        return None
    return float(standing_temperature(standing, seen.depth_m, _NEAR_WALL).mean())


def _drawn(followed: Followed, seen: Seen, backed: bool, settings: FilterSettings) -> Followed:
    """Draw the members towards one observation."""
    predicted = seen.predicted(followed.standing)
    most = settings.most_surprise_backed if backed else settings.most_surprise
    step = step_towards(predicted, seen.value, seen.error_sd, most_surprise=most)
    values, parts = values_of(followed)
    moved = carried_over(predicted, step.change, values)
    moved = _with_spread_kept(values, moved, settings.spread_kept)
    change = {name: moved[:, part] for name, part in parts.items()}
    deviations = followed.deviations.copy()
    deviations[:, ADJUSTED] += change["numbers"]
    grid = followed.standing.state.cells.shape[2:]
    logs = np.clip(change["logs"], -0.5, 0.5)
    return amend(
        followed,
        deviations,
        change["temperature"].reshape(-1, *grid),
        np.clip(change["water"], -0.5, 0.5).reshape(-1, *grid),
        logs,
        change["activity"][:, 0],
    )


def _with_spread_kept(values: FloatArray, moved: FloatArray, kept: float) -> FloatArray:
    """Give back part of the spread that was lost (relaxation to prior spread, Whitaker 2012)."""
    after = values + moved
    mean = after.mean(axis=0)
    before_sd, after_sd = values.std(axis=0), after.std(axis=0)
    lost = np.divide(before_sd - after_sd, after_sd, out=np.zeros_like(mean), where=after_sd > 0)
    return np.asarray(mean + (after - mean) * (1.0 + kept * np.maximum(lost, 0.0)) - values)


def _no_change(
    standing: Standing, warmth: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    cells = standing.state.cells
    field = np.zeros((standing.members, *cells.shape[2:]))
    return (
        field + warmth[:, None, None],
        field,
        np.zeros((standing.members, 5)),
        np.zeros(standing.members),
    )
