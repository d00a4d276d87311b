"""Two routes to one answer: every plan of a tiny year listed by other code, flows, linear programs.

Nothing of the planner is used on the second route but the table of weights.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import combinations, combinations_with_replacement, product

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from heapwright.season.rotation_counts import count_model
from heapwright.season.rotation_greedy import plan_by_rule
from heapwright.season.rotation_limits import hold_stuff
from heapwright.season.rotation_model import model_of_heaps
from heapwright.season.rotation_numbers import RotationNumbers
from heapwright.season.rotation_plan import Proof
from heapwright.season.rotation_search import orders_of, searched
from heapwright.season.rotation_solve import plan_rotation
from heapwright.season.rotation_types import (
    BedWish,
    HeapForm,
    RotationBin,
    RotationProblem,
    Stage,
    StandingHeap,
    StuffClass,
    StuffOnHand,
    WorkRates,
    Yield,
)
from heapwright.season.rotation_weights import usual_weights
from heapwright.season.rotation_worth import HUNDREDTHS, share_out
from tests.season.rotation_cases import random_year

WEEKS = 6
NEVER = WEEKS


def tiny_year(seed: int) -> RotationProblem:
    """Two bins, six weeks, at most two heaps to build; half of the years with one that stands."""
    rng = np.random.default_rng(seed)
    volumes = [1.0, float(rng.choice([1.0, 0.6]))]
    bins = tuple(RotationBin(f"b{n}", f"Bin {n}", v) for n, v in enumerate(volumes))
    lengths = tuple(tuple(int(x) for x in rng.integers(1, 3, WEEKS)) for _ in range(3))
    greens = StuffClass(
        "greens",
        "greens",
        (StuffOnHand(0.2, int(rng.integers(0, 2))),),
        tuple(float(x) for x in rng.choice([0.0, 0.1, 0.2, 0.3], WEEKS)),
        int(rng.integers(0, 3)),
        tuple(float(x) for x in rng.choice([0.2, 0.3], WEEKS)),
    )
    beds = tuple(
        BedWish(f"bed{n}", f"Bed {n}", float(rng.choice([0.1, 0.3, 0.5])), due, weight)
        for n, (due, weight) in enumerate([(int(rng.integers(2, 6)), 1.0), (5, 2.0)])
    )
    standing: tuple[StandingHeap, ...] = ()
    if seed % 2:
        given = Yield(0.3, 0.35, 0.4)
        standing = (StandingHeap("s", "Old", "b0", Stage.MIDDLE, 1, (1,), 0.6, given),)
    return RotationProblem(
        first_day=date(2026, 3, 2),
        bins=bins,
        stage_weeks=lengths,
        stuff=(greens,),
        work_loads=tuple(float(x) for x in rng.choice([0.0, 12.0, 16.0, 25.0], WEEKS)),
        work=WorkRates(0.1, 1.0, 1.0, 1.2, 1.0, (0.1, 0.0, 0.0)),
        form=HeapForm((1.0, 0.8, 0.6), Yield(0.3, 0.4, 0.5), 0.5, (0, 1, 0)),
        beds=beds,
        standing=standing,
        compost_on_hand_m3=0.05,
        most_builds=2,
    )


#: A heap's way: its first stage, the bins of its stages, the week of each event from its beginning.
Way = tuple[int, tuple[int, ...], tuple[int, ...]]


def ways_of_new(problem: RotationProblem) -> Iterator[Way | None]:
    yield None
    for length in (1, 2, 3, 4):
        for weeks in combinations(range(WEEKS), length):
            for bins in combinations_with_replacement(range(2), min(length, 3)):
                built = weeks[0]
                least = [row[built] for row in problem.stage_weeks]
                way = (0, bins, weeks)
                if _keeps_lengths(problem, way, least) and _fits(problem, way):
                    yield way


def ways_of_standing(problem: RotationProblem) -> Iterator[Way]:
    heap = problem.standing[0]
    for length in range(3 - heap.stage + 1):
        for weeks in combinations(range(WEEKS), length):
            for rest in combinations_with_replacement(range(2), min(length, 2 - heap.stage)):
                way = (int(heap.stage), (0, *rest), (0, *weeks))
                if _keeps_lengths(problem, way, [heap.weeks_left, *heap.later_weeks]):
                    yield way


def _keeps_lengths(problem: RotationProblem, way: Way, least: list[int]) -> bool:
    first, bins, weeks = way
    for place in range(len(weeks) - 1):
        extra = 0
        if place > 0 and bins[place] == bins[place - 1]:
            extra = problem.form.stay_extra_weeks[first + place]
        if weeks[place + 1] - weeks[place] < least[place] + extra:
            return False
    return True


def _fits(problem: RotationProblem, way: Way) -> bool:
    _, bins, _ = way
    built = problem.bins[bins[0]].volume_m3
    return built >= problem.form.least_build_m3 and all(
        built * problem.form.volume_share[stage] <= problem.bins[one].volume_m3 + 1e-9
        for stage, one in enumerate(bins)
        if stage > 0
    )


def best_of_all(problem: RotationProblem) -> float:
    """Return the worth of the best plan there is, every one of them looked at."""
    new = list(ways_of_new(problem))
    old: list[Way | None] = list(ways_of_standing(problem)) if problem.standing else [None]
    best = -np.inf
    for standing, one, other in product(old, new, new):
        if one is not None and other is not None and one > other:
            continue  # the same two heaps the other way round
        if one is None and other is not None:
            continue
        heaps = [(standing, True), (one, False), (other, False)]
        there = [(way, stands) for way, stands in heaps if way is not None]
        if _can_be_done(problem, there):
            best = max(best, _worth(problem, there))
    return float(best)


def _volume(problem: RotationProblem, way: Way, stands: bool, stage: int) -> float:
    if stands:
        return problem.standing[0].volume_m3
    return problem.bins[way[1][0]].volume_m3 * problem.form.volume_share[stage]


def _likely(problem: RotationProblem, way: Way, stands: bool) -> float:
    if stands:
        return problem.standing[0].yield_m3.likely
    return problem.bins[way[1][0]].volume_m3 * problem.form.yield_share.likely


def _jobs(problem: RotationProblem, way: Way, stands: bool) -> Iterator[tuple[int, float]]:
    first, bins, weeks = way
    rates = problem.work
    for place, week in enumerate(weeks):
        stage = first + place
        if stage == 3:
            yield week, _likely(problem, way, stands) / rates.barrow_m3 * rates.harvest
        elif place > 0:
            rate = rates.stir if bins[place] == bins[place - 1] else rates.move
            yield week, _volume(problem, way, stands, stage) / rates.barrow_m3 * rate
        elif not stands:
            yield week, _volume(problem, way, stands, 0) / rates.barrow_m3 * rates.build


def _can_be_done(problem: RotationProblem, heaps: list[tuple[Way, bool]]) -> bool:
    taken: set[tuple[int, int]] = set()
    loads = [0.0] * WEEKS
    for way, stands in heaps:
        first, bins, weeks = way
        for place, one in enumerate(bins):
            until = weeks[place + 1] if place + 1 < len(weeks) else NEVER
            stage = first + place
            for week in range(weeks[place], until):
                if (one, week) in taken:
                    return False
                taken.add((one, week))
                if problem.work_loads[week] > 0.0:
                    rates = problem.work
                    volume = _volume(problem, way, stands, stage) / rates.barrow_m3
                    loads[week] += volume * rates.stir * rates.stirs_a_week[stage]
        for week, cost in _jobs(problem, way, stands):
            loads[week] += cost
            if problem.work_loads[week] <= 0.0:
                return False
    if any(a > b + 1e-6 for a, b in zip(loads, problem.work_loads, strict=True)):
        return False
    builds = [(way[2][0], problem.bins[way[1][0]].volume_m3) for way, stands in heaps if not stands]
    return all(flows(stuff, builds) for stuff in problem.stuff)


def flows(stuff: StuffClass, builds: list[tuple[int, float]]) -> bool:
    """Return whether lots can be sent to builds so that each has enough, by maximum flow."""
    weeks = len(stuff.arriving_m3)
    lots = [(0, min(lot.weeks_left, stuff.keeps_weeks), lot.volume_m3) for lot in stuff.on_hand]
    lots += [(w, w + stuff.keeps_weeks, m3) for w, m3 in enumerate(stuff.arriving_m3)]
    needs = [(week, round(1000 * stuff.need_m3_per_m3[week] * m3)) for week, m3 in builds]
    size = len(lots) + len(needs) + 2
    net = np.zeros((size, size), dtype=np.int32)
    for n, (come, last, m3) in enumerate(lots):
        net[0, 1 + n] = round(1000 * m3)
        for k, (week, need) in enumerate(needs):
            if come <= week <= min(last, weeks):
                net[1 + n, 1 + len(lots) + k] = need
    for k, (_, need) in enumerate(needs):
        net[1 + len(lots) + k, size - 1] = need
    sent = maximum_flow(csr_array(net), 0, size - 1).flow_value
    return bool(sent == sum(need for _, need in needs))


def _worth(problem: RotationProblem, heaps: list[tuple[Way, bool]]) -> float:
    weights = usual_weights()
    made: list[tuple[int, float]] = []
    worth = 0.0
    for way, stands in heaps:
        first, _, weeks = way
        sure = 1000 * (
            problem.standing[0].yield_m3.sure
            if stands
            else problem.bins[way[1][0]].volume_m3 * problem.form.yield_share.sure
        )
        state = first + len(weeks) - 1
        if state == 3:
            made.append((weeks[-1], sure))
            worth += weights.made_l * sure + weights.earlier_l * (WEEKS - weeks[-1])
        else:
            worth += weights.made_l * weights.left_shares[state] * sure
        worth -= weights.load_l * sum(cost for _, cost in _jobs(problem, way, stands))
    return worth + _bed_litres(problem, made)


def _bed_litres(problem: RotationProblem, made: list[tuple[int, float]]) -> float:
    """Return the best weighted litres for the beds, by a linear program."""
    beds = problem.beds
    dues = sorted({bed.due_week for bed in beds})
    rows = [[1.0 if bed.due_week <= due else 0.0 for bed in beds] for due in dues]
    there = [
        1000 * problem.compost_on_hand_m3 + sum(x for week, x in made if week <= due)
        for due in dues
    ]
    limits = [(0.0, 1000 * bed.compost_m3) for bed in beds]
    if len(beds) == 2 and dues[-1] == beds[1].due_week and beds[1].weight >= beds[0].weight:
        # Two beds, the later one worth more: it takes its fill first. Faster than the program.
        last = min(limits[1][1], there[-1])
        first = min(limits[0][1], there[0], there[-1] - last)
        return beds[0].weight * first + beds[1].weight * last
    found = linprog([-bed.weight for bed in beds], A_ub=rows, b_ub=there, bounds=limits)
    return float(-found.fun)


@pytest.mark.parametrize("seed", range(6))
def test_no_plan_that_is_listed_is_better_and_the_best_is_found(seed: int) -> None:
    problem = tiny_year(seed)
    plan = plan_rotation(problem, close=0.0)
    assert plan.proof is Proof.PROVED
    assert plan.worth == pytest.approx(best_of_all(problem), abs=0.05)  # hundredths are rounded


@pytest.mark.parametrize("seed", range(10))
def test_no_plan_found_without_the_bound_exceeds_it(seed: int) -> None:
    problem = random_year(seed, bins=1 + seed % 4, builds=6, weeks=24 + seed, volumes=1 + seed % 3)
    numbers, weights = RotationNumbers(problem), usual_weights()
    model = count_model(numbers, weights)
    bound = model.program.maximize(model.worth, seconds=5.0, gap=0.0).bound / HUNDREDTHS
    begin = [orders_of(numbers, plan_by_rule(numbers, weights))]
    ends = time.perf_counter() + 0.4
    found = searched(numbers, weights, (), begin, ends, enough=float("inf"))
    assert found is not None
    assert found.worth <= bound + 1e-3


@pytest.mark.parametrize("seed", range(25))
def test_stuff_is_there_if_and_only_if_it_flows(seed: int) -> None:
    from ortools.sat.python import cp_model

    rng = np.random.default_rng(seed)
    weeks = 8
    keeps = int(rng.integers(0, 4))
    lots = tuple(
        StuffOnHand(float(rng.integers(0, 4)) / 10, int(rng.integers(0, keeps + 1)))
        for _ in range(2)
    )
    stuff = StuffClass(
        "greens",
        "greens",
        lots,
        tuple(float(x) / 10 for x in rng.integers(0, 5, weeks)),
        keeps,
        tuple(float(x) / 10 for x in rng.integers(1, 5, weeks)),
    )
    builds = sorted(int(w) for w in rng.choice(weeks, 3))
    one = tiny_year(0)
    problem = replace(
        one,
        bins=tuple(RotationBin(f"b{n}", f"Bin {n}", 1.0) for n in range(3)),
        stage_weeks=((1,) * weeks,) * 3,
        stuff=(stuff,),
        work_loads=(99.0,) * weeks,
        beds=(),
        most_builds=3,
    )
    model = model_of_heaps(RotationNumbers(problem))
    hold_stuff(model)
    for slot, week in zip(model.new, builds, strict=True):
        model.program.add(slot.week[0] == week)
    status = cp_model.CpSolver().solve(model.program)
    is_there = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    assert is_there == flows(stuff, [(week, 1.0) for week in builds])


@pytest.mark.parametrize("seed", range(12))
def test_compost_is_shared_out_as_the_linear_program_does(seed: int) -> None:
    rng = np.random.default_rng(seed)
    problem = tiny_year(seed - seed % 2)
    beds = tuple(
        BedWish(f"bed{n}", "", float(rng.integers(1, 9)) / 10, int(rng.integers(0, WEEKS)), weight)
        for n, weight in enumerate(rng.choice([0.5, 1.0, 2.0], 4).tolist())
    )
    problem = replace(problem, beds=beds, compost_on_hand_m3=float(rng.integers(0, 15)) / 10)
    shared = share_out(problem, ())
    worth = sum(1000 * b.served_m3 * w.weight for b, w in zip(shared, beds, strict=True))
    assert worth == pytest.approx(_bed_litres(problem, []), abs=1e-6)
    assert all(b.served_m3 <= w.compost_m3 + 1e-9 for b, w in zip(shared, beds, strict=True))
