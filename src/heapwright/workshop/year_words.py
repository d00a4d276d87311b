"""Says how a year goes: what it comes to, how sure that is, what changed, what is not known.

Knows wording only.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from heapwright.journal.entries_year import WishesState
from heapwright.mixing.targets import target
from heapwright.season.rotation_plan import PlannedBatch, Proof, RotationPlan
from heapwright.season.rotation_types import RotationProblem
from heapwright.sentences import (
    Measure,
    Sentence,
    Value,
    say,
    share,
    span,
    volume,
    word,
)
from heapwright.wording import counted, dated, worded
from heapwright.workshop.year_answer import YearBed

#: Less than this is missing only on paper: plans count in whole litres. [m³]
_NOTHING_M3 = 0.001


def heap_name(number: int) -> str:
    """Return what a heap is called that is only planned yet."""
    return worded("heap {number}", number=number)


def work_told(loads: float) -> str:
    """Return how much work a job is, in barrow loads."""
    if loads < 0.75:
        return worded("About half a barrow load of work.")
    return counted(
        "About {n} barrow load of work.", "About {n} barrow loads of work.", round(loads)
    )


def loads_shown(loads: float) -> str:
    """Return barrow loads as a figure of a table."""
    return f"{round(loads)}" if loads >= 0.75 else "½"


def day_word(day: date) -> Value:
    """Return a day of the year as a word of a sentence."""
    return word(dated(day, "d MMMM y"))


def headline(plan: RotationPlan, beds: Sequence[YearBed], built: int) -> Sentence:
    """Return what the year comes to, in one sentence."""
    missing = [one for one in beds if one.short_m3 > _NOTHING_M3]
    if not built and not any(one.is_standing for one in plan.batches):
        return say("Nothing can be built this year from what the plan knows of.")
    if not beds:
        return say("The year surely gives {volume} of compost.", volume=volume(plan.made_m3))
    if not missing:
        return say("By this plan every bed gets its compost in time.")
    first = min(missing, key=lambda one: one.due)
    return say(
        "{short} of compost is missing in the year, first for {bed} on {day}.",
        short=volume(sum(one.short_m3 for one in missing)),
        bed=word(first.name),
        day=day_word(first.due),
    )


def proof(plan: RotationPlan) -> Sentence:
    """Return how sure it is that no plan is better."""
    if plan.proof is Proof.PROVED:
        return say("Proved: by these weights no plan is better.")
    if plan.proof is Proof.WITHIN_GAP:
        return say(
            "A better plan may exist; it would be better by {gap} at the most.",
            gap=word(_per_cent(plan.gap)),
        )
    return say("Made by simple rules; a better plan may exist.")


def _per_cent(part: float) -> str:
    return f"{100.0 * part:.1f} %"


def batch_told(
    batch: PlannedBatch, built: date | None, low: date | None, high: date | None
) -> Sentence:
    """Return what becomes of a heap, in a sentence."""
    made = batch.yield_m3
    gives = span(made.sure, made.high, Measure.VOLUME)
    if low is None or high is None:
        if built is None:
            return say("Gives {volume}, after this year.", volume=gives)
        return say(
            "Built about {built}; gives {volume}, after this year.",
            built=day_word(built),
            volume=gives,
        )
    if low == high:
        if built is None:
            return say("Ready about {day}; gives {volume}.", day=day_word(low), volume=gives)
        return say(
            "Built about {built}, ready about {day}; gives {volume}.",
            built=day_word(built),
            day=day_word(low),
            volume=gives,
        )
    if built is None:
        return say(
            "Ready between {low} and {high}; gives {volume}.",
            low=day_word(low),
            high=day_word(high),
            volume=gives,
        )
    return say(
        "Built about {built}, ready between {low} and {high}; gives {volume}.",
        built=day_word(built),
        low=day_word(low),
        high=day_word(high),
        volume=gives,
    )


def bed_told(
    wished_m3: float, served_m3: float, due: date, chance: tuple[float, float, float] | None
) -> Sentence:
    """Return how a bed is served, in a sentence."""
    wished, day = volume(wished_m3), day_word(due)
    if wished_m3 - served_m3 > _NOTHING_M3:
        return say(
            "Wants {wished} by {day}: {served} is surely there, {short} is to be bought in or "
            "waits.",
            wished=wished,
            day=day,
            served=volume(served_m3, like=wished_m3),
            short=volume(wished_m3 - served_m3, like=wished_m3),
        )
    if chance is None:
        return say("Wants {wished} by {day}: it is there.", wished=wished, day=day)
    return say(
        "Wants {wished} by {day}: it is there in {low} to {high} of the years tried.",
        wished=wished,
        day=day,
        low=share(chance[1]),
        high=share(chance[2]),
    )


def basis(problem: RotationProblem, wishes: WishesState) -> tuple[Sentence, ...]:
    """Return what a plan rests on, besides the stages of a heap."""
    form = problem.form.yield_share
    return (
        *_small_bins(problem),
        _filling(wishes.gather_weeks),
        say(
            "Compost is {low} to {high} of what is built in; the plan counts on {sure}.",
            low=share(form.sure),
            high=share(form.high),
            sure=share(form.sure),
        ),
        say(
            "What a litre for a bed counts against work, waiting and changes is our choice, told "
            "in docs/rotation.md."
        ),
    )


def _small_bins(problem: RotationProblem) -> tuple[Sentence, ...]:
    """Return that a bin lies between the sizes from which heaps are said to heat."""
    size = target("wish_least_heap_m3")
    if not any(size.low <= one.volume_m3 < size.typical for one in problem.bins):
        return ()
    return (
        say(
            "Sources say that a heap heats from {low} on, or from {typical} on: a bin between the "
            "two heats less surely.",
            low=volume(size.low),
            typical=volume(size.typical),
        ),
    )


def _filling(weeks: int) -> Sentence:
    if weeks == 0:
        return say("A heap is taken to be built in one go.")
    return say(
        "A heap is taken to be filled over {weeks}, greens laid in with brown as they come.",
        weeks=word(counted("{n} week", "{n} weeks", weeks)),
    )


def lacking(
    problem: RotationProblem, *, has_wishes: bool, has_arrivals: bool, loads: float
) -> tuple[Sentence, ...]:
    """Return what the plan does not know."""
    told = []
    if not has_arrivals:
        told.append(
            say("Nobody said what arrives through the year; only what is on hand is counted.")
        )
    if not problem.beds:
        told.append(say("No bed is entered; compost is made as much and as early as can be."))
    if not has_wishes:
        told.append(
            say(
                "Working days are taken as Saturday and Sunday, with {loads} barrow loads a week.",
                loads=word(f"{loads:.0f}"),
            )
        )
    return tuple(told)
