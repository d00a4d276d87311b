"""A year's plan by simple rules: harvest what is ready, move what is due, fill what is empty.

Knows the rules a person would go by, a few manners of them, and takes the one worth most. Proves
nothing; it is the solver's first hint, and the plan where there is no solver.
"""

from __future__ import annotations

from collections.abc import Sequence

from heapwright.season.rotation_numbers import RotationNumbers
from heapwright.season.rotation_plan import Job, PlannedBatch, Proof, RotationPlan
from heapwright.season.rotation_plan import jobs_of as jobs_of_plan
from heapwright.season.rotation_walk import Orders, Walk, Way
from heapwright.season.rotation_weights import RotationWeights
from heapwright.season.rotation_worth import HUNDREDTHS, share_out, worth_of

MANNERS = tuple(
    Orders(weeks_between=between, usual=usual)
    for usual in ((Way.NEAREST, Way.FARTHEST), (Way.STAYS, Way.STAYS))
    for between in (1, 2, 4, 0)
)


def plan_by_rule(
    numbers: RotationNumbers, weights: RotationWeights, earlier: Sequence[Job] = ()
) -> RotationPlan:
    """Return the best of the plans that the rules give in their few manners."""
    plans = [plan_of(numbers, weights, Walk(numbers, orders).walk(), earlier) for orders in MANNERS]
    return max(plans, key=lambda plan: plan.worth)


def plan_of(
    numbers: RotationNumbers,
    weights: RotationWeights,
    batches: tuple[PlannedBatch, ...],
    earlier: Sequence[Job] = (),
) -> RotationPlan:
    """Return batches as a plan by rule: with what the beds get and what it is worth."""
    made = sum(batch.yield_m3.sure for batch in batches if batch.harvest_week is not None)
    beds = share_out(numbers.problem, batches)
    infinite = float("inf")
    plan = RotationPlan(batches, beds, made, Proof.BY_RULE, 0.0, infinite, 0.0)
    jobs = jobs_of_plan(plan, numbers.problem)
    worth = worth_of(numbers, weights, batches, jobs, earlier) / HUNDREDTHS
    return RotationPlan(batches, beds, made, Proof.BY_RULE, worth, infinite, 0.0)
