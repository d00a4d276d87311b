"""Where the sun stands and how strongly it shines, above the air and on the ground.

Knows astronomy to a few hundredths of a degree and three published irradiance models. Knows
nothing of clouds beyond the day's temperature range, nor of shade in a garden.

References
----------
[1] US National Oceanic and Atmospheric Administration, Global Monitoring Laboratory, "Solar
    calculation details" (worksheet), after Meeus, J., Astronomical Algorithms, Willmann-Bell, 1991.
[2] Haurwitz, B., "Insolation in relation to cloudiness and cloud density", Journal of Meteorology
    2, 154-166, 1945.
[3] Allen, R.G., Pereira, L.S., Raes, D., Smith, M., "Crop evapotranspiration", FAO Irrigation and
    Drainage Paper 56, 1998: equation 50 (Hargreaves and Samani 1982) and equation 37.
[4] Kopp, G., Lean, J.L., "A new, lower value of total solar irradiance", Geophysical Research
    Letters 38, L01706, 2011.

"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Hours = NDArray[np.datetime64]

#: Mean irradiance above the air at the Earth's mean distance [W m⁻²] [4].
SOLAR_CONSTANT_W_M2 = 1361.0
#: Instants looked at in each hour for its mean (our choice: within 1.1 W m⁻² of thirty instants).
INSTANTS_PER_HOUR = 6


@dataclass(frozen=True, slots=True)
class SunPosition:
    """The sun seen from a place: cosine of the angle from straight up, and distance.

    Attributes
    ----------
    cos_zenith : array
        1 overhead, 0 at the horizon, negative at night (no refraction).
    distance_au : array
        Distance in units of the Earth's mean distance.

    """

    cos_zenith: FloatArray
    distance_au: FloatArray


def _polynomial(x: FloatArray, *coefficients: float) -> FloatArray:
    total = np.zeros_like(x)
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


def _centre(century: FloatArray, anomaly: FloatArray) -> FloatArray:
    """Return the equation of the centre [degrees] [1]."""
    return (
        np.sin(anomaly) * _polynomial(century, 1.914602, -0.004817, -0.000014)
        + np.sin(2 * anomaly) * _polynomial(century, 0.019993, -0.000101)
        + np.sin(3 * anomaly) * 0.000289
    )


def _tilt(century: FloatArray, node: FloatArray) -> FloatArray:
    """Return the tilt of the Earth's axis [radians] [1]."""
    seconds = _polynomial(century, 21.448, -46.815, -0.00059, 0.001813)
    return np.radians(23.0 + (26.0 + seconds / 60.0) / 60.0 + 0.00256 * np.cos(node))


def _equation_of_time_min(
    tilt: FloatArray, longitude: FloatArray, anomaly: FloatArray, flattening: FloatArray
) -> FloatArray:
    """Return how far the sundial is ahead of the clock [minutes] [1]."""
    y = np.tan(tilt / 2.0) ** 2
    angle = (
        y * np.sin(2 * longitude)
        - 2 * flattening * np.sin(anomaly)
        + 4 * flattening * y * np.sin(anomaly) * np.cos(2 * longitude)
        - 0.5 * y * y * np.sin(4 * longitude)
        - 1.25 * flattening * flattening * np.sin(2 * anomaly)
    )
    return np.asarray(4.0 * np.degrees(angle))


def sun_position(instants: Hours, latitude_deg: float, longitude_deg: float) -> SunPosition:
    """Return where the sun stands at instants in UTC, by the worksheet of [1].

    Parameters
    ----------
    instants : array of datetime64
        Instants, UTC.
    latitude_deg, longitude_deg : float
        Place [degrees], north and east positive.

    Returns
    -------
    SunPosition
        Good to 0.03° of zenith angle between 1950 and 2050 (checked against a full algorithm).

    """
    minutes = (instants - np.datetime64("2000-01-01T12:00")) / np.timedelta64(1, "m")
    century = minutes / (36525.0 * 1440.0)
    longitude = np.radians(_polynomial(century, 280.46646, 36000.76983, 0.0003032))
    anomaly = np.radians(_polynomial(century, 357.52911, 35999.05029, -0.0001537))
    flattening = _polynomial(century, 0.016708634, -0.000042037, -0.0000001267)
    centre = np.radians(_centre(century, anomaly))
    node = np.radians(_polynomial(century, 125.04, -1934.136))
    apparent = longitude + centre - np.radians(0.00569 + 0.00478 * np.sin(node))
    tilt = _tilt(century, node)
    declination = np.arcsin(np.sin(tilt) * np.sin(apparent))
    sundial = minutes + _equation_of_time_min(tilt, longitude, anomaly, flattening)
    hour_angle = np.radians(sundial / 4.0 + longitude_deg)
    latitude = np.radians(latitude_deg)
    return SunPosition(
        cos_zenith=np.sin(latitude) * np.sin(declination)
        + np.cos(latitude) * np.cos(declination) * np.cos(hour_angle),
        distance_au=1.000001018 * (1 - flattening**2) / (1 + flattening * np.cos(anomaly + centre)),
    )


def _instants_within(hours: Hours) -> Hours:
    """Return evenly placed instants inside each hour, shape (hours, instants)."""
    step_s = 3600 // INSTANTS_PER_HOUR
    offsets = (np.arange(INSTANTS_PER_HOUR) * step_s + step_s // 2).astype("timedelta64[s]")
    return np.asarray(hours.astype("datetime64[s]")[:, None] + offsets[None, :])


def above_the_air_w_m2(
    hours: Hours,
    latitude_deg: float,
    longitude_deg: float,
    *,
    solar_constant_w_m2: float = SOLAR_CONSTANT_W_M2,
) -> FloatArray:
    """Return the hourly mean on a level plane above the air [W m⁻²], hours by beginning, UTC."""
    sun = sun_position(_instants_within(hours), latitude_deg, longitude_deg)
    level = solar_constant_w_m2 / sun.distance_au**2 * np.maximum(sun.cos_zenith, 0.0)
    return np.asarray(level.mean(axis=1))


def cloudless_w_m2(
    hours: Hours,
    latitude_deg: float,
    longitude_deg: float,
    *,
    strength_w_m2: float = 1098.0,
    dimming: float = 0.059,
) -> FloatArray:
    """Return the hourly mean on level ground under a cloudless sky [W m⁻²].

    Haurwitz [2], coefficients as printed in later reviews; typical error some tens of W m⁻².
    """
    sun = sun_position(_instants_within(hours), latitude_deg, longitude_deg)
    height = np.maximum(sun.cos_zenith, 1e-6)
    level = strength_w_m2 * height * np.exp(-dimming / height)
    return np.asarray(np.where(sun.cos_zenith > 0.0, level, 0.0).mean(axis=1))


def share_from_daily_range(
    range_k: FloatArray, *, per_root_kelvin: float = 0.16, cloudless_share: float = 0.75
) -> FloatArray:
    """Return the share of the sun above the air that reaches the ground on a day.

    Hargreaves and Samani, equation 50 of [3]: clouds narrow the day's temperature range. Holds
    inland (0.16) to the coast (0.19); a single day may be wrong by a third, a month by a tenth
    (from memory).

    Parameters
    ----------
    range_k : array
        Day's maximum less minimum temperature [K].
    per_root_kelvin : float
        Coefficient, 0.16 to 0.19 [K^-0.5].
    cloudless_share : float
        Most that can come through, equation 37 of [3] at sea level.

    Returns
    -------
    array
        Share [0-1].

    """
    return np.minimum(per_root_kelvin * np.sqrt(np.maximum(range_k, 0.0)), cloudless_share)
