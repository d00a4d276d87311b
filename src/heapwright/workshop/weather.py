"""The garden's weather for any span: own observations first, then a forecast, then a usual year.

Knows which of the garden's sources covers what. Knows nothing of heaps.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache

from heapwright.errors import WeatherProblem
from heapwright.weather.joining import blend
from heapwright.weather.projection import on_dates
from heapwright.weather.raw import Place
from heapwright.weather.series import WeatherSeries
from heapwright.weather_sources.climate import climate
from heapwright.workshop.answers import WeatherToday
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import settings_table
from heapwright.workshop.own_weather import garden_place, own_files

#: The climate taken until the person chooses one; a mild one, and the notes say so.
DEFAULT_CLIMATE = "greensboro"
LOOK_AHEAD = timedelta(days=1)
HOURS_A_YEAR = 8766.0


def garden_weather(garden: Garden, start: datetime, end: datetime) -> WeatherSeries:
    """Return the weather at the garden from `start` to `end`.

    Parameters
    ----------
    garden : Garden
    start, end : datetime
        Timezone-aware.

    Returns
    -------
    WeatherSeries
        Its notes say which part is a usual year's weather and not these days'.

    """
    pieces, usual, problems = _sources(garden)
    joined = blend(pieces, usual, start, end)
    return replace(joined, notes=(*problems, *joined.notes))


def seen_share(garden: Garden, start: datetime, end: datetime) -> float:
    """Return the share of a time that own or forecast weather covers; the rest is usual. [0-1]"""
    pieces, _, _ = _sources(garden)
    hours = max(1, round((end - start) / timedelta(hours=1)))
    covered = set[int]()
    for piece in pieces:
        first = round((piece.start - start) / timedelta(hours=1))
        covered |= {*range(max(0, first), min(hours, first + piece.hours))}
    return len(covered) / hours


def usual_weather(climate_key: str, start: datetime, end: datetime) -> WeatherSeries:
    """Return a usual year's weather laid on these dates."""
    return on_dates(_year(climate_key or DEFAULT_CLIMATE), start, end)


def usual_year(garden: Garden) -> WeatherSeries:
    """Return the garden's usual year as it came: its own file's, else its climate's."""
    _, usual, _ = _sources(garden)
    return usual


def weather_today(garden: Garden) -> WeatherToday:
    """Return the weather a visit is planned by."""
    now = garden.now()
    series = garden_weather(garden, now, now + LOOK_AHEAD)
    pieces, _, _ = _sources(garden)
    return WeatherToday(
        air_c=float(series.temperature_c[0]),
        low_next_day_c=float(series.temperature_c.min()),
        high_next_day_c=float(series.temperature_c.max()),
        rain_next_day_mm=float(series.rain_mm.sum()),
        source=series.source,
        is_typical=not any(p.start <= now and p.end >= now + LOOK_AHEAD for p in pieces),
    )


def rainfall_kind(garden: Garden) -> str:
    """Return how wet the garden's usual year is: "dry", "temperate" or "rainy"."""
    _, year, _ = _sources(garden)
    rain_mm = float(year.rain_mm.sum()) * HOURS_A_YEAR / year.hours
    table = settings_table()
    if rain_mm < table["dry_climate_rain_mm"]:
        return "dry"
    return "rainy" if rain_mm > table["rainy_climate_rain_mm"] else "temperate"


@cache
def _year(climate_key: str) -> WeatherSeries:
    return climate(climate_key)


def _sources(garden: Garden) -> tuple[list[WeatherSeries], WeatherSeries, list[str]]:
    """Return what was seen or is forecast, the usual year, and what went wrong in words."""
    own = own_files(garden)
    pieces = [source.whole for source in own.sources if not source.usual]
    problems = list(own.problems)
    try:
        pieces += _online(garden)
    except WeatherProblem as problem:
        problems.append(problem.sentence())
    years = [source.whole for source in own.sources if source.usual]
    usual = years[0] if years else _year(garden.state().settings.climate or DEFAULT_CLIMATE)
    return pieces, usual, problems


def _online(garden: Garden) -> list[WeatherSeries]:
    """Return the online forecast if this person has switched it on."""
    if not garden.state().settings.online_weather:
        return []
    from heapwright.weather_sources.online import OnlineForecast, default_settings

    asked = replace(default_settings(), enabled=True)
    source = OnlineForecast(_place(garden), asked, garden.weather_folder, garden.now)
    return [source.whole()]


def _place(garden: Garden) -> Place:
    place = garden_place(garden)
    if place is None:
        raise WeatherProblem(
            "The forecast is switched on but the garden has no place",
            instead="Set its latitude and longitude, or choose a climate",
            kept="The usual year is used meanwhile.",
        )
    return place
