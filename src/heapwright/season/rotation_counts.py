"""The year counted by weeks: how many heaps of each kind are built, moved and harvested when.

A smaller program than the whole one: it counts heaps and does not say which is which, nor in
which bin they lie. Every plan has such counts, so the best of them is a bound that no plan exceeds,
and it is found in a moment; its weeks of building are also where a good plan is looked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from heapwright.season.rotation_numbers import HeapKind, RotationNumbers
from heapwright.season.rotation_plan import Job, JobKind
from heapwright.season.rotation_rows import NOTHING, Rows, Sum, total
from heapwright.season.rotation_types import STAGES, Stage
from heapwright.season.rotation_weights import RotationWeights
from heapwright.season.rotation_worth import HUNDREDTHS, job_price, worth_of_state

BUILT, HARVESTED = 0, STAGES


@dataclass
class Group:
    """Heaps that are counted together: those to be built in alike neighbours, or one that stands.

    Attributes
    ----------
    by : dict of event to list of variable
        How many have been built, moved into the next stage or harvested by the end of each week.
        Counts "by" a week and not "in" it, because nearly every rule then holds two of them only:
        the program is close to a network's, and its linear bound close to the truth.

    """

    kind: HeapKind
    bins: tuple[int, ...]
    first: int
    is_standing: bool
    by: dict[int, list[Sum]] = field(default_factory=dict)

    @property
    def ahead(self) -> range:
        """The events still to come."""
        return range(self.first + 1 if self.is_standing else BUILT, HARVESTED + 1)

    def until(self, event: int, week: int) -> Sum:
        """Return how many by a week; none before week 0."""
        return self.by[event][week] if week >= 0 else NOTHING

    def in_week(self, event: int, week: int) -> Sum:
        """Return how many in a week."""
        return self.until(event, week) - self.until(event, week - 1)


@dataclass
class CountModel:
    """The program of counts."""

    program: Rows
    numbers: RotationNumbers
    standing: list[Group]
    new: list[Group]
    worth: Sum = NOTHING

    @property
    def groups(self) -> list[Group]:
        """Standing heaps first."""
        return [*self.standing, *self.new]


def count_model(
    numbers: RotationNumbers, weights: RotationWeights, earlier: Sequence[Job] = ()
) -> CountModel:
    """Return the program of counts, with the same objective as the whole program."""
    model = CountModel(Rows(), numbers, [], [])
    for number, kind in enumerate(numbers.standing):
        model.standing.append(_standing_group(model, number, kind))
    builds = numbers.problem.most_builds
    for kind in numbers.kinds:
        for here in _neighbours(kind.built_in):
            model.new.append(_new_group(model, kind, here))
    program = model.program
    if model.new:
        program.at_most(total(group.until(BUILT, numbers.weeks - 1) for group in model.new), builds)
    _hold_bins(model)
    _hold_stuff(model)
    _hold_work(model)
    model.worth = total([_served(model), _made(model, weights), _kept(model, weights, earlier)])
    return model


def _neighbours(bins: tuple[int, ...]) -> list[tuple[int, ...]]:
    runs: list[tuple[int, ...]] = []
    for one in bins:
        if runs and runs[-1][-1] + 1 == one:
            runs[-1] = (*runs[-1], one)
        else:
            runs.append((one,))
    return runs


def _add_event(model: CountModel, group: Group, event: int, most: int) -> None:
    numbers, program = model.numbers, model.program
    group.by[event], last = [], NOTHING
    for week in range(numbers.weeks):
        # Where no work can be done, the count cannot have changed.
        if numbers.caps[week] > 0:
            now = program.variable(0, most)
            program.at_most(last, now)
            last = now
        group.by[event].append(last)


def _standing_group(model: CountModel, number: int, kind: HeapKind) -> Group:
    heap = model.numbers.problem.standing[number]
    group = Group(kind, kind.built_in, int(heap.stage), is_standing=True)
    group.by[heap.stage] = [Sum({}, 1)] * model.numbers.weeks
    for event, length in enumerate((heap.weeks_left, *heap.later_weeks), start=heap.stage + 1):
        _add_event(model, group, event, 1)
        for week in range(model.numbers.weeks):
            before = group.until(event - 1, week - length)
            model.program.at_most(group.until(event, week), before)
    return group


def _new_group(model: CountModel, kind: HeapKind, here: tuple[int, ...]) -> Group:
    numbers, program = model.numbers, model.program
    lengths, weeks = numbers.problem.stage_weeks, range(numbers.weeks)
    group = Group(kind, here, 0, is_standing=False)
    for event in range(BUILT, HARVESTED + 1):
        _add_event(model, group, event, numbers.problem.most_builds)
    for week in weeks:
        program.at_most(group.in_week(BUILT, week), len(here))
    for event in range(BUILT + 1, HARVESTED + 1):
        ready = [week + sum(lengths[s][week] for s in range(event)) for week in weeks]
        for until in weeks:
            done = group.until(event, until)
            program.at_most(done, _built_for(group, ready, until))
            # Each of these was built early enough, so its last stage took at least the least of
            # what the stage takes for heaps built so early.
            early = [lengths[event - 1][week] for week in weeks if ready[week] <= until]
            before = group.until(event - 1, until - min(early)) if early else NOTHING
            program.at_most(done, before)
    return group


def _built_for(group: Group, ready: list[int], until: int) -> Sum:
    """Return how many were built in weeks whose heaps are ready by a week."""
    # As differences of counts: neighbouring weeks cancel, mostly one count is left.
    count: Sum = NOTHING
    for week, when in enumerate(ready):
        is_last = week + 1 == len(ready) or ready[week + 1] > until
        is_first = week == 0 or ready[week - 1] > until
        if when <= until and is_last:
            count = count + group.until(BUILT, week)
        if when <= until and is_first:
            count = count - group.until(BUILT, week - 1)
    return count


def _hold_bins(model: CountModel) -> None:
    """Let heaps find bins: in their first stage where they were built, later only down the row.

    A heap built in bin b lies in b or beyond until it is harvested. Of the bins from any b on, no
    more heaps can therefore have been built there and still stand than there are such bins; as
    these sets of bins are nested, at each single week that is also enough (Hall 1935).
    """
    numbers, program = model.numbers, model.program
    for until in range(numbers.weeks):
        for last in range(numbers.bins):
            stand: Sum = NOTHING
            for group in model.groups:
                if group.bins[0] >= last:
                    stand = stand + _standing_in(group, until)
            program.at_most(stand, numbers.bins - last)
        for group in model.new:
            held: Sum = NOTHING
            for heap in model.standing:
                if heap.bins[0] in group.bins:
                    # It lies there at least until its next event.
                    held = held + 1 - heap.until(heap.first + 1, until)
            in_first = group.until(BUILT, until) - group.until(BUILT + 1, until)
            program.at_most(in_first + held, len(group.bins))


def _standing_in(group: Group, until: int) -> Sum:
    built = group.until(group.first, until)
    return built - group.until(HARVESTED, until)


def _hold_stuff(model: CountModel) -> None:
    program, numbers = model.program, model.numbers
    for stuff in numbers.problem.stuff:
        arrived, gone = numbers.arrived_l(stuff), numbers.gone_l(stuff)
        before: Sum | None = None
        for week in range(numbers.weeks):
            use: Sum = NOTHING
            if week in numbers.work_weeks:
                for group in model.new:
                    use = use + numbers.need_l(stuff, group.kind, week) * group.in_week(BUILT, week)
            line = program.variable(gone[week], arrived[week])
            program.at_most(use + gone[week], line)
            if before is not None:
                program.at_most(before + use, line)
            before = line


def _least_loads(numbers: RotationNumbers, kind: HeapKind, event: int) -> int:
    if event == BUILT:
        return numbers.loads(kind, JobKind.BUILD, Stage.FIRST)
    if event == HARVESTED:
        return numbers.loads(kind, JobKind.HARVEST, Stage.CURE)
    either = (JobKind.MOVE, JobKind.STIR)
    return min(numbers.loads(kind, job, event) for job in either)


def _hold_work(model: CountModel) -> None:
    numbers = model.numbers
    for week in numbers.work_weeks:
        loads: Sum = NOTHING
        for group in model.groups:
            for event in group.ahead:
                least = _least_loads(numbers, group.kind, event)
                loads = loads + least * group.in_week(event, week)
        model.program.at_most(loads, numbers.caps[week])


def _served(model: CountModel) -> Sum:
    program, numbers = model.program, model.numbers
    beds = numbers.problem.beds
    served = [program.variable(0, wished) for wished in numbers.wished_l]
    for due in sorted({bed.due_week for bed in beds if 0 <= bed.due_week < numbers.weeks}):
        there = Sum({}, numbers.compost_l)
        for group in model.groups:
            there = there + group.kind.sure_l * group.until(HARVESTED, due)
        asked = [served[n] for n, bed in enumerate(beds) if bed.due_week <= due]
        program.at_most(total(asked), there)
    return total(
        round(HUNDREDTHS * bed.weight) * litres for bed, litres in zip(beds, served, strict=True)
    )


def _made(model: CountModel, weights: RotationWeights) -> Sum:
    numbers = model.numbers
    worth: Sum = NOTHING
    for group in model.groups:
        if group.is_standing:
            worth = worth + worth_of_state(weights, group.kind, group.first)
        for event in group.ahead:
            gain = worth_of_state(weights, group.kind, event)
            if event > BUILT:
                gain -= worth_of_state(weights, group.kind, event - 1)
            gain -= job_price(weights, _least_loads(numbers, group.kind, event))
            worth = worth + gain * group.until(event, numbers.weeks - 1)
        # A harvest counts once for every week of the horizon that it leaves behind.
        for week in range(numbers.weeks):
            worth = worth + round(HUNDREDTHS * weights.earlier_l) * group.until(HARVESTED, week)
    return worth


def _kept(model: CountModel, weights: RotationWeights, earlier: Sequence[Job]) -> Sum:
    kept: Sum = NOTHING
    numbers = model.numbers
    for job in earlier:
        price = round(HUNDREDTHS * weights.change_at(job.week))
        is_kept = model.program.variable(0, 1)
        events = {JobKind.BUILD: (BUILT,), JobKind.HARVEST: (HARVESTED,)}.get(job.kind, (1, 2))
        there = [
            group.in_week(event, job.week)
            for group in model.groups
            for event in events
            if event in group.ahead
            and (event > BUILT or numbers.problem.bin_numbers[job.bin_key] in group.bins)
        ]
        model.program.at_most(is_kept, total(there))
        kept = kept + price * is_kept - price
    return kept
