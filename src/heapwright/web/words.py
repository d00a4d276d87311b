"""Dates, ages and numbers as a person at the bin would say them.

Knows how a moment is told in the garden's time zone and how the reader's units are written, by
way of `sentences`. Knows nothing of pages.
"""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo

from heapwright import sentences
from heapwright.quantities import UnitSystem, from_si, temperature_in
from heapwright.sentences import Measure, Reader, Sentence, Value
from heapwright.wording import ENGLISH, Figure, Language, counted, worded

MM_PER_M = 1000.0  # exact
_TWO_HOURS = timedelta(hours=2)
_TWO_DAYS = timedelta(days=2)
_NEAR_DAYS = (worded("today"), worded("yesterday"))


def say(sentence: Sentence | str, reader: Reader) -> str:
    """Return a sentence of the lower floors (or plain words of theirs) in the reader's units."""
    if isinstance(sentence, Sentence):
        return sentences.render(sentence, reader)
    return reader.told(sentence)


def amount(number: float, measure: Measure, reader: Reader) -> str:
    """Return an SI number in the reader's units, rounded as a person would say it."""
    return sentences.render_value(Value(float(number), measure), reader)


def degrees(celsius: float, reader: Reader) -> str:
    """Return a temperature as a bare number in the reader's degrees; the unit stands beside it."""
    degree = reader.units.temperature_unit
    return f"{temperature_in(float(celsius), degree):.0f}".replace("-", "−")


def rain(millimetres: float, reader: Reader) -> str:
    """Return an amount of rain, "no rain", "0.3 in of rain" or "8 mm of rain"."""
    if reader.units is UnitSystem.US:
        told = f"{from_si(millimetres / MM_PER_M, 'in'):.1f}"
        amount = Figure(worded("{told} in", told=told))
    else:
        told = f"{millimetres:.0f}"
        amount = Figure(f"{told} mm")
    return reader.told(
        worded("{amount} of rain", amount=amount) if float(told) > 0 else worded("no rain")
    )


def day(
    moment: datetime, zone: tzinfo, now: datetime | None = None, language: Language = ENGLISH
) -> str:
    """Return the day, "today", "yesterday" or "Tue 3 March"; with the year when it is another."""
    there = moment.astimezone(zone)
    if now is not None:
        days = (now.astimezone(zone).date() - there.date()).days
        if days in (0, 1):
            return language.text(_NEAR_DAYS[days])
        if there.year == now.astimezone(zone).year:
            return language.date(there, "EEE d MMMM")
    return language.date(there, "EEE d MMMM y")


def long_day(moment: datetime, zone: tzinfo, language: Language = ENGLISH) -> str:
    """Return the day in full, "Wednesday 25 November"."""
    return language.date(moment.astimezone(zone), "EEEE d MMMM")


def day_number(built: datetime, moment: datetime, zone: tzinfo) -> int:
    """Return the day of a heap as the calendar counts it, 0 the day it was built."""
    return (moment.astimezone(zone).date() - built.astimezone(zone).date()).days


def clock(moment: datetime, zone: tzinfo) -> str:
    """Return the time of day, "07:40"."""
    return f"{moment.astimezone(zone):%H:%M}"


def when(
    moment: datetime, zone: tzinfo, now: datetime | None = None, language: Language = ENGLISH
) -> str:
    """Return day and time, "yesterday 18:10"."""
    return f"{day(moment, zone, now, language)} {clock(moment, zone)}"


def ago(moment: datetime, now: datetime, language: Language = ENGLISH) -> str:
    """Return how long ago a moment was, in the largest unit that still tells something."""
    past = now - moment
    if past < timedelta(minutes=1):
        return language.text("just now")
    if past < _TWO_HOURS:
        told = counted("{n} minute ago", "{n} minutes ago", int(past / timedelta(minutes=1)))
    elif past < _TWO_DAYS:
        told = counted("{n} hour ago", "{n} hours ago", int(past / timedelta(hours=1)))
    else:
        told = counted("{n} day ago", "{n} days ago", past.days)
    return language.told(told)
