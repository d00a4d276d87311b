"""The small picture on a bin's card: the modelled temperature of the last and the next days.

Knows how a forecast becomes a few points in a small frame. It is decoration: everything it says
stands in words beside it. Knows nothing of the large chart (see `chart`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from heapwright.web.heat import heat_class
from heapwright.workshop.answers import FloatArray, Forecast, ReadingShown

WIDTH, HEIGHT = 132, 72
_PAST_HOURS, _NEXT_HOURS = 120, 72
_EVERY_HOURS = 3
#: Ends of the upright scale, the same on every card so that cards can be compared by eye.
_COLDEST_C, _HOTTEST_C = 10.0, 80.0
_MARGIN = 6.0


@dataclass(frozen=True, slots=True)
class Spark:
    """Points in a frame of `WIDTH` by `HEIGHT`, ready for an SVG."""

    band: str
    likely: str
    now_x: float
    reading: tuple[float, float, str] | None  # x, y, class of its heat


def spark(forecast: Forecast, last_reading: ReadingShown | None) -> Spark:
    """Return the small picture of a forecast around the present hour."""
    first = max(0, forecast.now_index - _PAST_HOURS)
    last = min(len(forecast.likely_c) - 1, forecast.now_index + _NEXT_HOURS)
    hours = sorted({*range(first, last + 1, _EVERY_HOURS), last})
    frame = _Frame(first, max(last, first + 1))
    upper = frame.points(hours, forecast.high_c)
    lower = frame.points(hours[::-1], forecast.low_c)
    return Spark(
        band=f"{upper} {lower}",
        likely=frame.points(hours, forecast.likely_c),
        now_x=frame.x(forecast.now_index),
        reading=_reading(frame, forecast, last_reading),
    )


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where hours and degrees lie in the picture."""

    first: int
    last: int

    def x(self, hour: float) -> float:
        share = (hour - self.first) / (self.last - self.first)
        return round(_MARGIN + share * (WIDTH - 2 * _MARGIN), 1)

    def y(self, celsius: float) -> float:
        share = (celsius - _COLDEST_C) / (_HOTTEST_C - _COLDEST_C)
        return round(HEIGHT - min(1.0, max(0.0, share)) * HEIGHT, 1)

    def points(self, hours: Sequence[int], values: FloatArray) -> str:
        return " ".join(f"{self.x(hour):g},{self.y(float(values[hour])):g}" for hour in hours)


def _reading(
    frame: _Frame, forecast: Forecast, reading: ReadingShown | None
) -> tuple[float, float, str] | None:
    if reading is None:
        return None
    hour = (reading.at - forecast.start).total_seconds() / 3600
    if not frame.first <= hour <= frame.last:
        return None
    celsius = reading.temperature_c
    return frame.x(hour), frame.y(celsius), heat_class(celsius)
