"""A usual year drawn from monthly figures gives every month back what it said."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.weather import raw
from heapwright.weather.checks import series_from_hours
from heapwright.weather.days import hours_from_days
from heapwright.weather.normals import (
    MONTH_DAYS,
    MonthlyNormals,
    days_from_normals,
    rainy_days,
    smooth_days,
)
from heapwright.weather.raw import Place

MONTH = np.repeat(np.arange(12), MONTH_DAYS)
TUCSON = Place("Tucson", 32.2, -110.9)
Twelve = NDArray[np.float64]


def monthly_mean(days: Twelve) -> Twelve:
    return np.bincount(MONTH, weights=days) / MONTH_DAYS


def twelve(low: float, high: float) -> st.SearchStrategy[Twelve]:
    return st.lists(st.floats(low, high), min_size=12, max_size=12).map(np.array)


@given(twelve(-40, 50))
def test_smooth_days_keep_every_monthly_mean(months: Twelve) -> None:
    np.testing.assert_allclose(monthly_mean(smooth_days(months)), months, atol=1e-8)


@given(twelve(0, 1))
def test_smooth_days_keep_bounds_and_means(months: Twelve) -> None:
    days = smooth_days(months, lowest=0.0, highest=1.0)
    assert days.min() >= -1e-9
    assert days.max() <= 1.0 + 1e-9
    np.testing.assert_allclose(monthly_mean(days), months, atol=1e-8)


def test_smooth_days_do_not_jump_at_a_month_or_at_new_year() -> None:
    months = 15.0 + 12.0 * np.cos(2 * np.pi * (np.arange(12) - 6) / 12)
    days = smooth_days(months)
    assert np.abs(np.diff(np.append(days, days[0]))).max() < 0.3


def test_a_constant_year_stays_constant() -> None:
    np.testing.assert_allclose(smooth_days(np.full(12, 7.0)), 7.0, atol=1e-9)


@given(
    st.lists(st.just(0.0) | st.floats(0.1, 400), min_size=12, max_size=12).map(np.array),
    twelve(0, 31),
)
def test_rainy_days_keep_every_total_and_count(total: Twelve, wet: Twelve) -> None:
    rain = rainy_days(total, wet)
    np.testing.assert_allclose(np.bincount(MONTH, weights=rain), total, atol=1e-9)
    days = np.bincount(MONTH, weights=rain > 0)
    raining = total > 0
    expected = np.clip(np.array([round(float(each)) for each in wet]), 1, MONTH_DAYS)
    np.testing.assert_array_equal(days[raining], expected[raining])


def tucson_normals() -> MonthlyNormals:
    """Twelve invented figures of a hot dry place."""
    low = np.array([4.0, 5, 8, 11, 16, 20, 24, 23, 20, 14, 8, 4])
    return MonthlyNormals(
        {
            raw.COLDEST: low,
            raw.WARMEST: low + 16.0,
            raw.RAIN: np.array([24.0, 22, 18, 7, 6, 6, 55, 60, 36, 22, 15, 23]),
            raw.HUMIDITY: np.full(12, 0.3),
        }
    )


def test_hours_of_a_usual_year_keep_months_and_say_what_they_are() -> None:
    normals = tucson_normals()
    days = days_from_normals(normals, source="invented figures", place=TUCSON)
    series = series_from_hours(hours_from_days(days))
    assert series.hours == 8760
    hours = series.temperature_c.reshape(365, 24)
    np.testing.assert_allclose(
        monthly_mean(hours.max(axis=1)), normals.values[raw.WARMEST], atol=0.05
    )
    rain = np.bincount(MONTH, weights=series.rain_mm.reshape(365, 24).sum(axis=1))
    np.testing.assert_allclose(rain, normals.values[raw.RAIN], atol=1e-9)
    assert series.relative_humidity.mean() == pytest.approx(0.3, abs=0.05)
    assert any("no cold snaps" in note for note in series.notes)


def test_the_same_figures_give_the_same_year() -> None:
    one, two = (
        days_from_normals(tucson_normals(), source="x", place=TUCSON).values for _ in range(2)
    )
    for quantity in one:
        np.testing.assert_array_equal(one[quantity], two[quantity])


def test_figures_without_extremes_are_refused() -> None:
    with pytest.raises(WeatherProblem, match="highest temperature"):
        days_from_normals(MonthlyNormals({raw.COLDEST: np.zeros(12)}), source="x")


def test_eleven_months_are_refused() -> None:
    with pytest.raises(WeatherProblem, match="not twelve numbers"):
        days_from_normals(
            MonthlyNormals({raw.COLDEST: np.zeros(12), raw.WARMEST: np.zeros(11)}), source="x"
        )
