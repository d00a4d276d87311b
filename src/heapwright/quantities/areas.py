"""Reads and shows areas: "32 ft2", "4 x 8 ft", "3 m x 1.2 m", "10 m²".

Knows how people write the size of a bed or a lawn. Knows nothing of what lies on it.
"""

from __future__ import annotations

import math
import re

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.quantities.formatting import NOT_KNOWN, format_number
from heapwright.quantities.numbers import parse_number
from heapwright.quantities.parsing import split_number
from heapwright.quantities.units import UnitSystem, to_si
from heapwright.wording import Figure, worded

_FT2_M2 = to_si(1.0, "ft") ** 2
_YD2_M2 = to_si(1.0, "yd") ** 2
_WORDS = {
    "m2": 1.0,
    "sqm": 1.0,
    "sq m": 1.0,
    "square metre": 1.0,
    "square metres": 1.0,
    "square meter": 1.0,
    "square meters": 1.0,
    "ft2": _FT2_M2,
    "sqft": _FT2_M2,
    "sq ft": _FT2_M2,
    "square foot": _FT2_M2,
    "square feet": _FT2_M2,
    "yd2": _YD2_M2,
    "sq yd": _YD2_M2,
    "square yard": _YD2_M2,
    "square yards": _YD2_M2,
}
_SIDE_WORDS = {
    "m": "m",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "cm": "cm",
    "ft": "ft",
    "foot": "ft",
    "feet": "ft",
    "'": "ft",
    "in": "in",
    "inch": "in",
    "inches": "in",
    "yd": "yd",
}
_TIMES = re.compile(r"\s*(?:[x×*]|\bby\b)\s*")


def parse_area_m2(text: str, system: UnitSystem, *, what: str = "Area") -> float:
    """Return square metres from an area, or from two sides: "4 x 8 ft" is 32 square feet.

    Parameters
    ----------
    text : str
    system : UnitSystem
        What a bare number means: square feet or square metres, sides in feet or metres.
    what : str
        What is measured, for the message.

    Raises
    ------
    NotUnderstood, OutOfRange
        If it is no area, or less than nothing.

    """
    tidy = re.sub(r"\s+", " ", text.strip().lower().replace("²", "2").replace("^2", "2"))
    tidy = re.sub(r"(?<=[a-z])\.", "", tidy)
    sides = _TIMES.split(tidy)
    area_m2 = _of_sides(sides, text, system, what) if len(sides) == 2 else None
    if area_m2 is None:
        area_m2 = _of_area(tidy, text, system, what)
    if area_m2 < 0:
        raise OutOfRange(
            worded("{what} {text}", what=what, text=text.strip()),
            why="It cannot be less than nothing",
            instead="Write it such as 32 ft2, 3 m2 or 4 x 8 ft",
        )
    return area_m2


def format_area(area_m2: float, system: UnitSystem) -> str:
    """Return an area: "12 m²", "32 ft²"."""
    if not math.isfinite(area_m2):
        return NOT_KNOWN
    if system is UnitSystem.METRIC:
        return Figure(f"{format_number(area_m2, 3)} m²")
    return Figure(f"{format_number(area_m2 / _FT2_M2, 3)} ft²")


def _of_area(tidy: str, text: str, system: UnitSystem, what: str) -> float:
    parts = split_number(tidy)
    if parts is None:
        raise _not_an_area(text, what)
    number, unit = parts
    own = 1.0 if system is UnitSystem.METRIC else _FT2_M2
    factor = own if unit == "" else _WORDS.get(unit)
    if factor is None:
        raise _not_an_area(text, what)
    return parse_number(number, what=what) * factor


def _of_sides(sides: list[str], text: str, system: UnitSystem, what: str) -> float:
    """Return the area of two sides; a unit that stands only behind the second is both sides'."""
    parts = [split_number(side) for side in sides]
    if parts[0] is None or parts[1] is None:
        raise _not_an_area(text, what)
    last = parts[1][1] or ("m" if system is UnitSystem.METRIC else "ft")
    area_m2 = 1.0
    for number, said in (parts[0], parts[1]):
        unit = _SIDE_WORDS.get(said or last)
        if unit is None:
            raise _not_an_area(text, what)
        length = parse_number(number, what=what)
        if length < 0:
            raise OutOfRange(
                worded("{what} {text}", what=what, text=text.strip()),
                why="It cannot be less than nothing",
                instead="Write it such as 32 ft2, 3 m2 or 4 x 8 ft",
            )
        area_m2 *= to_si(length, unit)
    return area_m2


def _not_an_area(text: str, what: str) -> NotUnderstood:
    return NotUnderstood(
        worded('{what}: "{text}" is not an area', what=what, text=text.strip()),
        instead="Write it such as 32 ft2, 3 m2 or 4 x 8 ft",
    )
