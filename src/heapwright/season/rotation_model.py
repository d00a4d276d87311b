"""Heaps that pass through bins, as a program for CP-SAT: variables and the rules of the row.

Knows nothing of what limits builds (rotation_limits), of what is wished for (rotation_worth) nor of
how it is solved. The equations stand in docs/rotation.md. OR-Tools is imported when a program is
made, not with this file.

Each heap has four events: it is built, moved or stirred twice, harvested. An event has a week, and
happens within the horizon or not; a one-hot row of weeks stands beside each, because sums over such
rows make the bound tight: what must have been built by when, how many heaps stand at once.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from heapwright.season.rotation_numbers import HeapKind, RotationNumbers
from heapwright.season.rotation_types import STAGES, Stage

BUILT, HARVESTED = 0, STAGES


@dataclass
class Slot:
    """A heap in the program: one that stands, or one that may be built.

    Attributes
    ----------
    first : int
        The stage it begins with.
    kinds : tuple of HeapKind
        What it may be; one for a standing heap.
    is_standing : bool
        Whether it stands when the plan begins.
    week : dict of event to variable
        Week of the event, or the horizon when it does not happen.
    happens : dict of event to literal
    happens_as : dict of (event, kind) to literal
    in_week : dict of (event, week) to literal
    built_as : dict of (kind, week) to literal
    in_bin : dict of (stage, bin) to literal
    stays : dict of event to literal
        Whether a stage begins by stirring in place.
    shut : set of (stage, bin)
        Where it can never be.
    jobs : list of (int, literal, variable)
        Every job it may need: hundredths of a load, whether it is done, its week.

    """

    name: str
    first: int
    kinds: tuple[HeapKind, ...]
    is_standing: bool
    week: dict[int, Any] = field(default_factory=dict)
    happens: dict[int, Any] = field(default_factory=dict)
    happens_as: dict[tuple[int, int], Any] = field(default_factory=dict)
    in_week: dict[tuple[int, int], Any] = field(default_factory=dict)
    built_as: dict[tuple[int, int], Any] = field(default_factory=dict)
    in_bin: dict[tuple[int, int], Any] = field(default_factory=dict)
    stays: dict[int, Any] = field(default_factory=dict)
    shut: set[tuple[int, int]] = field(default_factory=set)
    jobs: list[tuple[int, Any, Any]] = field(default_factory=list)

    @property
    def stages(self) -> range:
        """Every stage it may be in."""
        return range(self.first, STAGES)

    @property
    def events(self) -> range:
        """Every event still ahead of it."""
        return range(self.first + 1 if self.is_standing else BUILT, HARVESTED + 1)


@dataclass
class RotationModel:
    """The program with what is needed to read its answer."""

    program: Any
    numbers: RotationNumbers
    standing: list[Slot]
    new: list[Slot]
    served: list[Any] = field(default_factory=list)

    @property
    def slots(self) -> list[Slot]:
        """Standing heaps first."""
        return [*self.standing, *self.new]


def model_of_heaps(numbers: RotationNumbers) -> RotationModel:
    """Return the program with heaps in bins, without what limits builds and what is wished for."""
    from ortools.sat.python import cp_model

    program = cp_model.CpModel()
    builds = numbers.problem.most_builds if numbers.kinds else 0
    model = RotationModel(program, numbers, [], [])
    for number, kind in enumerate(numbers.standing):
        heap = numbers.problem.standing[number]
        model.standing.append(_standing_slot(model, f"s{number}", kind, heap.stage))
    for number in range(builds):
        model.new.append(_new_slot(model, f"n{number}"))
    for slot in model.slots:
        _hold_order(model, slot)
        _hold_bins_down_the_row(model, slot)
    _hold_lengths(model)
    _hold_one_heap_a_bin(model)
    _order_builds(model)
    return model


def _standing_slot(model: RotationModel, name: str, kind: HeapKind, stage: Stage) -> Slot:
    slot = Slot(name, int(stage), (kind,), is_standing=True)
    program = model.program
    for one in range(model.numbers.bins):
        slot.in_bin[slot.first, one] = program.new_constant(int(one == kind.built_in[0]))
    slot.week[slot.first] = program.new_constant(0)
    slot.happens[slot.first] = program.new_constant(1)
    for event in slot.events:
        _add_event(model, slot, event)
        slot.happens_as[event, 0] = slot.happens[event]
    slot.happens_as[slot.first, 0] = slot.happens[slot.first]
    _add_bins(model, slot, [stage for stage in slot.stages if stage > slot.first])
    return slot


def _new_slot(model: RotationModel, name: str) -> Slot:
    slot = Slot(name, Stage.FIRST, model.numbers.kinds, is_standing=False)
    program, numbers = model.program, model.numbers
    kinds = range(len(slot.kinds))
    for event in range(BUILT, HARVESTED + 1):
        for kind in kinds:
            slot.happens_as[event, kind] = program.new_bool_var(f"{name}_as{kind}_{event}")
    for event in slot.events:
        _add_event(model, slot, event)
        program.add(sum(slot.happens_as[event, kind] for kind in kinds) == slot.happens[event])
        if event > BUILT:
            for kind in kinds:
                program.add_implication(
                    slot.happens_as[event, kind], slot.happens_as[event - 1, kind]
                )
    for week in numbers.work_weeks:
        for kind in kinds:
            slot.built_as[kind, week] = program.new_bool_var(f"{name}_k{kind}w{week}")
        program.add(sum(slot.built_as[kind, week] for kind in kinds) == slot.in_week[BUILT, week])
    for kind in kinds:
        program.add(
            sum(slot.built_as[kind, week] for week in numbers.work_weeks)
            == slot.happens_as[BUILT, kind]
        )
    _add_bins(model, slot, list(slot.stages))
    for kind in kinds:
        program.add(
            sum(slot.in_bin[Stage.FIRST, one] for one in slot.kinds[kind].built_in)
            == slot.happens_as[BUILT, kind]
        )
    return slot


def _add_event(model: RotationModel, slot: Slot, event: int) -> None:
    program, weeks = model.program, model.numbers.weeks
    name = f"{slot.name}_e{event}"
    slot.happens[event] = program.new_bool_var(name)
    slot.week[event] = program.new_int_var(0, weeks, f"{name}_week")
    row = []
    for week in model.numbers.work_weeks:
        slot.in_week[event, week] = program.new_bool_var(f"{name}_w{week}")
        row.append((week, slot.in_week[event, week]))
    program.add(sum(literal for _, literal in row) == slot.happens[event])
    program.add(
        slot.week[event]
        == sum(week * literal for week, literal in row) + weeks * (1 - slot.happens[event])
    )


def _add_bins(model: RotationModel, slot: Slot, stages: list[int]) -> None:
    program, numbers = model.program, model.numbers
    for stage in stages:
        for one in range(numbers.bins):
            may = [numbers.may_stand(kind, stage, one) for kind in slot.kinds]
            if stage == BUILT:
                may = [one in kind.built_in for kind in slot.kinds]
            if not any(may):
                slot.in_bin[stage, one] = program.new_constant(0)
                slot.shut.add((stage, one))
                continue
            slot.in_bin[stage, one] = program.new_bool_var(f"{slot.name}_s{stage}b{one}")
            for kind, fits in enumerate(may):
                if not fits and stage > BUILT:
                    program.add_at_most_one(slot.in_bin[stage, one], slot.happens_as[stage, kind])
        program.add(
            sum(slot.in_bin[stage, one] for one in range(numbers.bins)) == slot.happens[stage]
        )


def _hold_order(model: RotationModel, slot: Slot) -> None:
    for event in slot.events:
        if event - 1 in slot.happens:
            model.program.add_implication(slot.happens[event], slot.happens[event - 1])


def _hold_bins_down_the_row(model: RotationModel, slot: Slot) -> None:
    program, bins = model.program, range(model.numbers.bins)
    for stage in slot.stages:
        if stage == slot.first:
            continue
        for last in bins:
            program.add(
                sum(slot.in_bin[stage, one] for one in bins if one <= last)
                <= sum(slot.in_bin[stage - 1, one] for one in bins if one <= last)
            )
        stays = program.new_bool_var(f"{slot.name}_stays{stage}")
        slot.stays[stage] = stays
        program.add_implication(stays, slot.happens[stage])
        for one in bins:
            before, now = slot.in_bin[stage - 1, one], slot.in_bin[stage, one]
            program.add(before + now <= 1 + stays)
            program.add(before - now + stays <= 1)


def _hold_lengths(model: RotationModel) -> None:
    numbers, problem = model.numbers, model.numbers.problem
    extra = problem.form.stay_extra_weeks
    for number, slot in enumerate(model.slots):
        for stage in slot.stages:
            if slot.is_standing:
                heap = problem.standing[number]
                length = (heap.weeks_left, *heap.later_weeks)[stage - slot.first]
            else:
                length = sum(
                    problem.stage_weeks[stage][week] * slot.in_week[BUILT, week]
                    for week in numbers.work_weeks
                )
            if stage in slot.stays:
                length = length + extra[stage] * slot.stays[stage]
            model.program.add(slot.week[stage + 1] >= slot.week[stage] + length).only_enforce_if(
                slot.happens[stage + 1]
            )
            model.program.add(slot.week[stage + 1] >= slot.week[stage])


def _hold_one_heap_a_bin(model: RotationModel) -> None:
    program, numbers = model.program, model.numbers
    for one in range(numbers.bins):
        stays = []
        for slot in model.slots:
            for stage in slot.stages:
                length = program.new_int_var(0, numbers.weeks, f"{slot.name}_l{stage}b{one}")
                stays.append(
                    program.new_optional_interval_var(
                        slot.week[stage],
                        length,
                        slot.week[stage + 1],
                        slot.in_bin[stage, one],
                        f"{slot.name}_i{stage}b{one}",
                    )
                )
        program.add_no_overlap(stays)


def _order_builds(model: RotationModel) -> None:
    # Heaps that are not built yet are alike; by order of building, then of the row, each set of
    # them is in the program once.
    bins = model.numbers.bins
    for before, after in zip(model.new, model.new[1:], strict=False):
        model.program.add_implication(after.happens[BUILT], before.happens[BUILT])
        model.program.add(before.week[BUILT] <= after.week[BUILT])
        place = [
            bins * slot.week[BUILT] + sum(n * slot.in_bin[BUILT, n] for n in range(bins))
            for slot in (before, after)
        ]
        model.program.add(place[0] + 1 <= place[1]).only_enforce_if(after.happens[BUILT])
