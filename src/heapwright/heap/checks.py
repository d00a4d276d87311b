"""Checks of what a heap run is given, before any number is crunched.

Knows the widest sensible range of every input and says in a sentence what is wrong. The ranges keep
the model physical; they are not advice.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heapwright.errors import OutOfRange
from heapwright.heap.parameters import PARAMETER_IDS
from heapwright.heap.types import ActionKind, BinShape, Fill, FloatArray, HeapAction
from heapwright.weather.series import WeatherSeries

# Widest sensible ranges: (low, high, unit as written in the sentence).
_SIDE_M = (0.2, 3.0)
_HEIGHT_M = (0.2, 3.0)
_FILL_VOLUME_M3 = (0.01, 20.0)
_MOISTURE = (0.05, 0.9)
_DENSITY_KG_M3 = (30.0, 1200.0)
_C_TO_N = (3.0, 1000.0)
_FILL_C = (-20.0, 75.0)
_AIR_C = (-60.0, 60.0)
_WATER_KG = (0.0, 2000.0)
_MOST_ASH = 0.9
_LEAST_AIR_SPACE = 0.05
# A heap may stand above the rim of its bin by this much when it is built.
_HEAPED = 1.6
_PARTICLE_DENSITY_KG_M3 = (1600.0, 2500.0)


def check_shape(shape: BinShape) -> None:
    """Refuse a bin that cannot be.

    Raises
    ------
    OutOfRange

    """
    _within("The bin's width", shape.width_m, *_SIDE_M, "m")
    _within("The bin's depth", shape.depth_m, *_SIDE_M, "m")
    _within("The bin's height", shape.height_m, *_HEIGHT_M, "m")
    _within("Shade", shape.shade, 0.0, 1.0, "(0 is full sun, 1 full shade)")


def check_fill(fill: Fill, shape: BinShape | None = None) -> None:
    """Refuse a fill that cannot be, alone or in this bin.

    Raises
    ------
    OutOfRange

    """
    _within("The heap's volume", fill.volume_m3, *_FILL_VOLUME_M3, "m³")
    density = fill.wet_mass_kg / fill.volume_m3
    _within("The heap's density", density, *_DENSITY_KG_M3, "kg/m³")
    _within("Moisture", fill.moisture, *_MOISTURE, "as a share of the wet mass")
    _within("Ash", fill.ash_dry, 0.0, _MOST_ASH, "as a share of the dry mass")
    _within("The fast share", fill.fast_share, 0.0, 1.0, "of the volatile solids")
    _within("The medium share", fill.medium_share, 0.0, 1.0, "of the volatile solids")
    _within(
        "The fast and medium shares together",
        fill.fast_share + fill.medium_share,
        0.0,
        1.0 + 1e-9,
        "of the volatile solids",
    )
    _within("The C:N ratio", fill.c_to_n, *_C_TO_N, "by mass")
    if fill.temperature_c is not None:
        _within("The heap's temperature when built", fill.temperature_c, *_FILL_C, "°C")
    _check_air_space(fill, density)
    if shape is not None and fill.volume_m3 > _HEAPED * shape.volume_m3:
        raise OutOfRange(
            f"{fill.volume_m3:.2f} m³ of material for a bin of {shape.volume_m3:.2f} m³",
            why="it would stand far above the rim",
            instead="Take less material or a larger bin",
        )


def _check_air_space(fill: Fill, density: float) -> None:
    matter, ash = _PARTICLE_DENSITY_KG_M3
    solid = (1.0 - fill.moisture) * ((1.0 - fill.ash_dry) / matter + fill.ash_dry / ash)
    space = 1.0 - density * (fill.moisture / 1000.0 + solid)
    if space < _LEAST_AIR_SPACE:
        raise OutOfRange(
            f"{fill.wet_mass_kg:.0f} kg at {100 * fill.moisture:.0f} % moisture in "
            f"{fill.volume_m3:.2f} m³",
            why="that leaves no air space between the pieces",
            instead="Check the weight, the moisture and the volume",
        )


def check_actions(actions: Sequence[HeapAction], hours: int) -> list[HeapAction]:
    """Return the actions in order of time; refuse what cannot be done.

    Raises
    ------
    OutOfRange

    """
    for action in actions:
        if not 0 <= action.hour < hours:
            raise OutOfRange(
                f"An action at hour {action.hour:g}",
                why=f"the run covers hours 0 to {hours}",
                instead="Give a time within the weather's span",
            )
        _within("Water given", action.water_kg, *_WATER_KG, "kg")
        if action.kind is ActionKind.ADD:
            if action.fill is None:
                raise OutOfRange(
                    "Adding nothing", why="no material was named", instead="Say what is added"
                )
            check_fill(action.fill)
        if action.kind is ActionKind.COVER and action.cover is None:
            raise OutOfRange(
                "Covering with nothing", why="no cover was named", instead="Name the cover"
            )
        if action.new_bin is not None:
            check_shape(action.new_bin)
    return sorted(actions, key=lambda action: action.hour)


def check_weather(weather: WeatherSeries) -> None:
    """Refuse weather with gaps or impossible values.

    Raises
    ------
    OutOfRange

    """
    if weather.hours < 1:
        raise OutOfRange("Weather of no hours", instead="Give at least one hour of weather")
    for name, values, low, high, unit in (
        ("Air temperature", weather.temperature_c, *_AIR_C, "°C"),
        ("Relative humidity", weather.relative_humidity, 0.0, 1.0, "as a share"),
        ("Wind", weather.wind_m_s, 0.0, 60.0, "m/s"),
        ("Rain", weather.rain_mm, 0.0, 300.0, "mm in an hour"),
        ("Sun", weather.sun_w_m2, 0.0, 1500.0, "W/m²"),
    ):
        if values.shape != (weather.hours,):
            raise OutOfRange(
                f"{name} for {values.shape[0]} of {weather.hours} hours",
                instead="Every hour needs a value",
            )
        bad = ~((values >= low) & (values <= high))
        if bad.any():
            hour = int(np.argmax(bad))
            _within(f"{name} in hour {hour}", float(values[hour]), low, high, unit)


def check_parameters(parameters: FloatArray) -> None:
    """Refuse parameter rows of the wrong form or outside what is physical.

    Raises
    ------
    OutOfRange

    """
    if parameters.ndim != 2 or parameters.shape[1] != len(PARAMETER_IDS):
        raise OutOfRange(
            f"Parameters of shape {parameters.shape}",
            why=f"each member needs {len(PARAMETER_IDS)} numbers",
            instead="Use sample_parameters or Parameters.to_array",
        )
    if not np.isfinite(parameters).all():
        raise OutOfRange("A parameter that is not a number", instead="Check the sampled values")


def check_grid(radii: int, heights: int) -> None:
    """Refuse a grid too coarse or absurdly fine.

    Raises
    ------
    OutOfRange

    """
    _within("Cells along the radius", radii, 2, 100, "")
    _within("Cells along the height", heights, 2, 200, "")


def check_height(height_m: float) -> None:
    """Refuse a heap that has grown too tall by adding or moving.

    Raises
    ------
    OutOfRange

    """
    _within("The heap's height", height_m, 0.0, _HEAPED * _HEIGHT_M[1], "m")


def _within(what: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise OutOfRange(
            f"{what} is {value:g} {unit}".strip(),
            why=f"it should lie between {low:g} and {high:g}",
            instead="Check the number and its unit",
        )
