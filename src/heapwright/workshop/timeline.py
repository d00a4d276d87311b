"""Answers where each heap lay through the weeks, how hot it was there, and when it will be ready.

Knows how a batch's entries become stays in bins, cut at the weeks. Knows nothing of drawing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

import numpy as np

from heapwright.journal.entries import BatchState, BinState, EntryKind
from heapwright.sentences import Sentence, say, temperature, word
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import is_core_reading
from heapwright.workshop.model import HOUR, HeapModel, try_heap_model
from heapwright.workshop.ready import ready
from heapwright.workshop.ready_answer import ReadyDate
from heapwright.workshop.story import story

#: How far back the answer looks when it is not asked for more, and the most it may be asked.
USUAL_WEEKS, MOST_WEEKS = 26, 520
#: What is done to a heap, as marks; readings are in the colours and looks in the story.
MARKED = (
    EntryKind.BUILD,
    EntryKind.TURN,
    EntryKind.WET,
    EntryKind.ADD,
    EntryKind.CURE,
    EntryKind.USE,
)
WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Piece:
    """A batch in one bin within one week.

    Attributes
    ----------
    bin_key : str
    since, until : datetime
        Within one week of the garden's calendar, and not after now. UTC.
    hottest_c : float or None
        The hottest that was read in the core; where nothing was read, the hottest of the model's
        likely course; None when there is neither. [°C]
    is_read : bool
        Whether the thermometer said so.
    is_curing : bool
        Whether it had been left to cure when the piece began.

    """

    bin_key: str
    since: datetime
    until: datetime
    hottest_c: float | None
    is_read: bool
    is_curing: bool


@dataclass(frozen=True, slots=True)
class Mark:
    """Something done to a batch, in the bin where it lay afterwards."""

    at: datetime
    kind: str  # the EntryKind value
    bin_key: str
    with_water: bool
    words: Sentence


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One batch through the weeks.

    Attributes
    ----------
    key, name, stage : str
    bin_key : str or None
        Where it lies now; None when used up.
    built_at : datetime
    ended_at : datetime or None
        When it was used up or became part of another heap.
    pieces : tuple of Piece
        In order of time; only those the answer covers.
    marks : tuple of Mark
    ready : ReadyDate or None
        When it is expected to be ready, as a range; None when used up or not known.
    told : tuple of Sentence
        The same in words.

    """

    key: str
    name: str
    stage: str
    bin_key: str | None
    built_at: datetime
    ended_at: datetime | None
    pieces: tuple[Piece, ...]
    marks: tuple[Mark, ...]
    ready: ReadyDate | None
    told: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class Timeline:
    """Every heap of the garden through the weeks.

    Attributes
    ----------
    since : datetime
        Monday's midnight in the garden that the answer begins with, in UTC.
    now : datetime
    bins : tuple of BinState
        In their row; those out of use only when a batch lay there.
    batches : tuple of BatchLine
        In the order they were built.
    earlier : int
        Batches that ended before `since` and are left out.

    """

    since: datetime
    now: datetime
    bins: tuple[BinState, ...]
    batches: tuple[BatchLine, ...]
    earlier: int


def timeline(garden: Garden, weeks: int = USUAL_WEEKS) -> Timeline:
    """Return every heap through the last weeks, with the bins it lay in.

    Parameters
    ----------
    garden : Garden
    weeks : int, default 26
        How many weeks to look back, 1 to `MOST_WEEKS`; fewer are shown when the journal is younger.

    """
    state, now = garden.state(), garden.now()
    batches = sorted(state.batches.values(), key=lambda one: (one.built_at, one.key))
    zone = ZoneInfo(state.settings.time_zone)
    earliest = min((one.built_at for one in batches), default=now)
    since = monday(max(earliest, now - min(max(weeks, 1), MOST_WEEKS) * WEEK), zone)
    shown = [one for one in batches if (ended(one) or now) >= since]
    lines = tuple(_line(garden, one, since, now, zone) for one in shown)
    visited = {piece.bin_key for line in lines for piece in line.pieces}
    return Timeline(
        since=since,
        now=now,
        bins=tuple(one for one in state.bins.values() if one.in_use or one.key in visited),
        batches=lines,
        earlier=len(batches) - len(shown),
    )


def monday(moment: datetime, zone: tzinfo) -> datetime:
    """Return the midnight the week of a moment begins with in a zone, in UTC."""
    there = moment.astimezone(zone)
    day = there - timedelta(days=there.weekday())
    return day.replace(hour=0, minute=0, second=0, microsecond=0).astimezone(UTC)


def next_monday(moment: datetime, zone: tzinfo) -> datetime:
    """Return the midnight the week after a moment's begins with in a zone, in UTC."""
    # Nine days on lies in the next week even where the clocks change.
    return monday(monday(moment, zone) + WEEK + timedelta(days=2), zone)


def stays(batch: BatchState) -> tuple[tuple[str, datetime], ...]:
    """Return the bins a batch lay in, each with the time it came there."""
    found: list[tuple[str, datetime]] = []
    for entry in lived(batch).entries:
        if entry.kind is EntryKind.BUILD:
            found.append((str(entry.body["bin"]), entry.at))
        elif entry.body.get("to_bin", found[-1][0]) != found[-1][0]:
            found.append((str(entry.body["to_bin"]), entry.at))
    return tuple(found)


def lived(batch: BatchState) -> BatchState:
    """Return a batch without the move by which it became part of another heap, if it did."""
    joined = batch.bin_key is None and batch.entries[-1].kind is EntryKind.TURN
    return replace(batch, entries=batch.entries[:-1]) if joined else batch


def ended(batch: BatchState) -> datetime | None:
    """Return when a batch was used up or became part of another heap; None while it lies."""
    return None if batch.bin_key is not None else batch.entries[-1].at


def _line(
    garden: Garden, batch: BatchState, since: datetime, now: datetime, zone: tzinfo
) -> BatchLine:
    until = ended(batch)
    model = None if until is not None else try_heap_model(garden, batch)[0]
    pieces = tuple(
        _piece(batch, bin_key, (start, end), until or now, model)
        for bin_key, start, end in _cut(batch, since, until or now, zone)
    )
    date = None if batch.bin_key is None else ready(garden, batch.bin_key).date
    return BatchLine(
        key=batch.key,
        name=batch.name,
        stage=batch.stage,
        bin_key=batch.bin_key,
        built_at=batch.built_at,
        ended_at=until,
        pieces=pieces,
        marks=tuple(mark for mark in _marks(garden, batch) if since <= mark.at <= now),
        ready=date,
        told=tuple(_told(garden, batch, pieces, date)),
    )


def _cut(
    batch: BatchState, since: datetime, until: datetime, zone: tzinfo
) -> Iterator[tuple[str, datetime, datetime]]:
    """Yield the stays of a batch, cut where a week of the garden's calendar begins."""
    found = stays(batch)
    ends = [*(at for _, at in found[1:]), until]
    for (bin_key, came), left in zip(found, ends, strict=True):
        start, end = max(came, since), min(left, until)
        while start < end:
            cut = min(end, next_monday(start, zone))
            yield bin_key, start, cut
            start = cut


def _piece(
    batch: BatchState,
    bin_key: str,
    span: tuple[datetime, datetime],
    last: datetime,
    model: HeapModel | None,
) -> Piece:
    since, until = span
    read = [
        float(entry.body["temperature_c"])
        for entry in batch.entries
        if is_core_reading(entry) and (since <= entry.at < until or entry.at == until == last)
    ]
    return Piece(
        bin_key=bin_key,
        since=since,
        until=until,
        hottest_c=max(read) if read else _modelled(model, since, until),
        is_read=bool(read),
        is_curing=_was_curing(batch, since),
    )


def _was_curing(batch: BatchState, at: datetime) -> bool:
    """Whether a batch had been left to cure, and nothing fresh was added since."""
    kinds = [entry.kind for entry in batch.entries if entry.at <= at]
    told = [kind for kind in kinds if kind in (EntryKind.CURE, EntryKind.ADD)]
    return told[-1:] == [EntryKind.CURE]


def _modelled(model: HeapModel | None, since: datetime, until: datetime) -> float | None:
    """Return the hottest of the model's likely course between two moments."""
    if model is None:
        return None
    first, last = (
        min(max(0, int((at - model.history.start) / HOUR)), model.now_index)
        for at in (since, until)
    )
    return float(np.max(model.band(model.probe_c[first : last + 1])[1]))


def _marks(garden: Garden, batch: BatchState) -> Iterator[Mark]:
    bins, found = garden.state().bins, stays(batch)
    for entry in batch.entries:
        if entry.kind in MARKED:
            here = [bin_key for bin_key, came in found if came <= entry.at][-1]
            has_water = float(entry.body.get("water_kg", 0.0)) > 0
            yield Mark(entry.at, str(entry.kind), here, has_water, story(entry, bins))


def _told(
    garden: Garden, batch: BatchState, pieces: Sequence[Piece], date: ReadyDate | None
) -> Iterator[Sentence]:
    bins = garden.state().bins
    names = [bins[key].name for key, _ in stays(batch)]
    if len(names) == 1:
        yield say("Bin: {bin}.", bin=word(names[0]))
    else:
        yield say("Bins, one after the other: {bins}.", bins=word(", ".join(names)))
    read = [one.hottest_c for one in pieces if one.is_read and one.hottest_c is not None]
    if read:
        yield say("The hottest reading was {hottest}.", hottest=temperature(max(read)))
    else:
        yield say("No reading of its core is written down for these weeks.")
    if batch.bin_key is None:
        yield say("It is used up.")
    elif batch.stage == "curing":
        yield say("It is curing.")
    if date is not None:
        yield date.told
        if date.kept_well is not None:
            yield date.kept_well
