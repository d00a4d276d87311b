"""Shows SI values in a person's units, rounded as a person would say them.

Knows which unit suits which size and how many digits are honest (two, seldom three). Knows
nothing of sentences or pages. A value that is not finite is shown as "not known".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from heapwright.quantities.units import (
    TemperatureUnit,
    UnitSystem,
    from_si,
    temperature_in,
    temperature_step_in,
)
from heapwright.tables import Estimate
from heapwright.wording import Figure, worded

NOT_KNOWN = Figure("not known")
MINUS = "\N{MINUS SIGN}"

_Units = Mapping[UnitSystem, tuple[tuple[str, float, str], ...]]

#: From this size on (in the unit itself) a unit is used; the first that fits, largest first.
_VOLUME_UNITS: _Units = {
    UnitSystem.METRIC: (("m3", 1.0, "m³"), ("L", 1.0, "L"), ("mL", 0.0, "mL")),
    UnitSystem.US: (
        ("yd3", 0.5, "yd³"),
        ("ft3", 4.0, "ft³"),
        ("gal", 1.0, "gal"),
        ("qt", 1.0, "qt"),
        ("cup", 0.0, "cups"),
    ),
}
_WATER_UNITS: _Units = {
    UnitSystem.METRIC: (("L", 1.0, "L"), ("mL", 0.0, "mL")),
    UnitSystem.US: (("gal", 1.0, "gal"), ("cup", 0.0, "cups")),
}
_MASS_UNITS: _Units = {
    UnitSystem.METRIC: (("kg", 1.0, "kg"), ("g", 0.0, "g")),
    UnitSystem.US: (("lb", 1.0, "lb"), ("oz", 0.0, "oz")),
}
_LENGTH_UNITS: _Units = {
    UnitSystem.METRIC: (("m", 2.0, "m"), ("cm", 0.0, "cm")),
    UnitSystem.US: (("ft", 6.0, "ft"), ("in", 0.0, "in")),
}
_ALMOST = 0.995  # 0.999 yd³ is shown as 1 yd³, not as 27 ft³
_WATER_KG_PER_M3 = 1000.0  # 1 kg of water is 1 litre, near enough for a hose


def format_temperature(
    temperature_c: float, shown: UnitSystem | TemperatureUnit, *, both: bool = False
) -> str:
    """Return a temperature in whole degrees: "137 °F", or with `both` "137 °F (58 °C)".

    Parameters
    ----------
    temperature_c : float
        [°C]
    shown : UnitSystem or TemperatureUnit
        The person's own degree.
    both : bool
        Whether the other degree stands behind it in brackets.

    """
    unit = _degree(shown)
    text = Figure(f"{_whole(temperature_in(temperature_c, unit))} °{unit}")
    if not math.isfinite(temperature_c):
        return NOT_KNOWN
    return Figure(f"{text} ({format_temperature(temperature_c, unit.other)})") if both else text


def format_temperature_step(step_c: float, shown: UnitSystem | TemperatureUnit) -> str:
    """Return a difference of temperatures in whole degrees: "5 °C" is "9 °F"."""
    unit = _degree(shown)
    if not math.isfinite(step_c):
        return NOT_KNOWN
    return Figure(f"{_whole(temperature_step_in(step_c, unit))} °{unit}")


def format_volume(volume_m3: float, system: UnitSystem, *, like: float | None = None) -> str:
    """Return a volume, in the unit that suits another where `like` is given.

    Such as "170 L", "1.3 m³", "5 gal", "6 ft³", "1 yd³".
    """
    return _format_measure(volume_m3, _VOLUME_UNITS, system, like=like)


def format_volume_range(low_m3: float, high_m3: float, system: UnitSystem) -> str:
    """Return a range of volumes in the unit that suits its middle: "2.5 to 16 ft³"."""
    middle = math.sqrt(max(low_m3, 0.0) * max(high_m3, 0.0)) or high_m3
    low, high = (_format_measure(x, _VOLUME_UNITS, system, like=middle) for x in (low_m3, high_m3))
    if low == high:
        return low
    return worded("{low} to {high}", low=Figure(low.partition(" ")[0]), high=high)


def format_water(water_kg: float, system: UnitSystem) -> str:
    """Return water in litres or gallons: "12 L", "3 gal"."""
    return _format_measure(water_kg / _WATER_KG_PER_M3, _WATER_UNITS, system)


def format_mass(mass_kg: float, system: UnitSystem) -> str:
    """Return a mass: "12 kg", "450 g", "26 lb", "7 oz"."""
    return _format_measure(mass_kg, _MASS_UNITS, system)


def format_length(length_m: float, system: UnitSystem) -> str:
    """Return a length or depth: "90 cm", "3.2 m", "36 in", "10 ft"."""
    return _format_measure(length_m, _LENGTH_UNITS, system)


def format_density(density_kg_m3: float, system: UnitSystem) -> str:
    """Return a bulk density: "240 kg/m³", "400 lb/yd³"."""
    if system is UnitSystem.METRIC:
        return Figure(f"{format_number(density_kg_m3)} kg/m³")
    return Figure(f"{format_number(from_si(density_kg_m3, 'lb') / from_si(1.0, 'yd3'))} lb/yd³")


def format_share(share: float) -> str:
    """Return a share in per cent: "58 %", below ten "2.4 %"."""
    percent = share * 100.0
    if not math.isfinite(percent):
        return NOT_KNOWN
    text = format_number(percent) if abs(percent) < 9.95 else _whole(percent)
    return Figure(f"{text} %")


def format_number(value: float, digits: int = 2) -> str:
    """Return a number with so many digits that count and no others: 0.034, 3.4, 34, 340, 3400."""
    if not math.isfinite(value):
        return NOT_KNOWN
    if value == 0:
        return Figure("0")
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, decimals)
    text = f"{rounded:.{max(decimals, 0)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return Figure(text.replace("-", MINUS))


def format_range(
    value: Estimate, show: Callable[[float], str] = format_number, *, likely: bool = True
) -> str:
    """Return a range with its likely value: "24 to 38, likely 30".

    Parameters
    ----------
    value : Estimate
    show : callable
        Turns one number into text, such as `format_share`; a unit the two ends share is said once.
    likely : bool
        Whether the likely value is added.

    """
    low, typical, high = show(value.low), show(value.typical), show(value.high)
    if low == high:
        return typical
    unit = low.partition(" ")[2]
    first = Figure(low.partition(" ")[0]) if unit and unit == high.partition(" ")[2] else low
    if likely:
        return worded("{low} to {high}, likely {typical}", low=first, high=high, typical=typical)
    return worded("{low} to {high}", low=first, high=high)


def _degree(shown: UnitSystem | TemperatureUnit) -> TemperatureUnit:
    return shown.temperature_unit if isinstance(shown, UnitSystem) else shown


def _whole(value: float) -> str:
    if not math.isfinite(value):
        return NOT_KNOWN
    return Figure(f"{round(value):d}".replace("-", MINUS))


def _format_measure(
    value_si: float, units: _Units, system: UnitSystem, *, like: float | None = None
) -> str:
    """Return a value in the unit that suits it, or that suits another value `like` it."""
    if not math.isfinite(value_si):
        return NOT_KNOWN
    size = abs(value_si if like is None else like)
    symbol, label = next(
        (symbol, label)
        for symbol, smallest, label in units[system]
        if from_si(size, symbol) >= smallest * _ALMOST
    )
    return Figure(f"{format_number(from_si(value_si, symbol))} {label}")
