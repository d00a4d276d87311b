"""Reads temperatures, shares, masses, volumes and lengths as people write them.

Knows how units are written and what values can be true. Knows nothing of containers (see
`amounts`), of materials or of showing numbers.
"""

from __future__ import annotations

import re

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.quantities.numbers import parse_number
from heapwright.quantities.units import (
    Dimension,
    TemperatureUnit,
    Unit,
    UnitSystem,
    fahrenheit_to_celsius,
    unit_words,
    units,
)
from heapwright.wording import worded

#: What a thermometer in or beside a heap can read. Boiling water is the upper end: wet matter
#: cannot be hotter; what reads more is burning. The lower end is colder than settled winters.
LOWEST_TEMPERATURE_C = -60.0
HIGHEST_TEMPERATURE_C = 100.0

_TOO_HOT = "Wet compost cannot be hotter than boiling water; what reads more is burning"
_READ_AGAIN = "Read the thermometer again."
_IF_IT_SMOKES = "If it smokes, stay away, leave it closed and call the fire service"

_NUMBER = r"[+\-−–]?[\d½⅓⅔¼¾⅛⅜⅝⅞⅕⅖⅗⅘⅙⅚.,/⁄]+(?:[eE][+-]?\d+)?(?:\s+\d+\s*/\s*\d+|\s*[½⅓⅔¼¾⅛⅜⅝⅞])?"
_LEADING_NUMBER = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<rest>.*)", re.DOTALL)
_DEGREE = re.compile(r"[°º˚]|\bdegrees?\b|\bdeg\b\.?")
_TEMPERATURE_WORDS = {
    "c": TemperatureUnit.C,
    "celsius": TemperatureUnit.C,
    "centigrade": TemperatureUnit.C,
    "f": TemperatureUnit.F,
    "fahrenheit": TemperatureUnit.F,
}
_KELVIN_WORDS = ("k", "kelvin")


def split_number(text: str) -> tuple[str, str] | None:
    """Return the number a text begins with and what follows it, or None."""
    match = _LEADING_NUMBER.fullmatch(text)
    return (match["number"].strip(), match["rest"].strip()) if match else None


def parse_temperature_c(
    text: str, default_unit: TemperatureUnit, *, what: str = "Temperature"
) -> float:
    """Return a temperature in °C from "137F", "58.5 °C", "58,5" or "137".

    Parameters
    ----------
    text : str
        What the person wrote.
    default_unit : TemperatureUnit
        The degree meant when none is written.
    what : str
        What was read, for the message ("Reading 41 of 60").

    Returns
    -------
    float
        Between `LOWEST_TEMPERATURE_C` and `HIGHEST_TEMPERATURE_C`. [°C]

    Raises
    ------
    NotUnderstood
        When it is not a number with a degree.
    OutOfRange
        When no heap or weather can be so; says what may have been meant.

    """
    plain = text.replace("℃", "°C").replace("℉", "°F")
    parts = split_number(plain)
    if parts is None:
        raise _not_a_temperature(text, what)
    number, rest = parts
    unit = _temperature_unit(rest, text, what) or default_unit
    value = parse_number(number, what=what)
    temperature_c = value if unit is TemperatureUnit.C else fahrenheit_to_celsius(value)
    if not LOWEST_TEMPERATURE_C <= temperature_c <= HIGHEST_TEMPERATURE_C:
        raise _impossible_temperature(value, unit, what)
    return temperature_c


def _temperature_unit(rest: str, text: str, what: str) -> TemperatureUnit | None:
    word = _DEGREE.sub(" ", rest.lower()).strip().rstrip(".")
    if word == "":
        return None
    if word in _TEMPERATURE_WORDS:
        return _TEMPERATURE_WORDS[word]
    if word in _KELVIN_WORDS:
        raise NotUnderstood(
            worded('{what} "{text}"', what=what, text=text.strip()),
            why="Kelvin is not a garden thermometer's unit",
            instead="Write °C or °F, such as 58 °C or 137 °F",
        )
    raise _not_a_temperature(text, what)


def _not_a_temperature(text: str, what: str) -> NotUnderstood:
    return NotUnderstood(
        worded('{what}: "{text}" is not a number', what=what, text=text.strip()),
        instead="Write the temperature, such as 58 or 58.5, or with its unit: 137 F",
    )


def _impossible_temperature(value: float, unit: TemperatureUnit, what: str) -> OutOfRange:
    was_read = worded("{what} {value:g} °{unit}", what=what, value=value, unit=unit)
    if value < 0:
        return OutOfRange(
            was_read, why="No garden gets so cold", instead="Read the thermometer again"
        )
    meant_c = fahrenheit_to_celsius(value)
    other = unit is TemperatureUnit.C and meant_c <= HIGHEST_TEMPERATURE_C
    hint = (
        worded("Did you mean {value:g} °F ({meant_c:.0f} °C)?", value=value, meant_c=meant_c)
        if other
        else _READ_AGAIN
    )
    return OutOfRange(was_read, why=_TOO_HOT, instead=f"{hint} {_IF_IT_SMOKES}")


def parse_share(
    text: str,
    *,
    what: str = "Moisture",
    why: str = "water is a share of the wet weight, so it lies between 0 and 100 %",
) -> float:
    """Return a share between 0 and 1 from "64 %", "64" or "0.64".

    Without a per cent sign, a number of 1 or less is a share and one above 1 is per cent; "1"
    alone can be either and is refused.

    Parameters
    ----------
    text : str
        What the person wrote.
    what, why : str
        Name of the share and why it has its limits, for the message.

    Raises
    ------
    NotUnderstood
        When it is not a number, or "1" without a per cent sign.
    OutOfRange
        When below 0 or above 100 %.

    """
    parts = split_number(text)
    rest = parts[1].lower() if parts else ""
    if parts is None or rest not in ("", "%", "percent", "per cent", "pct"):
        raise NotUnderstood(
            worded('{what}: "{text}" is not a share', what=what, text=text.strip()),
            instead="Write it such as 64 % or 0.64",
        )
    value = parse_number(parts[0], what=what)
    if rest == "" and value == 1.0:
        raise NotUnderstood(
            worded("{what} 1", what=what),
            why="It can be read as 1 % or as 100 %",
            instead="Write 1 % or 100 %",
        )
    percent = value if rest or value > 1.0 else value * 100.0
    if not 0.0 <= percent <= 100.0:
        raise OutOfRange(
            worded("{what} {percent:g} %: {why}", what=what, percent=percent, why=why),
            instead=_share_hint(percent),
        )
    return percent / 100.0


def _share_hint(percent: float) -> str:
    if 100.0 < percent <= 1000.0:
        return worded("Did you mean {percent:g} %?", percent=percent / 10.0)
    return "Write it such as 64 % or 0.64"


def parse_mass_kg(text: str, system: UnitSystem | None = None, *, what: str = "Mass") -> float:
    """Return kilograms from "3 kg", "6 lb 4 oz" or, with a unit system, "3" (kg or lb)."""
    default = {UnitSystem.METRIC: "kg", UnitSystem.US: "lb"}
    return _parse_measure(text, Dimension.MASS, system and default[system], what, "3 kg or 6.5 lb")


def parse_volume_m3(text: str, system: UnitSystem | None = None, *, what: str = "Volume") -> float:
    """Return cubic metres from "20 L", "0.5 yd3" or, with a unit system, "20" (L or gal)."""
    default = {UnitSystem.METRIC: "L", UnitSystem.US: "gal"}
    return _parse_measure(text, Dimension.VOLUME, system and default[system], what, "20 L or 5 gal")


def parse_length_m(text: str, system: UnitSystem | None = None, *, what: str = "Length") -> float:
    """Return metres from "90 cm", "3 ft 6 in" or, with a unit system, "90" (cm or in)."""
    default = {UnitSystem.METRIC: "cm", UnitSystem.US: "in"}
    return _parse_measure(text, Dimension.LENGTH, system and default[system], what, "90 cm or 3 ft")


def _parse_measure(
    text: str, dimension: Dimension, default: str | None, what: str, example: str
) -> float:
    total = 0.0
    rest = _tidy_unit_text(text)
    first = True
    while rest or first:
        parts = split_number(rest)
        if parts is None:
            raise NotUnderstood(
                worded(
                    '{what}: "{text}" is not a {dimension}',
                    what=what,
                    text=text.strip(),
                    dimension=dimension,
                ),
                instead=worded("Write it such as {example}", example=example),
            )
        unit, rest = _take_unit(parts[1], dimension)
        if unit is None and (default is None or not first or rest):
            raise _unit_not_known(text, rest, dimension, what, example)
        chosen = unit or units()[default or ""]
        total += parse_number(parts[0], what=what) * chosen.to_si
        first = False
    if total < 0:
        raise OutOfRange(
            worded("{what} {text}", what=what, text=text.strip()),
            why="It cannot be less than nothing",
            instead=worded("Write it such as {example}", example=example),
        )
    return total


def take_measure(text: str, dimension: Dimension) -> tuple[float, str] | None:
    """Return the measure a text begins with in kg, m³ or m, and what follows it, or None."""
    parts = split_number(_tidy_unit_text(text))
    if parts is None:
        return None
    unit, rest = _take_unit(parts[1], dimension)
    return None if unit is None else (parse_number(parts[0]) * unit.to_si, rest)


def _tidy_unit_text(text: str) -> str:
    tidy = text.strip().lower().replace("³", "3").replace("^3", "3")
    tidy = re.sub(r"(?<=[a-z])\.(?!\d)", "", tidy)  # "lb." is "lb"
    return re.sub(r"\s+", " ", tidy)


def _take_unit(rest: str, dimension: Dimension) -> tuple[Unit | None, str]:
    """Take the longest unit word off the front of a text."""
    words = unit_words(dimension)
    for word in sorted(words, key=len, reverse=True):
        if rest.startswith(word) and not rest[len(word) : len(word) + 1].isalpha():
            return words[word], rest[len(word) :].strip(" ,")
    return None, rest


def _unit_not_known(
    text: str, rest: str, dimension: Dimension, what: str, example: str
) -> NotUnderstood:
    why = (
        worded('"{rest}" is not a unit of {dimension}', rest=rest, dimension=dimension)
        if rest
        else "Its unit is missing"
    )
    return NotUnderstood(
        worded('{what} "{text}"', what=what, text=text.strip()),
        why=why,
        instead=worded("Write it such as {example}", example=example),
    )
