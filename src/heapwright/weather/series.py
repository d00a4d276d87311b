"""The hourly weather series every heap run is driven by, in SI units and UTC.

Knows the shape and the valid range of the numbers. Knows nothing of files or networks.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.wording import worded

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WeatherSeries:
    """Hourly weather: value `i` stands for the hour that begins at `start + i hours`.

    Attributes
    ----------
    start : datetime
        Beginning of the first hour, timezone-aware, UTC.
    temperature_c, relative_humidity, wind_m_s, rain_mm, sun_w_m2 : array, shape (hours,)
        Air temperature [°C]; humidity [0-1]; wind at the source's height [m s⁻¹]; rain in the hour
        [mm]; mean global horizontal irradiance of the hour [W m⁻²]. Never NaN: gaps are filled
        (or refused) by `checks` before a series is made.
    source : str
        Where it comes from, in words for the person, such as "Newark airport, 2013 (observed)".
    notes : tuple of str
        What was filled, refused or assumed on the way, one sentence each.

    """

    start: datetime
    temperature_c: FloatArray
    relative_humidity: FloatArray
    wind_m_s: FloatArray
    rain_mm: FloatArray
    sun_w_m2: FloatArray
    source: str
    notes: tuple[str, ...] = field(default=())

    @property
    def hours(self) -> int:
        """Number of hours covered."""
        return int(self.temperature_c.shape[0])

    @property
    def end(self) -> datetime:
        """End of the last hour (exclusive)."""
        return self.start + timedelta(hours=self.hours)

    def between(self, start: datetime, end: datetime) -> WeatherSeries:
        """Return the hours from `start` (floored to the hour) up to `end`.

        Raises
        ------
        WeatherProblem
            If the series does not cover the time asked for.

        """
        first = int((start.astimezone(UTC) - self.start) // timedelta(hours=1))
        last = -int((self.start - end.astimezone(UTC)) // timedelta(hours=1))
        if first < 0 or last > self.hours or last <= first:
            raise WeatherProblem(
                worded(
                    "Weather from {start:%Y-%m-%d %H:%M} to {end:%Y-%m-%d %H:%M} is wanted, but "
                    "{source} covers {self_start:%Y-%m-%d} to {self_end:%Y-%m-%d}",
                    start=start,
                    end=end,
                    source=self.source,
                    self_start=self.start,
                    self_end=self.end,
                ),
                instead="Give a weather file that covers that time, or use a typical year",
            )
        cut = slice(first, last)
        return replace(
            self,
            start=self.start + timedelta(hours=first),
            temperature_c=np.ascontiguousarray(self.temperature_c[cut]),
            relative_humidity=np.ascontiguousarray(self.relative_humidity[cut]),
            wind_m_s=np.ascontiguousarray(self.wind_m_s[cut]),
            rain_mm=np.ascontiguousarray(self.rain_mm[cut]),
            sun_w_m2=np.ascontiguousarray(self.sun_w_m2[cut]),
        )
