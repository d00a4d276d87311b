"""The shipped years of weather: whole, believable, in SI, with their origin beside them."""

from datetime import UTC, datetime, timedelta
from importlib import resources

import numpy as np
import pytest

from heapwright.errors import NotFound
from heapwright.weather_sources import climate, climate_place, climate_source, climates

KEYS = [each.key for each in climates()]


@pytest.mark.parametrize("key", KEYS)
def test_every_hour_is_there_and_believable(key: str) -> None:
    series = climate(key)
    assert series.hours >= 350 * 24
    for column in (series.temperature_c, series.relative_humidity, series.wind_m_s,
                   series.rain_mm, series.sun_w_m2):  # fmt: skip
        assert column.shape == (series.hours,)
        assert column.dtype == np.float64
        assert np.isfinite(column).all()
    assert -40 < series.temperature_c.min() < series.temperature_c.max() < 50
    assert 0.0 <= series.relative_humidity.min() <= series.relative_humidity.max() <= 1.0
    assert 0.0 <= series.wind_m_s.min() <= series.wind_m_s.max() < 40
    assert series.rain_mm.min() >= 0.0
    assert 0.0 <= series.sun_w_m2.min() <= series.sun_w_m2.max() < 1361


@pytest.mark.parametrize("key", KEYS)
def test_the_sun_is_highest_near_solar_noon(key: str) -> None:
    """A wrong zone or hour convention would shift the day."""
    series, place = climate(key), climate_place(key)
    days = series.hours // 24
    first_hour = series.start.hour + 0.5 + place.longitude_deg / 15
    by_hour = series.sun_w_m2[: days * 24].reshape(days, 24).mean(axis=0)
    solar_hour = (np.arange(24) + first_hour) % 24
    centre = (by_hour * solar_hour).sum() / by_hour.sum()
    assert centre == pytest.approx(12.0, abs=0.35)


def test_every_climate_tells_where_it_comes_from() -> None:
    folder = resources.files("heapwright.weather_sources").joinpath("climate_data")
    names = {each.name for each in folder.iterdir()}
    data = {name.removesuffix(".csv.gz") for name in names if name.endswith(".csv.gz")}
    assert data == {name.removesuffix(".source.md") for name in names if name.endswith(".md")}
    for each in climates():
        assert each.title
        assert each.place
        assert each.licence


def test_the_false_wind_of_newark_is_refused_and_said() -> None:
    series = climate("newark")
    assert series.wind_m_s.max() == pytest.approx(42.58 * 0.44704, abs=0.01)
    assert any("wind refused as impossible" in note for note in series.notes)


def test_rain_of_newark_is_the_sum_of_its_inches() -> None:
    """1,115 mm: the total stated with the file, to its last digit."""
    assert climate("newark").rain_mm.sum() == pytest.approx(1115, abs=0.5)


def test_rain_of_seattle_is_the_sum_of_its_days() -> None:
    """1,106 mm a year: the mean stated with the file, to its last digit."""
    assert climate("seattle").rain_mm.sum() / 4 == pytest.approx(1106, abs=0.5)


def test_overlapping_rain_of_tucson_is_counted_once() -> None:
    """Added up blindly the reports make 300 mm; no hour may be rained on twice."""
    assert climate("tucson").rain_mm.sum() < 300


def test_a_climate_may_be_changed_without_harm_to_the_next_reader() -> None:
    climate("tucson").temperature_c[:] = 0.0
    assert climate("tucson").temperature_c.mean() > 20


def test_an_unknown_climate_names_the_known_ones() -> None:
    with pytest.raises(NotFound, match="tucson"):
        climate("atlantis")


def test_a_climate_answers_for_any_dates() -> None:
    start = datetime(2031, 7, 1, tzinfo=UTC)
    week = climate_source("tucson").series(start, start + timedelta(days=7))
    assert week.start == start
    assert week.hours == 168
    assert week.temperature_c.mean() > 25
