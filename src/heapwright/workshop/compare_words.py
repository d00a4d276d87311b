"""The words of a comparison: patterns, what is usual, what weakens it, what to mind.

Knows wording only. Every pattern is told as what went together, with how often chance does as
much; none is told as a cause.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from heapwright.season.between import Between, Middle
from heapwright.season.compared import settings
from heapwright.sentences import (
    Measure,
    Sentence,
    Value,
    days,
    inside,
    say,
    share,
    span,
    temperature,
    word,
)
from heapwright.wording import counted
from heapwright.workshop.batch_story_words import CAUTIONS as STORY_CAUTIONS
from heapwright.workshop.compare_answer import (
    Choice,
    Finding,
    HeapCompared,
    Outcome,
    Standing,
)

CAUTIONS = STORY_CAUTIONS
#: What a heap had more of.
MORE: Mapping[Choice, Sentence] = {
    Choice.C_TO_N: say("Built with more carbon to nitrogen"),
    Choice.MOISTURE: say("Built wetter"),
    Choice.VOLUME: say("Built larger"),
    Choice.WARMTH: say("Built in warmer weather"),
    Choice.TURNS: say("Turned more often in the first fortnight"),
    Choice.WATER: say("Given more water in the first fortnight"),
}
_BOTH_WAYS: Mapping[Outcome, tuple[Sentence, Sentence]] = {
    Outcome.DAYS_HOT: (say("hot for longer"), say("hot for a shorter time")),
    Outcome.DAYS_TO_FINISHED: (say("finished later"), say("finished sooner")),
    Outcome.YIELD_SHARE: (say("more was left of it"), say("less was left of it")),
}
#: Chances above the first are told as a coin's, below the second not in numbers; ours.
_EVEN, _SELDOM = 0.4, 0.001
#: An interval that holds less often than this is not told; ours.
_WORTH_A_RANGE = 0.7


def came_of_it(outcome: Outcome, hot_c: float, *, is_more: bool) -> Sentence:
    """Return what more or less of an outcome is called, for the middle of a sentence."""
    if outcome is Outcome.DAYS_TO_HOT:
        hot = temperature(hot_c)
        return say("later at {hot}", hot=hot) if is_more else say("sooner at {hot}", hot=hot)
    return _BOTH_WAYS[outcome][0 if is_more else 1]


def with_words(found: Finding, hot_c: float) -> Finding:
    """Return a finding with its sentences."""
    return replace(found, told=tuple(_finding(found, hot_c)))


def _finding(found: Finding, hot_c: float) -> Iterator[Sentence]:
    decided = found.agree + found.against
    choice = inside(MORE[found.choice])
    if found.agree == found.against:
        yield say(
            "{choice}: no leaning here, {agree} pairs of heaps one way and {against} the other.",
            choice=choice,
            agree=count_of(found.agree),
            against=count_of(found.against),
        )
    else:
        is_more = found.agree > found.against
        yield say(
            "{choice}: {outcome} here, in {agree} of {decided} pairs of heaps.",
            choice=choice,
            outcome=inside(came_of_it(found.outcome, hot_c, is_more=is_more)),
            agree=count_of(max(found.agree, found.against)),
            decided=count_of(decided),
        )
    yield from _halves(found)
    yield from _worth(found)


def _halves(found: Finding) -> Iterator[Sentence]:
    if found.less is not None and found.more is not None and found.less.count > 1:
        yield say(
            "The {less_count} heaps with least of it: {less} in the middle; the {more_count} with "
            "most: {more}.",
            less_count=count_of(found.less.count),
            less=inside(middle_told(found.outcome, found.less)),
            more_count=count_of(found.more.count),
            more=inside(middle_told(found.outcome, found.more)),
        )
    if found.shift is not None and found.shift.covers >= _WORTH_A_RANGE:
        measure = Measure.SHARE if found.outcome is Outcome.YIELD_SHARE else Measure.DAYS
        yield say(
            "The difference, most less least: {likely}; a range that holds it in about {covers} of "
            "cases is {range}.",
            likely=Value(found.shift.likely, measure),
            range=span(found.shift.low, found.shift.high, measure),
            covers=share(found.shift.covers),
        )


def _worth(found: Finding) -> Iterator[Sentence]:
    if found.standing is Standing.TOO_FEW and found.least_chance > _EVEN:
        yield say(
            "{heaps} heaps, known as closely as they are, are too few to tell: even the plainest "
            "order would come by chance about as often as not.",
            heaps=count_of(found.heaps),
        )
        return
    if found.standing is Standing.TOO_FEW:
        yield say(
            "{heaps} heaps, known as closely as they are, are too few to tell: even the plainest "
            "order would come by chance 1 in {times} times.",
            heaps=count_of(found.heaps),
            times=count_of(_one_in(found.least_chance)),
        )
        return
    if found.chance > _EVEN:
        yield say("Chance alone does as much about as often as not.")
    elif found.chance < _SELDOM:
        yield say(
            "Chance alone would do as much less than 1 in {times} times.",
            times=count_of(_one_in(_SELDOM)),
        )
    else:
        yield say(
            "Chance alone would do as much about 1 in {times} times.",
            times=count_of(_one_in(found.chance)),
        )
    if found.standing is Standing.CLEAR:
        yield say("Clear, even among all the patterns looked at; what causes it is not told.")
    elif found.standing is Standing.HINT:
        yield say("A hint, no more: among so many patterns one like this is to be expected.")


def _one_in(chance: float) -> int:
    return max(1, round(1.0 / chance))


def count_of(number: float) -> Value:
    """Return a number of things."""
    return Value(float(number), Measure.COUNT)


def usual(outcome: Outcome, found: Middle, hot_c: float) -> Sentence:
    """Return what is usual of an outcome here, with how many heaps say so."""
    values = {
        "middle": inside(middle_told(outcome, found)),
        "range": inside(range_told(outcome, found)),
        "count": count_of(found.count),
    }
    if outcome is Outcome.DAYS_TO_HOT:
        return say(
            "To the first reading of {hot}: {middle} in the middle of {count} heaps; {range}.",
            hot=temperature(hot_c),
            **values,
        )
    return say(_USUAL[outcome].template, **values)


_USUAL: Mapping[Outcome, Sentence] = {
    Outcome.DAYS_HOT: say(
        "Hot where the thermometer stood: {middle} in the middle of {count} heaps; {range}."
    ),
    Outcome.DAYS_TO_FINISHED: say("To finished: {middle} in the middle of {count} heaps; {range}."),
    Outcome.YIELD_SHARE: say(
        "Left of what was built: {middle} in the middle of {count} heaps; {range}."
    ),
}


def middle_told(outcome: Outcome, found: Middle) -> Sentence:
    """Return a median with the room its bounds leave."""
    return bounds_told(outcome, Between(found.low, found.high))


def range_told(outcome: Outcome, found: Middle) -> Sentence:
    """Return how far the heaps reach."""
    if found.most is None:
        least = share(found.least) if outcome is Outcome.YIELD_SHARE else days(round(found.least))
        return say("the least {least}, the most not known", least=least)
    reach = bounds_told(outcome, Between(found.least, found.most))
    return say("all of them {reach}", reach=inside(reach))


def bounds_told(outcome: Outcome, found: Between) -> Sentence:
    """Return a number known within bounds: "5 days", "3 to 7 days", "more than 40 days"."""
    if found.high is None:
        low = share(found.low) if outcome is Outcome.YIELD_SHARE else days(round(found.low))
        return say("more than {low}", low=low)
    if outcome is Outcome.YIELD_SHARE:
        return say("{value}", value=span(found.low, found.high, Measure.SHARE))
    if round(found.low) == 0 < round(found.high):
        return say("within {high}", high=days(round(found.high)))
    return say("{value}", value=span(round(found.low), round(found.high), Measure.DAYS))


def headline(heaps: Sequence[HeapCompared], findings: Sequence[Finding]) -> tuple[Sentence, ...]:
    """Return what the heaps say together, in few sentences."""
    return tuple(_headline(heaps, findings))


def _headline(heaps: Sequence[HeapCompared], findings: Sequence[Finding]) -> Iterator[Sentence]:
    if len(heaps) < settings()["least_heaps"]:
        yield say(
            "Patterns are looked for from {count} heaps on; here you see each by itself.",
            count=count_of(settings()["least_heaps"]),
        )
        return
    clear = sum(one.standing is Standing.CLEAR for one in findings)
    hints = sum(one.standing is Standing.HINT for one in findings)
    if findings and all(one.standing is Standing.TOO_FEW for one in findings):
        yield say("{count} heaps are too few to tell what worked here.", count=count_of(len(heaps)))
    elif clear:
        yield say(
            "Of {looked} patterns looked at among {count} heaps, clear: {clear}; hints: {hints}.",
            looked=count_of(len(findings)),
            count=count_of(len(heaps)),
            clear=count_of(clear),
            hints=count_of(hints),
        )
    else:
        yield say(
            "Of {looked} patterns looked at among {count} heaps none is clear; hints: {hints}.",
            looked=count_of(len(findings)),
            count=count_of(len(heaps)),
            hints=count_of(hints),
        )
    yield say(
        "What went together is no cause: a wetter heap may also have been a larger one, or built "
        "in another season."
    )


def notes(heaps: Sequence[HeapCompared]) -> tuple[Sentence, ...]:
    """Return what weakens the comparison."""
    return tuple(_notes(heaps))


def _notes(heaps: Sequence[HeapCompared]) -> Iterator[Sentence]:
    unseen = [one for one in heaps if one.weather is not None and one.weather.seen_share < 1.0]
    if unseen:
        yield say(
            "The weather of {heaps} is a usual year's, in part or whole, not what was measured.",
            heaps=word(counted("{n} heap", "{n} heaps", len(unseen))),
        )
    if any(one.c_to_n is not None for one in heaps):
        yield say(
            "Carbon to nitrogen and moisture are worked out from tables; heaps are set in order "
            "by the likely value."
        )
    if any(one.hot.estimated_days is not None for one in heaps):
        yield say(
            "Days without a reading are the model's, drawn through the readings about them; where "
            "more than {gap} lie between readings nothing is said.",
            gap=days(settings()["hot_gap_days"]),
        )
