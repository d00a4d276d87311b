"""Tells where the heaps that stand are on their way, as a year's plan wants to know it.

Knows how ready dates and stage lengths together give the weeks that are left. Runs no heap.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from heapwright.advice.types import Interval
from heapwright.errors import HeapwrightError
from heapwright.journal.entries import BatchState, Entry, EntryKind
from heapwright.season.rotation_types import Stage, StandingHeap, Yield
from heapwright.season.stage_types import NEVER_WEEKS, StageLengths, week_of_year
from heapwright.workshop.garden import Garden
from heapwright.workshop.ready import ready
from heapwright.workshop.ready_answer import Ready
from heapwright.workshop.stage_lengths import StageAnswer

_DAYS_A_WEEK = 7.0
#: Of the ready date's range: one in ten later than its end.
_LIKELY, _LATE = 0.5, 0.9


def standing_heaps(
    garden: Garden, stages: StageAnswer, sureness: float
) -> tuple[StandingHeap, ...]:
    """Return the heaps that stand, with the weeks of each stage that are surely enough.

    Parameters
    ----------
    garden : Garden
    stages : StageAnswer
        For what the model cannot tell of a heap itself.
    sureness : float
        Share of cases in which the weeks are enough. [0-1]

    """
    return tuple(_heaps(garden, stages, sureness))


def _heaps(garden: Garden, stages: StageAnswer, sureness: float) -> Iterator[StandingHeap]:
    for bin_key in garden.state().bins_in_use:
        batch = garden.batch_in(bin_key)
        if batch is not None:
            yield _heap(garden, batch, bin_key, stages, sureness)


def _heap(
    garden: Garden, batch: BatchState, bin_key: str, stages: StageAnswer, sureness: float
) -> StandingHeap:
    try:
        told = ready(garden, bin_key)
    except HeapwrightError:  # it cannot be modelled: the usual lengths speak
        told = None
    stage = stage_of(batch, told)
    usual = _usual_days(garden.now(), batch, stage, stages, sureness)
    left = _days_left(stage, usual, told, sureness)
    built = built_m3(batch, stages)
    return StandingHeap(
        key=batch.key,
        name=batch.name,
        bin_key=bin_key,
        stage=stage,
        weeks_left=_weeks(left[0]),
        later_weeks=tuple(max(1, _weeks(days)) for days in left[1:]),
        volume_m3=built * _share(stages.lengths, stage),
        yield_m3=_yield(told, built, stages.lengths, sureness),
    )


def stage_of(batch: BatchState, told: Ready | None) -> Stage:
    """Return the stage a heap is in: by its moves, by curing, or by its hot work being over."""
    if batch.stage == "curing" or (told is not None and told.stage in ("may be tested", "ready")):
        return Stage.CURE
    if told is not None and told.date is not None and told.date.hot_work_days is None:
        return Stage.CURE
    moved = any(
        entry.kind is EntryKind.TURN and entry.body.get("how") == "move" for entry in batch.entries
    )
    return Stage.MIDDLE if moved else Stage.FIRST


def built_m3(batch: BatchState, stages: StageAnswer) -> float:
    """Return what a heap's volume was when it was built; the usual one when nobody said. [m³]"""
    fill = batch.entries[0].body.get("fill")
    if fill is not None:
        return float(fill["volume_m3"])
    return stages.lengths.built_m3


def _usual_days(
    now: datetime, batch: BatchState, stage: Stage, stages: StageAnswer, sureness: float
) -> list[float]:
    """Return the days of this stage and those after it that a well-kept heap still takes. [d]"""
    lengths = stages.lengths
    ends = np.cumsum(lengths.days[:, _week_built(batch, stages)], axis=0)
    # The least end that such a share of the runs keeps, as the plan's own weeks are found.
    place = math.ceil(round(sureness * lengths.members, 6)) - 1
    return _still_to_come(np.sort(ends, axis=1)[:, place].tolist(), now, batch, stage)


def _still_to_come(
    ends: Sequence[float], now: datetime, batch: BatchState, stage: Stage
) -> list[float]:
    """Return the days left of a stage and those after it, from days from building to each end."""
    # What never ends is endless, and so is what comes after: never a difference of two endless.
    days = [
        ends[0],
        *(after - before if math.isfinite(after) else math.inf for before, after in pairwise(ends)),
    ]
    own = [
        entry.at
        for entry in batch.entries
        if (stage is Stage.MIDDLE and _is_move(entry))
        or (stage is Stage.CURE and entry.kind is EntryKind.CURE)
    ]
    begun, long = (own[-1], days[stage]) if own else (batch.built_at, ends[stage])
    return [max(0.0, long - (now - begun) / timedelta(days=1)), *days[stage + 1 :]]


def _days_left(
    stage: Stage, usual: list[float], told: Ready | None, sureness: float
) -> list[float]:
    """Return the days left of this stage and those after it. [d]

    While there is hot work, what the heap's own model says where it is sooner; for a plan wets and
    turns a heap that would otherwise stand for a year. Curing is not hastened by that, so there the
    heap's own date stands, later or sooner.
    """
    if told is not None and told.stage == "ready":
        return [0.0]
    if told is None or told.date is None:
        return usual
    date = told.date
    hot = 0.0 if date.hot_work_days is None else _sure(date.hot_work_days, sureness)
    everything = max(hot, _later(date.likely_days, date.high_days, sureness))
    if stage is Stage.CURE:
        if date.likely_days is not None and date.likely_days < 1.0:
            return [0.0]  # as its page says: it may be ready now, the tests decide
        return [everything if math.isfinite(everything) else usual[-1]]
    cure = min(usual[-1], everything - hot) if math.isfinite(everything) else usual[-1]
    first = min(hot, usual[0])
    return [first, cure] if stage is Stage.MIDDLE else [first, min(hot - first, usual[1]), cure]


def _is_move(entry: Entry) -> bool:
    return entry.kind is EntryKind.TURN and entry.body.get("how") == "move"


def _week_built(batch: BatchState, stages: StageAnswer) -> int:
    """Return the week of the plan that has the season in which a heap was built."""
    weeks = stages.lengths.weeks.size
    return (week_of_year(batch.built_at.date()) - week_of_year(stages.first_day)) % weeks


def _sure(interval: Interval, sureness: float) -> float:
    return _later(interval.likely, interval.high, sureness)


def _later(likely: float | None, late: float | None, sureness: float) -> float:
    """Return the day by which it is over in a share of the cases; infinite beyond a year."""
    if likely is None or late is None:
        return math.inf
    part = (sureness - _LIKELY) / (_LATE - _LIKELY)
    return max(0.0, likely + part * (late - likely))


def _weeks(days: float) -> int:
    return NEVER_WEEKS if not math.isfinite(days) else math.ceil(days / _DAYS_A_WEEK)


def _share(lengths: StageLengths, stage: Stage) -> float:
    values = lengths.volume_share[stage]
    there = values[np.isfinite(values)]
    return float(np.median(there)) if there.size else 1.0


def _yield(told: Ready | None, built: float, lengths: StageLengths, sureness: float) -> Yield:
    if told is not None and told.expected is not None:
        found = told.expected.volume_m3
        low, likely, high = found.low, found.likely, found.high
        part = (sureness - _LIKELY) / (_LATE - _LIKELY)
        return Yield(max(0.0, min(likely, likely - part * (likely - low))), likely, high)
    shares = lengths.volume_share[3]
    there = shares[np.isfinite(shares)]
    if not there.size:
        return Yield(0.0, 0.0, 0.0)
    sure, likely, high = np.quantile(there, (1.0 - sureness, 0.5, 0.9)) * built
    return Yield(float(sure), float(likely), float(high))
