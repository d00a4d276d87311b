"""What a plan is worth: the objective in the program, and the same counted from a finished plan.

Knows the weights. Both counts are in whole hundredths of a litre of compost for a bed of weight 1,
and agree to the last of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from heapwright.season.rotation_model import HARVESTED, RotationModel, Slot
from heapwright.season.rotation_numbers import LITRES, HeapKind, RotationNumbers, down
from heapwright.season.rotation_plan import BedServed, Job, JobKind, PlannedBatch
from heapwright.season.rotation_types import RotationProblem, Stage
from heapwright.season.rotation_weights import RotationWeights

HUNDREDTHS = 100


def add_worth(
    model: RotationModel, weights: RotationWeights, earlier: Sequence[Job], bound: int | None
) -> None:
    """Let the program seek the plan of most worth, which is surely not above a bound."""
    worth = _served(model) + _made(model, weights) - _work(model, weights)
    worth = worth + _kept(model, weights, earlier)
    if bound is not None:
        model.program.add(worth <= bound)
    model.program.maximize(worth)


def _served(model: RotationModel) -> Any:
    program, numbers = model.program, model.numbers
    beds = numbers.problem.beds
    served = [
        program.new_int_var(0, wished, f"bed{n}") for n, wished in enumerate(numbers.wished_l)
    ]
    model.served = served
    for due in sorted({bed.due_week for bed in beds if 0 <= bed.due_week < numbers.weeks}):
        there: Any = numbers.compost_l
        for slot in model.slots:
            there = there + _harvested_by(model, slot, due)
        asked = [served[n] for n, bed in enumerate(beds) if bed.due_week <= due]
        program.add(sum(asked) <= there)
    return sum(round(HUNDREDTHS * bed.weight) * served[number] for number, bed in enumerate(beds))


def _harvested_by(model: RotationModel, slot: Slot, due: int) -> Any:
    by_then = sum(slot.in_week[HARVESTED, week] for week in model.numbers.work_weeks if week <= due)
    if len(slot.kinds) == 1:
        return slot.kinds[0].sure_l * by_then
    parts = []
    for number in range(len(slot.kinds)):
        part = model.program.new_bool_var(f"{slot.name}_by{due}k{number}")
        model.program.add_implication(part, slot.happens_as[HARVESTED, number])
        parts.append(part)
    model.program.add(sum(parts) <= by_then)
    return sum(kind.sure_l * part for kind, part in zip(slot.kinds, parts, strict=True))


def _made(model: RotationModel, weights: RotationWeights) -> Any:
    worth: Any = 0
    for slot in model.slots:
        for number, kind in enumerate(slot.kinds):
            before = 0
            for event in range(slot.first, HARVESTED + 1):
                now = worth_of_state(weights, kind, event)
                worth = worth + (now - before) * slot.happens_as[event, number]
                before = now
        weeks_before_end = model.numbers.weeks - slot.week[HARVESTED]
        worth = worth + round(HUNDREDTHS * weights.earlier_l) * weeks_before_end
    return worth


def worth_of_state(weights: RotationWeights, kind: HeapKind, state: int) -> int:
    """Return what a heap is worth by the stage it is left in. [hundredths of a litre]"""
    share = 1.0 if state == HARVESTED else weights.left_shares[state]
    return round(HUNDREDTHS * weights.made_l * share * kind.sure_l)


def _work(model: RotationModel, weights: RotationWeights) -> Any:
    return sum(
        job_price(weights, loads) * literal
        for slot in model.slots
        for loads, literal, _ in slot.jobs
    )


def job_price(weights: RotationWeights, hundredth_loads: int) -> int:
    """Return what a job's work takes off. [hundredths of a litre]"""
    # Hundredths of a load times litres a load are hundredths of a litre.
    return round(weights.load_l * hundredth_loads)


def _kept(model: RotationModel, weights: RotationWeights, earlier: Sequence[Job]) -> Any:
    # Minus the price of every earlier job, plus it again for each that is kept: which heap of the
    # new plan the job is done to does not matter, as nobody has built it yet.
    kept: Any = 0
    for job in earlier:
        price = round(HUNDREDTHS * weights.change_at(job.week))
        same = [
            _all(model, literals)
            for slot in model.slots
            for literals in _literals_of(model, slot, job)
        ]
        if same:
            is_kept = model.program.new_bool_var("")
            model.program.add(sum(same) >= 1).only_enforce_if(is_kept)
            kept = kept + price * is_kept
        kept = kept - price
    return kept


def _literals_of(model: RotationModel, slot: Slot, job: Job) -> Iterable[list[Any]]:
    number = model.numbers.problem.bin_numbers
    if job.bin_key not in number or (job.to_bin_key or job.bin_key) not in number:
        return
    here, there = number[job.bin_key], number[job.to_bin_key or job.bin_key]
    for event in slot.events:
        if (event, job.week) not in slot.in_week:
            continue
        when = slot.in_week[event, job.week]
        if job.kind is JobKind.BUILD and event == 0:
            yield [when, slot.in_bin[0, here]]
        elif job.kind is JobKind.HARVEST and event == HARVESTED:
            yield [when, slot.in_bin[Stage.CURE, here]]
        elif job.kind in (JobKind.MOVE, JobKind.STIR) and 0 < event < HARVESTED:
            yield [when, slot.in_bin[event - 1, here], slot.in_bin[event, there]]


def _all(model: RotationModel, literals: list[Any]) -> Any:
    every = model.program.new_bool_var("")
    model.program.add_bool_and(literals).only_enforce_if(every)
    return every


def share_out(problem: RotationProblem, batches: Iterable[PlannedBatch]) -> tuple[BedServed, ...]:
    """Return what each bed gets in time of what is sure to be there.

    Beds of more weight first, each as much as leaves every bed served before it served. What can
    be given by nested dates is a polymatroid, on which this greedy way is the best there is
    (Edmonds 1970, from memory).
    """
    numbers = RotationNumbers(problem)
    return tuple(
        BedServed(
            bed.key, bed.name, bed.due_week, bed.compost_m3, min(bed.compost_m3, litres / LITRES)
        )
        for bed, litres in zip(problem.beds, _shares(numbers, batches), strict=True)
    )


def _shares(numbers: RotationNumbers, batches: Iterable[PlannedBatch]) -> list[int]:
    beds = numbers.problem.beds
    left = [numbers.compost_l] * numbers.weeks
    for batch in batches:
        if batch.harvest_week is not None:
            for week in range(batch.harvest_week, numbers.weeks):
                left[week] += down(batch.yield_m3.sure * LITRES)
    given = [0] * len(beds)
    for number in sorted(range(len(beds)), key=lambda n: (-beds[n].weight, beds[n].due_week)):
        due = beds[number].due_week
        if numbers.wished_l[number] == 0:
            continue
        given[number] = max(0, min(numbers.wished_l[number], min(left[due:])))
        left[due:] = [litres - given[number] for litres in left[due:]]
    return given


def worth_of(
    numbers: RotationNumbers,
    weights: RotationWeights,
    batches: Sequence[PlannedBatch],
    jobs: Sequence[Job],
    earlier: Sequence[Job],
) -> int:
    """Return what a plan is worth, counted from its batches and jobs. [hundredths of a litre]"""
    beds = numbers.problem.beds
    shares = _shares(numbers, batches)
    worth = sum(round(HUNDREDTHS * bed.weight) * n for bed, n in zip(beds, shares, strict=True))
    for batch in batches:
        state = HARVESTED if batch.harvest_week is not None else int(batch.stays[-1].stage)
        worth += worth_of_state(weights, kind_of(numbers, batch), state)
        if batch.harvest_week is not None:
            ahead = numbers.weeks - batch.harvest_week
            worth += round(HUNDREDTHS * weights.earlier_l) * ahead
    stages = {batch.key: {s.start_week: s.stage for s in batch.stays} for batch in batches}
    kinds = {batch.key: kind_of(numbers, batch) for batch in batches}
    for job in jobs:
        stage = stages[job.batch_key].get(job.week, Stage.CURE)
        worth -= job_price(weights, numbers.loads(kinds[job.batch_key], job.kind, stage))
    there = {(job.week, job.kind, job.bin_key, job.to_bin_key) for job in jobs}
    for job in earlier:
        if (job.week, job.kind, job.bin_key, job.to_bin_key) not in there:
            worth -= round(HUNDREDTHS * weights.change_at(job.week))
    return worth


def kind_of(numbers: RotationNumbers, batch: PlannedBatch) -> HeapKind:
    """Return what a batch takes and gives in whole numbers."""
    problem = numbers.problem
    if batch.is_standing:
        keys = [heap.key for heap in problem.standing]
        return numbers.standing[keys.index(batch.key)]
    built = problem.bin_numbers[batch.stays[0].bin_key]
    return next(kind for kind in numbers.kinds if built in kind.built_in)
