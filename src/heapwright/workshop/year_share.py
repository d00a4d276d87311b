"""Shares a plan's compost out among the beds by the rule of the beds' own page.

A planner decides when heaps are begun and taken out so that beds are served as well as can be; who
gets what of it is told by one rule everywhere (`garden.share`), or two pages would promise one
bed's compost differently.
"""

from __future__ import annotations

from dataclasses import replace

from heapwright.garden.share import Supply, Want, shared_out
from heapwright.season.rotation_plan import RotationPlan
from heapwright.workshop.year_problem import YearInputs


def shared_by_rule(inputs: YearInputs, plan: RotationPlan) -> RotationPlan:
    """Return the plan with its sure compost shared out by the rule of the beds."""
    problem = inputs.problem
    wants = [
        Want(
            key=bed.key,
            due=problem.day_of(bed.due_week),
            thin_m3=min(wanted.still_m3.low, bed.compost_m3),
            usual_m3=bed.compost_m3,
            weight=wanted.weight,
        )
        for bed, wanted in zip(problem.beds, inputs.rounds, strict=True)
    ]
    supplies = [Supply(problem.first_day, problem.compost_on_hand_m3)]
    supplies += [
        Supply(problem.day_of(batch.harvest_week), batch.yield_m3.sure)
        for batch in plan.batches
        if batch.harvest_week is not None
    ]
    given = shared_out(wants, supplies)
    return replace(plan, beds=tuple(replace(one, served_m3=given[one.key]) for one in plan.beds))
