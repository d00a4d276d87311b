"""Dates and ages as the pages tell them, for every moment and zone."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader, say, temperature
from heapwright.web import words

NOW = datetime(2026, 6, 18, 15, 20, tzinfo=UTC)
PHOENIX = ZoneInfo("America/Phoenix")


@pytest.mark.parametrize(
    "past, told",
    [
        (timedelta(seconds=20), "just now"),
        (timedelta(minutes=1), "1 minute ago"),
        (timedelta(minutes=119), "119 minutes ago"),
        (timedelta(hours=2), "2 hours ago"),
        (timedelta(hours=47), "47 hours ago"),
        (timedelta(days=2), "2 days ago"),
        (timedelta(days=400), "400 days ago"),
    ],
)
def test_an_age_is_told_in_the_largest_unit_that_tells_something(
    past: timedelta, told: str
) -> None:
    assert words.ago(NOW - past, NOW) == told


def test_a_clock_slightly_ahead_is_just_now() -> None:
    assert words.ago(NOW + timedelta(minutes=3), NOW) == "just now"


def test_yesterday_is_the_gardens_yesterday_not_the_servers() -> None:
    late = datetime(2026, 6, 18, 5, 0, tzinfo=UTC)  # 22:00 the day before in Phoenix
    assert words.when(late, PHOENIX, NOW) == "yesterday 22:00"
    assert words.when(late, UTC, NOW) == "today 05:00"


def test_another_year_is_named() -> None:
    assert words.day(datetime(2025, 3, 3, 12, tzinfo=UTC), UTC, NOW) == "Mon 3 March 2025"
    assert words.day(datetime(2026, 3, 3, 12, tzinfo=UTC), UTC, NOW) == "Tue 3 March"


def test_the_days_of_a_heap_are_those_of_the_gardens_calendar() -> None:
    built = datetime(2026, 6, 13, 23, 0, tzinfo=PHOENIX)
    assert words.day_number(built, built + timedelta(minutes=30), PHOENIX) == 0
    assert words.day_number(built, built + timedelta(hours=2), PHOENIX) == 1
    assert words.day_number(built, built + timedelta(days=6), UTC) == 6


@given(st.floats(0.0, 300.0), st.sampled_from(list(UnitSystem)))
def test_rain_is_never_told_as_nought_of_something(millimetres: float, units: UnitSystem) -> None:
    told = words.rain(millimetres, Reader(units))
    assert told == "no rain" or float(told.split()[0]) > 0


@pytest.mark.parametrize("units, told", [(UnitSystem.US, "131"), (UnitSystem.METRIC, "55")])
def test_degrees_are_a_bare_whole_number(units: UnitSystem, told: str) -> None:
    assert words.degrees(55.0, Reader(units)) == told


def test_a_frosty_number_carries_a_true_minus() -> None:
    assert words.degrees(-12.0, Reader(UnitSystem.METRIC)) == "−12"


def test_a_sentence_is_said_in_the_readers_degrees() -> None:
    sentence = say("It reads {now}.", now=temperature(55.0))
    assert words.say(sentence, Reader(UnitSystem.US)) == "It reads 131 °F."
    assert words.say("Plain words.", Reader(UnitSystem.US)) == "Plain words."
