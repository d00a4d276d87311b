"""Plays a year's plan week by week as life would have it: stages that drag on, stuff that lacks.

Knows the rules of the place (a bin holds one heap, stuff spoils, work has an end) and nothing of
any planner: it is what a plan is checked by. `check` plays a plan with the very lengths it was
made with and tells each rule it breaks; `play` lets jobs wait until they can be done.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from heapwright.season.rotation_plan import (
    BedServed,
    Job,
    JobKind,
    PlannedBatch,
    RotationPlan,
    jobs_of,
    volume_at,
)
from heapwright.season.rotation_types import RotationProblem, Stage, StuffClass

#: A heap that could not be built so long after its week is not built at all.
PATIENCE_WEEKS = 6
#: Amounts nearer than this are the same: plans count in whole litres. [m³]
TOLERANCE_M3 = 1e-6
_TOLERANCE_LOADS = 1e-6


@dataclass(frozen=True, slots=True)
class Lived:
    """How a year really went.

    Attributes
    ----------
    stage_weeks : tuple (one for each stage) of sequence (one a week of building) of int
    standing_weeks : mapping heap key -> tuple of int
        Of the stage a standing heap is in and each after it, from week 0.
    arriving_m3 : mapping class key -> sequence, one a week
        [m³]
    yield_share : float
        Compost as share of the bin a heap was built in. [0-1]
    standing_yields_m3 : mapping heap key -> float
        [m³]

    """

    stage_weeks: tuple[Sequence[int], ...]
    standing_weeks: Mapping[str, tuple[int, ...]]
    arriving_m3: Mapping[str, Sequence[float]]
    yield_share: float
    standing_yields_m3: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Broken:
    """A rule that a plan breaks.

    Attributes
    ----------
    week : int
    rule : str
        "bin", "stage", "row", "stuff", "work", "builds", "beds" or "size".
    told : str
        For whoever mends the planner, in English.

    """

    week: int
    rule: str
    told: str


@dataclass(slots=True)
class Played:
    """What became of a plan.

    Attributes
    ----------
    harvests : dict of heap key to week or None
        None when it was not harvested within the horizon.
    served_m3 : dict of bed key to m³
        In time.
    made_m3 : float
    dropped : list of str
        Keys of heaps that were never built.
    broken : list of Broken
        Only when the plan was to be kept to the week.

    """

    harvests: dict[str, int | None] = field(default_factory=dict)
    served_m3: dict[str, float] = field(default_factory=dict)
    made_m3: float = 0.0
    dropped: list[str] = field(default_factory=list)
    broken: list[Broken] = field(default_factory=list)


def as_planned(problem: RotationProblem) -> Lived:
    """Return the year that a plan counts on: sure lengths, sure yields, the arrivals expected."""
    return Lived(
        stage_weeks=problem.stage_weeks,
        standing_weeks={
            heap.key: (heap.weeks_left, *heap.later_weeks) for heap in problem.standing
        },
        arriving_m3={stuff.key: stuff.arriving_m3 for stuff in problem.stuff},
        yield_share=problem.form.yield_share.sure,
        standing_yields_m3={heap.key: heap.yield_m3.sure for heap in problem.standing},
    )


def check(plan: RotationPlan, problem: RotationProblem) -> list[Broken]:
    """Return every rule that a plan breaks when the year goes as it counts on."""
    return _Year(plan, problem, as_planned(problem), to_the_week=True).run().broken


def play(plan: RotationPlan, problem: RotationProblem, lived: Lived) -> Played:
    """Return what becomes of a plan in a year; jobs wait until they can be done."""
    return _Year(plan, problem, lived, to_the_week=False).run()


class _Store:
    """A class of material on hand: what spoils first is used first."""

    def __init__(self, stuff: StuffClass, arriving_m3: Sequence[float]) -> None:
        self._stuff = stuff
        self._arriving = arriving_m3
        # [last week in which it can be used, m³], kept in that order.
        self._lots = [[lot.weeks_left, lot.volume_m3] for lot in stuff.on_hand]

    def begin(self, week: int) -> None:
        """Take in what arrives in a week and throw away what is spoilt."""
        if self._arriving[week] > 0.0:
            self._lots.append([week + self._stuff.keeps_weeks, self._arriving[week]])
        self._lots = sorted(lot for lot in self._lots if lot[0] >= week)

    def there_m3(self) -> float:
        """Return how much can be used."""
        return sum(volume for _, volume in self._lots)

    def take(self, volume_m3: float) -> None:
        """Use some; what is not there is not missed here."""
        for lot in self._lots:
            used = min(lot[1], volume_m3)
            lot[1] -= used
            volume_m3 -= used

    def need_m3(self, week: int, bin_m3: float) -> float:
        """Return what a heap begun in a week takes."""
        return self._stuff.need_m3_per_m3[week] * bin_m3

    @property
    def name(self) -> str:
        return self._stuff.key


@dataclass(slots=True)
class _Heap:
    """A heap on its way through the plan."""

    batch: PlannedBatch
    lengths: tuple[int, ...]  # of each of its stays
    place: str | None = None  # the bin it lies in
    stay: int = -1  # which of its stays it is in
    since: int = 0
    built: int | None = None


class _Year:
    """One playing of a plan."""

    def __init__(
        self, plan: RotationPlan, problem: RotationProblem, lived: Lived, *, to_the_week: bool
    ) -> None:
        self.plan, self.problem, self.lived = plan, problem, lived
        self.to_the_week = to_the_week
        self.stores = [_Store(one, lived.arriving_m3[one.key]) for one in problem.stuff]
        self.in_bin: dict[str, str] = {}
        self.heaps = {batch.key: self._heap(batch) for batch in plan.batches}
        self.waiting = list(jobs_of(plan, problem))
        self.made: list[tuple[int, float]] = []
        self.out = Played(harvests=dict.fromkeys(self.heaps))
        for heap in problem.standing:
            if heap.key not in self.heaps:
                self._break(0, "bin", f"{heap.key} stands in {heap.bin_key} and is not planned")
                self.in_bin[heap.bin_key] = heap.key

    def _heap(self, batch: PlannedBatch) -> _Heap:
        if not batch.is_standing:
            return _Heap(batch, ())
        weeks = self.lived.standing_weeks[batch.key]
        first = batch.stays[0]
        self.in_bin[first.bin_key] = batch.key
        return _Heap(batch, weeks, place=first.bin_key, stay=0)

    def run(self) -> Played:
        """Play the weeks one after another."""
        if self.to_the_week:
            self._check_form()
        for week in range(self.problem.weeks):
            self._play_week(week)
        self._share_out()
        return self.out

    # A week.

    def _play_week(self, week: int) -> None:
        for store in self.stores:
            store.begin(week)
        room = self.problem.work_loads[week] - self._stirring_loads(week)
        later: list[Job] = []
        stopped: set[str] = set()
        for job in self.waiting:
            if job.week > week or job.batch_key in stopped:
                later.append(job)
                continue
            why = self._why_not(job, week, room)
            if why is None or (self.to_the_week and self.heaps.get(job.batch_key) is not None):
                if why is not None:
                    self._break(week, *why)
                room -= job.loads
                self._do(job, week)
            elif job.kind is JobKind.BUILD and week - job.week >= PATIENCE_WEEKS:
                self.out.dropped.append(job.batch_key)
                stopped.add(job.batch_key)
                self.waiting = [one for one in self.waiting if one.batch_key != job.batch_key]
            else:
                stopped.add(job.batch_key)  # what follows on it waits as well
                later.append(job)
        self.waiting = [one for one in later if one.batch_key not in self.out.dropped]

    def _why_not(self, job: Job, week: int, room: float) -> tuple[str, str] | None:
        """Return the rule that forbids a job now, and how."""
        heap = self.heaps[job.batch_key]
        if job.loads > room + _TOLERANCE_LOADS or self.problem.work_loads[week] <= 0:
            return "work", f"{job.kind} of {job.batch_key}: {job.loads:g} loads, {room:g} left"
        if job.kind is JobKind.BUILD:
            return self._why_not_built(job, week)
        done = heap.since + self._least(heap)
        if week < done:
            return "stage", f"{job.batch_key} is in stay {heap.stay} until {done}"
        goes_to = job.to_bin_key
        if goes_to is not None and self.in_bin.get(goes_to) is not None:
            return "bin", f"{job.batch_key} into {goes_to}, where {self.in_bin[goes_to]} lies"
        return None

    def _why_not_built(self, job: Job, week: int) -> tuple[str, str] | None:
        if self.in_bin.get(job.bin_key) is not None:
            return "bin", f"{job.batch_key} built on {self.in_bin[job.bin_key]}"
        bin_m3 = self.problem.bin_of(job.bin_key).volume_m3
        for store in self.stores:
            need, there = store.need_m3(week, bin_m3), store.there_m3()
            if need > there + TOLERANCE_M3:
                return "stuff", f"{job.batch_key}: {need:g} m³ of {store.name}, {there:g} there"
        return None

    def _least(self, heap: _Heap) -> int:
        """Return the weeks that the present stay takes at least."""
        stay = heap.batch.stays[heap.stay]
        if heap.batch.is_standing:
            weeks = heap.lengths[heap.stay]
        else:
            assert heap.built is not None
            weeks = self.lived.stage_weeks[stay.stage][heap.built]
        before = heap.batch.stays[heap.stay - 1] if heap.stay > 0 else None
        if before is not None and before.bin_key == stay.bin_key:
            weeks += self.problem.form.stay_extra_weeks[stay.stage]
        return weeks

    def _do(self, job: Job, week: int) -> None:
        heap = self.heaps[job.batch_key]
        if job.kind is JobKind.BUILD:
            bin_m3 = self.problem.bin_of(job.bin_key).volume_m3
            for store in self.stores:
                store.take(store.need_m3(week, bin_m3))
            heap.built = week
            heap.place = job.bin_key
            self.in_bin[job.bin_key] = job.batch_key
        elif job.kind is JobKind.HARVEST:
            self._leave(heap)
            self.made.append((week, self._yield_m3(heap)))
            self.out.harvests[job.batch_key] = week
        elif job.to_bin_key is not None:
            self._leave(heap)
            heap.place = job.to_bin_key
            self.in_bin[job.to_bin_key] = job.batch_key
        heap.stay += 1
        heap.since = week

    def _leave(self, heap: _Heap) -> None:
        if heap.place is not None and self.in_bin.get(heap.place) == heap.batch.key:
            del self.in_bin[heap.place]
        heap.place = None

    def _yield_m3(self, heap: _Heap) -> float:
        if heap.batch.is_standing:
            return self.lived.standing_yields_m3[heap.batch.key]
        built = self.problem.bin_of(heap.batch.stays[0].bin_key).volume_m3
        return built * self.lived.yield_share

    def _stirring_loads(self, week: int) -> float:
        """Return the regular stirring of a week; none in weeks without time for work."""
        rates = self.problem.work
        if self.problem.work_loads[week] <= 0:
            return 0.0
        loads = 0.0
        for heap in self.heaps.values():
            if heap.place is None:
                continue
            stage = heap.batch.stays[heap.stay].stage
            volume = volume_at(self.problem, heap.batch, stage)
            loads += rates.stirs_a_week[stage] * rates.stir * volume / rates.barrow_m3
        return loads

    # What holds for the plan as a whole.

    def _check_form(self) -> None:
        problem = self.problem
        built = [one for one in self.plan.batches if not one.is_standing]
        if len(built) > problem.most_builds:
            self._break(0, "builds", f"{len(built)} built, {problem.most_builds} wished at most")
        for batch in self.plan.batches:
            self._check_row(batch)
        for batch in built:
            volume = problem.bin_of(batch.stays[0].bin_key).volume_m3
            if volume < problem.form.least_build_m3:
                self._break(batch.stays[0].start_week, "size", f"{batch.key} in {volume:g} m³")

    def _check_row(self, batch: PlannedBatch) -> None:
        numbers = self.problem.bin_numbers
        for stay in batch.stays[1 if batch.is_standing else 0 :]:
            if stay.stage not in self.problem.bin_of(stay.bin_key).stages:
                self._break(stay.start_week, "row", f"{batch.key}: {stay.stage} in {stay.bin_key}")
        for before, after in zip(batch.stays, batch.stays[1:], strict=False):
            if numbers[after.bin_key] < numbers[before.bin_key]:
                self._break(after.start_week, "row", f"{batch.key} goes up the row")
            if before.end_week != after.start_week or after.stage != before.stage + 1:
                self._break(after.start_week, "stage", f"{batch.key}: stays do not follow")
        first = batch.stays[0]
        if not batch.is_standing and first.stage is not Stage.FIRST:
            self._break(first.start_week, "stage", f"{batch.key} begins with {first.stage}")

    # Beds.

    def _share_out(self) -> None:
        """Give what is made: first what the plan promised, then what is over, by date."""
        beds = sorted(self.plan.beds, key=lambda bed: bed.due_week)
        given = dict.fromkeys((bed.key for bed in beds), 0.0)
        for wished in (_promised, _wished):
            for bed in beds:
                room = min(
                    self._there_m3(other.due_week) - _given_by(beds, given, other.due_week)
                    for other in beds
                    if other.due_week >= bed.due_week
                )
                given[bed.key] += max(0.0, min(wished(bed) - given[bed.key], room))
        self.out.served_m3 = given
        self.out.made_m3 = sum(volume for _, volume in self.made)
        if self.to_the_week:
            for bed in beds:
                if bed.served_m3 > given[bed.key] + TOLERANCE_M3:
                    told = f"{bed.key}: {bed.served_m3:g} m³ promised, {given[bed.key]:g} there"
                    self._break(bed.due_week, "beds", told)

    def _there_m3(self, week: int) -> float:
        """Return the compost that is there by a week, its own harvests among it."""
        made = sum(volume for when, volume in self.made if when <= week)
        return self.problem.compost_on_hand_m3 + made

    def _break(self, week: int, rule: str, told: str) -> None:
        self.out.broken.append(Broken(week, rule, told))


def _promised(bed: BedServed) -> float:
    return bed.served_m3


def _wished(bed: BedServed) -> float:
    return bed.wished_m3


def _given_by(beds: Sequence[BedServed], given: Mapping[str, float], week: int) -> float:
    return sum(given[bed.key] for bed in beds if bed.due_week <= week)
