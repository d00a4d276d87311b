"""Which option is worth most, how clearly, and what would turn it.

Knows means over members, ties and the least difference worth having. Knows no physics.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np

from heapwright.decisions.consequences import Consequences, subset
from heapwright.decisions.options import later, options_for
from heapwright.decisions.tables import limits, worths
from heapwright.decisions.types import (
    Decision,
    Doing,
    Forbidden,
    Measures,
    Option,
    Situation,
    Weighed,
    range_of,
)
from heapwright.decisions.worth import cost_days, other_weights, usual_weights


def decide(
    situation: Situation,
    *,
    members: int | None = None,
    horizon_days: int | None = None,
    without: Collection[Doing] = (),
    threads: int = 2,
) -> Decision:
    """Return the options of a heap in order of worth.

    Parameters
    ----------
    situation : Situation
    members : int, optional
        With how many of its members; the table's if not given.
    horizon_days : int, optional
        How far each option is run; the table's if not given, and never beyond the weather.
    without : collection of Doing
        Not to be looked at; leaving alone always is.
    threads : int

    """
    table = limits()
    few = subset(situation.standing, round(members or table["members"]))
    seen = replace(situation, standing=few)
    ahead = (situation.weather.hours - few.hour) // 24
    horizon = max(1, min(round(horizon_days or table["horizon_days"]), ahead))
    possible, forbidden = options_for(situation)
    run = Consequences(seen, horizon_days=horizon)
    wanted = [one for one in possible if one.doing is Doing.LEAVE or one.doing not in without]
    found = _all_of(wanted, run, threads)
    found += _all_of(_on_later_days(found, seen, horizon), run, threads)
    return judged(found, forbidden, horizon)


def _all_of(
    options: Sequence[Option], run: Consequences, threads: int
) -> list[tuple[Option, Measures]]:
    """Run options side by side: the kernel lets go of the interpreter."""
    with ThreadPoolExecutor(max_workers=max(1, threads)) as pool:
        return list(zip(options, pool.map(run.of, options), strict=True))


def _on_later_days(
    found: Sequence[tuple[Option, Measures]],
    situation: Situation,
    horizon: int,
) -> list[Option]:
    """Return the best turn on the next days the person has time, if anything can be turned."""
    weights = usual_weights()
    turns = [one for one in found if one[0].doing.is_turn and one[0].doing is not Doing.SPREAD]
    if not turns:
        return []
    best = min(turns, key=lambda one: float(cost_days(one[1], weights).mean()))[0]
    days = [day for day in situation.later_days if day < horizon]
    return [later(best, day) for day in days]


def judged(
    found: Sequence[tuple[Option, Measures]], forbidden: Sequence[Forbidden], horizon: int
) -> Decision:
    """Return the decision between options whose consequences are known.

    The best has the lowest mean cost. Its rival is the best option that does something else today.
    They are equal when the mean difference is below the table's least difference, or when the
    better one is better in too few members; then the one with the least work is followed.
    """
    weights = usual_weights()
    ranked = _ranked(found, weights)
    first = _today_if_as_good(ranked[0], ranked)
    rival = _rival(first, ranked)
    is_equal = rival is not None and not _is_clear(first, rival)
    best = _least_work(first, ranked) if is_equal else first
    if best is not first:
        rival = first
    margin = np.zeros_like(best.cost_days) if rival is None else rival.cost_days - best.cost_days
    others = [one for one in ranked if not _same_today(one.option, best.option)]
    beaten = np.all([best.cost_days <= one.cost_days for one in others], axis=0)
    return Decision(
        weighed=ranked,
        best=best,
        rival=rival,
        margin_days=range_of(margin),
        best_in=int(np.sum(np.broadcast_to(beaten, best.cost_days.shape))),
        members=best.cost_days.size,
        is_equal=is_equal,
        forbidden=tuple(forbidden),
        horizon_days=horizon,
        turning=_turning(found, best),
    )


def _today_if_as_good(first: Weighed, ranked: Sequence[Weighed]) -> Weighed:
    """Return the same thing done today, unless waiting for it gains what is worth having.

    Else a heap would be put off from visit to visit for a tenth of a day.
    """
    least = worths()["least_difference_days"].typical
    for one in ranked:
        is_today = one.option.in_days == 0 and _same_today(one.option, first.option)
        if is_today and float((one.cost_days - first.cost_days).mean()) < least:
            return one
    return first


def _ranked(
    found: Sequence[tuple[Option, Measures]], weights: Mapping[str, float]
) -> tuple[Weighed, ...]:
    alone = next(measures for option, measures in found if option.doing is Doing.LEAVE)
    alone_cost = cost_days(alone, weights)
    weighed = []
    for option, measures in found:
        cost = cost_days(measures, weights)
        sooner = alone.days_left - measures.days_left
        weighed.append(
            Weighed(option, measures, cost, range_of(sooner), range_of(alone_cost - cost))
        )
    # Of options that cost the same the one with less work stands first, then the simpler one.
    return tuple(sorted(weighed, key=lambda one: (float(one.cost_days.mean()), *_effort(one))))


def _effort(one: Weighed) -> tuple[float, float, int, int]:
    order = list(Doing).index(one.option.doing)
    return (one.measures.work_minutes, one.option.water_kg, order, one.option.in_days)


def _same_today(one: Option, other: Option) -> bool:
    """Whether both are the same thing, if on another day."""
    return one.doing is other.doing


def _rival(first: Weighed, ranked: Sequence[Weighed]) -> Weighed | None:
    others = (one for one in ranked if not _same_today(one.option, first.option))
    return next(others, None)


def _is_clear(better: Weighed, worse: Weighed) -> bool:
    gain = worse.cost_days - better.cost_days
    table = worths()
    return bool(
        gain.mean() >= table["least_difference_days"].typical
        and (gain > 0).mean() >= table["clear_share"].typical
    )


def _least_work(first: Weighed, ranked: Sequence[Weighed]) -> Weighed:
    """Return the one with the least work among those the first is not clearly better than."""
    equals = [one for one in ranked if one is first or not _is_clear(first, one)]
    return min(equals, key=lambda one: (*_effort(one), float(one.cost_days.mean())))


def _turning(found: Sequence[tuple[Option, Measures]], best: Weighed) -> Mapping[str, Weighed]:
    """Return what would be best with one weight at an end of its range, where that is another."""
    turned = {}
    for name, end, weights in other_weights():
        costs = [cost_days(measures, weights) for _, measures in found]
        place = int(np.argmin([float(cost.mean()) for cost in costs]))
        if _same_today(found[place][0], best.option):
            continue
        ranked = _ranked(found, weights)
        same = next(one for one in ranked if one.option is best.option)
        if _is_clear(ranked[0], same):
            turned[f"{name} {end}"] = ranked[0]
    return turned
