"""Walks through a year by orders, doing each week what they and the rules of the row allow.

Knows how a job follows from an order and what it uses up. Judges nothing, and chooses no orders.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum

from heapwright.season.rotation_numbers import HeapKind, RotationNumbers
from heapwright.season.rotation_plan import JobKind, PlannedBatch, Stay
from heapwright.season.rotation_types import STAGES, RotationProblem, Stage


class Way(IntEnum):
    """Where a heap goes at the end of a stage; it stays where it is if no bin is free."""

    STAYS = 0
    NEAREST = 1
    FARTHEST = 2


@dataclass(frozen=True, slots=True)
class Orders:
    """What is done whenever it can be.

    Attributes
    ----------
    builds : tuple of (week, bin number), optional
        From when on to build where; whenever it can be done if not given.
    weeks_between : int
        Least weeks between two builds, where they are not given.
    usual : tuple of Way
        Into the middle stage, and into curing.
    ways : mapping of (is standing, number) to such a tuple
        For single heaps: the number of the standing heap, or of the build in `builds`.

    """

    builds: tuple[tuple[int, int], ...] | None = None
    weeks_between: int = 0
    usual: tuple[Way, Way] = (Way.NEAREST, Way.FARTHEST)
    ways: Mapping[tuple[bool, int], tuple[Way, Way]] = field(default_factory=dict)


@dataclass
class WalkedHeap:
    """A heap on its way."""

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
    ways: tuple[Way, Way] = (Way.NEAREST, Way.FARTHEST)

    @property
    def is_over_in(self) -> int:
        """The week in which its stage is over."""
        return self.started + self.weeks[self.stage - self.first] + self.extra


class Walk:
    """One walk through the weeks by orders: harvest what is ready, move what is due, build."""

    def __init__(self, numbers: RotationNumbers, orders: Orders) -> None:
        self.numbers, self.orders = numbers, orders
        self.to_build = None if orders.builds is None else list(enumerate(orders.builds))
        self.in_bin: list[WalkedHeap | None] = [None] * numbers.bins
        self.done: list[WalkedHeap] = []
        self.builds = 0
        self.last_build = -99
        self.spare = 0
        # Litres still there of each class, by the last week they can be used in.
        self.there: list[dict[int, int]] = [{} for _ in numbers.problem.stuff]
        for number, heap in enumerate(numbers.problem.standing):
            kind = numbers.standing[number]
            weeks = (heap.weeks_left, *heap.later_weeks)
            here = kind.built_in[0]
            one = WalkedHeap(number, True, kind, heap.stage, weeks, heap.stage, 0, here)
            one.ways = orders.ways.get((True, number), orders.usual)
            self.in_bin[here] = one

    def walk(self) -> tuple[PlannedBatch, ...]:
        """Walk through every week, and return the heaps: standing ones, then those built."""
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
        return self._batches()

    def _stuff_comes(self, week: int) -> None:
        for lots, stuff in zip(self.there, self.numbers.problem.stuff, strict=True):
            if week == 0:
                for litres, last in self.numbers.on_hand_l(stuff):
                    lots[last] = lots.get(last, 0) + litres
            last = week + stuff.keeps_weeks
            lots[last] = lots.get(last, 0) + self.numbers.arriving_l(stuff, week)
            lots.pop(week - 1, None)  # spoilt

    def _go_on(self, heap: WalkedHeap, week: int) -> None:
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
        way = heap.ways[stage - 1]
        if free and (way is not Way.STAYS or not stays):
            to = free[-1] if way is Way.FARTHEST else free[0]
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
        if self.builds >= problem.most_builds:
            return
        number = self._ordered(here, week)
        if number is None:
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
        heap = WalkedHeap(self.builds, False, kind, Stage.FIRST, weeks, Stage.FIRST, week, here)
        heap.ways = self.orders.ways.get((False, number), self.orders.usual)
        if self.to_build is not None:
            self.to_build = [one for one in self.to_build if one[0] != number]
        self.in_bin[here] = heap
        self.builds += 1
        self.last_build = week

    def _ordered(self, here: int, week: int) -> int | None:
        """Return which order a build in this bin and week would follow."""
        if self.to_build is None:
            return self.builds if self.last_build + self.orders.weeks_between <= week else None
        for number, (when, where) in self.to_build:
            if when <= week and where == here:
                return number
        return None

    def _has_time(self, loads: int, stirring: int = 0) -> bool:
        if loads + max(0, stirring) > self.spare:
            return False
        self.spare -= loads + stirring
        return True

    def _stay(self, heap: WalkedHeap, until: int | None) -> Stay:
        key = self.numbers.problem.bins[heap.bin].key
        return Stay(Stage(heap.stage), key, heap.started, until)

    def _batches(self) -> tuple[PlannedBatch, ...]:
        for heap in self.in_bin:
            if heap is not None:
                heap.stays.append(self._stay(heap, None))
                self.done.append(heap)
        return tuple(
            self._batch(heap)
            for heap in sorted(self.done, key=lambda h: (not h.is_standing, h.number))
        )

    def _batch(self, heap: WalkedHeap) -> PlannedBatch:
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
