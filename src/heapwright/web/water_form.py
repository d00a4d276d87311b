"""Reads an amount of water as it is given: pails, gallons, litres or seconds of the hose.

Knows the units of the water field. Knows nothing of heaps.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.errors import NotUnderstood
from heapwright.journal.entries import GardenSettings
from heapwright.quantities import (
    UnitSystem,
    format_water,
    from_si,
    parse_number,
    standard_containers,
    to_si,
)
from heapwright.quantities.containers import Container
from heapwright.web.forms import Filled, within
from heapwright.wording import plural_word, worded

#: One litre of water is one kilogram, near enough for a pail (as in `quantities`).
WATER_KG_PER_M3 = 1000.0


@dataclass(frozen=True, slots=True)
class WaterUnit:
    """One way to say how much water: its name in the form, its words, and one of it. [kg]"""

    key: str
    words: str
    each_kg: float


def pail(settings: GardenSettings) -> Container:
    """Return the pail that is usual where these units are."""
    is_us = UnitSystem(settings.units) is UnitSystem.US
    return standard_containers()["5-gallon pail" if is_us else "10 L bucket"]


def water_units(settings: GardenSettings) -> tuple[WaterUnit, ...]:
    """Return the ways to say it, the usual one first; the hose only when its flow is known."""
    usual = pail(settings)
    pails = plural_word(usual.name, usual.plural, 2)
    gallons = WaterUnit("gal", worded("gallons"), to_si(1, "gal") * WATER_KG_PER_M3)
    litres = WaterUnit("L", worded("litres"), to_si(1, "L") * WATER_KG_PER_M3)
    own = (gallons, litres) if UnitSystem(settings.units) is UnitSystem.US else (litres, gallons)
    units = (WaterUnit("pail", pails, usual.volume_m3 * WATER_KG_PER_M3), *own)
    if settings.hose_kg_s is None:
        return units
    return (*units, WaterUnit("hose", worded("seconds of hose"), settings.hose_kg_s))


def in_own_unit(water_kg: float, settings: GardenSettings) -> tuple[float, str]:
    """Return an amount of water in the garden's gallons or litres, and that unit's name here."""
    unit = "gal" if UnitSystem(settings.units) is UnitSystem.US else "L"
    return from_si(water_kg / WATER_KG_PER_M3, unit), unit


def read_water(form: Filled, settings: GardenSettings, name: str = "water") -> float | None:
    """Return the water a form tells, from the fields `name` and `name`_unit. [kg]

    None when nothing was written, or when it is wrong (held in the form).
    """
    units = {unit.key: unit for unit in water_units(settings)}
    chosen = form.text(f"{name}_unit") or next(iter(units))
    system = UnitSystem(settings.units)

    def read(text: str) -> float:
        if chosen == "hose" and "hose" not in units:
            raise NotUnderstood(
                "How much the hose gives is not known yet",
                instead="Give gallons or litres, or time the hose on the Garden page first",
            )
        if chosen not in units:
            raise NotUnderstood(worded('"{chosen}" is no unit of water here', chosen=chosen))
        water_kg = parse_number(text, what="Water") * units[chosen].each_kg
        return within("water_kg", "Water", water_kg, lambda kg: format_water(kg, system))

    return form.read(name, "Water", read)
