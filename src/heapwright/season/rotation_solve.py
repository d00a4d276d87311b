"""Plans the year: makes the program, lets CP-SAT solve it, reads the plan and its proof.

Knows when to fall back to the plan by rule. Knows nothing of what the plan is for.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

from heapwright.season.play_check import check
from heapwright.season.rotation_counts import count_model
from heapwright.season.rotation_greedy import plan_by_rule, plan_of
from heapwright.season.rotation_keys import carried_on, with_earlier_keys
from heapwright.season.rotation_limits import hold_stuff, hold_work, note_jobs, tighten
from heapwright.season.rotation_model import BUILT, RotationModel, model_of_heaps
from heapwright.season.rotation_numbers import RotationNumbers, up
from heapwright.season.rotation_plan import Job, Proof, RotationPlan, jobs_of
from heapwright.season.rotation_read import batches_of, hint
from heapwright.season.rotation_search import orders_of, searched
from heapwright.season.rotation_types import RotationProblem
from heapwright.season.rotation_walk import Orders, Way
from heapwright.season.rotation_weights import RotationWeights, usual_weights
from heapwright.season.rotation_worth import HUNDREDTHS, add_worth

#: The solver's own dice; with another the same plan is found on another way.
SEED = 6
#: How much of the time the count of the year may take, and the gap it need not get below.
COUNTING_SHARE, COUNTING_GAP = 0.25, 0.003
#: How much of what is left is then spent on small changes of plans.
SEARCH_SHARE = 0.5
#: By how many weeks builds may lie off the counted ones: first not at all, then near, then freely.
WIDTHS = (0, 1, None)
#: A try shorter than this finds nothing. [s]
LEAST_SECONDS = 0.1


def plan_rotation(
    problem: RotationProblem,
    *,
    weights: RotationWeights | None = None,
    earlier: RotationPlan | None = None,
    seconds: float = 10.0,
    workers: int = 2,
    close: float = 0.003,
) -> RotationPlan:
    """Return the year's plan of most worth that is found in the time.

    Parameters
    ----------
    problem : RotationProblem
    weights : RotationWeights, optional
        Those of the table if not given.
    earlier : RotationPlan, optional
        A plan made before, in this plan's weeks (`rotation_keys.weeks_later`); as few of its jobs
        are dropped as the weights say, and its keys go on. Kept as it is if it still can be done
        and nothing better is found.
    seconds : float, default 10
        The solver stops then; the plan says how far it is proved.
    workers : int, default 2
        Threads of the solver.
    close : float, default 0.003
        The search ends once no plan can be better by more than this share. [0-1]

    Returns
    -------
    RotationPlan
        By rule where the solver is missing or finds nothing in time.

    """
    weights = weights or usual_weights()
    started = time.perf_counter()
    numbers = RotationNumbers(problem)
    jobs = _jobs_ahead(problem, earlier)
    by_rule = plan_by_rule(numbers, weights, jobs)
    plan = by_rule
    if earlier is not None:
        plan = max([plan, *_still_good(problem, earlier, weights, jobs)], key=_worth)
    if seconds > LEAST_SECONDS:
        task = _Task(numbers, weights, jobs, started + seconds, workers, close)
        plan = _searched(task, plan)
    if earlier is not None:
        plan = replace(plan, batches=with_earlier_keys(plan.batches, earlier))
    return replace(plan, seconds=time.perf_counter() - started)


def _still_good(
    problem: RotationProblem,
    earlier: RotationPlan,
    weights: RotationWeights,
    jobs: Sequence[Job],
) -> list[RotationPlan]:
    """Return the earlier plan as it stands now, if each of its jobs can still be done."""
    batches = carried_on(earlier, problem)
    if batches is None:
        return []
    plan = plan_of(RotationNumbers(problem), weights, batches, jobs)
    return [] if check(plan, problem) else [plan]


def _jobs_ahead(problem: RotationProblem, earlier: RotationPlan | None) -> tuple[Job, ...]:
    if earlier is None:
        return ()
    known = problem.bin_numbers
    stand = {heap.key for heap in problem.standing}
    kept = [
        batch
        for batch in earlier.batches
        if all(stay.bin_key in known for stay in batch.stays)
        and (not batch.is_standing or batch.key in stand)
    ]
    jobs = jobs_of(replace(earlier, batches=tuple(kept)), problem)
    return tuple(job for job in jobs if 0 <= job.week < problem.weeks)


def _worth(plan: RotationPlan) -> float:
    return plan.worth


@dataclass(frozen=True, slots=True)
class _Task:
    numbers: RotationNumbers
    weights: RotationWeights
    earlier: Sequence[Job]
    ends: float  # by time.perf_counter
    workers: int
    close: float

    @property
    def seconds_left(self) -> float:
        return self.ends - time.perf_counter()


def _searched(task: _Task, plan: RotationPlan) -> RotationPlan:
    """Return the best plan found around the counted year, with its bound and proof.

    The count gives what no plan exceeds and when to build. From there and from the plan given,
    small changes are tried; then CP-SAT settles the rest with builds as counted, then within a
    week of them, then freely, until the time is over or the plan is close to the bound.
    """
    counted = _counted(task)
    bound = counted.bound
    begin = [orders_of(task.numbers, plan), *_orders(counted)]
    ends = time.perf_counter() + SEARCH_SHARE * task.seconds_left
    enough = bound - task.close * abs(bound)
    by_change = searched(task.numbers, task.weights, task.earlier, begin, ends, enough)
    plan = max([plan, *([by_change] if by_change else [])], key=_worth)
    for width in WIDTHS:
        if task.seconds_left <= LEAST_SECONDS or bound - plan.worth <= task.close * abs(bound):
            break
        try:
            found, reach = _try(task, plan, counted, width, bound)
        except ImportError:
            # Without OR-Tools the plan by rule stands, with the bound of the count.
            break
        plan = max([plan, *found], key=_worth)
        if width is None:
            bound = min(bound, reach)
    bound = max(bound, plan.worth)
    if bound == float("inf"):
        return plan
    # The count is solved in floating point: what is nearer than its tolerance is equal.
    is_proved = bound - plan.worth <= 1e-6 * max(1.0, abs(bound))
    proof = Proof.PROVED if is_proved else Proof.WITHIN_GAP
    return replace(plan, proof=proof, bound=bound)


@dataclass(frozen=True, slots=True)
class _Counted:
    bound: float  # litres, as the worth of a plan
    builds: tuple[tuple[int, tuple[int, ...]], ...]  # week, and the bins it is built in one of


def _orders(counted: _Counted) -> Iterator[Orders]:
    """Yield the counted builds as orders, in the first bins of their neighbours and in turn."""
    yield Orders(builds=tuple((week, bins[0]) for week, bins in counted.builds))
    in_turn = [(week, bins[n % len(bins)]) for n, (week, bins) in enumerate(counted.builds)]
    for usual in ((Way.NEAREST, Way.FARTHEST), (Way.NEAREST, Way.NEAREST), (Way.STAYS, Way.STAYS)):
        yield Orders(builds=tuple(in_turn), usual=usual)


def _counted(task: _Task) -> _Counted:
    numbers = task.numbers
    model = count_model(numbers, task.weights, task.earlier)
    seconds = COUNTING_SHARE * task.seconds_left
    found = model.program.maximize(model.worth, seconds, COUNTING_GAP)
    builds = tuple(
        (week, group.bins)
        for week in numbers.work_weeks
        for group in sorted(model.new, key=lambda one: one.bins)
        for _ in range(found.value(group.in_week(BUILT, week)))
    )
    return _Counted(found.bound / HUNDREDTHS, builds)


def _try(
    task: _Task, plan: RotationPlan, counted: _Counted, width: int | None, bound: float
) -> tuple[list[RotationPlan], float]:
    """Return what is found with builds so near the counted ones, and what can be reached there."""
    from ortools.sat.python import cp_model

    model = model_of_heaps(task.numbers)
    note_jobs(model)
    hold_stuff(model)
    hold_work(model)
    tighten(model)
    limit = None if bound == float("inf") else up(bound * HUNDREDTHS)
    add_worth(model, task.weights, task.earlier, limit)
    if width is not None:
        _hold_near(model, counted, width)
    hint(model, plan)
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = SEED
    solver.parameters.num_workers = task.workers
    # The linear bound is the count's business; without it the search is several times as fast.
    solver.parameters.linearization_level = 0
    solver.parameters.max_time_in_seconds = max(LEAST_SECONDS, task.seconds_left)
    status = solver.solve(model.program)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return [], float("inf")
    found = plan_of(task.numbers, task.weights, batches_of(model, solver), task.earlier)
    return [found], solver.best_objective_bound / HUNDREDTHS


def _hold_near(model: RotationModel, counted: _Counted, width: int) -> None:
    program = model.program
    for slot, build in zip_longest(model.new, counted.builds):
        if build is None:
            program.add(slot.happens[BUILT] == 0)
            continue
        week, bins = build
        near = [
            literal
            for (event, when), literal in slot.in_week.items()
            if event == BUILT and abs(when - week) <= width
        ]
        program.add(sum(near) == (1 if width == 0 else slot.happens[BUILT]))
        if width == 0:
            program.add(sum(slot.in_bin[BUILT, one] for one in bins) == 1)
