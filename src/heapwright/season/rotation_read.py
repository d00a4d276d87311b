"""Carries plans into the program as hints, and reads the plan out of its answer.

Knows the program's variables. Knows nothing of solving.
"""

from __future__ import annotations

from typing import Any

from heapwright.season.rotation_model import BUILT, RotationModel, Slot
from heapwright.season.rotation_numbers import LITRES
from heapwright.season.rotation_plan import PlannedBatch, RotationPlan, Stay
from heapwright.season.rotation_types import Stage
from heapwright.season.rotation_walk import new_batch


def hint(model: RotationModel, plan: RotationPlan) -> None:
    """Let the search begin at a plan."""
    standing = {heap.key: n for n, heap in enumerate(model.numbers.problem.standing)}
    for batch in plan.batches:
        if batch.is_standing:
            _hint_heap(model, model.standing[standing[batch.key]], batch)
    bins = model.numbers.problem.bin_numbers
    built = sorted(
        (batch for batch in plan.batches if not batch.is_standing),
        key=lambda batch: (batch.build_week or 0, bins[batch.stays[0].bin_key]),
    )
    for slot, batch in zip(model.new, built, strict=False):
        _hint_heap(model, slot, batch)
    for slot in model.new[len(built) :]:
        _hint_heap(model, slot, None)
    if plan.beds:
        for served, bed in zip(model.served, plan.beds, strict=True):
            model.program.add_hint(served, round(LITRES * bed.served_m3))


def _hint_heap(model: RotationModel, slot: Slot, batch: PlannedBatch | None) -> None:
    program, weeks = model.program, model.numbers.weeks
    bins = model.numbers.problem.bin_numbers
    when: dict[int, int] = {}
    where: dict[int, int] = {}
    if batch is not None:
        for stay in batch.stays:
            when[int(stay.stage)] = stay.start_week
            where[int(stay.stage)] = bins[stay.bin_key]
        if batch.harvest_week is not None:
            when[Stage.CURE + 1] = batch.harvest_week
    for event in slot.events:
        program.add_hint(slot.week[event], when.get(event, weeks))
        program.add_hint(slot.happens[event], int(event in when))
        for week in model.numbers.work_weeks:
            program.add_hint(slot.in_week[event, week], int(when.get(event) == week))
    for (stage, one), literal in slot.in_bin.items():
        if stage in slot.events and (stage, one) not in slot.shut:
            program.add_hint(literal, int(where.get(stage) == one))
    if not slot.is_standing:
        for (event, number), literal in slot.happens_as.items():
            is_kind = BUILT in where and where[BUILT] in slot.kinds[number].built_in
            program.add_hint(literal, int(event in when and is_kind))
        for (number, week), literal in slot.built_as.items():
            is_kind = BUILT in where and where[BUILT] in slot.kinds[number].built_in
            program.add_hint(literal, int(when.get(BUILT) == week and is_kind))


def batches_of(model: RotationModel, solver: Any) -> tuple[PlannedBatch, ...]:
    """Return the heaps of an answer: those that stand, then those to be built in order."""
    problem = model.numbers.problem
    batches = [
        PlannedBatch(heap.key, heap.name, _stays(model, solver, slot), True, heap.yield_m3)
        for heap, slot in zip(problem.standing, model.standing, strict=True)
    ]
    built = [slot for slot in model.new if solver.boolean_value(slot.happens[BUILT])]
    for number, slot in enumerate(built):
        batches.append(new_batch(problem, number, _stays(model, solver, slot)))
    return tuple(batches)


def _stays(model: RotationModel, solver: Any, slot: Slot) -> tuple[Stay, ...]:
    bins, stays = model.numbers.problem.bins, []
    for stage in slot.stages:
        if not solver.boolean_value(slot.happens[stage]):
            break
        here = next(n for n in range(len(bins)) if solver.boolean_value(slot.in_bin[stage, n]))
        ends = solver.boolean_value(slot.happens[stage + 1])
        until = solver.value(slot.week[stage + 1]) if ends else None
        stays.append(Stay(Stage(stage), bins[here].key, solver.value(slot.week[stage]), until))
    return tuple(stays)
