"""Weather of several origins joined: the first that reaches counts, and every seam is said."""

from datetime import UTC, datetime, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from heapwright.weather.joining import blend
from heapwright.weather.series import WeatherSeries

START = datetime(2027, 6, 1, tzinfo=UTC)


def constant(start: datetime, hours: int, temperature_c: float, source: str) -> WeatherSeries:
    rest = np.full(hours, temperature_c)
    return WeatherSeries(start, rest, rest, rest, rest, rest, source, (f"note of {source}",))


USUAL = constant(datetime(2001, 1, 1, tzinfo=UTC), 8760, 1.0, "usual year")


@given(st.integers(-300, 300), st.integers(1, 400), st.integers(1, 200))
def test_pieces_count_where_they_reach(shift: int, hours: int, wanted: int) -> None:
    piece = constant(START + timedelta(hours=shift), hours, 2.0, "forecast")
    joined = blend([piece], USUAL, START, START + timedelta(hours=wanted))
    assert joined.start == START
    assert joined.hours == wanted
    for hour in range(wanted):
        inside = shift <= hour < shift + hours
        assert joined.temperature_c[hour] == (2.0 if inside else 1.0)


def test_the_earlier_piece_counts_where_two_overlap() -> None:
    seen = constant(START, 5, 3.0, "seen")
    forecast = constant(START, 10, 2.0, "forecast")
    joined = blend([seen, forecast], USUAL, START, START + timedelta(hours=12))
    np.testing.assert_array_equal(joined.temperature_c, [3.0] * 5 + [2.0] * 5 + [1.0] * 2)
    assert joined.source == "seen, then forecast, then usual year"


def test_seams_are_said() -> None:
    forecast = constant(START, 48, 2.0, "forecast")
    notes = blend([forecast], USUAL, START, START + timedelta(days=5)).notes
    assert "2027-06-01 00:00 to 2027-06-03 00:00 UTC: forecast." in notes
    assert "2027-06-03 00:00 to 2027-06-06 00:00 UTC: usual weather, not a forecast." in notes
    assert "note of forecast" in notes


def test_the_parts_are_not_changed() -> None:
    forecast = constant(START, 48, 2.0, "forecast")
    joined = blend([forecast], USUAL, START, START + timedelta(days=5))
    joined.temperature_c[:] = 99.0
    assert forecast.temperature_c.max() == 2.0
    assert USUAL.temperature_c.max() == 1.0
