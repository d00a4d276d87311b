"""One heap's line of the comparison, from the journal, its weather and one run of the model.

Knows how entries become days, water, turns and what came of the heap; what is not written down
stays missing. Knows no other heap.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

import numpy as np

from heapwright.advice.types import Interval
from heapwright.finish.guides import load_guides
from heapwright.finish.judge import judge
from heapwright.finish.types import Aspect, Procedure, Verdict
from heapwright.journal.entries import BatchState, Entry, EntryKind
from heapwright.quantities.containers import standard_containers
from heapwright.season.between import Between
from heapwright.season.compared import settings
from heapwright.sentences import Sentence, say, temperature
from heapwright.workshop.batch_story import mixture_shown, went_in
from heapwright.workshop.compare_answer import (
    DayHeat,
    DoneOn,
    FinishedBy,
    HeapCompared,
    HotFor,
    WeatherStood,
)
from heapwright.workshop.compare_course import HOUR, HeapEstimate, heap_estimate
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import is_core_reading, settings_table
from heapwright.workshop.timeline import MARKED, ended, lived, stays
from heapwright.workshop.weather import garden_weather, seen_share

DAY = timedelta(days=1)
_WORK = (EntryKind.TURN, EntryKind.ADD)
#: A test of one of these speaks of whether compost is finished.
_OF_FINISH = (Aspect.STABILITY, Aspect.MATURITY)


def heap_compared(garden: Garden, batch: BatchState) -> HeapCompared:
    """Return a batch's line of the comparison, up to now or to its end."""
    state, until = garden.state(), ended(batch) or garden.now()
    life, built = lived(batch), batch.entries[0]
    zone = ZoneInfo(state.settings.time_zone)
    first_bin = state.bins[str(built.body["bin"])]
    was_there = "fill" in built.body
    mixture = mixture_shown(garden, batch)
    volume_m3 = _built_volume(built, None if mixture is None else mixture.volume_m3)
    estimate, notes = heap_estimate(garden, life, _last_needed(life, until))
    core = [entry for entry in life.entries if is_core_reading(entry)]
    hot_c = settings_table()["hot_share_c"]
    given = [one for one in life.entries if float(one.body.get("water_kg", 0.0)) > 0]
    early_until = batch.built_at + settings()["first_fortnight_days"] * DAY
    after = [one for one in given if one.kind is not EntryKind.BUILD]
    joined = _came_onto(life)
    turned = [one for one in life.entries if one.kind is EntryKind.TURN and one.id not in joined]
    finished, finished_by = _finished(batch, life, until, joined)
    taken_m3 = _yield_m3(batch, life)
    likely_m3 = None if volume_m3 is None else volume_m3.likely
    found = HeapCompared(
        key=batch.key,
        name=batch.name,
        stage=batch.stage,
        bin_key=batch.bin_key,
        bins=tuple(state.bins[key].name for key, _ in stays(batch)),
        built_at=batch.built_at,
        until=until,
        is_over=batch.bin_key is None,
        was_there=was_there,
        went_in=tuple(went_in(garden, batch)),
        c_to_n=None if mixture is None else mixture.c_to_n,
        moisture=None if mixture is None else mixture.moisture,
        volume_m3=volume_m3,
        bin_volume_m3=first_bin.width_m * first_bin.depth_m * first_bin.height_m,
        turns=len(turned),
        early_turns=sum(one.at <= early_until for one in turned),
        wettings=len(after),
        water_kg=_water(given),
        early_water_kg=_water([one for one in after if one.at <= early_until]),
        weather=_weather(garden, batch.built_at, until),
        hottest_c=max((_celsius(one) for one in core), default=None),
        days_to_hot=None if was_there else _days_to_hot(batch.built_at, core, hot_c),
        hot=_hot_for(core, hot_c, estimate, zone),
        cured_after_days=_first_days(life, EntryKind.CURE),
        days_to_finished=None if was_there else finished,
        finished_by=finished_by,
        yield_m3=taken_m3,
        yield_share=None if taken_m3 is None or not likely_m3 else taken_m3 / likely_m3,
        barrow_loads=_barrow_loads(life, likely_m3, estimate),
        days=_days(batch.built_at, core, estimate, zone),
        done=tuple(_done(life, zone)),
        missing=(),
    )
    return _with_missing(found, notes, hot_c)


def _came_onto(life: BatchState) -> frozenset[str]:
    """Return the moves that brought another heap onto this one: additions, and no turns of it."""
    here, found = str(life.entries[0].body["bin"]), set[str]()
    for entry in life.entries:
        if entry.body.get("onto") and str(entry.body["bin"]) != here:
            found.add(entry.id)
        else:
            here = str(entry.body.get("to_bin", here))
    return frozenset(found)


def _celsius(entry: Entry) -> float:
    return float(entry.body["temperature_c"])


def _water(entries: Sequence[Entry]) -> float:
    return sum(float(one.body["water_kg"]) for one in entries)


def _built_volume(built: Entry, mixed: Interval | None) -> Interval | None:
    if "fill" not in built.body:
        return mixed
    told = float(built.body["fill"]["volume_m3"])
    return Interval(told, told, told)


def _last_needed(life: BatchState, until: datetime) -> datetime:
    """Return the last moment that is read off the model: the last reading or work."""
    wanted = [one.at for one in life.entries if is_core_reading(one) or one.kind in _WORK]
    return min(until, max(wanted, default=life.built_at) + HOUR)


def _weather(garden: Garden, built_at: datetime, until: datetime) -> WeatherStood:
    end = max(until, built_at + DAY)
    series = garden_weather(garden, built_at, end)
    early = round(24 * settings()["first_fortnight_days"])
    return WeatherStood(
        mean_air_c=float(series.temperature_c.mean()),
        rain_mm=float(series.rain_mm.sum()),
        early_air_c=float(series.temperature_c[:early].mean()),
        seen_share=seen_share(garden, built_at, end),
    )


def _days_to_hot(built_at: datetime, core: Sequence[Entry], hot_c: float) -> Between | None:
    """Return when the first hot reading came, after the last day that it surely had not.

    Heat that came and went while nobody read is not ruled out: a reading below speaks for the
    time before it only where the reading before was near.
    """
    watched, before = 0.0, 0.0
    for entry in core:
        day = (entry.at - built_at) / DAY
        if _celsius(entry) >= hot_c:
            return Between(watched, day)
        if watched == before and day - before <= settings()["watched_gap_days"]:
            watched = day
        before = day
    return Between(watched, None) if core else None


def _hot_for(
    core: Sequence[Entry], hot_c: float, estimate: HeapEstimate | None, zone: tzinfo
) -> HotFor:
    days = [(entry.at.astimezone(zone).date(), _celsius(entry) >= hot_c) for entry in core]
    return HotFor(
        days_seen=len({day for day, is_hot in days if is_hot}),
        days_read=len({day for day, _ in days}),
        estimated_days=None if estimate is None else estimate.hot_days(hot_c),
        covered_days=0.0 if estimate is None else estimate.covered_days,
    )


def _first_days(life: BatchState, kind: EntryKind) -> float | None:
    found = (one.at for one in life.entries if one.kind is kind)
    return next(((at - life.built_at) / DAY for at in found), None)


def _finished(
    batch: BatchState, life: BatchState, until: datetime, joined: frozenset[str]
) -> tuple[Between | None, FinishedBy | None]:
    """Return when it was finished: after the last word against it, before the first word for it.

    Left to cure, added to, a test not passed, or moved onto another heap: not finished yet. What
    was said before something fresh was added no longer counts.
    """
    added = [one.at for one in life.entries if one.kind is EntryKind.ADD or one.id in joined]
    fresh = max(added, default=batch.built_at)
    told = [(one.at, _finish_told(one)) for one in life.entries if one.at >= fresh]
    first = next(((at, by) for at, by in told if by is not None), None)
    against = [fresh, *(one.at for one in life.entries if _says_not_yet(one))]
    if first is None:
        if life is not batch or batch.stage == "hot":
            against.append(until)
        return Between((max(against) - batch.built_at) / DAY, None), None
    last = max(at for at in against if at <= first[0])
    return Between((last - batch.built_at) / DAY, (first[0] - batch.built_at) / DAY), first[1]


def _finish_told(entry: Entry) -> FinishedBy | None:
    if entry.kind is EntryKind.USE:
        return FinishedBy.USED
    if entry.kind is EntryKind.SCREEN:
        return FinishedBy.SCREENED
    return FinishedBy.TEST if _verdict(entry) is Verdict.PASSED else None


def _says_not_yet(entry: Entry) -> bool:
    verdict = _verdict(entry)
    return entry.kind is EntryKind.CURE or (verdict is not None and verdict.says_no)


def _verdict(entry: Entry) -> Verdict | None:
    """Return what a test of stability or maturity says; None for anything else."""
    if entry.kind is not EntryKind.TEST:
        return None
    procedure = Procedure(entry.body["procedure"])
    if load_guides()[procedure].aspect not in _OF_FINISH:
        return None
    return judge(procedure, entry.body).verdict


def _yield_m3(batch: BatchState, life: BatchState) -> float | None:
    """Return what was taken out of a heap that is used up, or went through the sieve."""
    if batch.bin_key is not None or life is not batch:
        return None
    uses = [one for one in life.entries if one.kind is EntryKind.USE]
    sieved = [one for one in life.entries if one.kind is EntryKind.SCREEN]
    if uses and all("volume_m3" in one.body for one in uses):
        return sum(float(one.body["volume_m3"]) for one in uses)
    if sieved and all("through_m3" in one.body for one in sieved):
        return sum(float(one.body["through_m3"]) for one in sieved)
    return None


def _barrow_loads(
    life: BatchState, built_m3: float | None, estimate: HeapEstimate | None
) -> float | None:
    """Return what was forked in, turned and taken out, in loads of a level wheelbarrow."""
    if built_m3 is None or estimate is None:
        return None
    moved_m3 = built_m3
    for entry in life.entries:
        if entry.kind is EntryKind.TURN:
            hour = round((entry.at - estimate.start) / HOUR)
            moved_m3 += float(estimate.volume_m3[min(max(0, hour), len(estimate.volume_m3) - 1)])
        elif entry.kind is EntryKind.USE:
            moved_m3 += float(entry.body.get("volume_m3", 0.0))
    return moved_m3 / standard_containers()["wheelbarrow"].volume_m3


def _days(
    built_at: datetime, core: Sequence[Entry], estimate: HeapEstimate | None, zone: tzinfo
) -> tuple[DayHeat, ...]:
    """Return the hottest of each day: read where somebody read, else as estimated."""
    found: dict[int, DayHeat] = {}
    if estimate is not None:
        hours = np.flatnonzero(~np.isnan(estimate.likely_c))
        for hour in hours.tolist():
            day = _day(built_at, estimate.start + hour * HOUR, zone)
            celsius = float(estimate.likely_c[hour])
            if day >= 0 and (day not in found or celsius > found[day].hottest_c):
                found[day] = DayHeat(day, celsius, is_read=False)
    read: dict[int, float] = {}
    for entry in core:
        day = _day(built_at, entry.at, zone)
        read[day] = max(_celsius(entry), read.get(day, -273.15))
    found |= {day: DayHeat(day, celsius, is_read=True) for day, celsius in read.items()}
    return tuple(found[day] for day in sorted(found))


def _day(built_at: datetime, at: datetime, zone: tzinfo) -> int:
    return (at.astimezone(zone).date() - built_at.astimezone(zone).date()).days


def _done(life: BatchState, zone: tzinfo) -> Iterator[DoneOn]:
    for entry in life.entries:
        if entry.kind in MARKED and entry.kind is not EntryKind.BUILD:
            with_water = float(entry.body.get("water_kg", 0.0)) > 0
            yield DoneOn(_day(life.built_at, entry.at, zone), str(entry.kind), with_water)


def _with_missing(found: HeapCompared, notes: tuple[Sentence, ...], hot_c: float) -> HeapCompared:
    return replace(found, missing=(*_missing(found, hot_c), *notes))


def _missing(heap: HeapCompared, hot_c: float) -> Iterator[Sentence]:
    """Yield what the log does not hold of a heap."""
    if heap.was_there:
        yield say(
            "It was there before the log began: its recipe and its days from the beginning are "
            "not known, and it is left out of the patterns."
        )
    if heap.hot.days_read == 0:
        yield say("Nobody read its core.")
    elif heap.days_to_hot is not None and heap.days_to_hot.high is None:
        yield say(
            "No reading of {hot} or more; between readings it may have been.",
            hot=temperature(hot_c),
        )
    if heap.is_over and heap.yield_m3 is None:
        yield say("What it gave was not measured.")
