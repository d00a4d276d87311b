"""Units, containers and amounts: the one edge between people's units and the SI inside."""

from heapwright.quantities.numbers import parse_number
from heapwright.quantities.parsing import (
    parse_length_m,
    parse_mass_kg,
    parse_share,
    parse_temperature_c,
    parse_volume_m3,
)
from heapwright.quantities.units import (
    TemperatureUnit,
    UnitSystem,
    celsius_to_fahrenheit,
    fahrenheit_to_celsius,
    from_si,
    pounds_per_cubic_yard_to_kg_m3,
    temperature_in,
    temperature_step_in,
    to_si,
)

__all__ = [
    "TemperatureUnit",
    "UnitSystem",
    "celsius_to_fahrenheit",
    "fahrenheit_to_celsius",
    "from_si",
    "parse_length_m",
    "parse_mass_kg",
    "parse_number",
    "parse_share",
    "parse_temperature_c",
    "parse_volume_m3",
    "pounds_per_cubic_yard_to_kg_m3",
    "temperature_in",
    "temperature_step_in",
    "to_si",
]
