"""Areas as people write them, held against the unit library pint."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import HeapwrightError
from heapwright.quantities import UnitSystem, format_area, parse_area_m2

REGISTRY = pint.UnitRegistry()
US, METRIC = UnitSystem.US, UnitSystem.METRIC


@pytest.mark.parametrize(
    "text, unit, size",
    [
        ("32 ft2", "foot**2", 32),
        ("4 x 8 ft", "foot**2", 32),
        ("4x8", "foot**2", 32),
        ("4 ft by 96 in", "foot**2", 32),
        ("100 sq. ft.", "foot**2", 100),
        ("1½ yd²", "yard**2", 1.5),
        ("10 m²", "meter**2", 10),
        ("120 cm × 3 m", "meter**2", 3.6),
    ],
)
def test_areas_are_read_as_pint_has_them(text: str, unit: str, size: float) -> None:
    assert parse_area_m2(text, US) == pytest.approx((size * REGISTRY(unit)).to("m**2").magnitude)


@given(st.integers(1, 999))
def test_a_shown_area_is_read_back(number: int) -> None:
    for system, unit in ((US, "ft²"), (METRIC, "m²")):
        shown = format_area(parse_area_m2(str(number), system), system)
        assert shown == f"{number} {unit}"
        assert parse_area_m2(shown, system) == parse_area_m2(str(number), system)


@pytest.mark.parametrize("text", ["", "wide", "4 x", "4 x 8 kg", "-3 m2", "-3 x -4", "3 m3", "1 2"])
def test_what_is_no_area_is_refused_in_words(text: str) -> None:
    with pytest.raises(HeapwrightError) as told:
        parse_area_m2(text, US)
    assert "ft2" in told.value.instead or "number" in str(told.value)
