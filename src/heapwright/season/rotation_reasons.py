"""Says what holds a year back, and which wishes no plan can meet.

What holds back is found by planning the same year with one limit lifted; what cannot be is read
from the problem alone. Knows no garden.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import date

from heapwright.season.rotation_plan import PlannedBatch, RotationPlan, Stay
from heapwright.season.rotation_types import RotationProblem, Stage, StuffClass
from heapwright.sentences import Sentence, Value, inside, say, volume, word
from heapwright.wording import dated

Planner = Callable[[RotationProblem], RotationPlan]
#: A limit is lifted by making it so many times as wide.
_LIFTED = 10.0
#: Less than this is no gain worth a sentence. [m³]
_LEAST_GAIN_M3 = 0.02
#: Shorter than this every bin being full, or a heap waiting, is the usual run of things.
_LEAST_WEEKS = 3


def reasons(problem: RotationProblem, plan: RotationPlan, planner: Planner) -> tuple[Sentence, ...]:
    """Return what holds a year back, the greatest hindrance first, and when the bins are full.

    Parameters
    ----------
    problem : RotationProblem
    plan : RotationPlan
        Its plan.
    planner : callable
        Plans a problem; called once for each limit that is lifted.

    """
    return (
        *_lifting(problem, plan, planner),
        *_full_bins(problem, plan),
        *_waiting(problem, plan),
    )


# What cannot be, whatever is planned.


def cannot(problem: RotationProblem, due: Mapping[str, date] | None = None) -> Iterator[Sentence]:
    """Yield the wishes that no plan meets, from the problem alone.

    Parameters
    ----------
    problem : RotationProblem
    due : mapping bed key -> date, optional
        The beds' own days; the first day of their week is told where it is not given.

    """
    if not any(loads > 0 for loads in problem.work_loads):
        yield say("Nobody works at the heaps all year: no job can be done.")
        return
    yield from _bins_too_small(problem)
    yield from _jobs_too_large(problem)
    for stuff in problem.stuff:
        yield from _never_enough(problem, stuff)
    yield from _beds_too_early(problem, due or {})


def _bins_too_small(problem: RotationProblem) -> Iterator[Sentence]:
    least = problem.form.least_build_m3
    if problem.bins and all(one.volume_m3 < least for one in problem.bins):
        yield say(
            "No bin is large enough to heat: the largest holds {largest}, a heap needs {least}.",
            largest=volume(max(one.volume_m3 for one in problem.bins)),
            least=volume(least),
        )


def _jobs_too_large(problem: RotationProblem) -> Iterator[Sentence]:
    """Yield the bins that take more work to fill than any week has."""
    most = max(problem.work_loads)
    rates = problem.work
    for one in problem.bins:
        loads = one.volume_m3 / rates.barrow_m3 * rates.build
        if loads > most:
            yield say(
                "Building in {bin} takes {loads} barrow loads; you do {most} in a week at most.",
                bin=word(one.name),
                # Away from each other, so that they never read as the same.
                loads=word(f"{math.ceil(loads)}"),
                most=word(f"{math.floor(most)}"),
            )


def _never_enough(problem: RotationProblem, stuff: StuffClass) -> Iterator[Sentence]:
    """Yield that a class never has enough at once for the smallest bin that heats."""
    rooms = [one.volume_m3 for one in problem.bins if one.volume_m3 >= problem.form.least_build_m3]
    if not rooms:
        return
    room = min(rooms)
    most, need, is_enough = 0.0, room * max(stuff.need_m3_per_m3, default=0.0), False
    for week in range(problem.weeks):
        there = _usable_m3(stuff, week)
        needed = room * stuff.need_m3_per_m3[week]
        is_enough |= there >= needed
        if there > most:
            most, need = there, needed
    if not is_enough:
        yield say(
            "There are never enough {stuff} at once to fill a bin: {most} at the most, and it "
            "takes {need}.",
            stuff=word(stuff.name),
            most=volume(most),
            need=volume(need),
        )


def _usable_m3(stuff: StuffClass, week: int) -> float:
    """Return what could be built in in a week if nothing was used before. [m³]"""
    kept = stuff.arriving_m3[max(0, week - stuff.keeps_weeks) : week + 1]
    return sum(kept) + sum(lot.volume_m3 for lot in stuff.on_hand if lot.weeks_left >= week)


def _beds_too_early(problem: RotationProblem, due: Mapping[str, date]) -> Iterator[Sentence]:
    earliest = earliest_harvest_week(problem)
    for bed in problem.beds:
        is_there = problem.compost_on_hand_m3 >= bed.compost_m3
        if is_there or (earliest is not None and earliest <= bed.due_week):
            continue
        if earliest is None:
            yield say(
                "{bed}: nothing gets ready within the year; buy compost in.", bed=word(bed.name)
            )
        else:
            yield say(
                "{bed} is due by {due}, but nothing can be ready before {earliest}: buy compost "
                "in, or let it wait.",
                bed=word(bed.name),
                due=_day(due.get(bed.key, problem.day_of(bed.due_week))),
                earliest=_day(problem.day_of(earliest)),
            )


def earliest_harvest_week(problem: RotationProblem) -> int | None:
    """Return the first week in which any heap can be ready; None when none is within the year."""
    standing = [heap.weeks_left + sum(heap.later_weeks) for heap in problem.standing]
    built = [
        week + sum(row[week] for row in problem.stage_weeks)
        for week in range(problem.weeks)
        if problem.work_loads[week] > 0
    ]
    found = [week for week in (*standing, *built) if week < problem.weeks]
    return min(found, default=None)


# What holds it back, by lifting one limit at a time.


def _lifting(problem: RotationProblem, plan: RotationPlan, planner: Planner) -> Iterator[Sentence]:
    gains = []
    served_m3 = _served_m3(plan)
    for told, lifted in _lifted(problem):
        found = planner(lifted)
        made, served = found.made_m3 - plan.made_m3, _served_m3(found) - served_m3
        # Compost that beds get in time counts twice for the order; told is either, never the sum.
        if max(made, served) > _LEAST_GAIN_M3 and made + served > _LEAST_GAIN_M3:
            gains.append((made + served, told, _gain(made, served)))
    for _, told, gain in sorted(gains, key=lambda one: -one[0]):
        yield say(told.template, **told.values, gain=gain)


def _served_m3(plan: RotationPlan) -> float:
    """Return what beds get in time. [m³]"""
    return sum(one.served_m3 for one in plan.beds)


def _gain(made_m3: float, served_m3: float) -> Value:
    """Return in words what more compost there is, or what more of it is in time."""
    if made_m3 > _LEAST_GAIN_M3:
        return inside(say("{amount} more", amount=volume(made_m3)))
    return inside(say("{amount} more in time for the beds", amount=volume(served_m3)))


def _lifted(problem: RotationProblem) -> Iterator[tuple[Sentence, RotationProblem]]:
    for stuff in problem.stuff:
        yield (
            _short_of(stuff),
            replace(
                problem,
                stuff=tuple(_plenty(one) if one is stuff else one for one in problem.stuff),
            ),
        )
    if problem.bins:
        largest = max(problem.bins, key=lambda one: one.volume_m3)
        more = replace(largest, key="one-more-bin", stages=frozenset(Stage))
        yield (
            say("The bins hold it back: one more at the end of the row would give {gain}."),
            replace(problem, bins=(*problem.bins, more)),
        )
    yield (
        say("Your time holds it back: without its limit the year would give {gain}."),
        replace(
            problem,
            work_loads=tuple(loads * _LIFTED for loads in problem.work_loads),
        ),
    )


def _short_of(stuff: StuffClass) -> Sentence:
    if stuff.key == "greens":
        return say("Greens hold it back: with plenty of them the year would give {gain}.")
    if stuff.key == "browns":
        return say("Browns hold it back: with plenty of them the year would give {gain}.")
    return say(
        "{stuff} hold it back: with plenty the year would give {gain}.",
        stuff=word(stuff.name),
    )


def _plenty(stuff: StuffClass) -> StuffClass:
    most = max((*stuff.arriving_m3, *(lot.volume_m3 for lot in stuff.on_hand), 1.0))
    return replace(stuff, arriving_m3=tuple(most * _LIFTED for _ in stuff.arriving_m3))


# What the plan itself shows.


def _full_bins(problem: RotationProblem, plan: RotationPlan) -> Iterator[Sentence]:
    """Yield the spans in which every bin holds a heap."""
    if not problem.bins:
        return
    taken = [
        {stay.bin_key for batch in plan.batches for stay in batch.stays if _covers(stay, week)}
        for week in range(problem.weeks)
    ]
    for first, last in _spans([len(there) == len(problem.bins) for there in taken]):
        yield say(
            "Every bin is full from {first} to {last}.",
            first=_day(problem.day_of(first)),
            last=_day(problem.day_of(last + 1)),
        )


def _covers(stay: Stay, week: int) -> bool:
    return stay.start_week <= week and (stay.end_week is None or week < stay.end_week)


def _spans(is_so: list[bool]) -> Iterator[tuple[int, int]]:
    """Yield first and last of each run of true values that is long enough to tell."""
    start: int | None = None
    for week, true in enumerate([*is_so, False]):
        if true and start is None:
            start = week
        elif not true and start is not None:
            if week - start >= _LEAST_WEEKS:
                yield start, week - 1
            start = None


def _waiting(problem: RotationProblem, plan: RotationPlan) -> Iterator[Sentence]:
    """Yield the longest wait of a heap for the next bin or for time."""
    found = [
        (weeks, stay.bin_key)
        for batch in plan.batches
        for stay, weeks in zip(batch.stays, _waits(problem, batch), strict=True)
        if weeks >= _LEAST_WEEKS
    ]
    if found:
        weeks, bin_key = max(found, key=lambda one: one[0])
        yield say(
            "A heap waits {weeks} weeks in {bin}, longer than it needs.",
            weeks=word(str(weeks)),
            bin=word(problem.bin_of(bin_key).name),
        )


def _waits(problem: RotationProblem, batch: PlannedBatch) -> Iterator[int]:
    """Yield for each stay of a heap how many weeks it is longer than it must be."""
    if batch.is_standing:
        heap = next(one for one in problem.standing if one.key == batch.key)
        least = (heap.weeks_left, *heap.later_weeks)
    else:
        built = batch.stays[0].start_week
        least = tuple(row[built] for row in problem.stage_weeks)
    for stay, weeks in zip(batch.stays, least, strict=False):
        yield 0 if stay.end_week is None else stay.end_week - stay.start_week - weeks


def _day(day: date) -> Value:
    return word(dated(day, "d MMMM y"))
