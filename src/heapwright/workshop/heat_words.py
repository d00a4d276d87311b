"""Says how far a rule of heat is met, by what was seen and by what is inferred, in short words.

Knows rounding that never flatters: what is proven is rounded down. Knows no page and no terminal.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from heapwright.sanitation.rules import Rule
from heapwright.sanitation.seen import SeenDay, SeenRule
from heapwright.sentences import Measure, Sentence, Value, inside, say, share
from heapwright.workshop.heat_answer import FindingShare, InferredRule

#: Below this no part of the heap is worth naming: one parcel in two hundred.
_NOTHING = 0.005


#: The most days a strip of days shows, and how many of them stay after the last hot one or turn.
MOST_DAYS = 60
_DAYS_AFTER = 3


def telling_days(days: Sequence[SeenDay], hot_c: float) -> tuple[SeenDay, ...]:
    """Return the days worth showing: from the first to a little after the last hot one or turn."""
    telling = [
        number
        for number, day in enumerate(days, start=1)
        if day.turns or (day.highest_c is not None and day.highest_c >= hot_c)
    ]
    last = max(telling, default=0) + _DAYS_AFTER
    return tuple(days[: min(max(last, 2 * _DAYS_AFTER), MOST_DAYS)])


def seen_words(rule: Rule, seen: SeenRule) -> Sentence:
    """Return how far the readings prove a rule: "4 of 15 days, 1 of 5 turnings."."""
    if rule.days is None:
        if seen.share_done >= 1.0:
            return say("All of the time it wants.")
        return say("{done} of the time it wants.", done=share(_down(seen.share_done, 0.01)))
    days = {
        "proven": _count(min(_down(seen.days_proven, 0.1), rule.days)),
        "wanted": _count(rule.days),
    }
    if rule.turnings is None:
        return say("{proven} of {wanted} days.", **days)
    return say(
        "{proven} of {wanted} days, {turned} of {turnings} turnings.",
        turned=_count(min(seen.turnings_proven, rule.turnings)),
        turnings=_count(rule.turnings),
        **days,
    )


def inferred_words(inferred: InferredRule) -> Sentence:
    """Return the share of the heap: "35 to 67 % of it, likely 53 %."."""
    low, likely, high = (
        share(value) for value in (inferred.share.low, inferred.share.likely, inferred.share.high)
    )
    if inferred.share.high < _NOTHING:
        return say("None of the heap.")
    if round(inferred.share.low, 2) == round(inferred.share.high, 2):
        return say("{likely} of the heap.", likely=likely)
    return say("{low} to {high} of the heap, likely {likely}.", low=low, high=high, likely=likely)


def chance_words(inferred: InferredRule) -> Sentence:
    """Return how many of the runs have nine tenths of the heap through it."""
    chance = inferred.chance_of_nine_tenths
    if chance <= 0.0:
        return say("Nine tenths of it: in none of the runs.")
    if round(chance, 2) >= 1.0:
        return say("Nine tenths of it and more: in all of the runs.")
    return say("Nine tenths of it and more: in {chance} of the runs.", chance=share(chance))


def turnings_words(rule: Rule, inferred: InferredRule) -> Sentence | None:
    """Return how many turnings fell into the hot time; None when the rule asks for none."""
    if rule.turnings is None:
        return None
    return say(
        "{turned} of {turnings} turnings fell into the hot time.",
        turned=_count(min(inferred.turnings_in_hot_period, rule.turnings)),
        turnings=_count(rule.turnings),
    )


def start_words(rule: Rule, inferred: InferredRule) -> Sentence | None:
    """Return how likely the start C:N fits; None when the rule asks for none."""
    if rule.c_to_n is None or inferred.start_chance is None:
        return None
    low, high = (Value(end, Measure.RATIO) for end in rule.c_to_n)
    return say(
        "It is also to start at a C:N of {low} to {high}: so it did in {chance} of the runs.",
        low=low,
        high=high,
        chance=share(inferred.start_chance),
    )


def finding_words(one: FindingShare) -> Sentence | None:
    """Return what share of the heap went through a trial's condition; None when not known."""
    if one.share is None:
        return None
    condition = one.finding.condition
    if one.share.high < _NOTHING:
        return say("None of this heap had {condition}.", condition=inside(condition))
    values = {
        "low": share(one.share.low),
        "high": share(one.share.high),
        "condition": inside(condition),
    }
    if one.moist_share is None:
        return say("{low} to {high} of this heap had {condition}.", **values)
    return say(
        "{low} to {high} of this heap had {condition}, {moist_low} to {moist_high} in moist heat.",
        moist_low=share(one.moist_share.low),
        moist_high=share(one.moist_share.high),
        **values,
    )


def _down(value: float, step: float) -> float:
    return round(math.floor(value / step + 1e-9) * step, 6)


def _count(number: float) -> Value:
    return Value(number, Measure.COUNT)
