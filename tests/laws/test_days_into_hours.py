"""Days made into hours keep what the days said: lowest, highest, rain, wind and sun."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.weather import raw
from heapwright.weather.checks import series_from_hours
from heapwright.weather.days import WARMEST_HOUR, hours_from_days, sunrise_hours, temperature_hours
from heapwright.weather.raw import Place, RawDays

TUCSON = Place("Tucson", 32.2, -110.9)
Days = NDArray[np.float64]


@st.composite
def some_days(draw: st.DrawFn) -> tuple[Days, Days, Days]:
    """Draw lowest, highest and rain of some days."""
    count = draw(st.integers(1, 40))
    numbers = st.floats(-30, 40)
    low = np.array(draw(st.lists(numbers, min_size=count, max_size=count)))
    swing = np.array(draw(st.lists(st.floats(0, 25), min_size=count, max_size=count)))
    rain = np.array(draw(st.lists(st.floats(0, 200), min_size=count, max_size=count)))
    return low, np.minimum(low + swing, 50.0), rain


def reading_of(low: Days, high: Days, rain: Days, **more: Days) -> RawDays:
    days = np.datetime64("2027-03-01", "D") + np.arange(low.size)
    values = {raw.COLDEST: low, raw.WARMEST: high, raw.RAIN: rain, **more}
    return RawDays(days=days, values=values, source="invented days", place=TUCSON)


@given(some_days())
def test_every_day_reaches_its_lowest_and_its_highest(case: tuple[Days, Days, Days]) -> None:
    low, high, rain = case
    reading = reading_of(low, high, rain)
    hours = hours_from_days(reading).values[raw.TEMPERATURE].reshape(low.size, 24)
    sunrise = sunrise_hours(reading.days, TUCSON)
    np.testing.assert_allclose(hours[np.arange(low.size), sunrise], low, atol=1e-9)
    np.testing.assert_allclose(hours[:, WARMEST_HOUR], high, atol=1e-9)


@given(some_days())
def test_no_hour_leaves_the_band_of_the_extremes_beside_it(case: tuple[Days, Days, Days]) -> None:
    low, high, _ = case
    sunrise = np.full(low.size, 6)
    hours = temperature_hours(low, high, sunrise).reshape(low.size, 24)
    assert hours.min() >= low.min() - 1e-9
    assert hours.max() <= high.max() + 1e-9
    by_day = hours[:, 6 : WARMEST_HOUR + 1]
    assert (by_day >= low[:, None] - 1e-9).all()
    assert (by_day <= high[:, None] + 1e-9).all()


@given(some_days())
def test_rain_and_wind_and_sun_of_each_day_are_kept(case: tuple[Days, Days, Days]) -> None:
    low, high, rain = case
    more = {raw.WIND: rain / 20.0, raw.SUN: 100.0 + rain / 2.0}
    hours = hours_from_days(reading_of(low, high, rain, **more)).values
    np.testing.assert_allclose(hours[raw.RAIN].reshape(-1, 24).sum(axis=1), rain, atol=1e-9)
    np.testing.assert_allclose(hours[raw.WIND].reshape(-1, 24).mean(axis=1), rain / 20, atol=1e-9)
    sun = hours[raw.SUN].reshape(-1, 24)
    np.testing.assert_allclose(sun.mean(axis=1), more[raw.SUN], rtol=1e-9)
    assert (sun[:, 0] == 0).all()


@given(some_days())
def test_the_air_is_driest_when_it_is_warmest(case: tuple[Days, Days, Days]) -> None:
    series = series_from_hours(hours_from_days(reading_of(*case)))
    order = np.argsort(series.temperature_c[:24], kind="stable")
    assert (np.diff(series.relative_humidity[:24][order]) <= 1e-9).all()
    assert series.relative_humidity.max() <= 1.0


@pytest.mark.parametrize("latitude, earliest, latest", [(32.2, 5, 8), (60.0, 2, 10), (-34.0, 4, 8)])
def test_sunrise_falls_in_the_morning(latitude: float, earliest: int, latest: int) -> None:
    days = np.arange("2027-01-01", "2028-01-01", dtype="datetime64[D]")
    sunrise = sunrise_hours(days, Place("somewhere", latitude, 10.0))
    assert earliest <= sunrise.min()
    assert sunrise.max() <= latest


def test_swapped_columns_are_told_with_the_day_and_both_numbers() -> None:
    with pytest.raises(WeatherProblem, match=r"2027-03-02: lowest temperature 20 °C.*highest, 5"):
        hours_from_days(
            reading_of(np.array([1.0, 20.0]), np.array([9.0, 5.0]), np.array([0.0, 0.0]))
        )


def test_a_day_without_rain_report_is_dry_and_said() -> None:
    reading = reading_of(np.array([1.0, 2.0]), np.array([9.0, 8.0]), np.array([4.0, np.nan]))
    series = series_from_hours(hours_from_days(reading))
    assert series.rain_mm.sum() == pytest.approx(4.0)
    assert any("24 hours without a report are taken as dry" in note for note in series.notes)


def test_days_missing_in_a_row_are_bridged_or_refused() -> None:
    gap = np.array([1.0, np.nan, np.nan, 4.0])
    hours = hours_from_days(reading_of(gap, gap + 10, np.zeros(4)))
    assert any("2 days without temperature" in note for note in hours.notes)
    long_gap = np.concatenate(([1.0], np.full(11, np.nan), [2.0]))
    with pytest.raises(WeatherProblem, match="11 days on end"):
        hours_from_days(reading_of(long_gap, long_gap + 10, np.zeros(13)))
