"""Two routes to one answer: our conversions and those of a general units library; two writings."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.quantities import (
    UnitSystem,
    celsius_to_fahrenheit,
    fahrenheit_to_celsius,
    from_si,
    parse_amount,
    parse_length_m,
    parse_mass_kg,
    parse_volume_m3,
    pounds_per_cubic_yard_to_kg_m3,
    temperature_step_in,
    to_si,
)
from heapwright.quantities.units import TemperatureUnit

REGISTRY = pint.UnitRegistry()
THEIR_NAMES = {
    "kg": "kilogram", "g": "gram", "t": "metric_ton", "lb": "pound", "oz": "ounce",
    "L": "liter", "mL": "milliliter", "m3": "meter**3", "gal": "gallon",
    "imp gal": "imperial_gallon", "qt": "quart", "pt": "pint",
    "cup": "cup", "ft3": "foot**3", "yd3": "yard**3", "m": "meter", "cm": "centimeter",
    "mm": "millimeter", "in": "inch", "ft": "foot", "yd": "yard",
}  # fmt: skip
BASE = {"[mass]": "kilogram", "[length] ** 3": "meter**3", "[length]": "meter"}


@pytest.mark.parametrize("unit", THEIR_NAMES)
def test_to_si_agrees_with_pint(unit: str) -> None:
    theirs = REGISTRY.Quantity(1.0, THEIR_NAMES[unit])
    base = BASE[str(theirs.dimensionality)]
    assert to_si(1.0, unit) == pytest.approx(theirs.to(base).magnitude, rel=1e-12)
    assert from_si(to_si(7.0, unit), unit) == pytest.approx(7.0, rel=1e-12)


@given(st.floats(-100, 500))
def test_fahrenheit_agrees_with_pint(fahrenheit: float) -> None:
    theirs = REGISTRY.Quantity(fahrenheit, "degF").to("degC").magnitude
    assert fahrenheit_to_celsius(fahrenheit) == pytest.approx(theirs, abs=1e-9)
    assert celsius_to_fahrenheit(theirs) == pytest.approx(fahrenheit, abs=1e-9)


def test_temperature_steps_agree_with_pint() -> None:
    theirs = REGISTRY.Quantity(5.0, "delta_degC").to("delta_degF").magnitude
    assert temperature_step_in(5.0, TemperatureUnit.F) == pytest.approx(theirs)


def test_bulk_density_agrees_with_pint() -> None:
    theirs = REGISTRY.Quantity(667.0, "pound / yard**3").to("kilogram / meter**3").magnitude
    assert pounds_per_cubic_yard_to_kg_m3(667.0) == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize(
    ("one", "other"),
    [("3 kg", "3000 g"), ("6 lb 4 oz", "6.25 lb"), ("1/2 lb", "8 oz"), ("1½ kg", "1.5 kg")],
)
def test_two_writings_of_a_mass_agree(one: str, other: str) -> None:
    assert parse_mass_kg(one) == pytest.approx(parse_mass_kg(other), rel=1e-12)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("1 yd3", "27 ft3"),
        ("1 cubic yard", "27 cu. ft."),
        ("1 m³", "1000 L"),
        ("4 qt", "1 gal"),
        ("58,5 L", "58.5 L"),
    ],
)
def test_two_writings_of_a_volume_agree(one: str, other: str) -> None:
    assert parse_volume_m3(one) == pytest.approx(parse_volume_m3(other), rel=1e-12)


@pytest.mark.parametrize(
    ("one", "other"), [("3 ft 6 in", "42 in"), ("3'6\"", "42 inches"), ("1 yd", "3 feet")]
)
def test_two_writings_of_a_length_agree(one: str, other: str) -> None:
    assert parse_length_m(one) == pytest.approx(parse_length_m(other), rel=1e-12)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("2 pails", "two 5-gallon pails"),
        ("half a wheelbarrow", "1/2 wheelbarrow"),
        ("three-quarters full pail", "one 5 gal pail 3/4 full"),
        ("2 x 33 gal bags", "2 black bags"),
        ("3 20-litre tubs", "3 20 L tubs"),
        ("1,5 caddies", "1 1/2 kitchen caddies"),
    ],
)
def test_two_writings_of_an_amount_agree(one: str, other: str) -> None:
    first, second = parse_amount(one), parse_amount(other)
    assert first.volume_m3 == second.volume_m3
    assert first.packing is second.packing


def test_a_bucket_is_what_each_unit_system_calls_so() -> None:
    american = parse_amount("2 buckets", system=UnitSystem.US)
    assert american == parse_amount("2 pails")
    assert parse_amount("2 buckets", system=UnitSystem.METRIC) == parse_amount("2 10 L buckets")
