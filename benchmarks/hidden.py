"""What makes a simulated heap's truth differ from what is told of it: air at the bin, numbers.

Shared by the benchmarks whose truth is hidden. Knows nothing of what they measure.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from heapwright.heap.parameters import PARAMETER_IDS, parameters_at, uncertain_parameters
from heapwright.heap.types import FloatArray
from heapwright.weather.series import WeatherSeries
from heapwright.weather_sources.climate import climate


@dataclass(frozen=True, slots=True)
class AirErrors:
    """How the air at a bin differs from the station's; our choice.

    Attributes
    ----------
    bias_k : float
        Steady difference, one standard deviation. [K]
    noise_k, memory_hours : float
        Slow noise and how long it lasts. [K], [h]
    wind, rain : float
        Spread of the factor on both, of its logarithm.
    humidity : float
        Steady difference. [0-1]

    """

    bias_k: float
    noise_k: float
    memory_hours: float
    wind: float
    rain: float
    humidity: float = 0.08


#: The air at every hidden bin. Our choice.
AIR = AirErrors(bias_k=1.5, noise_k=1.5, memory_hours=60.0, wind=0.3, rain=0.3)


@cache
def year(key: str) -> WeatherSeries:
    """Return a shipped climate's year, read once."""
    return climate(key)


def air_at_the_bin(
    told: WeatherSeries, errors: AirErrors, rng: np.random.Generator
) -> WeatherSeries:
    """Return the weather at the bin when the station's is told."""
    keep = float(np.exp(-1.0 / errors.memory_hours))
    slow = errors.noise_k * rng.standard_normal(told.hours)
    for hour in range(1, told.hours):
        slow[hour] = keep * slow[hour - 1] + np.sqrt(1.0 - keep**2) * slow[hour]
    air = told.temperature_c + errors.bias_k * rng.standard_normal() + slow
    wetter = errors.humidity * float(rng.standard_normal())
    return replace(
        told,
        temperature_c=np.clip(air, -45.0, 52.0),
        relative_humidity=np.clip(told.relative_humidity + wetter, 0.05, 1.0),
        wind_m_s=told.wind_m_s * float(np.exp(errors.wind * rng.standard_normal())),
        rain_mm=told.rain_mm * float(np.exp(errors.rain * rng.standard_normal())),
    )


def true_numbers(reach: float, rng: np.random.Generator) -> FloatArray:
    """Return one row of numbers that lie evenly within so many deviations of the typical ones."""
    deviations = np.zeros((1, len(PARAMETER_IDS)))
    uncertain = [PARAMETER_IDS.index(name) for name in uncertain_parameters()]
    deviations[0, uncertain] = rng.uniform(-reach, reach, len(uncertain))
    return parameters_at(deviations)
