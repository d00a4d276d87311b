"""Where weather comes from: shipped climates, files, and (switched off by default) a forecast."""

from heapwright.weather_sources.climate import Climate, climate, climate_place, climates

__all__ = ["Climate", "climate", "climate_place", "climates"]
