"""What the heaps that stand in bins will give, and when: for the beds, until a plan says more.

Knows how the answer of `ready` becomes expected compost. Shares nothing out.
"""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

from heapwright.errors import HeapwrightError
from heapwright.garden.beds_types import Volume
from heapwright.sentences import Sentence
from heapwright.workshop import beds_words
from heapwright.workshop.beds_answer import ExpectedCompost
from heapwright.workshop.garden import Garden
from heapwright.workshop.ready import READY, ready
from heapwright.workshop.ready_answer import Expected, Ready


def expected_of_heaps(
    garden: Garden, today: date
) -> tuple[tuple[ExpectedCompost, ...], tuple[Sentence, ...]]:
    """Return the compost that standing heaps will give, and why one of them is not counted."""
    found: list[ExpectedCompost] = []
    notes: list[Sentence] = []
    for one in garden.state().bins_in_use.values():
        batch = garden.batch_in(one.key)
        if batch is None:
            continue
        answer = _ready(garden, one.key)
        dates = None if answer is None else _dates(garden, answer, today)
        amount = None if answer is None else answer.expected
        if dates is None:
            notes.append(beds_words.no_date(batch.name))
        elif amount is None:
            notes.append(beds_words.no_amount(batch.name))
        else:
            found.append(ExpectedCompost(*dates, volume_expected(amount), batch.name))
    return tuple(sorted(found, key=lambda one: (one.on, one.name))), tuple(notes)


def _ready(garden: Garden, bin_key: str) -> Ready | None:
    try:
        return ready(garden, bin_key)
    except HeapwrightError:
        return None


def _dates(garden: Garden, answer: Ready, today: date) -> tuple[date, date] | None:
    """Return when it is likely and when surely ready; beyond a year is not said."""
    if answer.stage == READY:
        return today, today
    found = answer.date
    if found is None or found.likely is None:
        return None
    zone = ZoneInfo(garden.state().settings.time_zone)
    likely = max(today, found.likely.astimezone(zone).date())
    late = date.max if found.high is None else found.high.astimezone(zone).date()
    return likely, max(likely, late)


def volume_expected(expected: Expected) -> Volume:
    """Return the range of both ways to reckon a heap's compost; likely is halfway between."""
    mass, shrunk = expected.volume_m3, expected.volume_by_shrinking_m3
    return Volume(
        min(mass.low, shrunk.low),
        (mass.likely + shrunk.likely) / 2.0,
        max(mass.high, shrunk.high),
    )
