"""What limits builds and jobs in the program: stuff that spoils, work in a week, and tight bounds.

Knows the program's variables. Knows nothing of what is wished for.
"""

from __future__ import annotations

from typing import Any

from heapwright.season.rotation_model import BUILT, HARVESTED, RotationModel, Slot
from heapwright.season.rotation_plan import JobKind
from heapwright.season.rotation_types import Stage


def hold_stuff(model: RotationModel) -> None:
    """Let no build take what has not come or is spoilt.

    A lot that came in week r can be built in until week d. What came later never spoils earlier,
    so the bipartite graph of lots and weeks of building is convex on both sides, and by Hall's
    theorem a supply exists if and only if for all weeks s <= t

        use in s..t  <=  A(t) - G(s),

    A(t) what came by t, G(s) what spoils before s. (For a set of weeks with a hole: a lot that can
    serve only within the hole would have to come after and spoil before one that serves both
    sides, which is excluded; so the lots of both sides are all lots of the whole interval, or none
    is shared and each side holds by itself.) All of these hold if and only if there is a line of
    what is used or spoilt, X, with X(t) >= X(t-1) + use(t), X(t) >= G(t) + use(t) and
    X(t) <= A(t): unrolling its least solution gives each of them. That is three rows a week in
    place of one for every pair of weeks.
    """
    program, numbers = model.program, model.numbers
    if not model.new:
        return
    for number, stuff in enumerate(numbers.problem.stuff):
        arrived, gone = numbers.arrived_l(stuff), numbers.gone_l(stuff)
        before = None
        for week in range(numbers.weeks):
            use = _use(model, number, week)
            line = program.new_int_var(gone[week], arrived[week], f"gone{number}_{week}")
            program.add(line >= gone[week] + use)
            if before is not None:
                program.add(line >= before + use)
            before = line


def _use(model: RotationModel, stuff: int, week: int) -> Any:
    numbers = model.numbers
    if week not in numbers.work_weeks:
        return 0
    return sum(
        numbers.need_l(numbers.problem.stuff[stuff], kind, week) * slot.built_as[number, week]
        for slot in model.new
        for number, kind in enumerate(slot.kinds)
    )


def hold_work(model: RotationModel) -> None:
    """Let no week have more work than its cap; weeks without time are shut to jobs already."""
    program, numbers = model.program, model.numbers
    most_stirring = max(
        (
            numbers.stirring(kind, stage)
            for slot in model.slots
            for kind in slot.kinds
            for stage in slot.stages
        ),
        default=0,
    )
    top = max(*numbers.caps, numbers.bins * most_stirring)
    intervals, demands = [], []
    for week in numbers.work_weeks:
        if numbers.caps[week] < top:
            intervals.append(program.new_fixed_size_interval_var(week, 1, f"cap{week}"))
            demands.append(top - numbers.caps[week])
    for slot in model.slots:
        for loads, literal, start in slot.jobs:
            name = f"{slot.name}_j{len(intervals)}"
            intervals.append(program.new_optional_fixed_size_interval_var(start, 1, literal, name))
            demands.append(loads)
        for stage in slot.stages:
            for number, kind in enumerate(slot.kinds):
                rate = numbers.stirring(kind, stage)
                if rate > 0:
                    literal = slot.happens_as[stage, number]
                    name = f"{slot.name}_t{stage}k{number}"
                    length = program.new_int_var(0, numbers.weeks, f"{name}_l")
                    intervals.append(
                        program.new_optional_interval_var(
                            slot.week[stage], length, slot.week[stage + 1], literal, name
                        )
                    )
                    demands.append(rate)
    program.add_cumulative(intervals, demands, top)


def note_jobs(model: RotationModel) -> None:
    """Note with each heap the jobs it may need."""
    for slot in model.slots:
        for event in slot.events:
            for number in range(len(slot.kinds)):
                slot.jobs += _jobs_by(model, slot, event, number)


def _jobs_by(
    model: RotationModel, slot: Slot, event: int, number: int
) -> list[tuple[int, Any, Any]]:
    numbers, kind = model.numbers, slot.kinds[number]
    literal, week = slot.happens_as[event, number], slot.week[event]
    if event in (BUILT, HARVESTED):
        job = JobKind.BUILD if event == BUILT else JobKind.HARVEST
        return [(numbers.loads(kind, job, min(event, Stage.CURE)), literal, week)]
    move = numbers.loads(kind, JobKind.MOVE, event)
    stir = numbers.loads(kind, JobKind.STIR, event)
    if move == stir:
        return [(move, literal, week)]
    return [
        (move, _both(model, literal, ~slot.stays[event]), week),
        (stir, _both(model, literal, slot.stays[event]), week),
    ]


def _both(model: RotationModel, one: Any, other: Any) -> Any:
    both = model.program.new_bool_var("")
    model.program.add_bool_and(one, other).only_enforce_if(both)
    model.program.add_bool_or(~one, ~other, both)
    return both


def tighten(model: RotationModel) -> None:
    """Add what follows from the rules already, for the sake of the bound.

    How many heaps were ever moved, or harvested, by a week is at most how many were built early
    enough for it; and no more heaps stand than there are bins.
    """
    program, numbers = model.program, model.numbers
    if not model.new:
        return
    weeks, lengths = numbers.work_weeks, numbers.problem.stage_weeks
    counts: dict[tuple[int, int], Any] = {}
    for event in range(BUILT, HARVESTED + 1):
        for week in weeks:
            count = program.new_int_var(0, numbers.bins, f"count{event}_{week}")
            program.add(count == sum(slot.in_week[event, week] for slot in model.new))
            counts[event, week] = count
    for event in range(BUILT + 1, HARVESTED + 1):
        ready = {week: week + sum(lengths[stage][week] for stage in range(event)) for week in weeks}
        for until in weeks:
            early = [week for week in weeks if ready[week] <= until]
            program.add(
                sum(counts[event, week] for week in weeks if week <= until)
                <= sum(counts[BUILT, week] for week in early)
            )
            if event == HARVESTED:
                for slot in model.new:
                    program.add(
                        sum(slot.in_week[event, week] for week in weeks if week <= until)
                        <= sum(slot.in_week[BUILT, week] for week in early)
                    )
    for until in weeks:
        stand = len(model.standing) - sum(
            slot.in_week[HARVESTED, week]
            for slot in model.standing
            for week in weeks
            if week <= until
        )
        built = sum(counts[BUILT, week] for week in weeks if week <= until)
        taken = sum(counts[HARVESTED, week] for week in weeks if week <= until)
        program.add(stand + built - taken <= numbers.bins)
