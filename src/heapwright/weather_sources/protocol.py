"""What every source of weather can do: give the hours from one instant to another, and say whence.

Knows only the shape; the sources are `climate`, `files` and `online`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries


class WeatherSource(Protocol):
    """Anything that can be asked for weather."""

    def series(self, start: datetime, end: datetime) -> WeatherSeries:
        """Return the hours from `start` to `end`, both timezone-aware.

        Raises
        ------
        WeatherProblem
            If it cannot, with what to do instead.

        """
        ...


@dataclass(frozen=True, slots=True)
class SeriesSource:
    """A series in hand as a source.

    Attributes
    ----------
    whole : WeatherSeries
        All of it.
    usual : bool
        A usual year, laid on whatever dates are asked for; otherwise only its own hours are given.

    """

    whole: WeatherSeries
    usual: bool

    def series(self, start: datetime, end: datetime) -> WeatherSeries:
        """Return the hours asked for; see `WeatherSource`."""
        if self.usual:
            return on_dates(self.whole, start, end)
        return self.whole.between(start, end)
