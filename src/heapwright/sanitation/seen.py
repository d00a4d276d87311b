"""The published rules judged by what a thermometer saw, and what is still missing, in words.

Knows readings and turns and what they prove (`seen_time.py`). Knows no model: a time without
readings is never taken as hot, and a reading in the core says nothing of the edge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from heapwright.sanitation.equations import holding_days
from heapwright.sanitation.rules import Counting, Rule, load_rules
from heapwright.sanitation.seen_time import (
    CORE,
    EXAMPLE_C,
    HOURS_A_DAY,
    TINY_HOURS,
    SeenReading,
    core_readings,
    hours_going_on,
    proven_hours,
    proven_turnings,
    was_hot_within,
)
from heapwright.sentences import Measure, Sentence, Value, days, hours, say, temperature, word
from heapwright.wording import dated


@dataclass(frozen=True, slots=True)
class SeenRule:
    """How far readings and turns alone prove a rule for the place the thermometer stood in.

    Attributes
    ----------
    rule_id, name : str
    is_benchmark : bool
        Made for another kind of system than a hand-turned bin.
    days_proven : float
        Time that counts, in all or the longest without a break, as the rule says; for the
        equation the time at its own temperature. [d]
    days_wanted : float
    share_done : float
        How much of the wanted time is proven; 1 or more is complete.
    turnings_proven : int
    turnings_wanted : int or None
    start_fits : bool or None
        Whether the start C:N meets the rule; None when it asks for none or it is not known.
    is_met : bool
        Time, turnings and start together.
    missing : tuple of Sentence
        What would still have to be seen.

    """

    rule_id: str
    name: str
    is_benchmark: bool
    days_proven: float
    days_wanted: float
    share_done: float
    turnings_proven: int
    turnings_wanted: int | None
    start_fits: bool | None
    is_met: bool
    missing: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class SeenHeat:
    """What the thermometer saw of a heap.

    Attributes
    ----------
    rules : tuple of SeenRule
    core_readings, other_readings : int
    days_read : int
        Days with a reading of the core.
    days_not_read : int
        Days between the first and the last reading without one; they count for nothing.
    notes : tuple of Sentence
        How it was counted and what it does not say.

    """

    rules: tuple[SeenRule, ...]
    core_readings: int
    other_readings: int
    days_read: int
    days_not_read: int
    notes: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class SeenDay:
    """One day of the gardener's and what was read of the core on it.

    Attributes
    ----------
    day : date
    lowest_c, highest_c : float or None
        None when nothing was read: never taken as hot.
    turns : int

    """

    day: date
    lowest_c: float | None
    highest_c: float | None
    turns: int


def seen_heat(
    readings: Sequence[SeenReading],
    turns: Sequence[datetime],
    start_c_to_n: float | None,
    *,
    since: datetime | None = None,
    today: date | None = None,
) -> SeenHeat:
    """Return how far readings and turns alone prove each published rule.

    Parameters
    ----------
    readings : sequence of SeenReading
    turns : sequence of datetime
        When the heap was turned or moved.
    start_c_to_n : float or None
        Of the mixture as built; None when not known.
    since : datetime, optional
        When something was last added, in the garden's own time: earlier readings and turns say
        nothing of it and are not counted.
    today : date, optional
        The gardener's day, to tell whether a spell can still go on.

    Returns
    -------
    SeenHeat

    """
    if since is not None:
        readings = [reading for reading in readings if reading.at >= since]
        turns = [turn for turn in turns if turn >= since]
    core = core_readings(readings)
    dates = {reading.at.date() for reading in core}
    span = (max(dates) - min(dates)).days + 1 if dates else 0
    others = len([reading for reading in readings if reading.where not in CORE])
    return SeenHeat(
        rules=tuple(seen_rule(rule, core, turns, start_c_to_n, today) for rule in load_rules()),
        core_readings=len(core),
        other_readings=others,
        days_read=len(dates),
        days_not_read=span - len(dates),
        notes=_notes(others, since),
    )


def seen_days(
    readings: Sequence[SeenReading], turns: Sequence[datetime], first: date, last: date
) -> tuple[SeenDay, ...]:
    """Return every day from the first to the last with what was read of the core on it.

    Parameters
    ----------
    readings : sequence of SeenReading
    turns : sequence of datetime
        In the garden's own time.
    first, last : date

    """
    core = core_readings(readings)
    found = []
    for number in range((last - first).days + 1):
        day = first + timedelta(days=number)
        read = [reading.temperature_c for reading in core if reading.at.date() == day]
        found.append(
            SeenDay(
                day=day,
                lowest_c=min(read, default=None),
                highest_c=max(read, default=None),
                turns=sum(turn.date() == day for turn in turns),
            )
        )
    return tuple(found)


def seen_rule(
    rule: Rule,
    core: Sequence[SeenReading],
    turns: Sequence[datetime],
    start_c_to_n: float | None,
    today: date | None = None,
) -> SeenRule:
    """Return how far readings of the core, in order of time, and turns prove one rule."""
    proven, wanted = proven_hours(rule, core)
    turned = proven_turnings(rule, core, turns)
    fits = rule.start_fits(start_c_to_n)
    missing = (
        *_time_missing(rule, core, wanted - proven, today),
        *_turnings_missing(rule, turned),
        *_start_missing(rule, start_c_to_n),
    )
    return SeenRule(
        rule_id=rule.id,
        name=rule.name,
        is_benchmark=rule.is_benchmark,
        days_proven=proven / HOURS_A_DAY,
        days_wanted=wanted / HOURS_A_DAY,
        share_done=proven / wanted,
        turnings_proven=turned,
        turnings_wanted=rule.turnings,
        start_fits=fits,
        is_met=not missing,
        missing=missing,
    )


def _time_missing(
    rule: Rule, core: Sequence[SeenReading], lacking: float, today: date | None
) -> tuple[Sentence, ...]:
    if lacking <= TINY_HOURS:
        return _heat_missing(rule, core)
    if rule.counting in (Counting.EQUATION, Counting.SUM):
        whole = math.ceil(float(holding_days(EXAMPLE_C)))
        return (
            say(
                "For example {time} without a break with a reading of {limit} or more each day.",
                time=days(whole),
                limit=temperature(EXAMPLE_C),
            ),
        )
    if rule.counting is not Counting.IN_ALL:
        lacking = HOURS_A_DAY * (rule.days or 0.0) - hours_going_on(rule, core, today)
    template = (
        "{time} more with a reading of {limit} or more each day."
        if rule.counting is Counting.IN_ALL
        else "{time} more without a break, with a reading of {limit} or more each day."
    )
    short = math.ceil((lacking - TINY_HOURS) / HOURS_A_DAY)
    return (say(template, time=days(short), limit=temperature(rule.low_c)),)


def _heat_missing(rule: Rule, core: Sequence[SeenReading]) -> tuple[Sentence, ...]:
    """Return what a warm spell still lacks of heat within it."""
    if rule.hot_c is None or rule.hot_hours is None or was_hot_within(rule, core):
        return ()
    return (
        say(
            "Two readings of {limit} or more, {time} apart, within those days.",
            limit=temperature(rule.hot_c),
            time=hours(rule.hot_hours),
        ),
    )


def _turnings_missing(rule: Rule, turned: int) -> tuple[Sentence, ...]:
    lacking = (rule.turnings or 0) - turned
    if lacking <= 0:
        return ()
    template = (
        "One more turn between two hot readings."
        if lacking == 1
        else "{count} more turns between hot readings."
    )
    return (say(template, count=Value(lacking, Measure.COUNT)),)


def _start_missing(rule: Rule, start_c_to_n: float | None) -> tuple[Sentence, ...]:
    if rule.c_to_n is None or rule.start_fits(start_c_to_n):
        return ()
    low, high = (Value(end, Measure.RATIO) for end in rule.c_to_n)
    if start_c_to_n is None:
        return (
            say("The start C:N is not known; it was to be {low} to {high}.", low=low, high=high),
        )
    return (
        say(
            "It started at a C:N of {ratio}, not {low} to {high}; that cannot be made good.",
            ratio=Value(start_c_to_n, Measure.RATIO),
            low=low,
            high=high,
        ),
    )


def _notes(others: int, since: datetime | None) -> tuple[Sentence, ...]:
    counted = say(
        "The time between two hot readings counts when they are of the same day or of days that "
        "follow each other. A day left out counts for nothing, and so does a single hot reading."
    )
    edge = (
        say(
            "A reading in the core says nothing of the edge. The readings taken elsewhere "
            "({count}) are not counted here.",
            count=Value(others, Measure.COUNT),
        )
        if others
        else say("A reading in the core says nothing of the edge, and none was taken there.")
    )
    if since is None:
        return counted, edge
    fresh = say(
        "Something was added on {day}: readings and turns before that say nothing of it and are "
        "not counted.",
        day=word(dated(since, "d MMMM")),
    )
    return counted, edge, fresh
