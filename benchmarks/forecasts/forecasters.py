"""What is forecast of a hidden heap: by the fitted model, the unfitted one and two plain rules.

Knows how each way of forecasting is asked with only what a gardener knows at that day. The fitted
model is the product's own: `fitting.beginning`, `fitting.filter`, `fitting.settings`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from benchmarks.forecasts.worlds import DEPTH_M, World
from heapwright.fitting.beginning import begin
from heapwright.fitting.filter import follow
from heapwright.fitting.followed import Followed
from heapwright.fitting.observations import Seen, TemperatureSeen
from heapwright.fitting.settings import FilterSettings, with_unfollowed
from heapwright.heap.parameters import parameters_at, sample_deviations
from heapwright.heap.resume import FOLLOWING_STRIDE, Standing, built, go_on
from heapwright.heap.types import Fill, FloatArray

#: Days after building at which a forecast is made, and how many days ahead it looks.
FIT_DAYS = (7, 14, 21, 30)
LEAD_DAYS = (3, 7, 14)
#: Spread of the recipe as the forecaster takes it (relative, but moisture); less than the truth's.
TAKEN_ERRORS = {
    "mass": 0.12,
    "moisture": 0.04,
    "fast": 0.25,
    "medium": 0.15,
    "c_to_n": 0.15,
    "volume": 0.08,
}
#: Readings since the last work that a cooling curve is fitted to at least.
LEAST_FOR_CURVE = 3
HOURS_A_DAY = 24


def drawn_fills(told: Fill, members: int, rng: np.random.Generator) -> list[Fill]:
    """Return the recipe as it may be, the recipe itself first."""
    fills = [told]
    for _ in range(members - 1):
        times = {
            name: float(np.exp(sd * rng.standard_normal())) for name, sd in TAKEN_ERRORS.items()
        }
        shift = TAKEN_ERRORS["moisture"] * float(rng.standard_normal())
        moisture = float(np.clip(told.moisture + shift, 0.15, 0.85))
        dry = told.wet_mass_kg * (1.0 - told.moisture) * times["mass"]
        fast, medium = told.fast_share * times["fast"], told.medium_share * times["medium"]
        most = min(1.0, 0.95 / (fast + medium))
        fills.append(
            replace(
                told,
                wet_mass_kg=dry / (1.0 - moisture),
                moisture=moisture,
                volume_m3=told.volume_m3 * times["volume"],
                fast_share=fast * most,
                medium_share=medium * most,
                c_to_n=told.c_to_n * times["c_to_n"],
            )
        )
    return fills


def by_model(
    world: World, seed: int, settings: FilterSettings, reading_sd_c: float, *, is_fitted: bool
) -> dict[tuple[int, int], FloatArray]:
    """Return the members' temperatures by day of forecast and days ahead.

    Parameters
    ----------
    world : World
    seed : int
    settings : FilterSettings
    reading_sd_c : float
        Error a reading is taken to have. [K]
    is_fitted : bool
        Whether the thermometer is listened to.

    Returns
    -------
    dict of (day, lead) to array, shape (members,)

    """
    rng = np.random.default_rng([77, seed])
    heaps = round(settings.members * settings.built_per_member)
    deviations = sample_deviations(heaps, rng)
    deviations[0] = 0.0
    fills = drawn_fills(world.told_fill, heaps, rng)
    standing = built(world.shape, fills, world.told_weather, parameters_at(deviations))
    seen = _seen(world, reading_sd_c) if is_fitted else []
    forecasts = {}
    early = [one for one in seen if one.hour < HOURS_A_DAY * FIT_DAYS[0]]
    kept, used = begin(
        standing,
        deviations,
        world.told_weather,
        world.told_actions,
        early,
        probe_depth_m=DEPTH_M,
        settings=settings,
        threads=1,
    )
    for day in FIT_DAYS:
        until = HOURS_A_DAY * day
        known: list[Seen] = [one for one in seen if one.hour < until]
        # As the product does: what no later reading can make doubted is kept, the rest is met anew.
        latest = known[-1].hour if known else 0
        settled = sum(one.hour <= latest - settings.agree_hours for one in known)
        if settled > used:
            kept = _follow(world, kept, known[used:settled], 0, known, settings, seed)
            used = settled
        followed = _follow(world, kept, known[used:], until, known, settings, seed)
        since = max((one.seen.hour for one in followed.judged if not one.is_doubtful), default=0)
        ahead = _ahead(world, followed.standing, day)
        lead = np.arange(ahead.shape[0]) + float(until - since)
        told = with_unfollowed(ahead, lead, settings, seed) if is_fitted else ahead
        for days in LEAD_DAYS:
            forecasts[day, days] = told[HOURS_A_DAY * days]
    return forecasts


def _follow(
    world: World,
    followed: Followed,
    seen: Sequence[Seen],
    until: int,
    known: Sequence[Seen],
    settings: FilterSettings,
    seed: int,
) -> Followed:
    return follow(
        followed,
        world.told_weather,
        world.told_actions,
        seen,
        until,
        known=known,
        probe_depth_m=DEPTH_M,
        settings=settings,
        seed=seed,
        threads=1,
    )


def _seen(world: World, reading_sd_c: float) -> list[Seen]:
    return [
        TemperatureSeen(int(hour), float(value), DEPTH_M, 0.0, reading_sd_c, str(hour))
        for hour, value in zip(world.reading_hours, world.readings_c, strict=True)
    ]


def _ahead(world: World, standing: Standing, day: int) -> FloatArray:
    """Return the members' temperature in the days ahead; what will be done is known."""
    run, _ = go_on(
        standing,
        world.told_weather,
        HOURS_A_DAY * (day + max(LEAD_DAYS)),
        world.told_actions,
        probe_depth_m=DEPTH_M,
        stride_hours=FOLLOWING_STRIDE,
        threads=1,
    )
    return run.probe_c


def by_persistence(world: World) -> dict[tuple[int, int], float]:
    """Return that it stays as it was last read."""
    return {(day, days): _last(world, day)[1] for day in FIT_DAYS for days in LEAD_DAYS}


def by_cooling(world: World, usual_rate: float) -> dict[tuple[int, int], float]:
    """Return that it cools towards the air as it did since it was last worked (Newton).

    Parameters
    ----------
    world : World
    usual_rate : float
        Taken when there are too few readings to tell. [1/day]

    """
    forecasts = {}
    for day in FIT_DAYS:
        hour, last = _last(world, day)
        rate = cooling_rate(world, day)
        rate = usual_rate if rate is None else rate
        for days in LEAD_DAYS:
            then = HOURS_A_DAY * (day + days)
            air = float(world.told_weather.temperature_c[hour:then].mean())
            faded = np.exp(-rate * (then - hour) / HOURS_A_DAY)
            forecasts[day, days] = air + (last - air) * float(faded)
    return forecasts


def cooling_rate(world: World, day: int) -> float | None:
    """Return the rate at which it cooled since it was last worked; None with too few readings."""
    until = HOURS_A_DAY * day
    worked = max((int(a.hour) for a in world.told_actions if a.hour < until), default=0)
    at = np.flatnonzero((world.reading_hours > worked) & (world.reading_hours < until))
    if at.size < LEAST_FOR_CURVE:
        return None
    hours, values = world.reading_hours[at], world.readings_c[at]
    air = float(world.told_weather.temperature_c[worked:until].mean())
    above = np.log(np.maximum(values - air, 1.0))
    slope = np.polyfit(hours / HOURS_A_DAY, above, 1)[0]
    return float(np.clip(-slope, 0.0, 1.0))


def _last(world: World, day: int) -> tuple[int, float]:
    place = int(np.flatnonzero(world.reading_hours < HOURS_A_DAY * day)[-1])
    return int(world.reading_hours[place]), float(world.readings_c[place])


def dressed(value: float, errors: FloatArray) -> FloatArray:
    """Return a single value with the errors it had on the training seeds, as members."""
    return np.asarray(value + errors)


def error_quantiles(errors: Mapping[int, list[float]], count: int = 49) -> dict[int, FloatArray]:
    """Return evenly spaced quantiles of a plain rule's errors, by days ahead."""
    levels = (np.arange(count) + 0.5) / count
    return {days: np.quantile(np.array(values), levels) for days, values in errors.items()}
