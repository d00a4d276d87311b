"""Plays a plan week by week as it would go at the bins, and names every rule it breaks.

Knows the rules of the row, the work, the stuff and the beds from the problem alone: nothing of how
plans are made comes in here, so that an error there cannot hide. A job that cannot be done in its
week waits until it can: the heap is not ready, the bin is full, somebody is away, stuff is missing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from heapwright.season.rotation_plan import PlannedBatch, RotationPlan, Stay
from heapwright.season.rotation_types import (
    STAGES,
    RotationProblem,
    StandingHeap,
    StuffClass,
    WorkRates,
)

_TINY = 1e-6


class Rule(StrEnum):
    """What a plan may break."""

    READY = "a heap is moved before its stage is over"
    EMPTY = "a bin holds one heap at a time"
    ROW = "a heap never moves up the row"
    FITS = "a heap fits into its bin, and the bin is meant for its stage"
    SIZE = "a bin that is built in is large enough"
    WORK = "a week has no more work than its cap"
    STUFF = "nothing is built in that is not there or is spoilt"
    BUILDS = "no more heaps are built than are wanted"
    FORM = "the stages of a heap follow one another"
    BEDS = "beds get no more than there is, or than they wait for"
    MADE = "what is made is what is harvested"


@dataclass(frozen=True, slots=True)
class Broken:
    """A rule that a plan breaks, where and when."""

    rule: Rule
    week: int
    key: str


@dataclass(frozen=True, slots=True)
class Course:
    """How a year goes: what was only expected when the plan was made.

    Attributes
    ----------
    stage_weeks : sequence (stages) of sequence (weeks of building) of int
    standing_weeks : sequence, one for each standing heap, of sequence of int
        Weeks left of its stage, then of each later stage.
    standing_yield_m3 : sequence of float, one for each standing heap
        [m³]
    yield_share : float
        Finished compost as share of the bin a heap is built in. [0-1]
    arriving_m3 : sequence (classes) of sequence (weeks) of float
        [m³]

    """

    stage_weeks: Sequence[Sequence[int]]
    standing_weeks: Sequence[Sequence[int]]
    standing_yield_m3: Sequence[float]
    yield_share: float
    arriving_m3: Sequence[Sequence[float]]


@dataclass(frozen=True, slots=True)
class Delay:
    """A job that waited a week.

    Attributes
    ----------
    into : int
        The stage the job leads into; the number of stages for a harvest.

    """

    week: int
    key: str
    into: int
    rule: Rule


@dataclass
class Played:
    """What came of a plan.

    Attributes
    ----------
    given_week : dict of bed key to week or None
        When a bed had all that the plan promised it.
    harvest_week : dict of batch key to week
        Those that were harvested.
    made_m3, left_m3 : float
        Compost made, and what no bed was promised. [m³]

    """

    given_week: dict[str, int | None] = field(default_factory=dict)
    harvest_week: dict[str, int] = field(default_factory=dict)
    delays: list[Delay] = field(default_factory=list)
    made_m3: float = 0.0
    left_m3: float = 0.0


def expected_course(problem: RotationProblem) -> Course:
    """Return the year as the plan counts on it."""
    return Course(
        stage_weeks=problem.stage_weeks,
        standing_weeks=[(heap.weeks_left, *heap.later_weeks) for heap in problem.standing],
        standing_yield_m3=[heap.yield_m3.sure for heap in problem.standing],
        yield_share=problem.form.yield_share.sure,
        arriving_m3=[stuff.arriving_m3 for stuff in problem.stuff],
    )


class _Heap:
    """A batch on its way through its stays."""

    def __init__(self, batch: PlannedBatch, standing: StandingHeap | None) -> None:
        self.batch, self.standing = batch, standing
        self.place = 0 if standing else -1  # index of the stay it is in; -1 is not built
        self.since = 0
        self.weeks: Sequence[int] = ()
        self.yield_m3 = 0.0
        self.extra = 0

    @property
    def stay(self) -> Stay:
        return self.batch.stays[self.place]

    def next_week(self) -> int | None:
        """Week of its next job by the plan."""
        if self.place < 0:
            return self.batch.stays[0].start_week
        return self.stay.end_week

    def is_ready(self, week: int) -> bool:
        return week >= self.since + self.weeks[self.place] + self.extra


class _Play:
    def __init__(self, problem: RotationProblem, plan: RotationPlan, course: Course) -> None:
        self.problem, self.plan, self.course = problem, plan, course
        self.played = Played()
        self.numbers = {one.key: n for n, one in enumerate(problem.bins)}
        self.in_bin: list[_Heap | None] = [None] * len(problem.bins)
        self.to_build: dict[int, list[_Heap]] = {n: [] for n in range(len(problem.bins))}
        self.stock = [_Stock(stuff) for stuff in problem.stuff]
        self.compost = problem.compost_on_hand_m3
        self.spare = 0.0
        self.owed = {bed.key: bed.served_m3 for bed in plan.beds}
        standing = {heap.key: (n, heap) for n, heap in enumerate(problem.standing)}
        for batch in plan.batches:
            if not batch.is_standing:
                here = self.numbers[batch.stays[0].bin_key]
                self.to_build[here].append(_Heap(batch, None))
                continue
            number, there = standing[batch.key]
            heap = _Heap(batch, there)
            heap.weeks = course.standing_weeks[number]
            heap.yield_m3 = course.standing_yield_m3[number]
            self.in_bin[self.numbers[there.bin_key]] = heap
        for queue in self.to_build.values():
            queue.sort(key=lambda heap: heap.batch.stays[0].start_week)

    def walk(self) -> Played:
        for week in range(self.problem.weeks):
            for stock, arriving in zip(self.stock, self.course.arriving_m3, strict=True):
                stock.comes(week, arriving[week])
            self.spare = self.problem.work_loads[week]
            for here in reversed(range(len(self.in_bin))):
                heap = self.in_bin[here]
                if heap is not None and _is_due(heap, week):
                    self._go_on(heap, here, week)
                queue = self.to_build[here]
                if queue and _is_due(queue[0], week):
                    self._build(queue, here, week)
            self._give(week)
        self.played.left_m3 = self.compost
        return self.played

    def _go_on(self, heap: _Heap, here: int, week: int) -> None:
        stays, into = heap.batch.stays, heap.stay.stage + 1
        if not heap.is_ready(week):
            self._wait(heap, week, into, Rule.READY)
            return
        if heap.place + 1 == len(stays):
            loads = heap.batch.yield_m3.likely / self._barrow * self._rates.harvest
            if self._has_time(heap, week, into, loads):
                self.in_bin[here] = None
                self.compost += heap.yield_m3
                self.played.made_m3 += heap.yield_m3
                self.played.harvest_week[heap.batch.key] = week
            return
        there = self.numbers[stays[heap.place + 1].bin_key]
        if there != here and self.in_bin[there] is not None:
            self._wait(heap, week, into, Rule.EMPTY)
            return
        rate = self._rates.stir if there == here else self._rates.move
        if self._has_time(heap, week, into, self._volume(heap, into) / self._barrow * rate):
            self.in_bin[here] = None
            self.in_bin[there] = heap
            heap.place += 1
            heap.since = week
            heap.extra = self.problem.form.stay_extra_weeks[into] if there == here else 0

    def _build(self, queue: list[_Heap], here: int, week: int) -> None:
        heap = queue[0]
        if self.in_bin[here] is not None:
            self._wait(heap, week, 0, Rule.EMPTY)
            return
        volume = self.problem.bins[here].volume_m3
        needs = [stuff.need_m3_per_m3[week] * volume for stuff in self.problem.stuff]
        if any(s.there() + _TINY < need for s, need in zip(self.stock, needs, strict=True)):
            self._wait(heap, week, 0, Rule.STUFF)
            return
        if not self._has_time(
            heap, week, 0, self._volume(heap, 0) / self._barrow * self._rates.build
        ):
            return
        for stock, need in zip(self.stock, needs, strict=True):
            stock.take(need)
        heap.weeks = [self.course.stage_weeks[stage][week] for stage in range(STAGES)]
        heap.yield_m3 = volume * self.course.yield_share
        heap.place, heap.since = 0, week
        self.in_bin[here] = heap
        queue.pop(0)

    def _has_time(self, heap: _Heap, week: int, into: int, loads: float) -> bool:
        if loads > self.spare + _TINY or self.problem.work_loads[week] <= 0.0:
            self._wait(heap, week, into, Rule.WORK)
            return False
        self.spare -= loads
        return True

    def _wait(self, heap: _Heap, week: int, into: int, rule: Rule) -> None:
        self.played.delays.append(Delay(week, heap.batch.key, into, rule))

    def _give(self, week: int) -> None:
        due = [bed for bed in self.plan.beds if bed.due_week <= week and self.owed[bed.key] > 0.0]
        for bed in sorted(due, key=lambda one: one.due_week):
            given = min(self.owed[bed.key], self.compost)
            self.compost -= given
            self.owed[bed.key] -= given
            if self.owed[bed.key] <= _TINY:
                self.owed[bed.key] = 0.0
                self.played.given_week[bed.key] = week

    def _volume(self, heap: _Heap, stage: int) -> float:
        if heap.standing is not None:
            return heap.standing.volume_m3
        built = self.problem.bins[self.numbers[heap.batch.stays[0].bin_key]].volume_m3
        return built * self.problem.form.volume_share[stage]

    @property
    def _rates(self) -> WorkRates:
        return self.problem.work

    @property
    def _barrow(self) -> float:
        return self.problem.work.barrow_m3


class _Stock:
    """Lots of a class of material, the oldest used first."""

    def __init__(self, stuff: StuffClass) -> None:
        self.keeps = stuff.keeps_weeks
        self.lots: dict[int, float] = {}
        for lot in stuff.on_hand:
            self.lots[lot.weeks_left] = self.lots.get(lot.weeks_left, 0.0) + lot.volume_m3

    def comes(self, week: int, amount: float) -> None:
        last = week + self.keeps
        self.lots[last] = self.lots.get(last, 0.0) + amount
        self.lots = {last: m3 for last, m3 in self.lots.items() if last >= week}

    def there(self) -> float:
        return sum(self.lots.values())

    def take(self, amount: float) -> None:
        for last in sorted(self.lots):
            taken = min(amount, self.lots[last])
            self.lots[last] -= taken
            amount -= taken


def _is_due(heap: _Heap, week: int) -> bool:
    planned = heap.next_week()
    return planned is not None and planned <= week


def play(problem: RotationProblem, plan: RotationPlan, course: Course | None = None) -> Played:
    """Return what comes of a plan in a year that goes as told.

    Parameters
    ----------
    problem : RotationProblem
    plan : RotationPlan
    course : Course, optional
        The year as the plan counts on it if not given.

    Returns
    -------
    Played
        Beds get what the plan promised them, those due earlier first.

    """
    return _Play(problem, plan, course or expected_course(problem)).walk()
