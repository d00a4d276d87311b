"""Tells what a set of parts is together, by mass balance.

Knows the equations of a mixture (moisture, C:N, density, air space, water to add). Knows nothing
of containers, of uncertainty or of which amounts to take.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.mixing.checks import check_mass, check_parts, check_target_moisture
from heapwright.mixing.constants import constant
from heapwright.mixing.types import Mixture, Part
from heapwright.wording import worded

Number = TypeVar("Number", float, NDArray[np.float64])


def mix(
    parts: Sequence[Part], water_kg: float = 0.0, target_moisture: float | None = None
) -> Mixture:
    """Return what the parts are together.

    Sums of masses, never averages of ratios: dry mass, carbon and nitrogen of each part
    (E1 of [1]_), moisture (E4), C:N (E6) and bulk density by adding volumes (E12).

    Parameters
    ----------
    parts : sequence of Part
        At least one, with some mass.
    water_kg : float, default 0
        Water added to them, >= 0. It is held in the pores: it adds mass and takes air, but no
        volume. [kg]
    target_moisture : float, optional
        Moisture wished for; then `water_to_add_kg` is what is still lacking. [0-1]

    Returns
    -------
    Mixture
        `c_to_n` is infinite without nitrogen; volume, bulk density and air space are None when
        a part's bulk density is not known.

    Raises
    ------
    OutOfRange, NotUnderstood
        If a value cannot be true.

    Notes
    -----
    Volumes are taken to add. In a real heap fine matter fills gaps in coarse matter, so the
    heap comes out smaller and denser than told here. Where ash is not known, volatile solids are
    taken as 1.8 times carbon (E3), which suits plant matter and overstates them in starchy food.

    References
    ----------
    .. [1] T. Richard and N. Trautmann, Cornell Composting science pages: moisture and C/N.

    """
    check_parts(parts)
    check_mass(water_kg, "The water added")
    sums = _sum_parts(parts)
    mass = sums.mass_kg + water_kg
    volume = _volume_m3(parts)
    notes: list[str] = []
    return Mixture(
        mass_kg=mass,
        dry_mass_kg=sums.dry_kg,
        carbon_kg=sums.carbon_kg,
        nitrogen_kg=sums.nitrogen_kg,
        ash_kg=sums.ash_kg,
        moisture=(sums.water_kg + water_kg) / mass,
        c_to_n=sums.carbon_kg / sums.nitrogen_kg if sums.nitrogen_kg > 0 else math.inf,
        volume_m3=volume,
        bulk_density_kg_m3=None if volume is None else mass / volume,
        free_air_space=_air_space(sums, water_kg, volume, notes),
        water_to_add_kg=_lacking_water_kg(sums, water_kg, target_moisture),
        fast_share=_share(sums.fast_kg, sums.volatile_kg),
        medium_share=_share(sums.medium_kg, sums.volatile_kg),
        target_moisture=target_moisture,
        notes=tuple(notes),
    )


def water_to_target_kg(mass_kg: Number, water_kg: Number, target: float) -> Number:
    """Return the water that brings a mix to a moisture.

    W = (G Q - sum Q M) / (1 - G), from the mixture's moisture with water as a further part (E10).

    Parameters
    ----------
    mass_kg, water_kg : float or array
        Wet mass and the water in it. [kg]
    target : float
        Moisture wished for. [0-1]

    Returns
    -------
    float or array
        Negative when the mix is too wet: then add dry brown. [kg]

    """
    return (target * mass_kg - water_kg) / (1.0 - target)


def solid_and_water_volume_m3(water_kg: Number, dry_kg: Number, ash_kg: Number) -> Number:
    """Return the volume that water and solids fill without any air.

    The solid-phase form of free air space (E14, from memory, about 2003): water at 1000,
    organic matter at 1600 and ash at 2500 kg/m³ (table `constants.csv`).
    """
    return (
        water_kg / constant("water_density_kg_m3")
        + (dry_kg - ash_kg) / constant("organic_density_kg_m3")
        + ash_kg / constant("ash_density_kg_m3")
    )


def ash_or_estimate(part: Part) -> float:
    """Return ash as share of dry mass, from carbon where it is not known: 1 - 1.8 C (E3)."""
    if part.ash_dry is not None:
        return part.ash_dry
    return max(0.0, 1.0 - part.carbon_dry / constant("carbon_per_volatile_solids"))


@dataclass(frozen=True, slots=True)
class _Sums:
    mass_kg: float
    water_kg: float
    dry_kg: float
    carbon_kg: float
    nitrogen_kg: float
    ash_kg: float
    volatile_kg: float
    fast_kg: float
    medium_kg: float


def _sum_parts(parts: Sequence[Part]) -> _Sums:
    # math.fsum is exact, so the order in which parts are given cannot change the answer.
    def total(values: Iterable[float]) -> float:
        return math.fsum(values)

    dry = [part.mass_kg * (1.0 - part.moisture) for part in parts]
    ash = [kg * ash_or_estimate(part) for kg, part in zip(dry, parts, strict=True)]
    volatile = [kg - ash_kg for kg, ash_kg in zip(dry, ash, strict=True)]
    return _Sums(
        mass_kg=total(part.mass_kg for part in parts),
        water_kg=total(part.mass_kg * part.moisture for part in parts),
        dry_kg=total(dry),
        carbon_kg=total(kg * part.carbon_dry for kg, part in zip(dry, parts, strict=True)),
        nitrogen_kg=total(kg * part.nitrogen_dry for kg, part in zip(dry, parts, strict=True)),
        ash_kg=total(ash),
        volatile_kg=total(volatile),
        fast_kg=total(kg * part.fast_share for kg, part in zip(volatile, parts, strict=True)),
        medium_kg=total(kg * part.medium_share for kg, part in zip(volatile, parts, strict=True)),
    )


def _volume_m3(parts: Sequence[Part]) -> float | None:
    volumes: list[float] = []
    for part in parts:
        if part.bulk_density_kg_m3 is not None:
            volumes.append(part.mass_kg / part.bulk_density_kg_m3)
        elif part.mass_kg > 0:
            return None
    return math.fsum(volumes) or None


def _air_space(
    sums: _Sums, water_kg: float, volume_m3: float | None, notes: list[str]
) -> float | None:
    if volume_m3 is None:
        return None
    filled = solid_and_water_volume_m3(sums.water_kg + water_kg, sums.dry_kg, sums.ash_kg)
    if filled > volume_m3:
        notes.append(
            worded(
                "Water and solids alone need {filled:.3g} m³ and the parts lie in "
                "{volume_m3:.3g} m³: no air is left. Either water would run off, or a bulk "
                "density is too high.",
                filled=filled,
                volume_m3=volume_m3,
            )
        )
    return min(1.0, max(0.0, 1.0 - filled / volume_m3))


def _lacking_water_kg(sums: _Sums, water_kg: float, target: float | None) -> float:
    if target is None:
        return 0.0
    check_target_moisture(target)
    if sums.dry_kg <= 0:
        raise OutOfRange(
            "The parts hold no dry matter",
            why="water cannot be brought to a moisture by adding water",
            instead="Add a material that is not water",
        )
    return water_to_target_kg(sums.mass_kg + water_kg, sums.water_kg + water_kg, target)


def _share(part_kg: float, whole_kg: float) -> float:
    return part_kg / whole_kg if whole_kg > 0 else 0.0
