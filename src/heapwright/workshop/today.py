"""Answers what to do today, at every bin, with how much and why.

Knows how a batch's history and its fitted model become the view the rules judge. Knows no rule
(`advice`) and no page.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from heapwright.advice.signs import limits
from heapwright.advice.types import Advice, HeapView, Interval, Job, Sureness, TemperatureReading
from heapwright.heap.types import Cover
from heapwright.journal.entries import BatchState, BinState, Entry, EntryKind
from heapwright.sentences import Sentence, say, word
from heapwright.workshop.answers import BinToday, ReadingShown, TodayAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import heap_history, is_core_reading
from heapwright.workshop.model import HeapModel, try_heap_model
from heapwright.workshop.outlook import forecast_of, readings_shown, volume_now
from heapwright.workshop.probe_series import for_rules
from heapwright.workshop.probes import probe_troubles
from heapwright.workshop.ready_tests import (
    curing_days,
    in_a_word,
    next_in_words,
    tested,
    why_in_words,
)
from heapwright.workshop.weather import weather_today
from heapwright.workshop.whatif import todays_advice

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
#: Heaps run with the interpreter let go, so one is followed while another's answer is made.
_BINS_AT_ONCE = 4


def today(garden: Garden) -> TodayAnswer:
    """Return what to do today at every bin, in the order of the bins."""
    state = garden.state()
    zone = ZoneInfo(state.settings.time_zone)
    with ThreadPoolExecutor(max_workers=_BINS_AT_ONCE) as pool:
        bins = tuple(pool.map(lambda key: bin_today(garden, key), state.bins_in_use))
    return TodayAnswer(
        garden_name=state.settings.name,
        is_demo=state.settings.is_demo,
        at=garden.now().astimezone(zone),
        bins=bins,
        weather=weather_today(garden),
        stock=tuple(lot for lot in state.lots.values() if lot.left > 0),
        notes=tuple(say("{problem}", problem=word(text)) for text in state.problems),
    )


def bin_today(garden: Garden, bin_key: str, days: float | None = None) -> BinToday:
    """Return what to do today at one bin.

    Raises
    ------
    NotFound
        If the bin is unknown.

    """
    bin_state = garden.bin(bin_key)
    batch = garden.batch_in(bin_key)
    if batch is None:
        return _empty(bin_state)
    model, no_model = try_heap_model(garden, batch, days)
    view = heap_view(garden, batch, model)
    readings = readings_shown(batch)
    return BinToday(
        bin=bin_state,
        batch_key=batch.key,
        batch_name=batch.name,
        age_days=view.age_days,
        stage=batch.stage,
        advice=todays_advice(garden, batch, model, view),
        last_reading=_last(readings),
        forecast=None if model is None else forecast_of(model),
        problems=(*no_model, *_problems(model), *probe_troubles(garden, bin_key)),
    )


def heap_view(garden: Garden, batch: BatchState, model: HeapModel | None) -> HeapView:
    """Return what is known of a heap, as the rules judge it."""
    now = garden.now()
    limit = limits()
    looks = [
        entry
        for entry in batch.entries
        if entry.kind is EntryKind.LOOK and (now - entry.at) / HOUR <= limit["look_counts_hours"]
    ]
    acted = _last_change(batch)
    history = heap_history(garden.state(), batch, 1) if model is None else model.history
    fresh_looks = [entry for entry in looks if acted is None or entry.at >= acted]
    view = HeapView(
        age_days=max(0.0, (now - batch.built_at) / DAY),
        curing_days=curing_days(batch, now),
        readings=_readings(batch, now),
        hours_since_turn=_hours_since(batch, EntryKind.TURN, now),
        hours_since_wetting=_hours_since(batch, EntryKind.WET, now),
        turns=sum(entry.kind is EntryKind.TURN for entry in batch.entries),
        moisture=None,
        degradable_left=None,
        core_tomorrow_c=None,
        squeeze=_newest(fresh_looks, "squeeze"),
        smell=_newest(fresh_looks, "smell"),
        pests=_newest_list(fresh_looks, "pests"),
        looks=_newest_list(fresh_looks, "looks"),
        is_capped=history.cover is not Cover.OPEN,
        free_bin=_free_bin(garden, batch),
        water_to_target_kg=None,
        volume_m3=history.fills[0].volume_m3,
        **_finish(garden, batch, model),
    )
    return view if model is None else _with_model(view, model, limit["target_moisture"])


def _finish(garden: Garden, batch: BatchState, model: HeapModel | None) -> dict[str, Any]:
    """Return what finish tests say of a heap, as plain fields of its view; none without any."""
    if not any(entry.kind is EntryKind.TEST for entry in batch.entries):
        return {}
    told = tested(garden.state(), batch, garden.now(), model)
    counted = [one.at for one in told.done if one.counts]
    return {
        "finish": in_a_word(told),
        "finish_told": why_in_words(told),
        "next_test": next_in_words(told) if counted else None,
        "days_since_test": (garden.now() - max(counted)) / DAY if counted else None,
    }


def _with_model(view: HeapView, model: HeapModel, target: float) -> HeapView:
    now = model.now_index
    run = model.run
    tomorrow = min(now + 24, model.probe_c.shape[0] - 1)
    return replace(
        view,
        moisture=model.interval(run.mean_moisture[now]),
        degradable_left=model.interval(run.degradable_left[now]),
        core_tomorrow_c=model.interval(model.probe_c[tomorrow]),
        water_to_target_kg=_water_to(model, target),
        volume_m3=volume_now(model),
    )


def _water_to(model: HeapModel, target: float) -> Interval:
    """Return the water that brings the heap's mean moisture to the target. [kg]

    With dry mass D and moisture M (wet basis) the water held is D·M/(1-M); the target holds
    D·T/(1-T) (mass balance).
    """
    moisture = model.run.mean_moisture[model.now_index]
    dry = model.run.dry_mass_kg[model.now_index]
    return model.interval(dry * (target / (1.0 - target) - moisture / (1.0 - moisture)))


def _empty(bin_state: BinState) -> BinToday:
    advice = Advice(
        job=Job.BUILD,
        headline=say("Empty: build the next heap here."),
        reasons=(say("{bin} is free.", bin=word(bin_state.name)),),
        amounts=(),
        expected=(),
        cautions=(),
        sureness=Sureness.SEEN,
    )
    return BinToday(bin_state, None, "", None, "empty", advice, None, None, ())


def _last(readings: Sequence[ReadingShown]) -> ReadingShown | None:
    core = [reading for reading in readings if reading.where in ("", "core")]
    return core[-1] if core else None


def _readings(batch: BatchState, now: datetime) -> tuple[TemperatureReading, ...]:
    return tuple(
        TemperatureReading((now - entry.at) / HOUR, float(entry.body["temperature_c"]))
        for entry in for_rules(batch)
        if is_core_reading(entry)
    )


def _hours_since(batch: BatchState, kind: EntryKind, now: datetime) -> float | None:
    times = [entry.at for entry in batch.entries if entry.kind is kind]
    return (now - max(times)) / HOUR if times else None


def _last_change(batch: BatchState) -> datetime | None:
    """Return when the heap was last altered so that older looks no longer count."""
    kinds = (EntryKind.TURN, EntryKind.WET, EntryKind.ADD)
    times = [entry.at for entry in batch.entries if entry.kind in kinds]
    return max(times) if times else None


def _newest(looks: Sequence[Entry], name: str) -> str:
    return next((str(e.body[name]) for e in reversed(looks) if e.body.get(name)), "")


def _newest_list(looks: Sequence[Entry], name: str) -> tuple[str, ...]:
    return next((tuple(e.body[name]) for e in reversed(looks) if name in e.body), ())


def _free_bin(garden: Garden, batch: BatchState) -> str:
    """Return the name of the next bin in the row, if it is empty."""
    row = sorted(garden.state().bins_in_use.values(), key=lambda one: (one.order, one.key))
    here = next((i for i, one in enumerate(row) if one.key == batch.bin_key), None)
    if here is None or here + 1 >= len(row) or row[here + 1].batch_key is not None:
        return ""
    return row[here + 1].name


def _problems(model: HeapModel | None) -> tuple[Sentence, ...]:
    if model is None or not model.doubtful:
        return ()
    return (
        say("A reading looks wrong: see the bin's page.")
        if len(model.doubtful) == 1
        else say("Some readings look wrong: see the bin's page."),
    )
