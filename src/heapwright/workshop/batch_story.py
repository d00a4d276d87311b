"""Answers a heap's whole story, to hand to a class: what went in, how it went, what came of it.

Knows how journal, model and rules of heat come together for one heap, be it standing or used up.
Knows nothing of pages.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

from heapwright.advice.types import Interval
from heapwright.errors import NotFound
from heapwright.journal.entries import BatchState, Entry, EntryKind
from heapwright.mixing.spread import mixture_range
from heapwright.sentences import Sentence, say, temperature, volume, word
from heapwright.tables import Estimate
from heapwright.wording import worded
from heapwright.workshop.answers import HeapCourse
from heapwright.workshop.batch_story_answer import (
    BatchStory,
    Did,
    HotDays,
    MixtureShown,
    WentIn,
)
from heapwright.workshop.batch_story_words import CAUTIONS, questions
from heapwright.workshop.course import course_of
from heapwright.workshop.garden import Garden
from heapwright.workshop.heat_proof import batch_heat_proof
from heapwright.workshop.hindsight import batch_hindsight
from heapwright.workshop.history import is_core_reading, settings_table
from heapwright.workshop.lots import material_of, mixing_lot
from heapwright.workshop.model import HeapModel, model_key, try_heap_model
from heapwright.workshop.outlook import events_shown, forecast_of, readings_shown
from heapwright.workshop.ready import ready
from heapwright.workshop.ready_answer import Ready
from heapwright.workshop.story import story
from heapwright.workshop.taught import learnt_from
from heapwright.workshop.timeline import ended, lived, stays

#: Days after building that get a picture of the heap cut open, besides the last; ours, for the eye.
_CUT_DAYS = (1, 4, 9, 18, 36, 72)
_MOST_CUTS = 5
#: What was read or felt so long before something was done is told with it.
_BEFORE = timedelta(days=4)
_DONE = (
    EntryKind.BUILD,
    EntryKind.TURN,
    EntryKind.WET,
    EntryKind.ADD,
    EntryKind.COVER,
    EntryKind.CURE,
    EntryKind.SCREEN,
    EntryKind.USE,
)
#: A heap that stood no longer than this cannot be run hour by hour.
_SHORTEST = timedelta(hours=2)
#: A heap that is used up is run to the end of its last hour, what was done in it with it. [d]
_LAST_HOUR = 1.0 / 24.0


def batch_story(garden: Garden, batch_key: str) -> BatchStory:
    """Return the story of a batch, up to now or to when it was used up.

    Raises
    ------
    NotFound
        If there is no such batch.

    """
    batch = find_batch(garden, batch_key)
    end = ended(batch)
    then = garden if end is None else garden.as_at(end)
    ahead = None if end is None else _LAST_HOUR
    life = lived(batch)
    model, notes = _model(then, life, ahead)
    told = None if batch.bin_key is None else ready(garden, batch.bin_key)
    state = garden.state()
    mixture = mixture_shown(garden, batch)
    proof = batch_heat_proof(then, life, ahead)
    core = [entry for entry in batch.entries if is_core_reading(entry)]
    return BatchStory(
        key=batch.key,
        name=batch.name,
        garden_name=state.settings.name,
        stage=batch.stage,
        is_demo=state.settings.is_demo,
        built_at=batch.built_at,
        until=then.now(),
        is_over=end is not None,
        bins=tuple((state.bins[key].name, since) for key, since in stays(batch)),
        went_in=tuple(went_in(garden, batch)),
        water_kg=float(batch.entries[0].body.get("water_kg", 0.0)),
        mixture=mixture,
        course=None if model is None else forecast_of(model),
        cuts=None if model is None else _cuts(then, life, model),
        readings=readings_shown(batch),
        events=events_shown(batch, state.bins),
        did=tuple(_did(garden, batch)),
        hot=_hot_days(then, batch, model),
        proof=proof,
        given=tuple(_given(batch, told)),
        ready=None if told is None else told.date,
        learnt=() if model is None else learnt_from(batch.name, model.followed, len(core)),
        questions=questions(batch, mixture, model is not None),
        cautions=CAUTIONS,
        notes=notes,
    )


def find_batch(garden: Garden, said: str) -> BatchState:
    """Return a batch by its key, its name, or the bin it lies in.

    Raises
    ------
    NotFound
        If nothing answers to it; names the batches there are.

    """
    state = garden.state()
    if said in state.batches:
        return state.batches[said]
    if said in state.bins and state.bins[said].batch_key is not None:
        return state.batches[str(state.bins[said].batch_key)]
    named = [one for one in state.batches.values() if one.name.casefold() == said.casefold()]
    if named:
        return max(named, key=lambda one: one.built_at)
    known = ", ".join(f"{one.key} ({one.name})" for one in state.batches.values()) or "none yet"
    raise NotFound(
        worded('No heap is called "{said}"', said=said[:80]),
        instead=worded("The heaps are: {known}", known=known[:400]),
        kept="",
    )


def _model(
    then: Garden, batch: BatchState, ahead: float | None
) -> tuple[HeapModel | None, tuple[Sentence, ...]]:
    if then.now() - batch.built_at < _SHORTEST and ahead is not None:
        return None, (say("It stood too short a time to be followed by the model."),)
    return try_heap_model(then, batch, ahead)


def went_in(garden: Garden, batch: BatchState) -> Iterator[WentIn]:
    """Yield what went into a batch, in order of time."""
    lots = garden.state().lots
    for entry in batch.entries:
        if entry.kind in (EntryKind.BUILD, EntryKind.ADD):
            for line in entry.body.get("lines", ()):
                lot = lots[line["lot"]]
                yield WentIn(
                    at=entry.at,
                    material=material_of(lot).name,
                    container=lot.container_name,
                    count=float(line["count"]),
                    with_build=entry.kind is EntryKind.BUILD,
                )


def mixture_shown(garden: Garden, batch: BatchState) -> MixtureShown | None:
    """Return what a batch was when it was built; None when it was there before the log."""
    built, lots = batch.entries[0], garden.state().lots
    if "lines" not in built.body:
        return None
    amounts = [
        (mixing_lot(lots[line["lot"]], built.at, count=1), float(line["count"]))
        for line in built.body["lines"]
    ]
    found = mixture_range(amounts, float(built.body.get("water_kg", 0.0)))
    return MixtureShown(
        c_to_n=_interval(found.c_to_n),
        moisture=_interval(found.moisture),
        air=None if found.likely.free_air_space is None else _interval(found.free_air_space),
        volume_m3=_interval(found.volume_m3),
        mass_kg=_interval(found.mass_kg),
    )


def _interval(estimate: Estimate) -> Interval:
    return Interval(estimate.low, estimate.typical, estimate.high)


def _cuts(then: Garden, batch: BatchState, model: HeapModel) -> HeapCourse:
    key = ("story cuts", *model_key(then, batch, 0.0), then.now())
    hindsight = batch_hindsight(then, batch, model)
    whole = then.remembered(key, lambda: course_of(model, hindsight, batch, then.state()))
    past = [frame for frame in whole.frames if frame.hours <= whole.now.hours]
    wanted = [24 * day for day in _CUT_DAYS if 24 * day < whole.now.hours]
    nearest = {min(range(len(past)), key=lambda i: abs(past[i].hours - hour)) for hour in wanted}
    chosen = [*sorted(nearest - {len(past) - 1})][: _MOST_CUTS - 1]
    frames = tuple(past[i] for i in (*chosen, len(past) - 1))
    return replace(whole, frames=frames, now_index=len(frames) - 1)


def _did(garden: Garden, batch: BatchState) -> Iterator[Did]:
    bins = garden.state().bins
    for number, entry in enumerate(batch.entries):
        if entry.kind in _DONE:
            earlier = batch.entries[:number]
            yield Did(entry.at, story(entry, bins), tuple(_before(entry, earlier)))


def _before(entry: Entry, earlier: tuple[Entry, ...]) -> Iterator[Sentence]:
    near = [one for one in earlier if entry.at - one.at <= _BEFORE]
    read = [one for one in near if is_core_reading(one)]
    if read:
        yield say(
            "Before it the core read {value}.",
            value=temperature(float(read[-1].body["temperature_c"])),
        )
    looked = [one.body for one in near if one.kind is EntryKind.LOOK]
    squeezed = [body["squeeze"] for body in looked if body.get("squeeze")]
    if squeezed:
        yield say("A squeezed handful: {squeeze}.", squeeze=word(squeezed[-1]))
    smelt = [body["smell"] for body in looked if body.get("smell")]
    if smelt:
        yield say("It smelt: {smell}.", smell=word(smelt[-1]))
    if entry.body.get("note"):
        yield say("Note: {note}", note=word(str(entry.body["note"])))


def _hot_days(then: Garden, batch: BatchState, model: HeapModel | None) -> HotDays:
    limit = settings_table()["hot_share_c"]
    now, zone = then.now(), ZoneInfo(then.state().settings.time_zone)
    core = [
        (entry.at.astimezone(zone).date(), float(entry.body["temperature_c"]))
        for entry in batch.entries
        if is_core_reading(entry)
    ]
    modelled = None
    if model is not None:
        hours = (model.probe_c[: model.now_index + 1] >= limit).sum(axis=0)
        modelled = model.interval(hours / 24.0)
    return HotDays(
        limit_c=limit,
        seen=len({day for day, value in core if value >= limit}),
        read=len({day for day, _ in core}),
        whole=(now.astimezone(zone).date() - batch.built_at.astimezone(zone).date()).days + 1,
        modelled=modelled,
    )


def _given(batch: BatchState, told: Ready | None) -> Iterator[Sentence]:
    """Yield what was taken out and where it went; of a standing heap what it will give."""
    uses = [entry for entry in batch.entries if entry.kind is EntryKind.USE]
    measured = [float(one.body["volume_m3"]) for one in uses if "volume_m3" in one.body]
    if measured:
        yield say("Taken out so far: {amount}.", amount=volume(sum(measured)))
    elif uses:
        yield say("It was taken out; how much is not written down.")
    places = dict.fromkeys(str(one.body["where"]) for one in uses if one.body.get("where"))
    if places:
        yield say("It went on: {places}.", places=word(", ".join(places)))
    if lived(batch) is not batch:
        yield say("It became part of another heap.")
    if told is not None:
        yield told.headline
        yield from told.expected.told if told.expected is not None else ()
