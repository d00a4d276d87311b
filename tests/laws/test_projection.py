"""A year of weather laid on other dates keeps the calendar day and hour, whatever the year."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import WeatherProblem
from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries


def numbered(start: datetime, hours: int) -> WeatherSeries:
    """Return a series whose temperature is month * 10000 + day * 100 + hour."""
    stamps = [start + timedelta(hours=i) for i in range(hours)]
    label = np.array([t.month * 10000.0 + t.day * 100.0 + t.hour for t in stamps])
    rest = np.zeros(hours)
    return WeatherSeries(start, label, rest, rest, rest, rest, source="numbered hours")


TYPICAL = numbered(datetime(2001, 1, 1, 7, tzinfo=UTC), 8760)


@given(
    start=st.datetimes(datetime(1990, 1, 1), datetime(2060, 1, 1)),
    hours=st.integers(min_value=1, max_value=2000),
)
def test_each_hour_is_its_own_calendar_hour(start: datetime, hours: int) -> None:
    start = start.replace(tzinfo=UTC)
    laid = on_dates(TYPICAL, start, start + timedelta(hours=hours))
    first = start.replace(minute=0, second=0, microsecond=0)
    assert laid.start == first
    assert laid.end >= start + timedelta(hours=hours)
    for index in range(0, laid.hours, 37):
        when = first + timedelta(hours=index)
        day = 28 if (when.month, when.day) == (2, 29) else when.day
        assert laid.temperature_c[index] == when.month * 10000 + day * 100 + when.hour


def test_a_real_leap_day_is_used_where_the_series_has_one() -> None:
    series = numbered(datetime(2012, 1, 1, tzinfo=UTC), 366 * 24)
    laid = on_dates(series, datetime(2028, 2, 29, tzinfo=UTC), datetime(2028, 3, 1, tzinfo=UTC))
    assert laid.temperature_c[0] == 22900
    assert not any("day before" in note for note in laid.notes)


def test_notes_say_it_is_no_forecast() -> None:
    laid = on_dates(TYPICAL, datetime(2030, 5, 1, tzinfo=UTC), datetime(2030, 5, 2, tzinfo=UTC))
    assert any("not a forecast" in note for note in laid.notes)


def test_a_short_series_cannot_stand_for_a_year() -> None:
    series = numbered(datetime(2001, 1, 1, tzinfo=UTC), 24 * 40)
    with pytest.raises(WeatherProblem, match="40 days"):
        on_dates(series, datetime(2030, 5, 1, tzinfo=UTC), datetime(2030, 5, 2, tzinfo=UTC))


def test_dates_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(WeatherProblem, match="The end must come after"):
        on_dates(TYPICAL, datetime(2030, 5, 2, tzinfo=UTC), datetime(2030, 5, 1, tzinfo=UTC))
