"""Looks ahead to the finished heap: the date as a range, and mass, nitrogen and volume to expect.

Knows how a weighed ensemble and the entries come together for `finish.dates` and
`finish.outcome`. Judges no test.
"""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from heapwright.advice.types import Interval
from heapwright.finish.dates import (
    DayRange,
    cured_in_days,
    day_range,
    days_until_spent,
    middle_eight_in_ten,
    spread_over,
)
from heapwright.finish.guides import limits
from heapwright.finish.outcome import (
    finished_dry_kg,
    finished_volume_m3,
    finished_wet_kg,
    shrunk_volume_m3,
)
from heapwright.finish.together import cure_days
from heapwright.finish.types import Verdict
from heapwright.heap.types import ActionKind, Fill
from heapwright.sentences import Measure, Sentence, Value, days, say, span
from heapwright.workshop.model import HeapModel
from heapwright.workshop.ready_answer import Expected, ReadyDate
from heapwright.workshop.ready_kept_well import kept_well, kept_well_words
from heapwright.workshop.ready_tests import DAY, Tested, in_a_word

FloatArray = NDArray[np.float64]
#: Draws of the curing time where the end of the hot work is known.
_DRAWS = 32
#: A member that stands still is later than all others; infinities cannot be interpolated.
_FAR_BEYOND = 10.0


def ready_date(told: Tested, now: datetime, model: HeapModel | None) -> ReadyDate | None:
    """Return when the heap will have cured, as a range; None when nothing tells it."""
    found = _hot_work(told, model)
    if found is None:
        return None
    ends, basis = found
    cure = cure_days(told.risks)
    cured = np.minimum(cured_in_days(ends, cure), _FAR_BEYOND * limits()["farthest_days"].typical)
    low, likely, high = _three(cured, model)
    days_ahead = day_range(low, likely, high, not_before=_until_retest(told, now))
    basis += (_cure_basis(told, cure.low, cure.high),)
    if in_a_word(told) == "not yet":
        basis += (say("A test did not pass: not before it is done again."),)
    return ReadyDate(
        low_days=days_ahead.low,
        likely_days=days_ahead.likely,
        high_days=days_ahead.high,
        low=_on(now, days_ahead.low),
        likely=_on(now, days_ahead.likely),
        high=_on(now, days_ahead.high),
        hot_work_days=_hot_work_days(ends, model),
        told=_date_words(days_ahead),
        kept_well=_kept_well(told, now, model, ends, days_ahead),
        basis=basis,
    )


def _kept_well(
    told: Tested, now: datetime, model: HeapModel | None, ends: FloatArray, at_pace: DayRange
) -> Sentence | None:
    if model is None or not np.any(ends > 0):
        return None
    return kept_well_words(kept_well(told, model, _until_retest(told, now)), at_pace)


def _three(values: FloatArray, model: HeapModel | None) -> tuple[float, float, float]:
    """Return low, likely and high of one value per member; without a model all weigh the same."""
    if model is None or values.shape[0] != _members(model):
        return middle_eight_in_ten(values)
    found = model.interval(values)
    return found.low, found.likely, found.high


def _members(model: HeapModel) -> int:
    return int(model.run.degradable_left.shape[1])


def _hot_work(
    told: Tested, model: HeapModel | None
) -> tuple[FloatArray, tuple[Sentence, ...]] | None:
    """Return when the hot work ends by member, in days from now, and why; None when unknown."""
    if told.curing_days is not None:
        done = say("It has cured for {done}, as written down.", done=days(told.curing_days))
        return np.full(_DRAWS, -told.curing_days), (done,)
    if told.reheating.verdict is Verdict.PASSED:
        return np.zeros(_DRAWS), (told.reheating.reason,)
    if model is None:
        return None
    table, members = limits(), _members(model)
    ends = days_until_spent(
        model.run.degradable_left,
        model.now_index,
        spread_over(table["spent_share"], members),
        spread_over(table["slowing"], members, turn=1),
    )
    ahead = (model.run.degradable_left.shape[0] - 1 - model.now_index) / 24
    return ends, _model_basis(members, ahead)


def _model_basis(members: int, ahead: float) -> tuple[Sentence, ...]:
    table = limits()
    spent, slowing = table["spent_share"], table["slowing"]
    return (
        say(
            "The hot work ends when {spent} of its food for heat is left (from memory), in "
            "{members} runs of the model.",
            spent=span(spent.low, spent.high, Measure.SHARE),
            members=Value(members, Measure.COUNT),
        ),
        say(
            "Beyond {ahead} each run goes on at its own pace, up to {slow} times slower (from "
            "memory): water it and turn it, and it will be sooner.",
            ahead=days(ahead),
            slow=Value(slowing.high, Measure.COUNT),
        ),
    )


def _cure_basis(told: Tested, low: float, high: float) -> Sentence:
    time = span(low, high, Measure.DAYS)
    if told.risks.manure is False:
        return say("Then it cures {time} (from memory).", time=time)
    if told.risks.manure is None:
        return say(
            "Then it cures {time}, as a heap with manure (Georgia Extension), for what went in is "
            "not known.",
            time=time,
        )
    return say("Then it cures {time}: manure went in (Georgia Extension).", time=time)


def _until_retest(told: Tested, now: datetime) -> float:
    if in_a_word(told) != "not yet":
        return 0.0
    newest = max(one.at for one in told.done if one.counts and one.judged.verdict.says_no)
    return max(0.0, limits()["retest_days"].typical - (now - newest) / DAY)


def _hot_work_days(ends: FloatArray, model: HeapModel | None) -> Interval | None:
    if model is None or not np.any(ends > 0):
        return None
    low, likely, high = _three(np.minimum(ends, limits()["farthest_days"].typical), model)
    return Interval(low, likely, high)


def _on(now: datetime, ahead: float | None) -> datetime | None:
    return None if ahead is None else now + timedelta(days=ahead)


def _date_words(found: DayRange) -> Sentence:
    if found.low is None:
        return say("More than a year at this pace: it stands almost still.")
    if found.likely is None:
        soonest = days(found.low)
        return say("In {low} at the soonest, likely in more than a year.", low=soonest)
    if found.likely < 1.0:
        return say("It may be ready now: the tests decide.")
    told = {"low": Value(round(found.low), Measure.COUNT), "likely": days(found.likely)}
    if found.high is None:
        return say("In {low} days to more than a year, likely {likely}.", **told)
    return say("In {low} to {high}, likely {likely}.", high=days(found.high), **told)


def expected(model: HeapModel) -> Expected | None:
    """Return mass, nitrogen and volume when the heap is finished; None when nothing is left."""
    run, now = model.run, model.now_index
    dry_now, left = run.dry_mass_kg[now], run.degradable_left[now]
    if not np.all(dry_now > 0):
        return None
    at_end = spread_over(limits()["cured_share"], _members(model), turn=6)
    dry = finished_dry_kg(dry_now, _degradable_share(model.history.fills[0]), left, at_end)
    wet = finished_wet_kg(dry)
    built = np.array([fill.volume_m3 for fill in model.history.fills])
    nitrogen = run.nitrogen_kg[-1]
    by_mass, by_shrinking, weight, share_of_nitrogen = (
        Interval(*_three(values, model))
        for values in (finished_volume_m3(wet), shrunk_volume_m3(built), wet, nitrogen / dry)
    )
    return Expected(
        dry_mass_kg=model.interval(dry),
        wet_mass_kg=weight,
        nitrogen_kg=model.interval(nitrogen),
        nitrogen_dry=share_of_nitrogen,
        volume_m3=by_mass,
        volume_by_shrinking_m3=by_shrinking,
        told=_expected_words(by_mass, by_shrinking, weight, share_of_nitrogen),
        basis=_expected_basis(model),
    )


def _degradable_share(fill: Fill) -> float:
    return (1.0 - fill.ash_dry) * (fill.fast_share + fill.medium_share)


def _expected_words(
    by_mass: Interval, by_shrinking: Interval, wet: Interval, nitrogen: Interval
) -> tuple[Sentence, ...]:
    whole = (
        say(
            "{volume} of compost, {mass}.",
            volume=span(
                min(by_mass.low, by_shrinking.low),
                max(by_mass.high, by_shrinking.high),
                Measure.VOLUME,
            ),
            mass=span(wet.low, wet.high, Measure.MASS),
        ),
        say(
            "Nitrogen: {nitrogen} of its dry mass.",
            nitrogen=span(nitrogen.low, nitrogen.high, Measure.SHARE),
        ),
    )
    if by_mass.high >= by_shrinking.low and by_shrinking.high >= by_mass.low:
        return whole
    return (
        *whole,
        say(
            "Two ways to reckon disagree: by its mass and the density of finished compost it is "
            "{by_mass}, by published shrinking {by_shrinking}. Light, coarse compost lies nearer "
            "the second.",
            by_mass=span(by_mass.low, by_mass.high, Measure.VOLUME),
            by_shrinking=span(by_shrinking.low, by_shrinking.high, Measure.VOLUME),
        ),
    )


def _expected_basis(model: HeapModel) -> tuple[Sentence, ...]:
    table = limits()
    density, left = table["finished_density_kg_m3"], table["finished_share_of_volume"]
    basis = [
        say(
            "Dry mass and nitrogen are the model's, less what still rots; nitrogen lost later than "
            "its forecast is not in it."
        ),
        say(
            "Finished compost weighs {density} (two public sources) and fills {left} of the first "
            "volume (Colorado State, Chester County).",
            density=span(density.low, density.high, Measure.DENSITY),
            left=span(left.low, left.high, Measure.SHARE),
        ),
    ]
    if any(one.kind is ActionKind.ADD for one in model.history.actions):
        basis.append(say("What was added later is counted only as the model weighs it."))
    return tuple(basis)
