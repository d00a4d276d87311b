"""The numbers behind a heap's forecast chart and its table, in the reader's units.

Knows how what was logged of a heap and its modelled course become the plain lists that the
chart's script draws, and the rows that say the same in words. Holds no model.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo
from typing import Any, Protocol

from heapwright.quantities import temperature_in
from heapwright.sentences import Reader
from heapwright.web import words
from heapwright.web.heat import heat_step
from heapwright.workshop.answers import EventShown, Forecast, ReadingShown

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


class Logged(Protocol):
    """What was read and done of one heap: a bin's answer, or a heap's story."""

    @property
    def readings(self) -> Sequence[ReadingShown]:
        """Every reading, in order of time."""

    @property
    def events(self) -> Sequence[EventShown]:
        """Everything done and seen, in order of time."""


def chart_data(
    answer: Logged, forecast: Forecast, heat_line_c: float, reader: Reader, zone: tzinfo
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
            {"time": int(at.timestamp()), "letter": letter}
            for at, letter in marks_of(answer.events)
        ],
        "rain": [
            {"from": int(start.timestamp()), "mm": amount, "words": words.rain(amount, reader)}
            for start, amount in _rain_days(forecast, zone)
        ],
    }


def marks_of(events: Iterable[EventShown]) -> list[tuple[datetime, str]]:
    """Return when each thing was done and its letters: "TW" for a turn with water."""
    return [(event.at, _letters(event)) for event in events if event.kind in LETTERS]


def letters_of(kind: str, *, with_water: bool) -> str:
    """Return the letters of a thing done: "T" for a turn, "TW" for one with water."""
    own, wet = LETTERS[kind][0], LETTERS["wet"][0]
    return own + wet if with_water and own != wet else own


def _letters(event: EventShown) -> str:
    return letters_of(event.kind, with_water=event.water_kg > 0)


def said_together(
    marks: Iterable[tuple[float, str]], least_apart: float
) -> list[tuple[float, str]]:
    """Return letters with their places on a line, those that would touch as one.

    Parameters
    ----------
    marks : iterable of (float, str)
        Place and letters, from left to right.
    least_apart : float
        Room for one letter, in the unit of the places.

    """
    found: list[tuple[float, str]] = []
    for x, letters in marks:
        if found and x - found[-1][0] < least_apart * len(found[-1][1]):
            place, before = found.pop()
            letters = before + "".join(one for one in letters if one not in before)
            x = place
        found.append((x, letters))
    return found


def letters_told(events: Iterable[EventShown]) -> list[tuple[str, str]]:
    """Return the letters that stand on this chart, with their words."""
    stand = {letter for _, letters in marks_of(events) for letter in letters}
    return [meant for meant in LETTERS.values() if meant[0] in stand]


@dataclass(frozen=True, slots=True)
class CurveTold:
    """The chart in few numbers, for a sentence before it. [°C]"""

    first: datetime
    last: datetime
    readings: int
    hottest: ReadingShown | None
    now_c: tuple[float, float, float]  # low, likely, high
    end_c: tuple[float, float, float]
    rain_mm: float
    water_kg: float
    turns: int


def curve_told(answer: Logged, forecast: Forecast) -> CurveTold:
    """Return what the chart shows, in few numbers."""
    last = len(forecast.likely_c) - 1
    done = [event for event in answer.events if event.kind in LETTERS]
    return CurveTold(
        first=forecast.start,
        last=forecast.start + last * _HOUR,
        readings=len(answer.readings),
        hottest=max(answer.readings, key=lambda one: one.temperature_c, default=None),
        now_c=_band(forecast, min(forecast.now_index, last)),
        end_c=_band(forecast, last),
        rain_mm=float(sum(forecast.rain_mm[: last + 1])),
        water_kg=sum(event.water_kg for event in done),
        turns=sum(event.kind == "turn" for event in done),
    )


@dataclass(slots=True)
class DayRow:
    """One day of the table behind the chart."""

    day: date
    at: datetime
    is_ahead: bool
    readings: list[float] = field(default_factory=list)  # °C
    band_c: tuple[float, float, float] | None = None  # low, likely, high at noon
    rain_mm: float = 0.0
    water_kg: float = 0.0  # given by hand
    done: list[str] = field(default_factory=list)  # letters


def day_rows(answer: Logged, forecast: Forecast | None, zone: tzinfo) -> list[DayRow]:
    """Return one row for each day: what was read and done, and the modelled noon.

    Of a heap that is not modelled, the days on which something is written.
    """
    rows: dict[date, DayRow] = {}
    if forecast is not None:
        _modelled(rows, forecast, zone)
    for reading in answer.readings:
        _row_of(rows, reading.at, zone).readings.append(reading.temperature_c)
    for event in answer.events:
        if event.kind in LETTERS:
            row = _row_of(rows, event.at, zone)
            row.done.append(_letters(event))
            row.water_kg += event.water_kg
    return [rows[day] for day in sorted(rows)]


def _modelled(rows: dict[date, DayRow], forecast: Forecast, zone: tzinfo) -> None:
    now = forecast.start + forecast.now_index * _HOUR
    for hour in range(len(forecast.likely_c)):
        at = forecast.start + hour * _HOUR
        there = at.astimezone(zone)
        row = rows.setdefault(there.date(), DayRow(there.date(), at, at > now))
        row.rain_mm += float(forecast.rain_mm[hour])
        if there.hour == _NOON or row.band_c is None:
            row.at, row.is_ahead, row.band_c = at, at > now, _band(forecast, hour)


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
