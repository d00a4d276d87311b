"""Solves for the amounts that are not known yet, by the same balances as the mixture.

Knows one or two unknown amounts, water, and how much quick nitrogen is prudent. Knows nothing of
whole containers (see `recipe`) or of what is on hand.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from heapwright.errors import NoRecipe
from heapwright.mixing.balance import mix
from heapwright.mixing.checks import (
    check_parts,
    check_properties,
    check_share,
    check_target_c_to_n,
    check_target_moisture,
)
from heapwright.mixing.constants import constant
from heapwright.mixing.types import Mixture, Part
from heapwright.wording import apart, listed, worded

#: Two unknowns are taken as pulling the same way below this (relative) determinant.
_SAME_DIRECTION = 1e-12


def amount_for_moisture(known: Sequence[Part], unknown: Part, target_moisture: float) -> float:
    """Return how much of one more material brings the mix to a moisture.

    Q2 = (Q1 G - Q1 M1) / (M2 - G), E5 of [1]_, with any number of known parts.

    Parameters
    ----------
    known : sequence of Part
        What is in the mix already.
    unknown : Part
        The material to add; its mass is not read. Moisture 1 makes it water.
    target_moisture : float
        Goal G. [0-1]

    Returns
    -------
    float
        Wet mass. [kg]

    Raises
    ------
    NoRecipe
        If mix and material lie on the same side of the goal.

    Examples
    --------
    10 kg of grass at 77 % and leaves at 35 % for a goal of 60 % take 6.8 kg of leaves [1]_.

    References
    ----------
    .. [1] T. Richard and N. Trautmann, Cornell Composting science pages: moisture content.

    """
    check_parts(known)
    check_properties(unknown)
    check_target_moisture(target_moisture)
    mixture = mix(known)
    lacking = mixture.mass_kg * (target_moisture - mixture.moisture)
    return _one_amount(
        lacking,
        unknown.moisture - target_moisture,
        worded(
            "The mix has {moisture:.0%} moisture and {name} {unknown_moisture:.0%}",
            moisture=mixture.moisture,
            name=unknown.name,
            unknown_moisture=unknown.moisture,
        ),
        worded(
            "both lie on the same side of the goal of {target_moisture:.0%}",
            target_moisture=target_moisture,
        ),
        "Take something drier" if lacking < 0 else "Take something wetter, or water",
    )


def amount_for_c_to_n(known: Sequence[Part], unknown: Part, target_c_to_n: float) -> float:
    """Return how much of one more material brings the mix to a C:N.

    E7 and E8 of the mixture's C:N (E6) [1]_: Q = sum s (R N - C) / [(C_u - R N_u)(1 - M_u)] with
    s the dry mass of each known part.

    Parameters
    ----------
    known : sequence of Part
    unknown : Part
        The material to add; its mass is not read.
    target_c_to_n : float
        Goal R.

    Returns
    -------
    float
        Wet mass. [kg]

    Raises
    ------
    NoRecipe
        If mix and material lie on the same side of the goal.

    Examples
    --------
    10 kg of grass (77 % moisture, 45 % C, 2.4 % N) and leaves (35, 50, 0.75) for a goal of 30
    take 3.5 kg of leaves [1]_.

    References
    ----------
    .. [1] T. Richard and N. Trautmann, Cornell Composting science pages: C/N ratio.

    """
    check_parts(known)
    check_properties(unknown)
    check_target_c_to_n(target_c_to_n)
    mixture = mix(known)
    lacking = target_c_to_n * mixture.nitrogen_kg - mixture.carbon_kg
    per_kg = (unknown.carbon_dry - target_c_to_n * unknown.nitrogen_dry) * (1 - unknown.moisture)
    return _one_amount(
        lacking,
        per_kg,
        worded(
            "The mix has a C:N of {c_to_n:.3g} and {name} {unknown}",
            c_to_n=mixture.c_to_n,
            name=unknown.name,
            unknown=_ratio_text(unknown),
        ),
        worded(
            "both lie on the same side of the goal of {target_c_to_n:g}",
            target_c_to_n=target_c_to_n,
        ),
        "Take something with more carbon (a brown)"
        if lacking > 0
        else "Take something with more nitrogen (a green)",
    )


def amounts_for_both(
    known: Sequence[Part],
    unknowns: tuple[Part, Part],
    target_moisture: float,
    target_c_to_n: float,
) -> tuple[float, float]:
    """Return how much of two more materials meets a moisture and a C:N at once.

    The 2x2 linear system sum Q (M - G) = 0 and sum Q (1 - M)(C - R N) = 0 (E9). One of the
    unknowns may be water (moisture 1, no carbon, no nitrogen).

    Returns
    -------
    tuple of float
        Wet masses in the order of `unknowns`. [kg]

    Raises
    ------
    NoRecipe
        If the two pull the same way, or one of them would have to be taken out again.

    """
    check_parts(known)
    check_target_moisture(target_moisture)
    check_target_c_to_n(target_c_to_n)
    for unknown in unknowns:
        check_properties(unknown)
    mixture = mix(known)
    first, second = unknowns
    a, c = _pulls(first, target_moisture, target_c_to_n)
    b, d = _pulls(second, target_moisture, target_c_to_n)
    p = -mixture.mass_kg * (mixture.moisture - target_moisture)
    q = -(mixture.carbon_kg - target_c_to_n * mixture.nitrogen_kg)
    determinant = a * d - b * c
    if abs(determinant) <= _SAME_DIRECTION * (abs(a * d) + abs(b * c)):
        raise NoRecipe(
            worded(
                "{name} and {second_name} cannot meet both goals",
                name=first.name,
                second_name=second.name,
            ),
            why="they move moisture and C:N in the same proportion",
            instead="Replace one of them, or take water for moisture",
        )
    amounts = ((p * d - b * q) / determinant, (a * q - p * c) / determinant)
    _refuse_negative(unknowns, amounts, target_moisture, target_c_to_n)
    return amounts


def water_for_moisture(parts: Sequence[Part], target_moisture: float) -> float:
    """Return the water to add for a moisture (E10). [kg]

    Negative when the parts are wetter than the goal: then dry brown is lacking, not water.
    """
    return mix(parts, target_moisture=target_moisture).water_to_add_kg


@dataclass(frozen=True, slots=True)
class SupplementDose:
    """How much quick nitrogen to give.

    Attributes
    ----------
    full_kg : float
        What the balance asks for, as-is mass of the supplement. [kg]
    prudent_low_kg, prudent_high_kg : float
        About half to two thirds of it, the most to give. [kg]
    doses : int
        In how many parts to give it.
    cautions : tuple of str

    """

    full_kg: float
    prudent_low_kg: float
    prudent_high_kg: float
    doses: int
    cautions: tuple[str, ...]


def nitrogen_supplement(
    parts: Sequence[Part], target_c_to_n: float, nitrogen_as_is: float
) -> SupplementDose:
    """Return how much of a quick nitrogen supplement brings a mix down to a C:N.

    Nitrogen needed = C / R - N, divided by the supplement's own nitrogen (E11 of [1]_). Its own
    carbon is left out, as in the source.

    Parameters
    ----------
    parts : sequence of Part
    target_c_to_n : float
        Goal R.
    nitrogen_as_is : float
        Nitrogen as share of the product as it is in the bag, such as 0.46. [0-1]

    Returns
    -------
    SupplementDose
        All zero when the mix holds enough nitrogen already.

    Notes
    -----
    Caution: the nitrogen is released at once and part of it leaves as ammonia, which irritates
    eyes and lungs. The source therefore gives about half to two thirds of the result, split.

    References
    ----------
    .. [1] T. Richard, Cornell Composting science pages: nitrogen supplements.

    """
    check_target_c_to_n(target_c_to_n)
    check_share(nitrogen_as_is, "The supplement: nitrogen", of="the product as it is")
    if nitrogen_as_is == 0:
        raise NoRecipe(
            "The supplement holds no nitrogen",
            why="no amount of it lowers the C:N",
            instead="Give the share printed on the bag, such as 0.46",
        )
    mixture = mix(parts)
    full_kg = _nitrogen_needed_kg(mixture, target_c_to_n) / nitrogen_as_is
    return SupplementDose(
        full_kg=full_kg,
        prudent_low_kg=full_kg * constant("supplement_share_low"),
        prudent_high_kg=full_kg * constant("supplement_share_high"),
        doses=round(constant("supplement_doses")),
        cautions=(
            "Work outdoors: ammonia gas irritates eyes and lungs.",
            "Give it in parts, mixed in and wetted, never all in one place.",
        ),
    )


def _nitrogen_needed_kg(mixture: Mixture, target_c_to_n: float) -> float:
    return max(0.0, mixture.carbon_kg / target_c_to_n - mixture.nitrogen_kg)


def _one_amount(lacking: float, per_kg: float, what: str, why: str, instead: str) -> float:
    if lacking == 0:
        return 0.0
    amount = lacking / per_kg if per_kg else -math.inf
    if not 0 <= amount < math.inf:
        raise NoRecipe(apart(what), why=apart(why), instead=instead)
    return amount


def _pulls(part: Part, target_moisture: float, target_c_to_n: float) -> tuple[float, float]:
    return (
        part.moisture - target_moisture,
        (1 - part.moisture) * (part.carbon_dry - target_c_to_n * part.nitrogen_dry),
    )


def _refuse_negative(
    unknowns: tuple[Part, Part], amounts: tuple[float, float], moisture: float, c_to_n: float
) -> None:
    wrong = [part.name for part, amount in zip(unknowns, amounts, strict=True) if not amount >= 0]
    if wrong:
        raise NoRecipe(
            worded(
                "No amounts of {name} and {name_2} meet both goals",
                name=unknowns[0].name,
                name_2=unknowns[1].name,
            ),
            why=apart(
                worded(
                    "to reach {moisture:.0%} moisture and C:N {c_to_n:g} there is too much already "
                    "of what {wrong} would bring",
                    moisture=moisture,
                    c_to_n=c_to_n,
                    wrong=listed(wrong),
                )
            ),
            instead="Take another material in its place; wetness is not lowered by a wetter "
            "thing, nor C:N raised by nitrogen",
        )


def _ratio_text(part: Part) -> str:
    return f"{part.carbon_dry / part.nitrogen_dry:.3g}" if part.nitrogen_dry > 0 else "no nitrogen"
