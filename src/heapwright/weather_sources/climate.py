"""The years of weather that come with the program, read through the same readers as any file.

Knows where the shipped files lie and how their columns are named (climates.toml). Licence and
origin of each stand beside it in climate_data/.
"""

from __future__ import annotations

import gzip
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from typing import Any

from heapwright.errors import NotFound
from heapwright.tables import read_toml
from heapwright.weather.checks import series_from_hours
from heapwright.weather.columns import ColumnPlan, read_days, read_hours
from heapwright.weather.days import hours_from_days
from heapwright.weather.raw import Place
from heapwright.weather.series import WeatherSeries
from heapwright.weather_sources.protocol import SeriesSource
from heapwright.wording import worded

_PACKAGE = "heapwright.weather_sources"


@dataclass(frozen=True, slots=True)
class Climate:
    """A shipped year of weather.

    Attributes
    ----------
    key : str
        Short name, such as "tucson".
    title, place, licence : str
        For the person.

    """

    key: str
    title: str
    place: str
    licence: str


def _table() -> Mapping[str, Mapping[str, Any]]:
    return read_toml(_PACKAGE, "climates.toml")


def climates() -> list[Climate]:
    """Return the shipped climates, in the order of the table."""
    return [
        Climate(key, row["title"], row["place"], row["licence"]) for key, row in _table().items()
    ]


def climate_place(key: str) -> Place:
    """Return where a shipped climate was seen.

    Raises
    ------
    NotFound
        If no climate has that key.

    """
    row = _row(key)
    return Place(
        title=row["place"],
        latitude_deg=row["latitude_deg"],
        longitude_deg=row["longitude_deg"],
        height_m=row["height_m"],
        winter_offset_h=row["winter_offset_h"],
    )


def _row(key: str) -> Mapping[str, Any]:
    table = _table()
    if key not in table:
        raise NotFound(
            worded('There is no climate called "{key}"', key=key),
            instead=worded("Choose one of: {table}", table=", ".join(table)),
            kept="Nothing was changed.",
        )
    return table[key]


def _plan(row: Mapping[str, Any]) -> ColumnPlan:
    return ColumnPlan(
        time=tuple(row["time"]),
        quantities={quantity: (name, unit) for quantity, (name, unit) in row["columns"].items()},
        zone=row["zone"],
        ending=row.get("ending", False),
        typical=row.get("typical", False),
        rain_period=row.get("rain_period", ""),
    )


@cache
def _read(key: str) -> WeatherSeries:
    row = _row(key)
    packed = resources.files(_PACKAGE).joinpath("climate_data", row["file"]).read_bytes()
    text = gzip.decompress(packed).decode("utf-8")
    plan, place = _plan(row), climate_place(key)
    if row["rows"] == "days":
        reading = hours_from_days(read_days(text, plan, source=row["source"], place=place))
    else:
        reading = read_hours(text, plan, source=row["source"], place=place)
    return series_from_hours(reading)


def climate(key: str) -> WeatherSeries:
    """Return a shipped year of weather; a fresh copy, so that it may be changed freely.

    Parameters
    ----------
    key : str
        One of `climates()`.

    Raises
    ------
    NotFound
        If no climate has that key.

    """
    kept = _read(key)
    return replace(
        kept,
        temperature_c=kept.temperature_c.copy(),
        relative_humidity=kept.relative_humidity.copy(),
        wind_m_s=kept.wind_m_s.copy(),
        rain_mm=kept.rain_mm.copy(),
        sun_w_m2=kept.sun_w_m2.copy(),
    )


def climate_source(key: str) -> SeriesSource:
    """Return a shipped climate as a source that answers for any dates.

    Raises
    ------
    NotFound
        If no climate has that key.

    """
    return SeriesSource(climate(key), usual=True)
