"""Answers what is going on in one bin: forecast, cross-section, heat share, its story.

Knows how a weighed ensemble becomes what a person looks at. Knows nothing of pages.
"""

from __future__ import annotations

from heapwright.errors import NotFound
from heapwright.wording import worded
from heapwright.workshop.answers import BinAnswer, Forecast
from heapwright.workshop.course import heap_course
from heapwright.workshop.garden import Garden
from heapwright.workshop.model import heap_model, try_heap_model
from heapwright.workshop.outlook import (
    events_shown,
    forecast_of,
    heat_share,
    readings_shown,
    volume_now,
)
from heapwright.workshop.today import bin_today


def forecast(garden: Garden, bin_key: str, days: float | None = None) -> Forecast:
    """Return the temperature where the thermometer sits, so far and for some days ahead.

    Raises
    ------
    NotFound
        If the bin is unknown, empty, or its heap too old to be modelled hour by hour.

    """
    batch = garden.batch_in(bin_key)
    if batch is None:
        raise NotFound(
            worded("{name} is empty", name=garden.bin(bin_key).name),
            why="there is no heap to forecast",
            instead="Build one first",
        )
    model = heap_model(garden, batch, days)
    if model is None:
        raise NotFound(
            worded(
                "{name} was built {built_at:%Y-%m-%d}", name=batch.name, built_at=batch.built_at
            ),
            why="a heap that old is not followed hour by hour any more",
        )
    return forecast_of(model)


def bin_answer(garden: Garden, bin_key: str, days: float | None = None) -> BinAnswer:
    """Return everything the page of one bin shows.

    Raises
    ------
    NotFound
        If the bin is unknown.

    """
    today = bin_today(garden, bin_key, days)
    batch = garden.batch_in(bin_key)
    model = None if batch is None else try_heap_model(garden, batch, days)[0]
    course = heap_course(garden, bin_key, days)
    return BinAnswer(
        today=today,
        cross_section=None if course is None else course.now.section,
        heat_share=None if model is None else heat_share(model),
        moisture=None
        if model is None
        else model.interval(model.run.mean_moisture[model.now_index]),
        degradable_left=None
        if model is None
        else model.interval(model.run.degradable_left[model.now_index]),
        volume_m3=None if model is None else volume_now(model),
        readings=() if batch is None else readings_shown(batch),
        events=() if batch is None else events_shown(batch, garden.state().bins),
    )
