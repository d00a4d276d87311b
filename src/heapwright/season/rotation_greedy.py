"""A year's plan by simple rules: harvest what is ready, move what is due, fill what is empty.

Knows the rules a person would go by, a few ways of them, and takes the one worth most. Proves
nothing; it is the solver's first hint, and the plan where there is no solver.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from heapwright.season.rotation_numbers import HeapKind, RotationNumbers
from heapwright.season.rotation_plan import Job, JobKind, PlannedBatch, Proof, RotationPlan, Stay
from heapwright.season.rotation_plan import jobs_of as jobs_of_plan
from heapwright.season.rotation_types import STAGES, RotationProblem, Stage
from heapwright.season.rotation_weights import RotationWeights
from heapwright.season.rotation_worth import HUNDREDTHS, share_out, worth_of


@dataclass(frozen=True, slots=True)
class Manner:
    """A way of going by the rules.

    Attributes
    ----------
    moves : bool
        Whether a heap goes on to the next empty bin, or is stirred where it stands.
    weeks_between : int
        Least weeks between two builds.

    """

    moves: bool
    weeks_between: int


MANNERS = tuple(Manner(moves, between) for moves in (True, False) for between in (0, 1, 2, 4))


@dataclass
class _Heap:
    number: int  # of the standing heap, or of the build
    is_standing: bool
    kind: HeapKind
    stage: int
    weeks: tuple[int, ...]  # of each stage; of a standing heap from its present one on
    first: int
    started: int
    bin: int
    stays: list[Stay] = field(default_factory=list)
    extra: int = 0

    @property
    def is_over_in(self) -> int:
        return self.started + self.weeks[self.stage - self.first] + self.extra


class _Year:
    """One walk through the weeks."""

    def __init__(self, numbers: RotationNumbers, manner: Manner) -> None:
        self.numbers, self.manner = numbers, manner
        self.in_bin: list[_Heap | None] = [None] * numbers.bins
        self.done: list[_Heap] = []
        self.builds = 0
        self.last_build = -99
        self.spare = 0
        # Litres still there of each class, by the last week they can be used in.
        self.there: list[dict[int, int]] = [{} for _ in numbers.problem.stuff]
        for number, heap in enumerate(numbers.problem.standing):
            kind = numbers.standing[number]
            weeks = (heap.weeks_left, *heap.later_weeks)
            here = kind.built_in[0]
            self.in_bin[here] = _Heap(number, True, kind, heap.stage, weeks, heap.stage, 0, here)

    def walk(self) -> None:
        for week in range(self.numbers.weeks):
            self._stuff_comes(week)
            if self.numbers.caps[week] <= 0:
                continue
            standing = [heap for heap in self.in_bin if heap is not None]
            stirring = sum(self.numbers.stirring(heap.kind, heap.stage) for heap in standing)
            self.spare = self.numbers.caps[week] - stirring
            for here in reversed(range(self.numbers.bins)):
                heap = self.in_bin[here]
                if heap is not None and heap.is_over_in <= week:
                    self._go_on(heap, week)
            for kind in self.numbers.kinds:
                for here in kind.built_in:
                    if self.in_bin[here] is None:
                        self._build(kind, here, week)

    def _stuff_comes(self, week: int) -> None:
        for lots, stuff in zip(self.there, self.numbers.problem.stuff, strict=True):
            if week == 0:
                for litres, last in self.numbers.on_hand_l(stuff):
                    lots[last] = lots.get(last, 0) + litres
            last = week + stuff.keeps_weeks
            lots[last] = lots.get(last, 0) + self.numbers.arriving_l(stuff, week)
            for old in [old for old in lots if old < week]:
                del lots[old]

    def _go_on(self, heap: _Heap, week: int) -> None:
        numbers = self.numbers
        if heap.stage == Stage.CURE:
            if self._has_time(numbers.loads(heap.kind, JobKind.HARVEST, heap.stage)):
                heap.stays.append(self._stay(heap, week))
                self.done.append(heap)
                self.in_bin[heap.bin] = None
                self.spare += numbers.stirring(heap.kind, heap.stage)
            return
        stage = heap.stage + 1
        free = [
            one
            for one in range(heap.bin + 1, numbers.bins)
            if self.in_bin[one] is None and numbers.may_stand(heap.kind, stage, one)
        ]
        to = heap.bin
        stays = Stage(stage) in numbers.problem.bins[heap.bin].stages
        if free and (self.manner.moves or not stays):
            to = free[0] if stage == Stage.MIDDLE else free[-1]
        elif not stays:
            return
        job = JobKind.STIR if to == heap.bin else JobKind.MOVE
        more = numbers.stirring(heap.kind, stage) - numbers.stirring(heap.kind, heap.stage)
        if self._has_time(numbers.loads(heap.kind, job, stage), more):
            heap.stays.append(self._stay(heap, week))
            self.in_bin[heap.bin] = None
            self.in_bin[to] = heap
            heap.stage, heap.started, heap.bin = stage, week, to
            still = job is JobKind.STIR
            heap.extra = numbers.problem.form.stay_extra_weeks[stage] if still else 0

    def _build(self, kind: HeapKind, here: int, week: int) -> None:
        numbers, problem = self.numbers, self.numbers.problem
        if self.builds >= problem.most_builds or self.last_build + self.manner.weeks_between > week:
            return
        needs = [numbers.need_l(stuff, kind, week) for stuff in problem.stuff]
        there = [sum(lots.values()) for lots in self.there]
        if any(need > litres for need, litres in zip(needs, there, strict=True)):
            return
        loads = numbers.loads(kind, JobKind.BUILD, Stage.FIRST)
        if not self._has_time(loads, numbers.stirring(kind, Stage.FIRST)):
            return
        for need, lots in zip(needs, self.there, strict=True):
            for last in sorted(lots):
                taken = min(need, lots[last])
                lots[last] -= taken
                need -= taken
        weeks = tuple(problem.stage_weeks[stage][week] for stage in range(STAGES))
        heap = _Heap(self.builds, False, kind, Stage.FIRST, weeks, Stage.FIRST, week, here)
        self.in_bin[here] = heap
        self.builds += 1
        self.last_build = week

    def _has_time(self, loads: int, stirring: int = 0) -> bool:
        if loads + max(0, stirring) > self.spare:
            return False
        self.spare -= loads + stirring
        return True

    def _stay(self, heap: _Heap, until: int | None) -> Stay:
        key = self.numbers.problem.bins[heap.bin].key
        return Stay(Stage(heap.stage), key, heap.started, until)

    def batches(self) -> tuple[PlannedBatch, ...]:
        for heap in self.in_bin:
            if heap is not None:
                heap.stays.append(self._stay(heap, None))
                self.done.append(heap)
        return tuple(
            self._batch(heap)
            for heap in sorted(self.done, key=lambda h: (not h.is_standing, h.number))
        )

    def _batch(self, heap: _Heap) -> PlannedBatch:
        problem = self.numbers.problem
        if heap.is_standing:
            one = problem.standing[heap.number]
            return PlannedBatch(one.key, one.name, tuple(heap.stays), True, one.yield_m3)
        return new_batch(problem, heap.number, tuple(heap.stays))


def new_batch(problem: RotationProblem, number: int, stays: tuple[Stay, ...]) -> PlannedBatch:
    """Return the plan's own heap of this number in the order of building."""
    volume = problem.bin_of(stays[0].bin_key).volume_m3
    name = str(number + 1)
    key = f"planned-{number + 1}"
    return PlannedBatch(key, name, stays, False, problem.form.yield_share.times(volume))


def plan_by_rule(
    numbers: RotationNumbers, weights: RotationWeights, earlier: Sequence[Job] = ()
) -> RotationPlan:
    """Return the best of the plans that the rules give in their few manners."""
    plans = []
    for manner in MANNERS:
        year = _Year(numbers, manner)
        year.walk()
        plans.append(plan_of(numbers, weights, year.batches(), earlier))
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
