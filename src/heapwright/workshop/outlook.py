"""Turns a weighed ensemble and a heap's entries into what a person looks at.

Knows how to read a `HeapModel`. Knows nothing of rules or pages.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from heapwright.journal.entries import BatchState, BinState, Entry, EntryKind
from heapwright.sentences import Measure, Sentence, Value, say, temperature, word
from heapwright.workshop.answers import EventShown, Forecast, HeatShare, ReadingShown
from heapwright.workshop.history import settings_table
from heapwright.workshop.model import HeapModel
from heapwright.workshop.probe_series import for_showing, for_story
from heapwright.workshop.story import story

if TYPE_CHECKING:
    from heapwright.fitting.doubt import Doubt


def forecast_of(model: HeapModel) -> Forecast:
    """Return the forecast of a heap that has been run already."""
    low, likely, high = model.band(model.probe_c[:-1])
    return Forecast(
        start=model.run.start,
        now_index=model.now_index,
        low_c=low,
        likely_c=likely,
        high_c=high,
        air_c=model.weather.temperature_c,
        rain_mm=model.weather.rain_mm,
        depth_m=model.probe_depth_m,
        basis=_basis(model),
        notes=_weaknesses(model),
    )


def heat_share(model: HeapModel) -> HeatShare:
    """Return how much of the heap got hot so far by the model, beside what was seen."""
    table = settings_table()
    limit = table["hot_share_c"]
    return HeatShare(
        temperature_c=limit,
        hours=table["hot_share_hours"],
        share=model.interval(model.run.hot_share),
        seen_readings=sum(float(e.body["temperature_c"]) >= limit for e in model.history.readings),
        caution=say(
            "This is the model's estimate, not proof. A thermometer sees one place; a home heap "
            "is never proved free of disease or weed seed."
        ),
    )


def volume_now(model: HeapModel) -> float:
    """Return the likely volume of the heap as it stands. [m³]"""
    height = model.interval(model.run.height_m[model.now_index]).likely
    shape = model.history.shape
    return height * shape.width_m * shape.depth_m


def readings_shown(batch: BatchState) -> tuple[ReadingShown, ...]:
    """Return a batch's readings in order of time, without the dull repeats of a probe."""
    return tuple(_reading(e) for e in for_showing(batch) if e.kind is EntryKind.READING)


def events_shown(batch: BatchState, bins: Mapping[str, BinState]) -> tuple[EventShown, ...]:
    """Return what was done to a batch and read of it, in words, with few readings of a probe."""
    return tuple(
        EventShown(
            entry.id,
            entry.at,
            str(entry.kind),
            story(entry, bins),
            float(entry.body.get("water_kg", 0.0)),
        )
        for entry in for_story(batch)
    )


def _reading(entry: Entry) -> ReadingShown:
    return ReadingShown(
        entry_id=entry.id,
        at=entry.at,
        temperature_c=float(entry.body["temperature_c"]),
        depth_m=entry.body.get("depth_m"),
        where=entry.body.get("where", "core"),
    )


def _basis(model: HeapModel) -> Sentence:
    count = len(model.history.readings) - len(model.doubtful)
    template = (
        "From what went in and the weather; no reading yet."
        if count == 0
        else "From one reading, what went in and the weather."
        if count == 1
        else "From {count} readings, what went in and the weather."
    )
    return say(template, count=Value(count, Measure.COUNT))


def _weaknesses(model: HeapModel) -> tuple[Sentence, ...]:
    notes = [
        say(
            "The weather ahead is that of a usual year or a forecast: {source}.",
            source=word(model.weather.source),
        ),
    ]
    if model.is_hard_to_follow:
        notes.append(say("The model follows these readings only loosely; trust the thermometer."))
    notes += [_doubt_words(doubt) for doubt in model.doubts]
    return tuple(notes)


def _doubt_words(doubt: Doubt) -> Sentence:
    """Return which reading looks wrong and what would explain it."""
    from heapwright.fitting.doubt import Why

    judged = doubt.judged
    value, expected = temperature(judged.seen.value), temperature(judged.predicted)
    if doubt.would_be_c is not None:
        unit = "°F" if doubt.why is Why.FAHRENHEIT_AS_CELSIUS else "°C"
        return say(
            "The reading of {value} looks wrong: about {expected} was expected. In {unit} the same "
            "number would be {other}, which fits: was it in that unit?",
            value=value,
            expected=expected,
            unit=word(unit),
            other=temperature(doubt.would_be_c),
        )
    if doubt.why is Why.NOT_IN_CORE:
        return say(
            "The reading of {value} looks wrong: about {expected} was expected in the core, and "
            "about {edge} near the wall. Was the tip in the middle?",
            value=value,
            expected=expected,
            edge=temperature(judged.at_edge or 0.0),
        )
    return say(
        "The reading of {value} is far from anything the model can follow: was the probe in the "
        "core, and in the right unit?",
        value=value,
    )
