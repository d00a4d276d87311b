"""Answers how the year goes: whether there is compost when the beds need it, and what to do when.

Knows how the parts come together: what is planned from, the plan, the plan before, the words.
Knows no solver, no heap model and no file but by their own rooms.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

from heapwright.season.rotation_chances import Chances
from heapwright.season.rotation_keys import weeks_later
from heapwright.season.rotation_plan import PlannedBatch, RotationPlan
from heapwright.season.rotation_reasons import cannot
from heapwright.season.rotation_solve import plan_rotation
from heapwright.workshop import year_kept, year_words
from heapwright.workshop.beds import today_in
from heapwright.workshop.garden import Garden
from heapwright.workshop.year_answer import YearAnswer, YearBatch, YearBed, YearCurves
from heapwright.workshop.year_chances import year_chances
from heapwright.workshop.year_changes import changes
from heapwright.workshop.year_jobs import words_of, year_jobs
from heapwright.workshop.year_kept import KeptJob, KeptPlan
from heapwright.workshop.year_problem import YearInputs, free_days, year_inputs
from heapwright.workshop.year_share import shared_by_rule
from heapwright.workshop.year_wishes import loads_per_week

#: The solver stops then; a plan for three bins is proved long before.
SECONDS = 8.0
_A_WEEK = timedelta(weeks=1)
#: A heap built so far off the planned day is taken for another one.
_FARTHEST_DAYS = 28


def year(garden: Garden) -> YearAnswer:
    """Return how the year goes, planned anew only when something it rests on is otherwise.

    Parameters
    ----------
    garden : Garden

    Raises
    ------
    NotFound
        If there is no bin yet.
    HeapwrightError
        If a heap of this garden cannot be modelled, or the weather is no whole year.

    """
    inputs = year_inputs(garden)
    mark = _mark(inputs)
    state = garden.state()
    # What is said of the plan besides: what it lacks, and the numbers of the heaps to come.
    said = (state.year.has_wishes, bool(state.year.arrivals_in_use), len(state.batches))
    key = ("year", mark, today_in(garden), said, repr(sorted(inputs.arrival_spread.items())))
    return garden.remembered(key, lambda: _answer(garden, inputs, mark))


def _mark(inputs: YearInputs) -> str:
    told = repr((inputs.problem, inputs.work_days, inputs.away, inputs.rounds))
    return hashlib.sha256(told.encode()).hexdigest()


def _answer(garden: Garden, inputs: YearInputs, mark: str) -> YearAnswer:
    kept = year_kept.read(garden.path)
    if kept is not None and kept.inputs == mark:
        return _told(garden, inputs, kept, kept.jobs)
    fresh = _planned(garden, inputs, kept, mark)
    answer = _told(garden, inputs, fresh, {} if kept is None else kept.jobs)
    standing = {one.key for one in answer.problem.standing}
    jobs = {
        one.id: KeptJob(
            one.day,
            words_of((one.told, *one.amounts)),
            one.revision,
            one.kind.value,
            one.batch_name if one.batch_key in standing else "",
            one.bin_key,
            one.to_bin_key or "",
        )
        for one in answer.jobs
    }
    year_kept.write(garden.path, replace(fresh, jobs=jobs))
    return answer


def _planned(garden: Garden, inputs: YearInputs, kept: KeptPlan | None, mark: str) -> KeptPlan:
    """Return a plan made anew, from the one before where there is one."""
    problem = inputs.problem
    if kept is None:
        plan, planned_as, number = plan_rotation(problem, seconds=SECONDS), {}, 0
        known: frozenset[str] = frozenset()
    else:
        planned_as = _planned_as(garden, inputs, kept)
        stands_as = {planned: key for key, planned in planned_as.items()}
        weeks = (problem.first_day - kept.first_day) // _A_WEEK
        earlier = weeks_later(kept.plan, weeks, stands_as)
        plan = plan_rotation(problem, earlier=earlier, seconds=SECONDS)
        known, number = frozenset(one.key for one in earlier.batches), kept.number
    batches = []
    for batch in plan.batches:
        if not batch.is_standing and batch.key not in known:
            number += 1
            batch = replace(batch, key=f"year-{number}")
        batches.append(batch)
    plan = shared_by_rule(inputs, replace(plan, batches=tuple(batches)))
    return KeptPlan(mark, problem.first_day, plan, planned_as, {}, number)


def _planned_as(garden: Garden, inputs: YearInputs, kept: KeptPlan) -> dict[str, str]:
    """Return under which key each standing heap was planned, those built since then by their day.

    A heap in the bin that was planned for it comes before one elsewhere, then the nearest day.
    """
    batches = garden.state().batches
    standing = {one.key: one for one in inputs.problem.standing}
    found = {key: planned for key, planned in kept.planned_as.items() if key in standing}
    before = {one.key for one in kept.plan.batches}
    pairs = []
    for key, heap in standing.items():
        if key in found or key in before:
            continue
        built = batches[key].built_at.date()
        for one in kept.plan.batches:
            if one.is_standing or one.key in found.values() or one.build_week is None:
                continue
            planned = kept.first_day + one.build_week * _A_WEEK
            off = abs((built - planned).days)
            if off <= _FARTHEST_DAYS:
                pairs.append((one.stays[0].bin_key != heap.bin_key, off, key, one.key))
    for _, _, key, planned_key in sorted(pairs):
        if key not in found and planned_key not in found.values():
            found[key] = planned_key
    return found


def _told(
    garden: Garden, inputs: YearInputs, kept: KeptPlan, known: Mapping[str, KeptJob]
) -> YearAnswer:
    """Return the answer to a plan: days, words, chances, reasons."""
    problem, plan = inputs.problem, kept.plan
    year_state = garden.state().year
    found = year_chances(inputs, plan)
    names = _names(garden, plan)
    free = free_days(garden, problem.first_day)
    jobs = year_jobs(plan, problem, free, names, known, kept.planned_as, inputs.gather_weeks)
    beds = _beds(inputs, plan, found)
    return YearAnswer(
        problem=problem,
        plan=plan,
        work_days=inputs.work_days,
        away=inputs.away,
        headline=year_words.headline(plan, beds, sum(not one.is_standing for one in plan.batches)),
        proof=year_words.proof(plan),
        batches=_batches(inputs, plan, names, found),
        jobs=jobs,
        beds=beds,
        curves=_curves(inputs, plan),
        cannot=tuple(cannot(problem, _due(inputs))),
        changes=changes(known, jobs, problem, kept.planned_as, today_in(garden)),
        lacking=year_words.lacking(
            problem,
            has_wishes=year_state.has_wishes,
            has_arrivals=bool(year_state.arrivals_in_use),
            loads=loads_per_week(garden),
        ),
        basis=(*inputs.stages.notes, *year_words.basis(inputs.problem, year_state.wishes)),
    )


def _due(inputs: YearInputs) -> dict[str, date]:
    return {bed.key: one.due for bed, one in zip(inputs.problem.beds, inputs.rounds, strict=True)}


def _names(garden: Garden, plan: RotationPlan) -> dict[str, str]:
    """Return what each heap is called: standing ones by name, planned ones by their number."""
    number = len(garden.state().batches)
    names = {}
    for batch in plan.batches:
        if batch.is_standing:
            names[batch.key] = batch.name
        else:
            number += 1
            names[batch.key] = year_words.heap_name(number)
    return names


def _beds(inputs: YearInputs, plan: RotationPlan, found: Chances) -> tuple[YearBed, ...]:
    chance_of = {one.key: one for one in found.beds}
    beds = []
    for served, wanted in zip(plan.beds, inputs.rounds, strict=True):
        due = wanted.due
        chance = chance_of.get(served.key)
        three = None if chance is None else (chance.chance, chance.low, chance.high)
        beds.append(
            YearBed(
                key=served.key.rsplit("-", 1)[0],
                name=served.name,
                due=due,
                wished_m3=served.wished_m3,
                served_m3=served.served_m3,
                chance=None if three is None else three[0],
                chance_low=None if three is None else three[1],
                chance_high=None if three is None else three[2],
                told=year_words.bed_told(served.wished_m3, served.served_m3, due, three),
            )
        )
    return tuple(beds)


def _batches(
    inputs: YearInputs, plan: RotationPlan, names: Mapping[str, str], found: Chances
) -> tuple[YearBatch, ...]:
    problem = inputs.problem
    harvest_of = {one.key: one for one in found.batches}

    def day(week: int | None) -> date | None:
        return None if week is None else problem.day_of(week)

    batches = []
    for number, batch in enumerate(plan.batches, start=1):
        spread = harvest_of.get(batch.key)
        low = None if spread is None else day(spread.low_week)
        high = None if spread is None else day(spread.high_week)
        built = day(batch.build_week)
        batches.append(
            YearBatch(
                key=batch.key,
                name=names[batch.key],
                number=number,
                is_standing=batch.is_standing,
                built=built,
                ready=day(batch.harvest_week),
                ready_low=low,
                ready_high=high,
                yield_m3=batch.yield_m3,
                told=year_words.batch_told(batch, built, low, high),
            )
        )
    return tuple(batches)


def _curves(inputs: YearInputs, plan: RotationPlan) -> YearCurves:
    problem = inputs.problem
    weeks = range(problem.weeks + 1)
    made = [
        (batch.harvest_week, batch.yield_m3)
        for batch in plan.batches
        if batch.harvest_week is not None
    ]
    store = problem.compost_on_hand_m3

    def there(which: str) -> tuple[float, ...]:
        return tuple(
            store + sum(getattr(amount, which) for when, amount in made if when < week)
            for week in weeks
        )

    wanted = tuple(
        sum(bed.compost_m3 for bed in problem.beds if bed.due_week < week) for week in weeks
    )
    return YearCurves(there("sure"), there("likely"), there("high"), wanted)


def planned_batch(answer: YearAnswer, key: str) -> PlannedBatch | None:
    """Return a heap of the plan by its key."""
    return next((one for one in answer.plan.batches if one.key == key), None)
