"""Units, containers and amounts: the one edge between people's units and the SI inside."""

from heapwright.quantities.amounts import Amount, parse_amount, parse_amount_of
from heapwright.quantities.areas import format_area, parse_area_m2
from heapwright.quantities.container_text import parse_container
from heapwright.quantities.containers import (
    Container,
    Packing,
    container_words,
    fullness_levels,
    fullness_said,
    own_container,
    standard_containers,
)
from heapwright.quantities.formatting import (
    format_density,
    format_length,
    format_mass,
    format_number,
    format_range,
    format_share,
    format_temperature,
    format_temperature_step,
    format_volume,
    format_volume_range,
    format_water,
)
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
    "Amount",
    "Container",
    "Packing",
    "TemperatureUnit",
    "UnitSystem",
    "celsius_to_fahrenheit",
    "container_words",
    "fahrenheit_to_celsius",
    "format_area",
    "format_density",
    "format_length",
    "format_mass",
    "format_number",
    "format_range",
    "format_share",
    "format_temperature",
    "format_temperature_step",
    "format_volume",
    "format_volume_range",
    "format_water",
    "from_si",
    "fullness_levels",
    "fullness_said",
    "own_container",
    "parse_amount",
    "parse_amount_of",
    "parse_area_m2",
    "parse_container",
    "parse_length_m",
    "parse_mass_kg",
    "parse_number",
    "parse_share",
    "parse_temperature_c",
    "parse_volume_m3",
    "pounds_per_cubic_yard_to_kg_m3",
    "standard_containers",
    "temperature_in",
    "temperature_step_in",
    "to_si",
]
