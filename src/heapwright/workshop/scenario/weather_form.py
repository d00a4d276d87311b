"""The form of a scenario's weather: the same day again, rows, a file, or a usual year.

Knows names, kinds and limits of fields. What weather can be is checked where it is run.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import Discriminator, Field, Tag

from heapwright.workshop.scenario.fields import Form, NotNegative, Share, Words, unsaid

MOST_DAYS = 366.0
HOURS_A_DAY = 24
_MOST_ROWS = int(MOST_DAYS) * HOURS_A_DAY


class ConstantForm(Form):
    """The same day again and again."""

    mean_c: float = Field(description="Mean air temperature. [°C]")
    daily_swing_k: NotNegative = Field(
        default=0.0,
        description="Warmest at 15 h by so much above the mean, coldest so much below. [K]",
    )
    relative_humidity: Share | None = unsaid("[0-1]")
    wind_m_s: NotNegative | None = unsaid("Wind in the open. [m/s]")
    rain_mm_per_day: NotNegative = Field(
        default=0.0, description="Spread evenly over the day. [mm]"
    )
    sun_noon_w_m2: NotNegative | None = unsaid(
        "Sun on level ground at noon; up from 6 to 18 h. [W/m²]"
    )
    starts_at_hour: Annotated[float, Field(ge=0.0, lt=24.0)] | None = unsaid(
        "Hour of the day at which the heap is built. [h]"
    )


class HourForm(Form):
    """The weather of one hour. What no row gives is taken as usual; every row or none has it."""

    temperature_c: float = Field(description="Air. [°C]")
    relative_humidity: Share | None = unsaid("[0-1]")
    wind_m_s: NotNegative | None = unsaid("[m/s]")
    rain_mm: NotNegative | None = unsaid("Fallen in this hour. [mm]")
    sun_w_m2: NotNegative | None = unsaid("On level ground. [W/m²]")


class ConstantWeather(Form):
    """Weather that is the same every day."""

    constant: ConstantForm


class HourlyWeather(Form):
    """Weather hour by hour, the first row being the hour the heap is built in."""

    hours: Annotated[list[HourForm], Field(min_length=1, max_length=_MOST_ROWS)]


class FileWeather(Form):
    """A weather file: EPW, TMY3, hourly or daily CSV, or a table of twelve months."""

    file: Words = Field(description="Its path, as seen from the scenario's folder.")
    start: Words | None = unsaid(
        'When the heap is built, such as "2026-07-01T08:00-07:00" (UTC if no offset is said). '
        "The file's first hour if not given; needed for a usual year."
    )
    zone: Words | None = unsaid('Time zone of its times if it says none, such as "UTC-07:00".')
    units: dict[str, str] | None = unsaid("Units of headings that state none.")
    latitude_deg: Annotated[float, Field(ge=-90.0, le=90.0)] | None = unsaid(
        "Needed with the longitude if the file has no sun. [degrees, north positive]"
    )
    longitude_deg: Annotated[float, Field(ge=-180.0, le=180.0)] | None = unsaid(
        "[degrees, east positive]"
    )


class ClimateWeather(Form):
    """One of the usual years that come along (`heapwright weather` lists them)."""

    climate: Words = Field(description='Such as "tucson".')
    start: Words = Field(description='When the heap is built, such as "2026-07-01T08:00-07:00".')


_WEATHERS = ("constant", "hours", "file", "climate")


def _kind_of_weather(value: Any) -> str | None:
    if not isinstance(value, Mapping):
        return "weather by constant"
    given = [name for name in _WEATHERS if name in value]
    return f"weather by {given[0]}" if len(given) == 1 else None


WeatherForm = Annotated[
    Annotated[ConstantWeather, Tag("weather by constant")]
    | Annotated[HourlyWeather, Tag("weather by hours")]
    | Annotated[FileWeather, Tag("weather by file")]
    | Annotated[ClimateWeather, Tag("weather by climate")],
    Discriminator(
        _kind_of_weather,
        custom_error_type="one_of",
        custom_error_message="one of",
        custom_error_context={"names": _WEATHERS},
    ),
]
