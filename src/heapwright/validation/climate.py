"""Makes the simple weather of a case: a mean with a daily swing, spells, rain, sun and wind.

Knows the form in which a case tells its weather. Knows nothing of real weather files.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import numpy as np

from heapwright.errors import NotUnderstood
from heapwright.weather.series import FloatArray, WeatherSeries

#: Air is warmest in the middle of the afternoon; the sun is taken as up from six to six.
_WARMEST_HOUR = 15
_SUNRISE_HOUR = 6
_DAY = 24
#: A case tells neither date nor year; the model needs some beginning.
_START = datetime(2001, 1, 1, tzinfo=UTC)
_NAMES = {
    "days",
    "mean_c",
    "swing_c",
    "humidity",
    "wind_m_s",
    "sun_w_m2",
    "starts_at",
    "spells",
    "rain",
}


def case_weather(told: Mapping[str, Any]) -> WeatherSeries:
    """Return the hourly weather of a case.

    Parameters
    ----------
    told : mapping
        `days`, `mean_c`, `swing_c` (half the daily range), `humidity` [0-1], `wind_m_s`,
        `sun_w_m2` (at noon), `starts_at` (hour of the day the heap was built), `spells`
        ([from day, mean °C] each) and `rain` ([day, mm] each, falling over six hours).

    Raises
    ------
    NotUnderstood
        If it tells of something unknown.

    """
    if strange := set(told) - _NAMES:
        raise NotUnderstood(f"Weather of a case knows no {sorted(strange)[0]!r}")
    hours = round(float(told["days"]) * _DAY)
    hour = np.arange(hours, dtype=np.float64)
    clock = hour + float(told.get("starts_at", 14.0))
    swing = np.cos(2.0 * np.pi * (clock - _WARMEST_HOUR) / _DAY)
    level = np.ones(hours)
    return WeatherSeries(
        start=_START,
        temperature_c=_means(told, hour) + float(told.get("swing_c", 0.0)) * swing,
        relative_humidity=float(told.get("humidity", 0.7)) * level,
        wind_m_s=float(told.get("wind_m_s", 0.0)) * level,
        rain_mm=_rain(told, hour),
        sun_w_m2=_sun(float(told.get("sun_w_m2", 0.0)), clock),
        source="the case's own description",
    )


def _means(told: Mapping[str, Any], hour: FloatArray) -> FloatArray:
    means = np.full(hour.shape, float(told["mean_c"]))
    for from_day, mean_c in told.get("spells", ()):
        means[hour >= _DAY * float(from_day)] = float(mean_c)
    return means


def _rain(told: Mapping[str, Any], hour: FloatArray) -> FloatArray:
    rain = np.zeros(hour.shape)
    falls_over = 6
    for day, amount in told.get("rain", ()):
        since = hour - _DAY * float(day)
        rain[(since >= 0) & (since < falls_over)] += float(amount) / falls_over
    return rain


def _sun(noon_w_m2: float, clock: FloatArray) -> FloatArray:
    height = np.sin(2.0 * np.pi * (clock - _SUNRISE_HOUR) / _DAY)
    return np.asarray(noon_w_m2 * np.maximum(height, 0.0))
