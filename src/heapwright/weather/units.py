"""Turns a weather file's stated units into SI, by a table of spellings.

Knows units of weather only; weights and containers live in `quantities`. A column without a
stated unit is refused, never guessed.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.tables import read_rows
from heapwright.weather import raw
from heapwright.wording import worded

FloatArray = NDArray[np.float64]

#: The unit each quantity has here, for files that state none of their own.
OURS = {
    raw.TEMPERATURE: "°C",
    raw.COLDEST: "°C",
    raw.WARMEST: "°C",
    raw.DEW_POINT: "°C",
    raw.HUMIDITY: "fraction",
    raw.WIND: "m/s",
    raw.RAIN: "mm",
    raw.SUN: "W/m2",
}

#: Which kind of unit each quantity takes.
KINDS = {
    raw.TEMPERATURE: "temperature",
    raw.COLDEST: "temperature",
    raw.WARMEST: "temperature",
    raw.DEW_POINT: "temperature",
    raw.HUMIDITY: "fraction",
    raw.WIND: "speed",
    raw.RAIN: "depth",
    raw.SUN: "irradiance",
}


@cache
def _conversions() -> dict[tuple[str, str], tuple[float, float]]:
    found = {}
    for row in read_rows("heapwright.weather", "units.csv"):
        for spelling in row["spellings"].split("|"):
            found[row["kind"], spelling] = (float(row["factor"]), float(row["offset"]))
    return found


@cache
def _energies() -> frozenset[str]:
    rows = read_rows("heapwright.weather", "units.csv")
    return frozenset(
        s for row in rows if row["meaning"] == "energy" for s in row["spellings"].split("|")
    )


def is_energy(unit: str) -> bool:
    """Return whether a unit of sun is energy gathered over the row's time, not a mean power."""
    return unit.strip().casefold() in _energies()


def spellings(quantity: str) -> tuple[str, ...]:
    """Return the unit spellings that a quantity may be stated in."""
    return tuple(unit for kind, unit in _conversions() if kind == KINDS[quantity])


def to_si(quantity: str, unit: str, values: FloatArray) -> FloatArray:
    """Return a column in SI.

    Raises
    ------
    WeatherProblem
        If the unit is unknown for that quantity.

    """
    factor, offset = _conversion(quantity, unit)
    return factor * values + offset


def as_stated(quantity: str, unit: str, value: float) -> str:
    """Return a value in SI as its file wrote it, such as "1,048.36 mph"."""
    factor, offset = _conversion(quantity, unit)
    return f"{(value - offset) / factor:,.6g} {unit}"


def _conversion(quantity: str, unit: str) -> tuple[float, float]:
    known = _conversions().get((KINDS[quantity], unit.strip().casefold()))
    if known is None:
        choices = ", ".join(spellings(quantity))
        raise WeatherProblem(
            worded(
                '"{unit}" is not a unit known for {quantity}',
                unit=unit,
                quantity=quantity.replace("_", " "),
            ),
            instead=worded("Use one of: {choices}", choices=choices),
            kept="Nothing was read.",
        )
    return known
