"""Reads a scenario's weather: the same day again and again, rows, a file, or a usual year.

Knows how each becomes hourly weather and what is taken where nothing is said. Knows no file form.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from heapwright.errors import NotFound, NotUnderstood, OutOfRange, WeatherProblem
from heapwright.json_text import cut
from heapwright.sentences import Measure, Sentence, Value, days, say, share, word
from heapwright.validation.climate import case_weather
from heapwright.weather.checks import gap_rules
from heapwright.weather.raw import Place
from heapwright.weather.series import FloatArray, WeatherSeries
from heapwright.weather_sources.climate import climate_source
from heapwright.weather_sources.files import FileHints, file_source
from heapwright.weather_sources.protocol import SeriesSource
from heapwright.wording import worded
from heapwright.workshop.scenario.types import Asker, Said, usual
from heapwright.workshop.scenario.weather_form import (
    HOURS_A_DAY,
    ClimateWeather,
    ConstantForm,
    ConstantWeather,
    FileWeather,
    HourForm,
    HourlyWeather,
)

AnyWeather = ConstantWeather | HourlyWeather | FileWeather | ClimateWeather
#: Rows without a date need some beginning; the answer then tells none.
_NO_DATE = datetime(2001, 1, 1, tzinfo=UTC)


def weather_of(
    form: AnyWeather, days_said: float | None, asker: Asker, said: Said
) -> tuple[WeatherSeries, datetime | None]:
    """Return the run's weather, and when it begins where that is known.

    Raises
    ------
    HeapwrightError
        If a file cannot be read, or what is told is too short.

    """
    if isinstance(form, HourlyWeather):
        return _of_rows(form.hours, days_said, said), None
    if isinstance(form, ConstantWeather):
        return _of_one_day(form.constant, _length(days_said, said), said), None
    series = _of_file(form, days_said, asker, said)
    said.notes += [say("{note}", note=word(note)) for note in series.notes]
    return series, series.start


def _length(days_said: float | None, said: Said) -> int:
    if days_said is None:
        taken = usual()["days"]
        said.assumed.append(say("The run lasts {taken}.", taken=days(taken)))
        return round(taken * HOURS_A_DAY)
    return max(1, round(days_said * HOURS_A_DAY))


def _of_one_day(form: ConstantForm, hours: int, said: Said) -> WeatherSeries:
    humidity = form.relative_humidity
    if humidity is None:
        humidity = _usual_humidity(said)
    starts = form.starts_at_hour
    if starts is None:
        starts = usual()["starts_at_hour"]
        said.assumed.append(say("It is built at {hour}:00.", hour=word(f"{starts:02.0f}")))
    series = case_weather(
        {
            "days": hours / HOURS_A_DAY,
            "mean_c": form.mean_c,
            "swing_c": form.daily_swing_k,
            "humidity": humidity,
            "wind_m_s": _usual_wind(said) if form.wind_m_s is None else form.wind_m_s,
            "sun_w_m2": _usual_sun(said) if form.sun_noon_w_m2 is None else form.sun_noon_w_m2,
            "starts_at": starts,
        }
    )
    rain = np.full(series.hours, form.rain_mm_per_day / HOURS_A_DAY)
    return replace(series, rain_mm=rain, source="the same day again and again, as told")


def _usual_humidity(said: Said) -> float:
    taken = usual()["relative_humidity"]
    said.assumed.append(say("Humidity of the air: {taken}.", taken=share(taken)))
    return taken


def _usual_wind(said: Said) -> float:
    taken = gap_rules()["wind_when_unknown_m_s"].typical
    said.assumed.append(say("Wind: {taken} m/s.", taken=_count(taken)))
    return taken


def _usual_sun(said: Said) -> float:
    taken = usual()["sun_noon_w_m2"]
    said.assumed.append(say("Sun at noon: {taken} W/m².", taken=_count(taken)))
    return taken


def _count(number: float) -> Value:
    return Value(number, Measure.COUNT)


def _of_rows(rows: Sequence[HourForm], days_said: float | None, said: Said) -> WeatherSeries:
    hours = len(rows) if days_said is None else _length(days_said, said)
    if hours > len(rows):
        raise WeatherProblem(
            worded(
                "{hours} hours are to be run, but the weather has {number} rows",
                hours=hours,
                number=len(rows),
            ),
            why="each hour needs its row",
            instead=worded('Give more rows, or "days": {number:g}', number=len(rows) / HOURS_A_DAY),
        )
    level = np.ones(hours)
    humidity, wind = _column(rows, "relative_humidity"), _column(rows, "wind_m_s")
    rain, sun = _column(rows, "rain_mm"), _column(rows, "sun_w_m2")
    for values, name in ((rain, "Rain"), (sun, "Sun")):
        if values is None:
            said.assumed.append(say("{name}: none, as no row has it.", name=word(name)))
    return WeatherSeries(
        start=_NO_DATE,
        temperature_c=np.array([row.temperature_c for row in rows[:hours]], dtype=np.float64),
        relative_humidity=_usual_humidity(said) * level if humidity is None else humidity[:hours],
        wind_m_s=_usual_wind(said) * level if wind is None else wind[:hours],
        rain_mm=0.0 * level if rain is None else rain[:hours],
        sun_w_m2=0.0 * level if sun is None else sun[:hours],
        source="the rows of the scenario",
    )


def _column(rows: Sequence[HourForm], name: str) -> FloatArray | None:
    """Return a column, None when no row has it; refuse one with holes."""
    values = [getattr(row, name) for row in rows]
    holes = [place for place, value in enumerate(values) if value is None]
    if len(holes) == len(rows):
        return None
    if holes:
        raise WeatherProblem(
            worded(
                "Hour number {holes} of the weather has no {name}, other rows have it",
                holes=holes[0] + 1,
                name=name,
            ),
            why="a hole could be anything",
            instead="Give it in every row, or in none",
        )
    return np.array(values, dtype=np.float64)


def _of_file(
    form: FileWeather | ClimateWeather, days_said: float | None, asker: Asker, said: Said
) -> WeatherSeries:
    source = _source(form, asker)
    whole = source.whole
    if form.start is None:
        if source.usual:
            raise NotUnderstood(
                worded("{source} is a usual year", source=whole.source),
                why="it is laid on any dates, so the run's must be told",
                instead='Write "start": "2026-07-01T08:00-07:00" beside the file',
            )
        start = whole.start
    else:
        start = _moment(form.start, said)
    if days_said is None and not source.usual:
        left = (whole.end - start) / timedelta(days=1)
        days_said = min(usual()["days"], left) if left > 0 else None
    end = _end(start, _length(days_said, said))
    return source.series(start, end)


def _source(form: FileWeather | ClimateWeather, asker: Asker) -> SeriesSource:
    if isinstance(form, ClimateWeather):
        return climate_source(form.climate)
    hints = _hints(form)
    try:
        path = asker.folder / Path(form.file).expanduser()
        with suppress(OSError):  # said better by whoever reads it
            path.stat()
    except (ValueError, RuntimeError) as problem:  # letters that no file's name can have
        raise NotFound(
            worded('There is no file "{file}"', file=cut(form.file)),
            instead="Check its name and folder",
        ) from problem
    return file_source(path, hints)


def _hints(form: FileWeather) -> FileHints:
    if (form.latitude_deg is None) != (form.longitude_deg is None):
        raise NotUnderstood(
            "Of latitude_deg and longitude_deg only one is given",
            why="a place needs both",
            instead="Give both, or none",
        )
    place = None
    if form.latitude_deg is not None and form.longitude_deg is not None:
        place = Place("the place told", form.latitude_deg, form.longitude_deg)
    return FileHints(place=place, zone=form.zone or "", units=form.units or {})


def _moment(text: str, said: Said) -> datetime:
    """Return a moment in UTC, floored to its hour."""
    try:
        moment = datetime.fromisoformat(text.strip())
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=UTC)
            said.assumed.append(_in_utc(text))
        return moment.astimezone(UTC).replace(minute=0, second=0, microsecond=0)
    except (ValueError, OverflowError) as problem:
        raise NotUnderstood(
            worded('The start "{text}" is not a date and time', text=cut(text)),
            instead='Write it with the year first, such as "2026-07-01T08:00-07:00"',
        ) from problem


def _in_utc(text: str) -> Sentence:
    return say("The start {text} names no time zone: it was read as UTC.", text=word(text.strip()))


def _end(start: datetime, hours: int) -> datetime:
    try:
        return start + timedelta(hours=hours)
    except OverflowError as problem:
        raise OutOfRange(
            worded("A run from {start:%Y-%m-%d}", start=start),
            why="the calendar ends before the run does",
            instead="Check the year",
        ) from problem
