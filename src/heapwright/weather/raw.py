"""What a reader hands on: hours as a file states them, with whatever is missing or wrong in them.

Knows names and units of the quantities (SI) and where the place lies. Nothing here is checked:
that is the business of `checks`, which alone makes a WeatherSeries of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
Hours = NDArray[np.datetime64]

HOURS_A_DAY = 24
HOURS_A_YEAR = 8760

#: The quantities a file may bring, in SI; humidity is a fraction, rain a depth in the hour.
TEMPERATURE = "temperature_c"
DEW_POINT = "dew_point_c"
HUMIDITY = "relative_humidity"
WIND = "wind_m_s"
RAIN = "rain_mm"
SUN = "sun_w_m2"
#: Only in daily files.
COLDEST = "temperature_min_c"
WARMEST = "temperature_max_c"


@dataclass(frozen=True, slots=True)
class Place:
    """Where weather was seen.

    Attributes
    ----------
    title : str
        In words for the person.
    latitude_deg, longitude_deg : float
        North and east positive [degrees].
    height_m : float
        Above the sea [m].
    winter_offset_h : float
        Local standard time less UTC [h].

    """

    title: str
    latitude_deg: float
    longitude_deg: float
    height_m: float = 0.0
    winter_offset_h: float = 0.0

    def __post_init__(self) -> None:
        for words, value, most in (
            ("Latitude", self.latitude_deg, 90.0),
            ("Longitude", self.longitude_deg, 180.0),
        ):
            if not -most <= value <= most:
                raise WeatherProblem(
                    f"{words} {value:g}",
                    why=worded(
                        "It lies between -{most:g} and {most:g} degrees, south and west negative",
                        most=most,
                    ),
                )

    @property
    def solar_offset_h(self) -> int:
        """Whole hours that the sun's noon lies before (east) or after (west) noon UTC."""
        return round(self.longitude_deg / 15.0)


@dataclass(frozen=True, slots=True)
class RawHours:
    """Hours as read: unordered, doubled, gappy and unbelievable as the file had them.

    Attributes
    ----------
    begins : array of datetime64[s]
        Beginning of each row's hour, UTC.
    values : mapping of str to array
        By quantity; NaN where the file had nothing.
    source : str
        Words for the person.
    place : Place or None
        Where, if the file or the person said.
    notes : tuple of str
        What the reader had to assume.
    units : mapping of str to str
        The unit each quantity had in the file, so that a refusal can name the value as written.
    typical : bool
        A usual year: the year in the stamps means nothing.

    """

    begins: Hours
    values: Mapping[str, FloatArray]
    source: str
    place: Place | None = None
    notes: tuple[str, ...] = field(default=())
    units: Mapping[str, str] = field(default_factory=dict)
    typical: bool = False


@dataclass(frozen=True, slots=True)
class RawDays:
    """Days as read, one row for each local calendar day; the same freedoms as `RawHours`."""

    days: Hours
    values: Mapping[str, FloatArray]
    source: str
    place: Place | None = None
    notes: tuple[str, ...] = field(default=())
    units: Mapping[str, str] = field(default_factory=dict)
    typical: bool = False
