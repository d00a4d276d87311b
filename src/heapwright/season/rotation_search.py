"""Looks for better orders by small changes: a build shifted, another bin, a heap that stays.

Knows orders and what the plan they give is worth. Proves nothing; its dice have a fixed seed.
"""

from __future__ import annotations

import random
import time
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from heapwright.season.rotation_greedy import plan_of
from heapwright.season.rotation_numbers import RotationNumbers
from heapwright.season.rotation_plan import Job, RotationPlan, Stay
from heapwright.season.rotation_types import Stage
from heapwright.season.rotation_walk import Orders, Walk, Way
from heapwright.season.rotation_weights import RotationWeights

#: The dice's seed, and how far a build is shifted at most.
SEED, FARTHEST_SHIFT = 6, 4
#: How many plans are tried at most, and how many without gain.
MOST_TRIES, MOST_IDLE = 4000, 1200
#: After how many without gain it begins again at the best.
PATIENCE = 250
#: How much less worth a step aside may be, as share. [0-1]
ASIDE = 0.004


def searched(
    numbers: RotationNumbers,
    weights: RotationWeights,
    earlier: Sequence[Job],
    begin: Sequence[Orders],
    ends: float,
    enough: float,
) -> RotationPlan | None:
    """Return the best plan found from the orders to begin with.

    Parameters
    ----------
    numbers : RotationNumbers
    weights : RotationWeights
    earlier : sequence of Job
    begin : sequence of Orders
        With their builds given.
    ends : float
        When to stop, by `time.perf_counter`. [s]
    enough : float
        A plan worth so much is not bettered. [L]

    """

    def tried(orders: Orders) -> RotationPlan:
        return plan_of(numbers, weights, Walk(numbers, orders).walk(), earlier)

    dice = random.Random(SEED)
    found = [(tried(orders), orders) for orders in begin if orders.builds is not None]
    if not found:
        return None
    best, best_orders = max(found, key=lambda one: one[0].worth)
    here, here_orders, idle = best, best_orders, 0
    last_gain = 0
    for number in range(MOST_TRIES):
        is_idle = number - last_gain > MOST_IDLE
        if best.worth >= enough or is_idle or time.perf_counter() >= ends:
            break
        orders = here_orders
        for _ in range(dice.choice((1, 1, 2, 3))):
            orders = _changed(numbers, orders, dice)
        plan = tried(orders)
        idle += 1
        if plan.worth > best.worth:
            best, best_orders, idle = plan, orders, 0
            last_gain = number
        if plan.worth >= here.worth - dice.random() * ASIDE * abs(best.worth):
            here, here_orders = plan, orders
        if idle >= PATIENCE:
            here, here_orders, idle = best, best_orders, 0
    return best


def orders_of(numbers: RotationNumbers, plan: RotationPlan) -> Orders:
    """Return the orders that a plan follows."""
    bins = numbers.problem.bin_numbers
    builds: list[tuple[int, int]] = []
    ways: dict[tuple[bool, int], tuple[Way, Way]] = {}
    for number, batch in enumerate(plan.batches):
        into = {stay.stage: _way(before, stay) for before, stay in pairwise(batch.stays)}
        both = (into.get(Stage.MIDDLE, Way.NEAREST), into.get(Stage.CURE, Way.FARTHEST))
        if batch.is_standing:
            ways[True, number] = both
            continue
        first = batch.stays[0]
        ways[False, len(builds)] = both
        builds.append((first.start_week, bins[first.bin_key]))
    return Orders(builds=tuple(builds), ways=ways)


def _way(before: Stay, after: Stay) -> Way:
    return Way.STAYS if before.bin_key == after.bin_key else Way.NEAREST


def _changed(numbers: RotationNumbers, orders: Orders, dice: random.Random) -> Orders:
    """Return orders that differ in one thing."""
    builds = list(orders.builds or ())
    change = dice.random()
    if builds and change < 0.35:
        number = dice.randrange(len(builds))
        week, here = builds[number]
        week += dice.randint(-FARTHEST_SHIFT, FARTHEST_SHIFT)
        builds[number] = (max(0, min(numbers.weeks - 1, week)), here)
    elif builds and change < 0.6:
        number = dice.randrange(len(builds))
        builds[number] = (builds[number][0], _some_bin(numbers, dice))
    elif change < 0.9:
        whose = [*((True, n) for n in range(len(numbers.standing)))]
        whose += [(False, n) for n in range(len(builds))]
        if whose:
            ways = dict(orders.ways)
            ways[dice.choice(whose)] = (dice.choice(tuple(Way)), dice.choice(tuple(Way)))
            return replace(orders, ways=ways)
    elif builds and change < 0.94:
        del builds[dice.randrange(len(builds))]
    elif numbers.kinds and len(builds) < numbers.problem.most_builds:
        builds.append((dice.randrange(numbers.weeks), _some_bin(numbers, dice)))
    return replace(orders, builds=tuple(builds))


def _some_bin(numbers: RotationNumbers, dice: random.Random) -> int:
    return dice.choice([one for kind in numbers.kinds for one in kind.built_in])
