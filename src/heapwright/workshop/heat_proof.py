"""Answers how much of a heap got hot for how long: by the thermometer, and apart by the model.

Knows how a batch's readings, turns and weighed model come together for the rules of heat. Knows no
rule (`sanitation`) and no page.
"""

from __future__ import annotations

import zlib
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from heapwright.errors import NotFound
from heapwright.heap.types import ActionKind
from heapwright.journal.entries import BatchState, EntryKind
from heapwright.sanitation.evidence import Condition, load_evidence, never_at_home
from heapwright.sanitation.rules import load_rules
from heapwright.sanitation.seen import SeenHeat, seen_days, seen_heat
from heapwright.sanitation.seen_time import SeenReading
from heapwright.sentences import Measure, Sentence, Value, inside, say, temperature
from heapwright.wording import worded
from heapwright.workshop.garden import Garden
from heapwright.workshop.heat_answer import FindingShare, HeatProof, RuleProof
from heapwright.workshop.heat_inferred import Inferred, infer
from heapwright.workshop.heat_words import seen_words
from heapwright.workshop.hindsight import batch_hindsight
from heapwright.workshop.history import HeapHistory, heap_history, settings_table
from heapwright.workshop.model import HeapModel, model_key, try_heap_model
from heapwright.workshop.probe_series import for_proof

HOUR = timedelta(hours=1)
#: Stand beside every such answer.
CAUTIONS = (
    say(
        "This is no proof of hygiene: a home heap is never shown free of germs or weed seed. One "
        "hot reading proves nothing, and a dry pocket keeps seed alive."
    ),
    say(
        "The rules were made for sewage sludge and for farms. They do not bind a home gardener and "
        "are benchmarks here; local codes come first."
    ),
    say(
        "Wash your hands, and wash, peel or cook what grew in it; all the more for children, in "
        "pregnancy, in old age and with weak defences."
    ),
)


def heat_proof(garden: Garden, bin_key: str) -> HeatProof:
    """Return how much of the heap in a bin got hot, seen and inferred.

    Raises
    ------
    NotFound
        If the bin is unknown or empty.

    """
    batch = garden.batch_in(bin_key)
    if batch is None:
        raise NotFound(
            worded("{name} is empty", name=garden.bin(bin_key).name),
            why="there is no heap whose heat could be told",
            instead="Build one first",
        )
    return batch_heat_proof(garden, batch)


def batch_heat_proof(garden: Garden, batch: BatchState, days: float | None = None) -> HeatProof:
    """Return how much of a heap got hot, wherever it lies or lay, seen and inferred.

    Parameters
    ----------
    garden : Garden
        With its clock at the moment to judge by: now, or the end of a heap that is used up.
    batch : BatchState
    days : float, optional
        How far the model looks ahead; the table's usual if not given.

    """
    model, why_none = try_heap_model(garden, batch, days)
    inferred = None if model is None else _inferred(garden, batch, model)
    history = _history(garden, batch, model)
    seen = seen_of(garden, batch, history)
    turns, _ = _turns_and_addition(garden, history)
    zone = ZoneInfo(garden.state().settings.time_zone)
    return HeatProof(
        rules=tuple(
            RuleProof(rule, told, None if inferred is None else inferred.rules[rule.id])
            for rule, told in zip(load_rules(), seen.rules, strict=True)
        ),
        seen=seen,
        days=seen_days(
            _readings(batch, zone),
            turns,
            batch.built_at.astimezone(zone).date(),
            garden.now().astimezone(zone).date(),
        ),
        hot_c=settings_table()["hot_share_c"],
        findings=_findings(inferred),
        keep_out=never_at_home(),
        members=0 if inferred is None else inferred.members,
        parcels=0 if inferred is None else inferred.parcels,
        start_c_to_n=history.fills[0].c_to_n,
        basis=why_none if inferred is None else _basis(inferred, seen),
        cautions=CAUTIONS,
    )


def seen_in_a_word(garden: Garden, bin_key: str) -> Sentence | None:
    """Return how far a bin's readings prove the first rule; None for an empty or unread one.

    No model is asked, so this is there at once.

    Raises
    ------
    NotFound
        If the bin is unknown.

    """
    batch = garden.batch_in(bin_key)
    if batch is None:
        return None
    seen = seen_of(garden, batch, heap_history(garden.state(), batch, 1))
    if seen.core_readings == 0:
        return None
    rule = load_rules()[0]
    words = seen_words(rule, seen.rules[0])
    return say(
        "At {limit} or more, as read: {words}",
        limit=temperature(rule.low_c),
        words=inside(words),
    )


def seen_of(garden: Garden, batch: BatchState, history: HeapHistory) -> SeenHeat:
    """Return what the thermometer saw of a batch, held against every rule."""
    zone = ZoneInfo(garden.state().settings.time_zone)
    turns, added = _turns_and_addition(garden, history)
    return seen_heat(
        _readings(batch, zone),
        turns,
        history.fills[0].c_to_n,
        since=added,
        today=garden.now().astimezone(zone).date(),
    )


def _inferred(garden: Garden, batch: BatchState, model: HeapModel) -> Inferred:
    key = ("heat proof", *model_key(garden, batch, None))
    hindsight = batch_hindsight(garden, batch, model)
    seed = zlib.crc32(batch.key.encode())
    return garden.remembered(key, lambda: infer(model, hindsight, seed))


def _history(garden: Garden, batch: BatchState, model: HeapModel | None) -> HeapHistory:
    return heap_history(garden.state(), batch, 1) if model is None else model.history


def _readings(batch: BatchState, zone: ZoneInfo) -> tuple[SeenReading, ...]:
    return tuple(
        SeenReading(
            at=entry.at.astimezone(zone),
            temperature_c=float(entry.body["temperature_c"]),
            where=entry.body.get("where", ""),
        )
        for entry in for_proof(batch)
        if entry.kind is EntryKind.READING
    )


def _turns_and_addition(
    garden: Garden, history: HeapHistory
) -> tuple[tuple[datetime, ...], datetime | None]:
    """Return when the heap was turned, and when something was last added, in its own time."""
    zone = ZoneInfo(garden.state().settings.time_zone)
    now = garden.now()
    done = [
        (action.kind, (history.start + action.hour * HOUR).astimezone(zone))
        for action in history.actions
    ]
    turns = tuple(
        at for kind, at in done if kind in (ActionKind.STIR, ActionKind.MOVE) and at <= now
    )
    additions = [at for kind, at in done if kind is ActionKind.ADD and at <= now]
    return turns, max(additions, default=None)


def _findings(inferred: Inferred | None) -> tuple[FindingShare, ...]:
    return tuple(
        FindingShare(
            finding, *((None, None) if inferred is None else inferred.findings[finding.id])
        )
        for finding in load_evidence()
        if finding.kind is not Condition.NEVER
    )


def _basis(inferred: Inferred, seen: SeenHeat) -> tuple[Sentence, ...]:
    read = (
        say("No reading yet: it rests on what went in and the weather alone.")
        if seen.core_readings == 0
        else say("The runs are weighed by the readings of the core; the edge is the model's alone.")
    )
    return (
        say(
            "The material of {members} runs of the model is followed in {parcels} parcels through "
            "every turn. Shares are of the dry matter that went in.",
            members=Value(inferred.members, Measure.COUNT),
            parcels=Value(inferred.parcels, Measure.COUNT),
        ),
        read,
    )
