"""Names every rule that a plan breaks if the year goes as the plan counts on it.

Knows the rules from the problem alone, as `play` does; nothing of how plans are made.
"""

from __future__ import annotations

from heapwright.season.play import Broken, Rule, play
from heapwright.season.rotation_plan import PlannedBatch, RotationPlan
from heapwright.season.rotation_types import RotationProblem, Stage

_TINY = 1e-6


def check(plan: RotationPlan, problem: RotationProblem) -> list[Broken]:
    """Return what is wrong with a plan; nothing for one that can be done as it says.

    Parameters
    ----------
    plan : RotationPlan
    problem : RotationProblem

    Returns
    -------
    list of Broken
        A job that cannot be done in its week is broken by the rule it waits for.

    """
    broken = [one for batch in plan.batches for one in _form(batch, problem)]
    standing = sorted(batch.key for batch in plan.batches if batch.is_standing)
    if standing != sorted(heap.key for heap in problem.standing):
        broken.append(Broken(Rule.FORM, 0, "standing"))
    if sum(not batch.is_standing for batch in plan.batches) > problem.most_builds:
        broken.append(Broken(Rule.BUILDS, 0, "plan"))
    if broken:
        return broken  # what is no plan cannot be played
    played = play(problem, plan)
    broken += [Broken(delay.rule, delay.week, delay.key) for delay in played.delays]
    broken += _regular_work(plan, problem)
    for bed, wish in zip(plan.beds, problem.beds, strict=True):
        is_late = bed.served_m3 > 0.0 and played.given_week.get(bed.key) != bed.due_week
        if is_late or bed.served_m3 > wish.compost_m3 + _TINY or bed.key != wish.key:
            broken.append(Broken(Rule.BEDS, bed.due_week, bed.key))
    if abs(played.made_m3 - plan.made_m3) > _TINY:
        broken.append(Broken(Rule.MADE, problem.weeks, "plan"))
    return broken


def _form(batch: PlannedBatch, problem: RotationProblem) -> list[Broken]:
    broken = []
    first, last = batch.stays[0], batch.stays[-1]
    numbers = {one.key: n for n, one in enumerate(problem.bins)}
    if batch.is_standing:
        there = {heap.key: heap for heap in problem.standing}.get(batch.key)
        as_now = there is not None and (first.stage, first.bin_key, first.start_week) == (
            there.stage,
            there.bin_key,
            0,
        )
        if not as_now:
            broken.append(Broken(Rule.FORM, 0, batch.key))
    else:
        built = problem.bins[numbers[first.bin_key]]
        if built.volume_m3 < problem.form.least_build_m3 or Stage.FIRST not in built.stages:
            broken.append(Broken(Rule.SIZE, first.start_week, batch.key))
        if first.stage != Stage.FIRST or not 0 <= first.start_week < problem.weeks:
            broken.append(Broken(Rule.FORM, first.start_week, batch.key))
    for before, after in zip(batch.stays, batch.stays[1:], strict=False):
        if before.end_week != after.start_week or after.stage != before.stage + 1:
            broken.append(Broken(Rule.FORM, after.start_week, batch.key))
        if numbers[after.bin_key] < numbers[before.bin_key]:
            broken.append(Broken(Rule.ROW, after.start_week, batch.key))
        to = problem.bins[numbers[after.bin_key]]
        fits = _volume(batch, problem, after.stage) <= to.volume_m3 + _TINY
        if after.stage not in to.stages or not (fits or after.bin_key == before.bin_key):
            broken.append(Broken(Rule.FITS, after.start_week, batch.key))
    if last.end_week is not None and (last.stage != Stage.CURE or last.end_week >= problem.weeks):
        broken.append(Broken(Rule.FORM, last.end_week, batch.key))
    return broken


def _regular_work(plan: RotationPlan, problem: RotationProblem) -> list[Broken]:
    """Return the weeks in which jobs and regular stirring together are too much."""
    rates, broken = problem.work, []
    for week, cap in enumerate(problem.work_loads):
        if cap <= 0.0:
            continue
        loads = 0.0
        for batch in plan.batches:
            for place, stay in enumerate(batch.stays):
                until = problem.weeks if stay.end_week is None else stay.end_week
                volume = _volume(batch, problem, stay.stage) / rates.barrow_m3
                if stay.start_week <= week < until:
                    loads += volume * rates.stir * rates.stirs_a_week[stay.stage]
                if stay.start_week == week and place > 0:
                    is_still = batch.stays[place - 1].bin_key == stay.bin_key
                    loads += volume * (rates.stir if is_still else rates.move)
                elif stay.start_week == week and not batch.is_standing:
                    loads += volume * rates.build
            if batch.stays[-1].end_week == week:
                loads += batch.yield_m3.likely / rates.barrow_m3 * rates.harvest
        if loads > cap + _TINY:
            broken.append(Broken(Rule.WORK, week, "plan"))
    return broken


def _volume(batch: PlannedBatch, problem: RotationProblem, stage: int) -> float:
    if batch.is_standing:
        return next(heap.volume_m3 for heap in problem.standing if heap.key == batch.key)
    built = next(one for one in problem.bins if one.key == batch.stays[0].bin_key)
    return built.volume_m3 * problem.form.volume_share[stage]
