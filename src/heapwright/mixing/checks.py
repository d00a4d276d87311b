"""Refuses parts and goals that cannot be true, in sentences for the person who typed them.

Knows which values a part may have and how to say what is wrong with one. Mixes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.mixing.constants import constant
from heapwright.mixing.types import Part
from heapwright.wording import apart, worded

#: Slack for sums of shares that were rounded when printed.
_ROUNDING = 1e-3


def check_parts(parts: Sequence[Part]) -> None:
    """Raise if there are no parts, or any of them cannot be true."""
    if not parts:
        raise OutOfRange(
            "There is nothing to mix",
            why="no part was given",
            instead="Give at least one material with its amount",
        )
    for part in parts:
        check_properties(part)
        check_mass(part.mass_kg, worded("{name}: the mass", name=part.name))
    if math.fsum(part.mass_kg for part in parts) <= 0:
        raise OutOfRange(
            "All parts together weigh 0 kg",
            why="a mixture of nothing has no properties",
            instead="Give at least one part a mass above 0",
        )


def check_properties(part: Part) -> None:
    """Raise if a property of a part, apart from its mass, cannot be true."""
    check_share(
        part.moisture, worded("{name}: moisture", name=part.name), of="the wet weight", slip="ten"
    )
    check_share(part.nitrogen_dry, worded("{name}: nitrogen", name=part.name), of="the dry weight")
    check_share(part.carbon_dry, worded("{name}: carbon", name=part.name), of="the dry weight")
    if part.ash_dry is not None:
        check_share(part.ash_dry, worded("{name}: ash", name=part.name), of="the dry weight")
    check_share(
        part.fast_share, worded("{name}: fast share", name=part.name), of="the volatile solids"
    )
    check_share(
        part.medium_share, worded("{name}: medium share", name=part.name), of="the volatile solids"
    )
    _check_nitrogen(part)
    _check_sums(part)
    if part.bulk_density_kg_m3 is not None:
        check_bulk_density(
            part.bulk_density_kg_m3, worded("{name}: the bulk density", name=part.name)
        )


def check_number(value: float, what: str) -> None:
    """Raise if `value` is not a finite number."""
    if not math.isfinite(value):
        raise NotUnderstood(
            worded("{what} is {value}", what=what, value=value),
            why="it must be a finite number",
            instead="Give it as digits",
        )


def check_share(value: float, what: str, *, of: str, slip: str = "hundred") -> None:
    """Raise if `value` is not a share from 0 to 1, with a hint when a percentage was given.

    `slip` is "ten" where the likeliest slip is a misplaced point (moisture 6.4 for 0.64), and
    "hundred" where it is a percentage given for a share (nitrogen 2.4 for 0.024).
    """
    check_number(value, what)
    if 0 <= value <= 1:
        return
    raise OutOfRange(
        apart(worded("{what} {value:g} ({value:.0%})", what=what, value=value)),
        why=worded("it is a share of {of}, so it lies between 0 and 1 (0 and 100 %)", of=of),
        instead=_share_hint(value, slip),
    )


def _share_hint(value: float, slip: str) -> str:
    if value < 0:
        return "Give a share of 0 or more"
    meant = value / 100
    if slip == "ten":
        meant = value
        while meant > 1:
            meant /= 10
    if meant > 1:
        return "Give a share from 0 to 1"
    return worded("Did you mean {meant:.4g} ({meant_2:.3g} %)?", meant=meant, meant_2=meant * 100)


def check_mass(mass_kg: float, what: str) -> None:
    """Raise if a mass is not a number, negative, or larger than anyone means."""
    check_number(mass_kg, what)
    largest = constant("largest_part_kg")
    if mass_kg < 0:
        raise OutOfRange(
            worded("{what} is {mass_kg:g} kg", what=what, mass_kg=mass_kg),
            why="a mass cannot be below 0",
            instead="Give the wet mass as it is put in",
        )
    if mass_kg > largest:
        raise OutOfRange(
            worded("{what} is {mass_kg:g} kg", what=what, mass_kg=mass_kg),
            why=worded("nothing above {largest:g} kg goes into a home heap", largest=largest),
            instead="Check the figure and its unit (kilograms)",
        )


def check_bulk_density(density_kg_m3: float, what: str) -> None:
    """Raise if a bulk density is not positive or is denser than rock."""
    check_number(density_kg_m3, what)
    largest = constant("largest_bulk_density_kg_m3")
    if not 0 < density_kg_m3 <= largest:
        raise OutOfRange(
            worded("{what} is {density_kg_m3:g} kg/m³", what=what, density_kg_m3=density_kg_m3),
            why=worded(
                "it must lie above 0 and not above {largest:g} kg/m³ (rock)", largest=largest
            ),
            instead="Weigh a full pail and divide by its volume; 0.45 kg per litre is 450 kg/m³",
        )


def check_target_moisture(target: float) -> None:
    """Raise if a moisture goal is not a share that water can bring about."""
    check_share(target, "The target moisture", of="the wet weight", slip="ten")
    if not 0 < target < 1:
        raise OutOfRange(
            worded("The target moisture is {target:g}", target=target),
            why="only water itself is all water, and nothing on a heap is quite dry",
            instead="Give a share between 0 and 1, such as 0.55",
        )


def check_target_c_to_n(target: float) -> None:
    """Raise if a C:N goal is not a positive number."""
    check_number(target, "The target C:N")
    if target <= 0:
        raise OutOfRange(
            worded("The target C:N is {target:g}", target=target),
            why="it is carbon divided by nitrogen, so it is above 0",
            instead="Give a ratio such as 30",
        )


def _check_nitrogen(part: Part) -> None:
    largest = constant("largest_nitrogen_dry")
    if part.nitrogen_dry > largest:
        meant = part.nitrogen_dry / 100
        raise OutOfRange(
            worded(
                "{name}: nitrogen {nitrogen_dry:g} of the dry weight",
                name=part.name,
                nitrogen_dry=part.nitrogen_dry,
            ),
            why=worded("even urea holds less than {largest:g}", largest=largest),
            instead=worded(
                "Did you mean {meant:.4g} ({nitrogen_dry:g} %)?",
                meant=meant,
                nitrogen_dry=part.nitrogen_dry,
            ),
        )


def _check_sums(part: Part) -> None:
    _check_sum(
        part,
        "carbon, nitrogen and ash",
        part.carbon_dry + part.nitrogen_dry + (part.ash_dry or 0.0),
        "the dry weight",
    )
    _check_sum(
        part,
        "the fast and the medium share",
        part.fast_share + part.medium_share,
        "the volatile solids",
    )


def _check_sum(part: Part, names: str, total: float, of: str) -> None:
    if total > 1 + _ROUNDING:
        raise OutOfRange(
            worded(
                "{name}: {names} together make {total:.3g} of {of}",
                name=part.name,
                names=names,
                total=total,
                of=of,
            ),
            why="the shares of one thing cannot add to more than 1",
            instead="Check each of them",
        )
