"""Tells what the trade's rule of thumb would have given from the same lots.

Knows the rule (four brown layers to one green by volume: common practice, no source) and how its
mixture differs from a recipe's. Knows nothing of choosing containers.
"""

from __future__ import annotations

from collections.abc import Sequence

from heapwright.materials.types import Permission, Role
from heapwright.mixing.constants import choice
from heapwright.mixing.lots import lot_properties
from heapwright.mixing.spread import mixture_range
from heapwright.mixing.types import Lot, MixtureRange, ThumbRule, Wishes
from heapwright.mixing.words import joined
from heapwright.wording import worded


def thumb_rule(
    lots: Sequence[Lot], wishes: Wishes, recipe: MixtureRange, *, seed: int = 0
) -> ThumbRule | None:
    """Return what four brown layers to one green would have given, before any watering.

    Browns are taken from all lots of brown in proportion to what is on hand (less what is kept
    back), greens likewise, until the bin is full or one side runs out. The rule knows no water.

    Returns
    -------
    ThumbRule or None
        None where the rule cannot be followed: no brown or no green on hand.

    """
    greens, browns = _volumes(lots, Role.GREEN), _volumes(lots, Role.BROWN)
    green, brown = sum(v for _, v in greens), sum(v for _, v in browns)
    if green <= 0 or brown <= 0:
        return None
    ratio = choice("thumb_rule_brown_per_green")
    used_green = min(green, brown / ratio, wishes.volume_m3.high / (1.0 + ratio))
    amounts = [
        (lot, (lot.count - lot.keep_back) * share)
        for side, share in ((greens, used_green / green), (browns, used_green * ratio / brown))
        for lot, _ in side
    ]
    mixture = mixture_range(amounts, 0.0, wishes.moisture.ideal, seed=seed)
    return ThumbRule(mixture, _sentence(mixture, recipe, wishes))


def _volumes(lots: Sequence[Lot], role: Role) -> list[tuple[Lot, float]]:
    """Return each lot of a role with the volume in a heap that it can give. [m³]"""
    found = []
    for lot in sorted(lots, key=lambda lot: (lot.material.key, lot.key)):
        hazard = lot.material.hazard
        refused = hazard is not None and hazard.permission is Permission.REFUSED
        left = lot.count - lot.keep_back
        if lot.material.role is role and left > 0 and not refused:
            found.append((lot, left * lot_properties(lot).heap_volume_m3.typical))
    return found


def _sentence(rule: MixtureRange, recipe: MixtureRange, wishes: Wishes) -> str:
    ratio, moisture = rule.c_to_n, rule.moisture.typical
    given = worded(
        "Four layers of brown to one of green, the rule of thumb, would give here a C:N "
        "of about {typical:.0f} ({low:.0f} to {high:.0f}) at {moisture:.0f} % moisture "
        "before watering",
        typical=ratio.typical,
        low=ratio.low,
        high=ratio.high,
        moisture=moisture * 100,
    )
    faults = _faults(rule, wishes)
    if not faults:
        return worded(
            "{given}: quite all right too. The recipe here comes to C:N {typical:.0f}.",
            given=given,
            typical=recipe.c_to_n.typical,
        )
    return worded(
        "{given}: {faults}. The recipe here comes to C:N {typical:.0f} at "
        "{typical_2:.0f} %, water included.",
        given=given,
        faults=joined(faults),
        typical=recipe.c_to_n.typical,
        typical_2=recipe.moisture.typical * 100,
    )


def _faults(rule: MixtureRange, wishes: Wishes) -> list[str]:
    """Return what is wrong with the rule's mixture by the wishes, in plain words."""
    found = []
    ratio, moisture = rule.c_to_n.typical, rule.moisture.typical
    if ratio > wishes.c_to_n.high:
        found.append("too much brown to heat well")
    elif ratio < wishes.c_to_n.low:
        found.append("too green, so it would smell")
    if moisture < wishes.moisture.low:
        found.append("too dry unless watered well")
    elif moisture > wishes.moisture.high:
        found.append("too wet")
    volume = rule.volume_m3.typical
    if volume < wishes.volume_m3.low * (1 - 1e-9):
        found.append("a heap too small to hold its heat")
    return found
