"""Reads a mixture whose properties are all given in numbers, and answers in numbers.

Knows the keys of that document and how to say which value is wrong. Knows nothing of the
materials table and does no balance itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.json_text import listed, read_json
from heapwright.mixing.balance import mix
from heapwright.mixing.checks import (
    check_bulk_density,
    check_mass,
    check_parts,
    check_share,
    check_target_moisture,
)
from heapwright.mixing.explicit_values import mapping, number_or_none, share_or_none
from heapwright.mixing.types import Mixture, Part
from heapwright.wording import worded

_DOCUMENT_KEYS = ("parts", "target_moisture", "water_kg", "basis")
_PART_KEYS = (
    "name",
    "mass_kg",
    "volume_m3",
    "moisture",
    "nitrogen_dry",
    "carbon_dry",
    "c_to_n",
    "bulk_density_kg_m3",
    "ash_dry",
    "basis",
)
#: Carbon, nitrogen and C:N may all be given when they agree this well (printed figures round).
_AGREEMENT = 0.02


@dataclass(frozen=True, slots=True)
class ExplicitMix:
    """What such a document asks for.

    Attributes
    ----------
    parts : tuple of Part
        With nitrogen, carbon and ash on the dry basis, whichever basis they were given in.
    target_moisture : float or None
        [0-1]
    water_kg : float
        Water added already. [kg]

    """

    parts: tuple[Part, ...]
    target_moisture: float | None = None
    water_kg: float = 0.0

    def mixture(self) -> Mixture:
        """Return what the parts are together."""
        return mix(self.parts, self.water_kg, self.target_moisture)


def read_explicit_text(text: str) -> ExplicitMix:
    """Read the document from JSON text.

    Raises
    ------
    NotUnderstood
        If the text is not JSON, or a key or value is not of the expected kind.
    OutOfRange
        If a value cannot be true.

    """
    looks_like = '{"parts": [{"name": "A", "mass_kg": 10, ...}]}'
    return read_explicit(read_json(text, "The mixture", looks_like))


def read_explicit(document: object) -> ExplicitMix:
    """Read the document from data as JSON gives it.

    Parameters
    ----------
    document : mapping
        `parts`: list of mappings with `name`; `mass_kg`, or `volume_m3` together with
        `bulk_density_kg_m3`; `moisture`; two of `nitrogen_dry`, `carbon_dry`, `c_to_n`; and, if
        known, `bulk_density_kg_m3` and `ash_dry`. Further `target_moisture`, `water_kg` (added
        already) and `basis`. All shares are fractions from 0 to 1, moisture always of wet mass.
        With `basis` "wet" nitrogen, carbon and ash are shares of the wet (as-is) mass; a part's
        own `basis` outranks the document's.

    """
    fields = mapping(document, "The mixture", _DOCUMENT_KEYS)
    wet = _basis_is_wet(fields.get("basis", "dry"))
    items = fields.get("parts")
    if not isinstance(items, list):
        raise NotUnderstood(
            'The mixture has no list "parts"',
            why="the materials to mix are listed there",
            instead='Write "parts": [ ... ] with one { } for each material',
        )
    parts = tuple(_read_part(item, number, wet) for number, item in enumerate(items, start=1))
    check_parts(parts)
    target = number_or_none(fields, "target_moisture", "The mixture")
    if target is not None:
        check_target_moisture(target)
    water_kg = number_or_none(fields, "water_kg", "The mixture") or 0.0
    check_mass(water_kg, "The water added")
    return ExplicitMix(parts, target, water_kg)


def answer(mixture: Mixture) -> dict[str, object]:
    """Return a mixture as plain data for programs.

    What is not known or not asked for is None, and `notes` says why: an infinite C:N (no
    nitrogen), a volume without bulk densities, water to add without a target.
    """
    notes = list(mixture.notes)
    c_to_n: float | None = mixture.c_to_n
    if math.isinf(mixture.c_to_n):
        c_to_n = None
        notes.append("c_to_n is empty: there is no nitrogen in the mix, so no ratio to it.")
    if mixture.volume_m3 is None:
        notes.append(
            "volume_m3, bulk_density_kg_m3 and free_air_space are empty: the bulk density of at "
            "least one part is not known."
        )
    water: float | None = mixture.water_to_add_kg
    if mixture.target_moisture is None:
        water = None
        notes.append("water_to_add_kg is empty: no target_moisture was given.")
    elif mixture.water_to_add_kg < 0:
        notes.append(
            "water_to_add_kg is below 0: the mix is wetter than the target. Add dry brown material."
        )
    return {
        "c_to_n": c_to_n,
        "moisture": mixture.moisture,
        "mass_kg": mixture.mass_kg,
        "volume_m3": mixture.volume_m3,
        "bulk_density_kg_m3": mixture.bulk_density_kg_m3,
        "free_air_space": mixture.free_air_space,
        "water_to_add_kg": water,
        "notes": notes,
    }


def _read_part(item: object, number: int, wet: bool) -> Part:
    place = worded("Part {number}", number=number)
    fields = mapping(item, place, _PART_KEYS)
    if "basis" in fields:
        wet = _basis_is_wet(fields["basis"])
    name = fields.get("name", place)
    if not isinstance(name, str) or not name.strip():
        raise NotUnderstood(
            worded("{place}: the name {name!r} is not a word", place=place, name=name),
            instead='Write "name": "leaves"',
        )
    name = name.strip()
    moisture = share_or_none(fields, "moisture", name, of="the wet weight", slip="ten")
    if moisture is None:
        raise NotUnderstood(
            worded("{name}: moisture is missing", name=name),
            why="without it the dry mass is not known",
            instead="Give it as a share of the wet weight, such as 0.6",
        )
    density = number_or_none(fields, "bulk_density_kg_m3", name)
    if density is not None:
        check_bulk_density(density, worded("{name}: the bulk density", name=name))
    to_dry = _to_dry_factor(moisture, wet, name)
    nitrogen, carbon = _nitrogen_and_carbon(fields, name, wet)
    ash = share_or_none(fields, "ash_dry", name, of=_basis_name(wet))
    return Part(
        name=name,
        mass_kg=_mass_kg(fields, name, density),
        moisture=moisture,
        nitrogen_dry=nitrogen * to_dry,
        carbon_dry=carbon * to_dry,
        bulk_density_kg_m3=density,
        ash_dry=None if ash is None else ash * to_dry,
    )


def _to_dry_factor(moisture: float, wet: bool, name: str) -> float:
    if not wet:
        return 1.0
    if moisture >= 1:
        raise OutOfRange(
            worded("{name}: moisture 1 with shares of the wet weight", name=name),
            why="water alone has no dry matter to hold nitrogen or carbon",
            instead='Give water under "water_kg" instead',
        )
    return 1.0 / (1.0 - moisture)


def _nitrogen_and_carbon(fields: Mapping[str, object], name: str, wet: bool) -> tuple[float, float]:
    """Return both as shares on the basis they were given in."""
    basis = _basis_name(wet)
    nitrogen = share_or_none(fields, "nitrogen_dry", name, of=basis)
    carbon = share_or_none(fields, "carbon_dry", name, of=basis)
    ratio = _ratio(fields, name)
    if nitrogen is not None and carbon is not None:
        _check_agreement(nitrogen, carbon, ratio, name)
        return nitrogen, carbon
    if nitrogen is not None and ratio is not None:
        carbon = nitrogen * ratio
        check_share(carbon, worded("{name}: carbon (nitrogen times c_to_n)", name=name), of=basis)
        return nitrogen, carbon
    if carbon is not None and ratio is not None:
        return carbon / ratio, carbon
    given = [key for key in ("nitrogen_dry", "carbon_dry", "c_to_n") if fields.get(key) is not None]
    raise NotUnderstood(
        worded(
            "{name}: of nitrogen_dry, carbon_dry and c_to_n there is {given}",
            name=name,
            given=listed(given) or "none",
        ),
        why="two of the three are needed, the third follows",
        instead="Give one more",
    )


def _ratio(fields: Mapping[str, object], name: str) -> float | None:
    ratio = number_or_none(fields, "c_to_n", name)
    if ratio is not None and ratio <= 0:
        raise OutOfRange(
            f"{name}: c_to_n is {ratio:g}",
            why="it is carbon divided by nitrogen, so it is above 0",
            instead="Give a ratio such as 30",
        )
    return ratio


def _check_agreement(nitrogen: float, carbon: float, ratio: float | None, name: str) -> None:
    if ratio is None or abs(nitrogen * ratio - carbon) <= _AGREEMENT * max(carbon, nitrogen):
        return
    found = "no ratio (there is no nitrogen)" if nitrogen == 0 else f"{carbon / nitrogen:.3g}"
    raise OutOfRange(
        worded(
            "{name}: c_to_n is {ratio:g}, but carbon_dry divided by nitrogen_dry is {found}",
            name=name,
            ratio=ratio,
            found=found,
        ),
        why="the three disagree, and only you can know which is right",
        instead="Give two of the three",
    )


def _mass_kg(fields: Mapping[str, object], name: str, density: float | None) -> float:
    mass = number_or_none(fields, "mass_kg", name)
    volume = number_or_none(fields, "volume_m3", name)
    if mass is not None and volume is not None:
        raise NotUnderstood(
            worded(
                "{name}: both mass_kg {mass:g} and volume_m3 {volume:g} are given",
                name=name,
                mass=mass,
                volume=volume,
            ),
            why="one of them is enough, and two can disagree",
            instead="Keep one",
        )
    if volume is not None:
        mass = _mass_from_volume(volume, density, name)
    if mass is None:
        raise NotUnderstood(
            worded("{name}: the amount is missing", name=name),
            instead="Give mass_kg, or volume_m3 together with bulk_density_kg_m3",
        )
    check_mass(mass, worded("{name}: the mass", name=name))
    return mass


def _mass_from_volume(volume_m3: float, density: float | None, name: str) -> float:
    if volume_m3 < 0:
        raise OutOfRange(
            worded("{name}: volume_m3 is {volume_m3:g}", name=name, volume_m3=volume_m3),
            why="a volume cannot be below 0",
            instead="Give the volume as it lies in its container",
        )
    if density is None:
        raise NotUnderstood(
            worded("{name}: volume_m3 is given without bulk_density_kg_m3", name=name),
            why="without it the mass is not known",
            instead="Give the bulk density as well, or mass_kg instead",
        )
    return volume_m3 * density


def _basis_is_wet(basis: object) -> bool:
    if basis not in ("wet", "dry"):
        raise NotUnderstood(
            worded("The basis is {basis!r}", basis=basis),
            why='nitrogen and carbon are shares of the "dry" or of the "wet" (as-is) mass',
            instead='Write "basis": "dry" or "basis": "wet"',
        )
    return basis == "wet"


def _basis_name(wet: bool) -> str:
    return "the wet weight" if wet else "the dry weight"
