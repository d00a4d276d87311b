"""The numbers behind a bin's forecast chart and its table, in the reader's units.

Knows how an answer becomes the plain lists that the chart's script draws, and the rows that say
the same in words. Holds no model.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo
from typing import Any

from heapwright.quantities import temperature_in
from heapwright.sentences import Reader
from heapwright.web import words
from heapwright.web.heat import heat_step
from heapwright.workshop.answers import BinAnswer, EventShown, Forecast

#: Letters on the chart for what was done, each with its word; readings are dots, looks and notes
#: stay in the story.
LETTERS: Mapping[str, tuple[str, str]] = {
    "build": ("B", "built"),
    "turn": ("T", "turned"),
    "wet": ("W", "wetted"),
    "add": ("A", "added to"),
    "cover": ("C", "cover changed"),
    "cure": ("R", "left to rest and cure"),
    "use": ("U", "compost taken out"),
}
_HOUR = timedelta(hours=1)
_NOON = 12


def chart_data(
    answer: BinAnswer, forecast: Forecast, heat_line_c: float, reader: Reader, zone: tzinfo
) -> dict[str, Any]:
    """Return what `static/chart.js` draws; times in seconds since 1970, temperatures as read."""
    unit = reader.units.temperature_unit

    def shown(celsius: float) -> float:
        return round(temperature_in(float(celsius), unit), 1)

    first = forecast.start.timestamp()
    return {
        "zone": str(zone),
        "unit": f"°{unit}",
        "times": [int(first + 3600 * hour) for hour in range(len(forecast.likely_c))],
        "low": [shown(value) for value in forecast.low_c],
        "likely": [shown(value) for value in forecast.likely_c],
        "high": [shown(value) for value in forecast.high_c],
        "air": [shown(value) for value in forecast.air_c[: len(forecast.likely_c)]],
        "now": int((forecast.start + forecast.now_index * _HOUR).timestamp()),
        "line": {"at": shown(heat_line_c), "words": f"{shown(heat_line_c):.0f}°"},
        "readings": [
            {
                "time": int(reading.at.timestamp()),
                "value": shown(reading.temperature_c),
                "step": heat_step(reading.temperature_c),
                "core": reading.where in ("", "core"),
            }
            for reading in answer.readings
        ],
        "marks": [
            {"time": int(event.at.timestamp()), "letter": LETTERS[event.kind][0]}
            for event in answer.events
            if event.kind in LETTERS
        ],
        "rain": [
            {"from": int(start.timestamp()), "mm": amount, "words": words.rain(amount, reader)}
            for start, amount in _rain_days(forecast, zone)
        ],
    }


def letters_told(events: Iterable[EventShown]) -> list[tuple[str, str]]:
    """Return the letters that stand on this chart, with their words."""
    kinds = {event.kind for event in events}
    return [meant for kind, meant in LETTERS.items() if kind in kinds]


@dataclass(slots=True)
class DayRow:
    """One day of the table behind the chart."""

    day: date
    at: datetime
    is_ahead: bool
    readings: list[float] = field(default_factory=list)  # °C
    band_c: tuple[float, float, float] | None = None  # low, likely, high at noon
    rain_mm: float = 0.0
    done: list[str] = field(default_factory=list)  # letters


def day_rows(answer: BinAnswer, forecast: Forecast, zone: tzinfo) -> list[DayRow]:
    """Return one row for each day: what was read and done, and the modelled noon."""
    rows: dict[date, DayRow] = {}
    now = forecast.start + forecast.now_index * _HOUR
    for hour in range(len(forecast.likely_c)):
        at = forecast.start + hour * _HOUR
        there = at.astimezone(zone)
        row = rows.setdefault(there.date(), DayRow(there.date(), at, at > now))
        row.rain_mm += float(forecast.rain_mm[hour])
        if there.hour == _NOON or row.band_c is None:
            row.at, row.is_ahead, row.band_c = at, at > now, _band(forecast, hour)
    for reading in answer.readings:
        _row_of(rows, reading.at, zone).readings.append(reading.temperature_c)
    for event in _done(answer.events):
        _row_of(rows, event.at, zone).done.append(LETTERS[event.kind][0])
    return [rows[day] for day in sorted(rows)]


def _done(events: Iterable[EventShown]) -> list[EventShown]:
    return [event for event in events if event.kind in LETTERS]


def _row_of(rows: dict[date, DayRow], at: datetime, zone: tzinfo) -> DayRow:
    day = at.astimezone(zone).date()
    return rows.setdefault(day, DayRow(day, at, is_ahead=False))


def _band(forecast: Forecast, hour: int) -> tuple[float, float, float]:
    band: Sequence[Any] = (forecast.low_c[hour], forecast.likely_c[hour], forecast.high_c[hour])
    low, likely, high = (float(value) for value in band)
    return low, likely, high


def _rain_days(forecast: Forecast, zone: tzinfo) -> list[tuple[datetime, float]]:
    """Return each day with rain: its midnight in the garden and the millimetres."""
    sums: dict[datetime, float] = {}
    for hour, millimetres in enumerate(forecast.rain_mm[: len(forecast.likely_c)]):
        if millimetres > 0:
            there = (forecast.start + hour * _HOUR).astimezone(zone)
            midnight = there.replace(hour=0, minute=0, second=0, microsecond=0)
            sums[midnight] = sums.get(midnight, 0.0) + float(millimetres)
    return [(midnight, round(amount, 1)) for midnight, amount in sorted(sums.items())]
