"""Gathers a batch's finish tests: results written down, reheating read from the log, what went in.

Knows how journal entries become judged results. Knows no limit and no use (`heapwright.finish`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from heapwright.finish.guides import limits, load_guides, risks_of
from heapwright.finish.judge import judge
from heapwright.finish.reheating import AfterTurn, judge_reheating
from heapwright.finish.together import (
    cross_remarks,
    next_test,
    standings,
    use_states,
)
from heapwright.finish.types import (
    Aspect,
    AspectState,
    Judged,
    Procedure,
    Readiness,
    Result,
    Risks,
    Standing,
    UseState,
    Verdict,
)
from heapwright.journal.entries import BatchState, Entry, EntryKind, GardenState
from heapwright.sentences import Measure, Sentence, Value, say
from heapwright.wording import worded
from heapwright.workshop.history import is_core_reading
from heapwright.workshop.lots import material_of
from heapwright.workshop.model import HeapModel
from heapwright.workshop.outlook import volume_now

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class TestDone:
    """A test whose result was written down; taken back, it is gone from the journal's story.

    Attributes
    ----------
    entry_id : str
    at : datetime
    judged : Judged
    counts : bool
        False for one that was done before something fresh was added.

    """

    entry_id: str
    at: datetime
    judged: Judged
    counts: bool


@dataclass(frozen=True, slots=True)
class Tested:
    """All that tests say of a batch.

    Attributes
    ----------
    done : tuple of TestDone
        Newest first.
    reheating : Judged
    states : dict of Aspect to AspectState
    uses : tuple of UseState
    remarks : tuple of Sentence
        What it means when tests disagree.
    risks : Risks
    following : Procedure or None
        The test that would tell most now.
    curing_days : float or None

    """

    done: tuple[TestDone, ...]
    reheating: Judged
    states: dict[Aspect, AspectState]
    uses: tuple[UseState, ...]
    remarks: tuple[Sentence, ...]
    risks: Risks
    following: Procedure | None
    curing_days: float | None

    @property
    def is_ready_for(self) -> tuple[UseState, ...]:
        """The uses it is ready for."""
        return tuple(one for one in self.uses if one.readiness is Readiness.READY)


def tested(state: GardenState, batch: BatchState, now: datetime, model: HeapModel | None) -> Tested:
    """Return all that tests say of a batch.

    Parameters
    ----------
    state : GardenState
    batch : BatchState
    now : datetime
    model : HeapModel or None
        Tells moisture and air where nobody measured them; without it less can be said.

    """
    fresh = _last_addition(batch)
    done = tuple(sorted(_done(batch, fresh), key=lambda one: one.at, reverse=True))
    after = _after_turn(batch, now, model)
    reheating = judge_reheating(after)
    results = [Result(one.judged, (now - one.at) / DAY) for one in done if one.counts]
    results.append(Result(reheating, _days_since_seen(after, reheating)))
    states = standings(results)
    risks = risks_of(_materials(state, batch))
    cured = curing_days(batch, now)
    return Tested(
        done=done,
        reheating=reheating,
        states=states,
        uses=use_states(states, risks, curing_days=cured, is_hot=_is_hot(batch, now)),
        remarks=cross_remarks(states),
        risks=risks,
        following=next_test(results, risks),
        curing_days=cured,
    )


def curing_days(batch: BatchState, now: datetime) -> float | None:
    """Return the days since it was left to cure; None when it was not."""
    times = [entry.at for entry in batch.entries if entry.kind is EntryKind.CURE]
    return (now - times[-1]) / DAY if times and batch.stage == "curing" else None


def in_a_word(told: Tested) -> str:
    """Return what the written-down tests say together, as the rules of advice read it."""
    if not any(one.counts for one in told.done):
        return ""
    if told.states[Aspect.SAFETY].standing is Standing.NOT_YET:
        return "harmful"
    stable, mature = (told.states[one].standing for one in (Aspect.STABILITY, Aspect.MATURITY))
    if Standing.NOT_YET in (stable, mature):
        return "not yet"
    if Standing.CONTRADICTORY in (stable, mature):
        return "contradictory"
    return "ready" if any(one.use.id == "planting" for one in told.is_ready_for) else "untold"


def why_in_words(told: Tested) -> tuple[Sentence, ...]:
    """Return what the tests say and what it is ready for, for one card."""
    aspects = (Aspect.SAFETY, Aspect.STABILITY, Aspect.MATURITY)
    said = tuple(one for aspect in aspects for one in told.states[aspect].told[:1])
    uses = told.is_ready_for
    if not uses:
        return said
    return (ready_for(uses), *said)


def ready_for(uses: Sequence[UseState]) -> Sentence:
    """Return "Ready for mulch, a bed dug weeks ahead and planting."."""
    *first, last = (one.use.name for one in uses)
    names = worded("{first} and {last}", first=", ".join(first), last=last) if first else last
    return say("Ready for {uses}.", uses=Value(names, Measure.WORD))


def next_in_words(told: Tested) -> Sentence | None:
    """Return which test comes next, in one sentence."""
    if told.following is None:
        return None
    guide = load_guides()[told.following]
    return say(
        "Next test: {test}. {tells}",
        test=Value(guide.name, Measure.WORD),
        tells=Value(guide.tells, Measure.WORD),
    )


def _done(batch: BatchState, fresh: datetime | None) -> Iterator[TestDone]:
    for entry in batch.entries:
        if entry.kind is EntryKind.TEST:
            judged = judge(Procedure(entry.body["procedure"]), entry.body)
            yield TestDone(entry.id, entry.at, judged, fresh is None or entry.at >= fresh)


def _last_addition(batch: BatchState) -> datetime | None:
    """Return when something fresh last came into the heap, another heap included."""
    times = [
        entry.at
        for entry in batch.entries
        if entry.kind is EntryKind.ADD
        # A heap that went onto another is used up by it: in one that stands, it came onto this.
        or (entry.kind is EntryKind.TURN and entry.body.get("onto") and batch.stage != "used")
    ]
    return max(times, default=None)


def _materials(state: GardenState, batch: BatchState) -> list[str] | None:
    """Return the materials that went in and their kinds; None when nobody knows."""
    found: list[str] = []
    for entry in batch.entries:
        if entry.kind is EntryKind.BUILD and "fill" in entry.body:
            return None
        if entry.kind is EntryKind.TURN and entry.body.get("onto"):
            return None
        lines = entry.body.get("lines", ())
        for line in lines:
            material = material_of(state.lots[line["lot"]])
            found += [material.key, material.kind]
    return found


def _after_turn(batch: BatchState, now: datetime, model: HeapModel | None) -> AfterTurn:
    turns = [entry.at for entry in batch.entries if entry.kind is EntryKind.TURN]
    turned = max(turns, default=None)
    if turned is None:
        return AfterTurn(None, (), None, "", None, 0.0)
    since = [entry for entry in batch.entries if entry.at > turned]
    squeezes = [
        e.body["squeeze"] for e in since if e.kind is EntryKind.LOOK and "squeeze" in e.body
    ]
    return AfterTurn(
        hours_since_turn=(now - turned) / HOUR,
        readings=tuple(
            ((e.at - turned) / HOUR, float(e.body["temperature_c"]))
            for e in since
            if is_core_reading(e)
        ),
        air_c=None if model is None else _air_since(model, turned),
        squeeze=squeezes[-1] if squeezes else "",
        moisture=None
        if model is None
        else model.interval(model.run.mean_moisture[model.now_index]).likely,
        volume_m3=0.0 if model is None else volume_now(model),
    )


def _air_since(model: HeapModel, turned: datetime) -> float | None:
    """Return the mean air of the days after the turn in which a heap would heat. [°C]"""
    first = max(0, round((turned - model.history.start) / HOUR))
    week = round(limits()["reheat_wait_days"].high * 24)
    air = model.weather.temperature_c[first : min(first + week, model.now_index + 1)]
    return float(np.mean(air)) if air.size else None


def _days_since_seen(after: AfterTurn, judged: Judged) -> float:
    """Return how long ago the reading was taken that the verdict rests on."""
    if after.hours_since_turn is None or judged.verdict is Verdict.CANNOT_SAY:
        return 0.0
    hot = limits()["reheated_c"].typical
    week = limits()["reheat_wait_days"].high * 24
    warm = [hours for hours, celsius in after.readings if celsius >= hot]
    seen = warm or [hours for hours, _ in after.readings if hours <= week]
    return max(0.0, (after.hours_since_turn - max(seen, default=0.0)) / 24)


def _is_hot(batch: BatchState, now: datetime) -> bool:
    """Whether the newest core reading, if it is not too old to speak, was hot."""
    core: list[Entry] = [entry for entry in batch.entries if is_core_reading(entry)]
    if not core:
        return False
    table = limits()
    is_late = (now - core[-1].at) / DAY <= table["together_days"].typical
    return is_late and float(core[-1].body["temperature_c"]) >= table["reheated_c"].typical
