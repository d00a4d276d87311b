"""Units and their exact conversions to the ones used inside (kg, m3, m, °C).

Knows the units people write and how many of the inner unit each is, from the sourced table
`data/units.csv`. Knows nothing of reading text or of showing numbers.

References
----------
.. [1] A. Thompson, B. N. Taylor, "Guide for the Use of the International System of Units (SI)",
   NIST Special Publication 811, 2008, appendix B.

"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from heapwright.tables import read_rows

_CELSIUS_OF_FREEZING_F = 32.0  # exact: 32 °F is 0 °C [1]_, B.6
_FAHRENHEIT_PER_CELSIUS = 1.8  # exact: a step of 1 °C is 1.8 °F [1]_, B.6


class UnitSystem(StrEnum):
    """The units a person thinks in."""

    US = "us"
    METRIC = "metric"

    @property
    def temperature_unit(self) -> TemperatureUnit:
        """The degree this person reads when none is written."""
        return TemperatureUnit.F if self is UnitSystem.US else TemperatureUnit.C


class TemperatureUnit(StrEnum):
    """Degree Celsius or degree Fahrenheit."""

    C = "C"
    F = "F"

    @property
    def other(self) -> TemperatureUnit:
        """The degree this one is not."""
        return TemperatureUnit.C if self is TemperatureUnit.F else TemperatureUnit.F


class Dimension(StrEnum):
    """What kind of quantity a unit measures."""

    MASS = "mass"
    VOLUME = "volume"
    LENGTH = "length"


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit people write, with its exact size in the inner unit."""

    symbol: str
    dimension: Dimension
    system: UnitSystem
    to_si: float
    words: tuple[str, ...]


@cache
def units() -> Mapping[str, Unit]:
    """Return every unit of the table by its symbol."""
    return {
        row["unit"]: Unit(
            symbol=row["unit"],
            dimension=Dimension(row["dimension"]),
            system=UnitSystem(row["system"]),
            to_si=float(row["to_si"]),
            words=tuple(row["words"].split("|")),
        )
        for row in read_rows("heapwright.quantities", "data/units.csv")
    }


@cache
def unit_words(dimension: Dimension) -> Mapping[str, Unit]:
    """Return the units of one dimension by every word people write for them."""
    return {
        word: unit
        for unit in units().values()
        if unit.dimension is dimension
        for word in unit.words
    }


def to_si(value: float, unit: str) -> float:
    """Return a value in `unit` (a symbol of the table) as kg, m³ or m.

    Examples
    --------
    >>> to_si(1, "gal")
    0.003785411784

    """
    return value * units()[unit].to_si


def from_si(value: float, unit: str) -> float:
    """Return a value in kg, m³ or m in `unit` (a symbol of the table)."""
    return value / units()[unit].to_si


def fahrenheit_to_celsius(temperature_f: float) -> float:
    """Return degrees Celsius: t(°C) = (t(°F) - 32) / 1.8, exact [1]_."""
    return (temperature_f - _CELSIUS_OF_FREEZING_F) / _FAHRENHEIT_PER_CELSIUS


def celsius_to_fahrenheit(temperature_c: float) -> float:
    """Return degrees Fahrenheit: t(°F) = 1.8 t(°C) + 32, exact [1]_."""
    return temperature_c * _FAHRENHEIT_PER_CELSIUS + _CELSIUS_OF_FREEZING_F


def temperature_in(temperature_c: float, unit: TemperatureUnit) -> float:
    """Return a temperature in the unit a person reads."""
    return temperature_c if unit is TemperatureUnit.C else celsius_to_fahrenheit(temperature_c)


def temperature_step_in(step_c: float, unit: TemperatureUnit) -> float:
    """Return a difference of temperatures in the unit a person reads."""
    return step_c if unit is TemperatureUnit.C else step_c * _FAHRENHEIT_PER_CELSIUS


def pounds_per_cubic_yard_to_kg_m3(density_lb_yd3: float) -> float:
    """Return kg/m³; American handbooks print bulk density in pounds per cubic yard."""
    return density_lb_yd3 * units()["lb"].to_si / units()["yd3"].to_si
