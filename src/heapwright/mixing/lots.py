"""Tells what one filled container of a lot is: mass, volume and make-up, with their ranges.

Knows how the materials table, the packing, how full it is and this person's own measurements
come together. Knows nothing of mixtures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import NotForCompost, NotUnderstood, OutOfRange
from heapwright.materials.types import Packing
from heapwright.mixing.types import Lot, Part
from heapwright.tables import Estimate, Evidence
from heapwright.wording import worded

Number = TypeVar("Number", float, NDArray[np.float64])

#: Properties of a material that a lot may override one by one.
MATERIAL_PROPERTIES = (
    "moisture",
    "nitrogen_dry",
    "carbon_dry",
    "bulk_density_kg_m3",
    "ash_dry",
    "fast_share",
    "medium_share",
)
_MEASURABLE = (*MATERIAL_PROPERTIES, "container_mass_kg")
_AS_IT_LIES = Estimate.exactly(1.0, "the same state", Evidence.DERIVED)


@dataclass(frozen=True, slots=True)
class LotProperties:
    """What one filled container of a lot is, as ranges.

    Attributes
    ----------
    moisture, nitrogen_dry, carbon_dry, ash_dry, fast_share, medium_share : Estimate
        As for a material, with this person's own values where there are some.
    container_mass_kg : Estimate
        Wet mass of one filled container. [kg]
    container_density_kg_m3 : Estimate
        Wet bulk density as it lies in the container. [kg m⁻³]
    heap_density_kg_m3 : Estimate
        Wet bulk density as it lies in a new heap: pressing is undone when it is shaken out,
        shredding is not. [kg m⁻³]
    heap_volume_m3 : Estimate
        What one container takes up in a new heap. [m³]

    """

    moisture: Estimate
    nitrogen_dry: Estimate
    carbon_dry: Estimate
    ash_dry: Estimate
    fast_share: Estimate
    medium_share: Estimate
    container_mass_kg: Estimate
    container_density_kg_m3: Estimate
    heap_density_kg_m3: Estimate
    heap_volume_m3: Estimate


def lot_properties(lot: Lot) -> LotProperties:
    """Return what one filled container of a lot is.

    A measured container mass outranks a measured bulk density, which outranks the table. A
    measured bulk density is of the material as it lies in this lot's container. A measured
    moisture alone moves the table's bulk density too: the dry matter per volume stays.

    Raises
    ------
    NotUnderstood, OutOfRange
        If the lot cannot be true.
    NotForCompost
        If the material is refused and no figures of it are known.

    """
    check_lot(lot)
    if not lot.material.has_numbers:
        raise NotForCompost(
            worded("{name} cannot be mixed", name=lot.material.name),
            why=lot.material.hazard.reason if lot.material.hazard else "no figures of it are known",
            instead=lot.material.hazard.instead if lot.material.hazard else "Leave it out",
        )
    volume = lot.container_volume_m3
    density = _container_density(lot)
    mass = lot.measured.get("container_mass_kg") or product(density, lot.fullness).scaled(volume)
    loosening = _loosening(lot)
    heap_density = product(density, loosening)
    return LotProperties(
        moisture=property_of(lot, "moisture"),
        nitrogen_dry=property_of(lot, "nitrogen_dry"),
        carbon_dry=property_of(lot, "carbon_dry"),
        ash_dry=property_of(lot, "ash_dry"),
        fast_share=property_of(lot, "fast_share"),
        medium_share=property_of(lot, "medium_share"),
        container_mass_kg=mass,
        container_density_kg_m3=density,
        heap_density_kg_m3=heap_density,
        heap_volume_m3=product(lot.fullness, inverse(loosening)).scaled(volume),
    )


def property_of(lot: Lot, name: str) -> Estimate:
    """Return a material's property with the person's own value in its place where there is one."""
    own = lot.measured.get(name)
    if own is not None:
        return own
    found: Estimate = getattr(lot.material, name)
    return found


def container_mass_kg(lot: Lot) -> Estimate:
    """Return the wet mass of one filled container of a lot. [kg]"""
    return lot_properties(lot).container_mass_kg


def container_part(lot: Lot, count: float = 1.0) -> Part:
    """Return so many containers of a lot as one part with the likeliest values."""
    known = lot_properties(lot)
    return Part(
        name=lot.material.name,
        mass_kg=known.container_mass_kg.typical * count,
        moisture=known.moisture.typical,
        nitrogen_dry=known.nitrogen_dry.typical,
        carbon_dry=known.carbon_dry.typical,
        bulk_density_kg_m3=known.container_mass_kg.typical / known.heap_volume_m3.typical,
        ash_dry=known.ash_dry.typical,
        fast_share=known.fast_share.typical,
        medium_share=known.medium_share.typical,
    )


def packing_factor(lot: Lot) -> Estimate:
    """Return the density in the container relative to loose. [-]

    Raises
    ------
    NotUnderstood
        If the table has no factor for the material in that packing.

    """
    found = lot.material.packing_factor.get(lot.packing)
    if found is not None:
        return found
    if lot.packing is Packing.LOOSE:
        return _AS_IT_LIES
    raise NotUnderstood(
        worded("{name} is said to be {value}", name=lot.material.name, value=lot.packing.value),
        why="the table does not know how dense it is then",
        instead="Weigh one container, or say that it lies loose",
    )


def dry_matter_factor(table_moisture: Number, own_moisture: Number) -> Number:
    """Return how a bulk density changes with moisture when the dry matter per volume stays.

    Computed from conservation of dry matter: (1 - M_table) / (1 - M_own).
    """
    return (1.0 - table_moisture) / (1.0 - own_moisture)


def product(*factors: Estimate) -> Estimate:
    """Return the product of independent estimates of positive things.

    Ranges are added in quadrature of their logarithms, so that the product's range is not as
    wide as if every factor stood at its end at once. A low of 0 gives a low of 0.
    """
    typical = math.prod(factor.typical for factor in factors)
    down = math.hypot(*(_log_step(factor.low, factor.typical) for factor in factors))
    up = math.hypot(*(_log_step(factor.typical, factor.high) for factor in factors))
    evidence = {factor.evidence for factor in factors}
    return Estimate(
        low=typical * math.exp(-down),
        typical=typical,
        high=typical * math.exp(up),
        source="; ".join(dict.fromkeys(factor.source for factor in factors if factor.source)),
        evidence=evidence.pop() if len(evidence) == 1 else Evidence.DERIVED,
    )


def inverse(estimate: Estimate) -> Estimate:
    """Return 1 divided by an estimate of a positive thing."""
    return replace(
        estimate,
        low=1.0 / estimate.high,
        typical=1.0 / estimate.typical,
        high=1.0 / estimate.low if estimate.low > 0 else math.inf,
    )


def check_lot(lot: Lot) -> None:
    """Raise if a lot cannot be true.

    Raises
    ------
    OutOfRange, NotUnderstood
        Naming the lot and the value.

    """
    name = worded(
        "{name} in {container_name}", name=lot.material.name, container_name=lot.container_name
    )
    _check_whole(lot.count, worded("{name}: the number on hand", name=name))
    _check_whole(lot.keep_back, worded("{name}: the number to keep back", name=name))
    _check_positive(
        lot.container_volume_m3, worded("{name}: the container's volume", name=name), "m³"
    )
    _check_positive(lot.fullness.low, worded("{name}: the fullness", name=name), "of the container")
    if not 0 <= lot.age_days < math.inf:
        raise OutOfRange(
            worded("{name}: the age is {age_days:g} days", name=name, age_days=lot.age_days),
            why="it is 0 or more",
        )
    unknown = [key for key in lot.measured if key not in _MEASURABLE]
    if unknown:
        raise NotUnderstood(
            worded(
                "{name}: {unknown!r} cannot be measured for a lot", name=name, unknown=unknown[0]
            ),
            instead=worded("Known are {measurable}", measurable=", ".join(_MEASURABLE)),
        )
    for key in ("container_mass_kg", "bulk_density_kg_m3"):
        if key in lot.measured:
            _check_positive(lot.measured[key].low, f"{name}: {key}", "")


def _container_density(lot: Lot) -> Estimate:
    mass = lot.measured.get("container_mass_kg")
    if mass is not None:
        return product(mass, inverse(lot.fullness)).scaled(1.0 / lot.container_volume_m3)
    own = lot.measured.get("bulk_density_kg_m3")
    if own is not None:
        return own
    density = product(lot.material.bulk_density_kg_m3, packing_factor(lot))
    moisture = lot.measured.get("moisture")
    if moisture is None:
        return density
    return density.scaled(dry_matter_factor(lot.material.moisture.typical, moisture.typical))


def _loosening(lot: Lot) -> Estimate:
    """Return the density in the heap relative to the container's."""
    if lot.packing is not Packing.PRESSED:
        return _AS_IT_LIES
    pressed = lot.material.packing_factor.get(Packing.PRESSED)
    return _AS_IT_LIES if pressed is None else inverse(pressed)


def _log_step(smaller: float, larger: float) -> float:
    if smaller == larger:
        return 0.0
    return math.log(larger / smaller) if smaller > 0 else math.inf


def _check_whole(value: int, what: str) -> None:
    if value < 0 or value != int(value):
        raise OutOfRange(
            worded("{what} is {value:g}", what=what, value=value),
            why="only whole containers count, none or more of them",
        )


def _check_positive(value: float, what: str, unit: str) -> None:
    if not 0 < value < math.inf:
        raise OutOfRange(
            worded("{what} is {value:g} {unit}", what=what, value=value, unit=unit).rstrip(),
            why="it must lie above 0",
            instead="Give what one filled container holds",
        )
