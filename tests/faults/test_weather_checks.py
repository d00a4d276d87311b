"""Impossible values, gaps, doubles and disorder in weather: mended and said, or refused."""

import numpy as np
import pytest
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.weather import raw
from heapwright.weather.checks import series_from_hours
from heapwright.weather.raw import Place, RawHours

START = np.datetime64("2027-07-01T00:00:00")
TUCSON = Place("Tucson", 32.2, -110.9)


def reading(hours: int = 24 * 30, **changes: NDArray[np.float64]) -> RawHours:
    """Return a month of plain weather, with columns changed."""
    swing = 25.0 + 10.0 * np.sin(np.arange(hours) * np.pi / 12)
    values = {
        raw.TEMPERATURE: swing,
        raw.HUMIDITY: np.full(hours, 0.3),
        raw.WIND: np.full(hours, 3.0),
        raw.RAIN: np.zeros(hours),
        raw.SUN: np.full(hours, 250.0),
    }
    begins = START + np.arange(hours) * np.timedelta64(1, "h")
    return RawHours(begins, values | changes, "a station", TUCSON, units={raw.WIND: "mph"})


def column(quantity: str, *places: int, value: float = np.nan) -> dict[str, NDArray[np.float64]]:
    changed = reading().values[quantity].copy()
    changed[list(places)] = value
    return {quantity: changed}


def said(series_notes: tuple[str, ...], words: str) -> bool:
    return any(words in note for note in series_notes)


def test_plain_weather_passes_unchanged_and_without_a_word() -> None:
    plain = reading()
    series = series_from_hours(plain)
    np.testing.assert_array_equal(series.temperature_c, plain.values[raw.TEMPERATURE])
    assert series.notes == ()


@pytest.mark.parametrize(
    "quantity, value",
    [
        (raw.TEMPERATURE, 70.0),
        (raw.TEMPERATURE, -120.0),
        (raw.HUMIDITY, 1.4),
        (raw.HUMIDITY, -0.1),
        (raw.WIND, 468.7),
        (raw.WIND, -1.0),
        (raw.RAIN, 400.0),
        (raw.RAIN, -2.0),
        (raw.SUN, 2000.0),
        (raw.SUN, -5.0),
    ],
)
def test_an_impossible_value_is_refused_and_mended(quantity: str, value: float) -> None:
    series = series_from_hours(reading(**column(quantity, 100, value=value)))
    plain = series_from_hours(reading())
    assert said(series.notes, "refused as impossible")
    mended = getattr(series, quantity)
    assert mended[100] == pytest.approx(getattr(plain, quantity)[100], abs=1.0)


def test_a_refused_wind_is_named_as_the_file_wrote_it() -> None:
    series = series_from_hours(reading(**column(raw.WIND, 100, value=1048.36 * 0.44704)))
    assert series.notes[0] == (
        "1 value of wind refused as impossible: 1,048.36 mph at 2027-07-05 04:00 UTC; "
        "treated as missing."
    )


def test_a_little_over_saturation_is_saturation() -> None:
    series = series_from_hours(reading(**column(raw.HUMIDITY, 5, value=1.03)))
    assert series.relative_humidity[5] == 1.0
    assert series.notes == ()


def test_a_wrong_unit_is_refused_whole() -> None:
    with pytest.raises(WeatherProblem, match="wrong unit"):
        series_from_hours(reading(**{raw.TEMPERATURE: np.full(24 * 30, 95.0)}))


def test_a_short_gap_is_bridged_by_a_straight_line() -> None:
    series = series_from_hours(reading(**column(raw.TEMPERATURE, 50, 51, 52)))
    expected = np.interp([50, 51, 52], [49, 53], series.temperature_c[[49, 53]])
    np.testing.assert_allclose(series.temperature_c[50:53], expected)
    assert said(series.notes, "Temperature: 3 missing hours bridged by a straight line")


def test_a_longer_gap_keeps_the_swing_of_the_day() -> None:
    gone = range(200, 248)
    series = series_from_hours(reading(**column(raw.TEMPERATURE, *gone)))
    np.testing.assert_allclose(series.temperature_c, reading().values[raw.TEMPERATURE], atol=1e-9)
    assert said(series.notes, "48 missing hours filled from the same hours of days around")


def test_a_gap_too_long_is_refused() -> None:
    with pytest.raises(WeatherProblem, match="Temperature is missing in a station for 260 hours"):
        series_from_hours(reading(**column(raw.TEMPERATURE, *range(200, 460))))


def test_absent_rows_are_gaps() -> None:
    whole = reading()
    kept = np.delete(np.arange(24 * 30), [60, 61])
    cut = RawHours(
        whole.begins[kept], {n: v[kept] for n, v in whole.values.items()}, "a station", TUCSON
    )
    series = series_from_hours(cut)
    assert series.hours == 24 * 30
    assert said(series.notes, "2 missing hours bridged")
    assert said(series.notes, "Rain: 2 hours without a report are taken as dry")


def test_disorder_and_doubles_are_put_right_and_said() -> None:
    whole = reading()
    order = np.concatenate((np.arange(24 * 30)[::-1], [3, 3]))
    mixed = RawHours(
        whole.begins[order], {n: v[order] for n, v in whole.values.items()}, "a station", TUCSON
    )
    series = series_from_hours(mixed)
    np.testing.assert_array_equal(series.temperature_c, whole.values[raw.TEMPERATURE])
    assert said(series.notes, "out of order")
    assert said(series.notes, "2 rows repeat the time of another")


def test_several_rows_in_an_hour_are_averaged_and_their_rain_added() -> None:
    begins = START + np.arange(48) * np.timedelta64(30, "m")
    values = {
        raw.TEMPERATURE: np.tile([10.0, 20.0], 24),
        raw.RAIN: np.tile([1.0, 2.0], 24),
        raw.SUN: np.zeros(48),
    }
    series = series_from_hours(RawHours(begins, values, "a station", TUCSON))
    np.testing.assert_allclose(series.temperature_c, 15.0)
    np.testing.assert_allclose(series.rain_mm, 3.0)


def test_more_rain_than_falls_anywhere_is_refused() -> None:
    hours = 8760
    with pytest.raises(WeatherProblem, match="adds up to 17,520 mm a year"):
        series_from_hours(reading(hours, **{raw.RAIN: np.full(hours, 2.0)}))


def test_a_year_without_a_drop_is_remarked() -> None:
    assert said(series_from_hours(reading(8760)).notes, "many such files leave rain out")


def test_no_temperature_no_weather() -> None:
    values = {raw.WIND: np.zeros(3)}
    begins = START + np.arange(3) * np.timedelta64(1, "h")
    with pytest.raises(WeatherProblem, match="no air temperature"):
        series_from_hours(RawHours(begins, values, "a station"))


def test_no_rows_no_weather() -> None:
    with pytest.raises(WeatherProblem, match="no rows"):
        series_from_hours(
            RawHours(np.array([], dtype="datetime64[s]"), {raw.TEMPERATURE: np.array([])}, "it")
        )


@pytest.mark.parametrize(
    "absent, words",
    [
        (raw.HUMIDITY, "lowest temperature is taken as the dew point"),
        (raw.WIND, "2 m/s is assumed"),
        (raw.RAIN, "every day is taken as dry"),
        (raw.SUN, "Hargreaves"),
    ],
)
def test_a_quantity_the_file_lacks_is_supplied_and_said(absent: str, words: str) -> None:
    plain = reading()
    values = {name: v for name, v in plain.values.items() if name != absent}
    series = series_from_hours(RawHours(plain.begins, values, "a station", TUCSON))
    assert said(series.notes, words)
    assert np.isfinite(getattr(series, absent)).all()


def test_temperature_that_is_nowhere_there_is_told() -> None:
    with pytest.raises(WeatherProblem, match="no air temperature"):
        series_from_hours(reading(**{raw.TEMPERATURE: np.full(24 * 30, np.nan)}))


def test_rows_a_day_apart_are_no_hours() -> None:
    begins = START + np.arange(30) * np.timedelta64(24, "h")
    with pytest.raises(WeatherProblem, match="24 hours apart"):
        series_from_hours(RawHours(begins, {raw.TEMPERATURE: np.zeros(30)}, "a station", TUCSON))


def test_a_stray_row_centuries_away_is_refused_before_any_grid_is_laid() -> None:
    whole = reading()
    begins = whole.begins.copy()
    begins[-1] = np.datetime64("2199-01-01T00:00:00")
    with pytest.raises(WeatherProblem, match="Rows are missing in a station for 1,5"):
        series_from_hours(RawHours(begins, whole.values, "a station", TUCSON))


@pytest.mark.parametrize("latitude, longitude", [(200.0, 0.0), (0.0, -181.0), (np.nan, 0.0)])
def test_a_place_off_the_earth_is_refused(latitude: float, longitude: float) -> None:
    with pytest.raises(WeatherProblem, match="lies between"):
        Place("nowhere", latitude, longitude)
