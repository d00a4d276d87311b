"""Says what comes of each option and how clear the choice is.

Knows the wording of a comparison. Decides nothing; what an option is as a job is told by
`whatif_jobs`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from heapwright.advice import remedies
from heapwright.advice.signs import Signs
from heapwright.advice.types import Advice, Interval, Sureness
from heapwright.mixing.words import high
from heapwright.sentences import (
    Measure,
    Sentence,
    Value,
    days,
    say,
    share,
    temperature,
    word,
)
from heapwright.wording import counted, worded
from heapwright.workshop.whatif_answer import NotPossible, WhatIf, WhatIfRow
from heapwright.workshop.whatif_jobs import (
    NO_REASON,
    PLAIN_WORDS,
    DayNamer,
    job_of,
    plain_words,
)

if TYPE_CHECKING:
    from heapwright.decisions.types import Decision, Range, Weighed

#: From this share of the runs on a choice is called likely and not a guess.
_LIKELY_SHARE = 0.75
#: Costs of waiting below this are not told.
_LEAST_TOLD_DAYS = 0.1

#: What a person may see differently, by the weight and the end of its range that would turn it.
_IF_WORTH = {
    "heat_days low": "If heat all through mattered less to you, {other} would be best.",
    "heat_days high": "If heat all through mattered more to you, {other} would be best.",
    "airless_days low": "If a sour smell mattered less to you, {other} would be best.",
    "airless_days high": "If a sour smell mattered more to you, {other} would be best.",
    "nitrogen_days low": "If lost nitrogen mattered less to you, {other} would be best.",
    "nitrogen_days high": "If lost nitrogen mattered more to you, {other} would be best.",
    "fly_days low": "If flies mattered less to you, {other} would be best.",
    "fly_days high": "If flies mattered more to you, {other} would be best.",
    "water_days_kg low": "If water mattered less to you, {other} would be best.",
    "water_days_kg high": "If water mattered more to you, {other} would be best.",
    "work_days_minute low": "If the work mattered less to you, {other} would be best.",
    "work_days_minute high": "If the work mattered more to you, {other} would be best.",
}


def advice_of(decision: Decision, signs: Signs, rule: Advice, name_day: DayNamer) -> Advice:
    """Return the best option as the day's job, complete.

    Parameters
    ----------
    decision : Decision
    signs : Signs
    rule : Advice
        What the trade's rule would say; its reading and its sureness stay where both agree.
    name_day : callable

    """
    best = decision.best
    base = _waiting(best, signs, name_day) if best.option.in_days else job_of(best.option, signs)
    agrees = base.job is rule.job
    return replace(
        base,
        reasons=(*(rule.reasons if agrees else _state(signs)), *_why(decision, name_day)),
        expected=(*_temperatures(best), *_outcome(best, decision.horizon_days)),
        sureness=rule.sureness if agrees else _sureness(decision),
        confidence=tuple(_confidence(decision, name_day)),
    )


def what_if_of(
    decision: Decision, signs: Signs, rule: Advice, name_day: DayNamer, *, stands: bool
) -> WhatIf:
    """Return the whole comparison for a face; `stands` when the rule's job goes before it."""
    rival = decision.rival
    return WhatIf(
        best=advice_of(decision, signs, rule, name_day),
        stands_before=rule.headline if stands else None,
        rows=tuple(_row(one, decision, signs, name_day) for one in decision.weighed),
        not_possible=tuple(NotPossible(str(one.doing), one.reason) for one in decision.forbidden),
        best_in=decision.best_in,
        members=decision.members,
        is_equal=decision.is_equal,
        margin_days=_interval(decision.margin_days),
        rival="" if rival is None else plain_words(rival.option, name_day),
        horizon_days=decision.horizon_days,
        notes=(*_turning(decision, name_day), *_basis(decision)),
    )


def _waiting(best: Weighed, signs: Signs, name_day: DayNamer) -> Advice:
    """Return the advice to leave it today because a later day of the best thing is better."""
    today = remedies.leave_until_tomorrow(
        signs,
        say("Leave it alone until {day}.", day=word(name_day(best.option.in_days))),
        NO_REASON,
        Sureness.GUESS,
    )
    plan = say("Then: {what}.", what=word(high(PLAIN_WORDS[best.option.doing.value])))
    return replace(today, afterwards=(plan,))


def _state(signs: Signs) -> tuple[Sentence, ...]:
    """Return how it stands, where the rule's own reason belongs to another job."""
    view, reading = signs.view, signs.fresh_reading
    told = []
    if reading is not None:
        told.append(say("It reads {now}.", now=temperature(reading.temperature_c)))
    if view.degradable_left is not None and view.moisture is not None:
        told.append(
            say(
                "By the model {left} of its food for heat is left and it holds about {moisture} "
                "water.",
                left=share(view.degradable_left.likely),
                moisture=share(view.moisture.likely),
            )
        )
    return tuple(told)


def _why(decision: Decision, name_day: DayNamer) -> tuple[Sentence, ...]:
    best = decision.best
    if best.option.doing.value == "leave":
        if decision.rival is None:
            return ()
        return (
            say(
                "Of what could be done today {other} comes nearest, and it is not worth the work: "
                "finished {sooner}.",
                other=word(plain_words(decision.rival.option, name_day)),
                sooner=word(_sooner_words(decision.rival.sooner_days.likely)),
            ),
        )
    return (
        say(
            "Of {count} things compared this does most: finished {sooner} than left alone.",
            count=Value(len({one.option.doing for one in decision.weighed}), Measure.COUNT),
            sooner=word(_sooner_words(best.sooner_days.likely)),
        ),
    )


def _sooner_words(number: float) -> str:
    """Return "2.5 days sooner", "half a day later", "no sooner"."""
    rounded = round(number, 1)
    if abs(rounded) < 0.1:
        return worded("no sooner")
    if rounded > 0:
        return counted("{n} day sooner", "{n} days sooner", rounded)
    return counted("{n} day later", "{n} days later", -rounded)


def _temperatures(one: Weighed) -> Iterator[Sentence]:
    """Yield what the thermometer should say tomorrow and some days on."""
    probe = one.measures.probe_c
    for day, template in (
        (1, "Expect {low} to {high} this time tomorrow."),
        (4, "In four days {low} to {high}."),
    ):
        if day < probe.shape[0]:
            low_c, high_c = np.percentile(probe[day], [10.0, 90.0])
            yield say(template, low=temperature(float(low_c)), high=temperature(float(high_c)))


def _outcome(one: Weighed, horizon_days: int) -> Iterator[Sentence]:
    finished = _percentiles(one.measures.days_left)
    yield say(
        "Finished in about {likely} ({low} to {high}) if it is kept well from then on.",
        likely=days(round(finished.likely)),
        low=Value(round(finished.low), Measure.COUNT),
        high=days(round(finished.high)),
    )
    hot = _percentiles(one.measures.hot_share)
    yield say(
        "In {days} about {likely} of it will have been hot for three days ({low} to {high}), by "
        "the model.",
        days=days(horizon_days),
        likely=share(hot.likely),
        low=share(hot.low),
        high=share(hot.high),
    )


def _sureness(decision: Decision) -> Sureness:
    is_clear = decision.best_in >= _LIKELY_SHARE * decision.members
    return Sureness.LIKELY if is_clear and not decision.is_equal else Sureness.GUESS


def _confidence(decision: Decision, name_day: DayNamer) -> Iterator[Sentence]:
    if decision.rival is None:
        yield say("Nothing else can be done with it now.")
        return
    other = word(plain_words(decision.rival.option, name_day))
    runs = {
        "count": Value(decision.best_in, Measure.COUNT),
        "members": Value(decision.members, Measure.COUNT),
    }
    if decision.is_equal:
        yield say("As good as {other}, as far as can be told; this is less work.", other=other)
    else:
        yield say("Best in {count} of {members} runs of the model.", **runs)
        yield _gain_words(
            decision.margin_days, "{gain} than {other} ({range}), all things counted.", other
        )
    yield from _against_leaving(decision)
    yield from _waiting_costs(decision, name_day)


def _gain_words(gain: Range, template: str, other: Value) -> Sentence:
    """Return how much better or worse, with the range: "0.8 days better (0.3 worse to 1.5)"."""
    is_better = round(gain.likely, 1) >= 0
    ends = (gain.low, gain.high) if is_better else (-gain.high, -gain.low)
    opposite = "{days:.1f} worse" if is_better else "{days:.1f} better"
    low_, high_ = (
        worded(opposite if round(end, 1) < 0 else "{days:.1f}", days=abs(end)) for end in ends
    )
    likely = abs(gain.likely)
    return say(
        template,
        gain=word(
            worded("{likely:.1f} days better", likely=likely)
            if is_better
            else worded("{likely:.1f} days worse", likely=likely)
        ),
        range=word(worded("{low} to {high}", low=low_, high=high_)),
        other=other,
    )


def _against_leaving(decision: Decision) -> Iterator[Sentence]:
    best, rival = decision.best, decision.rival
    if best.option.doing.value == "leave":
        return
    if rival is not None and rival.option.doing.value == "leave":
        return
    other = word("leaving it alone")
    yield _gain_words(best.better_days, "{gain} than {other} ({range}).", other)


def _waiting_costs(decision: Decision, name_day: DayNamer) -> Iterator[Sentence]:
    """Yield what it costs to do the best thing on the last later day that was looked at."""
    best = decision.best
    later = [
        one
        for one in decision.weighed
        if one.option.doing is best.option.doing and one.option.in_days > best.option.in_days
    ]
    if not later:
        return
    last = max(later, key=lambda one: one.option.in_days)
    cost = float((last.cost_days - best.cost_days).mean())
    day = word(name_day(last.option.in_days))
    if cost >= _LEAST_TOLD_DAYS:
        yield say("Waiting until {day} costs {cost}.", day=day, cost=days(round(cost, 1)))
    else:
        yield say("It can wait until {day}.", day=day)


def _row(one: Weighed, decision: Decision, signs: Signs, name_day: DayNamer) -> WhatIfRow:
    option, found = one.option, one.measures
    base = job_of(option, signs)
    headline = base.headline
    if option.doing.value == "leave":
        headline = say("Leave it alone.")
    elif option.in_days:
        headline = say(
            "{what} on {day}.",
            what=word(high(PLAIN_WORDS[option.doing.value])),
            day=word(name_day(option.in_days)),
        )
    horizon = decision.horizon_days
    return WhatIfRow(
        doing=option.doing.value,
        in_days=option.in_days,
        headline=headline,
        amounts=base.amounts if not option.in_days else (),
        gain=_row_gain(one),
        is_chosen=one is decision.best,
        better_days=_interval(one.better_days),
        sooner_days=_interval(one.sooner_days),
        finished_in_days=_percentiles(found.days_left),
        hot_share=_percentiles(found.hot_share),
        airless_share=float(np.median(found.airless_days)) / horizon,
        nitrogen_lost=float(np.median(found.nitrogen_lost)),
        fly_share=float(np.median(found.fly_days)) / horizon,
        moisture=_percentiles(found.moisture),
        water_kg=found.water_given_kg,
        barrows=found.barrows,
        work_minutes=found.work_minutes,
    )


def _row_gain(one: Weighed) -> Sentence:
    if one.option.doing.value == "leave":
        return say("What the others are held against.")
    return _gain_words(one.better_days, "{gain} than {other} ({range}).", word("leaving it"))


def _turning(decision: Decision, name_day: DayNamer) -> Iterator[Sentence]:
    told: set[str] = set()
    for key, one in decision.turning.items():
        other = plain_words(one.option, name_day)
        if key.split()[0] not in told:
            told.add(key.split()[0])
            yield say(_IF_WORTH[key], other=word(other))


def _basis(decision: Decision) -> Sequence[Sentence]:
    return (
        say(
            "{members} runs of the fitted model, each option with the same ones, {days} ahead; "
            "the time to finished beyond that assumes a heap kept well. Heat, smell, flies, water "
            "and work are turned into days by a table of our own choice.",
            members=Value(decision.members, Measure.COUNT),
            days=days(decision.horizon_days),
        ),
    )


def _interval(found: Range) -> Interval:
    return Interval(found.low, found.likely, found.high)


def _percentiles(values: np.ndarray) -> Interval:
    low_, likely, high_ = np.percentile(values, [10.0, 50.0, 90.0])
    return Interval(float(low_), float(likely), float(high_))
