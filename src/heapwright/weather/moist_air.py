"""Moist air: what water vapour the air can hold, what it holds, what it weighs, what drying costs.

Knows ideal-gas psychrometrics good enough for weather and for the inside of a hot heap. Knows
nothing of weather files or heaps. Every coefficient is a keyword or a named tuple with its source.

References
----------
[1] Hyland, R.W., Wexler, A., "Formulations for the thermodynamic properties of the saturated
    phases of H2O from 173.15 K to 473.15 K", ASHRAE Transactions 89(2A), 1983; as printed in
    ASHRAE Handbook of Fundamentals, 2017, chapter 1, equations 5, 6 (saturation), 3 (pressure with
    height), 20 (humidity ratio), 26 (density).
[2] International Association for the Properties of Water and Steam, "Revised supplementary
    release on saturation properties of ordinary water substance", SR1-86(1992).

"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

#: Kelvin at 0 °C (definition).
ZERO_CELSIUS_K = 273.15
#: Triple point of water [°C] (definition until 2019, measured since; same to the last digit here).
TRIPLE_POINT_C = 0.01
#: Standard pressure at sea level [Pa] (definition).
SEA_LEVEL_PRESSURE_PA = 101325.0
#: Gas constants of dry air and of water vapour [J kg⁻¹ K⁻¹], ASHRAE [1].
DRY_AIR_GAS_CONSTANT = 287.042
VAPOUR_GAS_CONSTANT = 461.524
#: Ratio of the molar masses of water and dry air [1].
MOLAR_MASS_RATIO = 0.621945

#: ln p = a/T + b + c T + d T² + e T³ + f T⁴ + g ln T, p [Pa], T [K]; over ice, eq. 5 of [1].
OVER_ICE = (
    -5.6745359e3,
    6.3925247,
    -9.6778430e-3,
    6.2215701e-7,
    2.0747825e-9,
    -9.4840240e-13,
    4.1635019,
)
#: The same over liquid water, eq. 6 of [1].
OVER_WATER = (
    -5.8002206e3,
    1.3914993,
    -4.8640239e-2,
    4.1764768e-5,
    -1.4452093e-8,
    0.0,
    6.5459673,
)

#: Critical point of water: temperature [K], pressure [Pa], density [kg m⁻³] [2].
CRITICAL_POINT = (647.096, 22.064e6, 322.0)
#: Exponents and coefficients of the vapour pressure, eq. 1 of [2].
PRESSURE_TERMS = (
    (1.0, -7.85951783),
    (1.5, 1.84408259),
    (3.0, -11.7866497),
    (3.5, 22.6807411),
    (4.0, -15.9618719),
    (7.5, 1.80122502),
)
#: Exponents (thirds) and coefficients of the density of the liquid, eq. 2 of [2].
LIQUID_TERMS = (
    (1 / 3, 1.99274064),
    (2 / 3, 1.09965342),
    (5 / 3, -0.510839303),
    (16 / 3, -1.75493479),
    (43 / 3, -45.5170352),
    (110 / 3, -6.74694450e5),
)
#: Exponents (sixths) and coefficients of the density of the vapour, eq. 3 of [2].
VAPOUR_TERMS = (
    (2 / 6, -2.03150240),
    (4 / 6, -2.68302940),
    (8 / 6, -5.38626492),
    (18 / 6, -17.2991605),
    (37 / 6, -44.7586581),
    (71 / 6, -63.9201063),
)


def _hyland_wexler(temperature_k: FloatArray, terms: tuple[float, ...]) -> FloatArray:
    a, b, c, d, e, f, g = terms
    t = temperature_k
    return np.exp(a / t + b + t * (c + t * (d + t * (e + t * f))) + g * np.log(t))


def saturation_pressure_pa(temperature_c: ArrayLike) -> FloatArray:
    """Return the pressure of water vapour over ice or water at saturation.

    Hyland and Wexler [1]: within 0.02 % of IAPWS-97 from 20 to 80 °C; over ice below the triple
    point. Stations state humidity over water also in frost, where it reads about a tenth lower at
    -10 °C than over ice; there is then little vapour in the air either way.

    Parameters
    ----------
    temperature_c : array_like
        Temperature [°C], -100 to 200.

    Returns
    -------
    array
        Saturation pressure [Pa].

    """
    celsius = np.asarray(temperature_c, dtype=np.float64)
    kelvin = celsius + ZERO_CELSIUS_K
    return np.where(
        celsius <= TRIPLE_POINT_C,
        _hyland_wexler(kelvin, OVER_ICE),
        _hyland_wexler(kelvin, OVER_WATER),
    )


def _reduced(temperature_c: ArrayLike) -> tuple[FloatArray, FloatArray]:
    kelvin = np.asarray(temperature_c, dtype=np.float64) + ZERO_CELSIUS_K
    return kelvin, 1.0 - kelvin / CRITICAL_POINT[0]


def _power_sum(tau: FloatArray, terms: tuple[tuple[float, float], ...]) -> FloatArray:
    total = np.zeros_like(tau)
    for exponent, coefficient in terms:
        total = total + coefficient * tau**exponent
    return total


def saturation_pressure_slope_pa_k(temperature_c: ArrayLike) -> FloatArray:
    """Return the slope of the vapour pressure of liquid water with temperature [Pa K⁻¹] [2]."""
    kelvin, tau = _reduced(temperature_c)
    critical_k, critical_pa, _ = CRITICAL_POINT
    log_ratio = critical_k / kelvin * _power_sum(tau, PRESSURE_TERMS)
    steepness = _power_sum(tau, tuple((n - 1.0, n * a) for n, a in PRESSURE_TERMS))
    return -critical_pa * np.exp(log_ratio) / kelvin * (log_ratio + steepness)


def latent_heat_j_kg(temperature_c: ArrayLike) -> FloatArray:
    """Return the heat that evaporates a kilogram of liquid water at saturation.

    Clapeyron's equation with the pressure slope and both densities of IAPWS SR1-86 [2]; 0 to
    370 °C. Below 0 °C it stands for supercooled water, good to some tenths of a per cent.

    Parameters
    ----------
    temperature_c : array_like
        Temperature [°C].

    Returns
    -------
    array
        Latent heat [J kg⁻¹].

    """
    kelvin, tau = _reduced(temperature_c)
    critical_density = CRITICAL_POINT[2]
    liquid = critical_density * (1.0 + _power_sum(tau, LIQUID_TERMS))
    vapour = critical_density * np.exp(_power_sum(tau, VAPOUR_TERMS))
    return kelvin * saturation_pressure_slope_pa_k(temperature_c) * (1 / vapour - 1 / liquid)


def pressure_at_height_pa(
    height_m: ArrayLike, *, lapse_per_m: float = 2.25577e-5, exponent: float = 5.2559
) -> FloatArray:
    """Return the usual air pressure at a height above the sea, eq. 3 of [1] [Pa]."""
    height = np.asarray(height_m, dtype=np.float64)
    return np.asarray(SEA_LEVEL_PRESSURE_PA * (1.0 - lapse_per_m * height) ** exponent)


def vapour_pressure_pa(temperature_c: ArrayLike, relative_humidity: ArrayLike) -> FloatArray:
    """Return the pressure of the water vapour in air of a relative humidity 0-1 [Pa]."""
    return np.asarray(relative_humidity, dtype=np.float64) * saturation_pressure_pa(temperature_c)


def humidity_ratio(
    temperature_c: ArrayLike,
    relative_humidity: ArrayLike,
    pressure_pa: ArrayLike = SEA_LEVEL_PRESSURE_PA,
) -> FloatArray:
    """Return kilograms of water vapour carried by a kilogram of dry air, eq. 20 of [1].

    Ideal gas: 0.7 % low for saturated air at 60 °C. Infinite where the vapour pressure reaches the
    air pressure (boiling).

    Parameters
    ----------
    temperature_c : array_like
        Temperature [°C].
    relative_humidity : array_like
        Humidity [0-1].
    pressure_pa : array_like, default sea level
        Pressure of the moist air [Pa].

    Returns
    -------
    array
        Humidity ratio [kg kg⁻¹ dry air].

    """
    vapour = vapour_pressure_pa(temperature_c, relative_humidity)
    dry = np.asarray(pressure_pa, dtype=np.float64) - vapour
    with np.errstate(divide="ignore"):
        return np.where(dry > 0.0, MOLAR_MASS_RATIO * vapour / np.maximum(dry, 0.0), np.inf)


def density_kg_m3(
    temperature_c: ArrayLike,
    relative_humidity: ArrayLike,
    pressure_pa: ArrayLike = SEA_LEVEL_PRESSURE_PA,
) -> FloatArray:
    """Return the density of moist air, eq. 26 of [1] [kg m⁻³]; moist air is lighter than dry."""
    kelvin = np.asarray(temperature_c, dtype=np.float64) + ZERO_CELSIUS_K
    vapour = vapour_pressure_pa(temperature_c, relative_humidity)
    dry = np.asarray(pressure_pa, dtype=np.float64) - vapour
    return (dry / DRY_AIR_GAS_CONSTANT + vapour / VAPOUR_GAS_CONSTANT) / kelvin


def dew_point_c(
    temperature_c: ArrayLike, relative_humidity: ArrayLike, *, driest: float = 1e-4
) -> FloatArray:
    """Return the temperature at which the air's vapour begins to condense (or to frost) [°C].

    Newton's method on the logarithm of the saturation pressure, from the air temperature down;
    humidity below `driest` is read as `driest`.
    """
    air = np.asarray(temperature_c, dtype=np.float64)
    humidity = np.clip(np.asarray(relative_humidity, dtype=np.float64), driest, 1.0)
    wanted = np.log(vapour_pressure_pa(air, humidity))
    dew = np.broadcast_to(air, wanted.shape).astype(np.float64)
    for _ in range(30):
        step = 1e-4
        here = np.log(saturation_pressure_pa(dew))
        slope = (here - np.log(saturation_pressure_pa(dew - step))) / step
        dew = dew - (here - wanted) / slope
    return np.minimum(dew, air)


def relative_humidity_from_dew_point(temperature_c: ArrayLike, dew_point: ArrayLike) -> FloatArray:
    """Return the humidity 0-1 of air whose dew point [°C] is known, at most 1."""
    ratio = saturation_pressure_pa(dew_point) / saturation_pressure_pa(temperature_c)
    return np.minimum(ratio, 1.0)
