"""Where weather comes from: shipped climates, files, and (switched off by default) a forecast."""

from heapwright.weather.joining import blend
from heapwright.weather_sources.climate import (
    Climate,
    climate,
    climate_place,
    climate_source,
    climates,
)
from heapwright.weather_sources.files import FileHints, file_source
from heapwright.weather_sources.online import OnlineForecast, OnlineSettings, default_settings
from heapwright.weather_sources.protocol import SeriesSource, WeatherSource

__all__ = [
    "Climate",
    "FileHints",
    "OnlineForecast",
    "OnlineSettings",
    "SeriesSource",
    "WeatherSource",
    "blend",
    "climate",
    "climate_place",
    "climate_source",
    "climates",
    "default_settings",
    "file_source",
]
