"""Turns a recipe into a build sheet: layers from the bottom up, with containers, depth and water.

Knows how the water is shared out and how the sheet is put together; how containers are shared
out is in `layers_plan`, what is said in `layers_words`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from heapwright.errors import OutOfRange
from heapwright.mixing.balance import water_to_target_kg
from heapwright.mixing.constants import building
from heapwright.mixing.layers_plan import (
    PlannedLayer,
    brown_under_every_green,
    cover_over_food_m,
    plan_layers,
)
from heapwright.mixing.layers_words import cautions, steps
from heapwright.mixing.lots import container_part
from heapwright.mixing.types import BuildSheet, Layer, LayerKind, Recipe
from heapwright.wording import worded

#: Depths are compared within this share: sums of the same volumes in another order.
_SLACK = 1e-9


def build_sheet(
    recipe: Recipe,
    bin_width_m: float,
    bin_depth_m: float,
    bin_height_m: float,
    *,
    hose_kg_s: float | None = None,
) -> BuildSheet:
    """Return the layers of a heap, from the bottom up, with what each needs.

    Parameters
    ----------
    recipe : Recipe
        Its lots and its water are shared out without rest.
    bin_width_m, bin_depth_m, bin_height_m : float
        Inner measures of the bin. [m]
    hose_kg_s : float, optional
        Water this person's hose gives. [kg s⁻¹]

    Returns
    -------
    BuildSheet
        A coarse base where there is something coarse; then brown and green in turn, green no
        deeper than a few centimetres; food scraps in the core, a hand's breadth from sides and
        top; a brown cap. Containers come in wholes, halves and quarters, finer only where a
        layer would otherwise be too deep. Depths are loose; that of food scraps is over the
        inner area they lie on.

    Raises
    ------
    OutOfRange
        If a measure is not above 0, or the bin is too narrow to keep food scraps off its sides.

    Notes
    -----
    Water goes to each layer in proportion to what it lacks to the mixture's moisture, so dry
    brown gets most and wet green none. The shares add up to the recipe's water.

    """
    _check_sheet(recipe, (bin_width_m, bin_depth_m, bin_height_m), hose_kg_s)
    area = bin_width_m * bin_depth_m
    margin = building("food_margin_m")
    inner = (bin_width_m - 2 * margin) * (bin_depth_m - 2 * margin)
    planned = plan_layers(recipe, area, inner)
    water = share_water_kg(planned, recipe.mixture.likely.moisture, recipe.water_kg)
    layers = tuple(
        _layer(number, layer, kg, inner if layer.kind is LayerKind.FOOD else area, hose_kg_s)
        for number, (layer, kg) in enumerate(zip(planned, water, strict=True), start=1)
    )
    height = math.fsum(layer.volume_m3 for layer in planned) / area
    return BuildSheet(
        layers=layers,
        total_water_kg=recipe.water_kg,
        loose_height_m=height,
        cautions=cautions(
            recipe.lines,
            covered=cover_over_food_m(planned, area) >= margin * (1 - _SLACK),
            parted=brown_under_every_green(planned),
            capped=planned[-1].kind is LayerKind.CAP,
            fits=height <= bin_height_m * (1 + _SLACK),
        ),
    )


def share_water_kg(layers: Sequence[PlannedLayer], moisture: float, water_kg: float) -> list[float]:
    """Return the water for each layer, in proportion to what it lacks to `moisture`. [kg]

    A layer wetter than that gets none. The shares add up to `water_kg`.
    """
    lacking = [_lacking_kg(layer, moisture) for layer in layers]
    whole = math.fsum(lacking)
    if whole <= 0 or water_kg <= 0:
        return [0.0] * len(layers)
    return [water_kg * kg / whole for kg in lacking]


def _lacking_kg(layer: PlannedLayer, moisture: float) -> float:
    parts = [container_part(share.lot, share.count) for share in layer.shares]
    mass = math.fsum(part.mass_kg for part in parts)
    water = math.fsum(part.mass_kg * part.moisture for part in parts)
    return max(0.0, water_to_target_kg(mass, water, moisture))


def _layer(
    number: int, layer: PlannedLayer, water_kg: float, area_m2: float, hose_kg_s: float | None
) -> Layer:
    return Layer(
        number=number,
        kind=layer.kind,
        contents=tuple((share.lot, share.count) for share in layer.shares),
        depth_m=layer.volume_m3 / area_m2,
        water_kg=water_kg,
        hose_seconds=None if hose_kg_s is None else water_kg / hose_kg_s,
        margin_m=building("food_margin_m") if layer.kind is LayerKind.FOOD else 0.0,
        steps=steps(layer, water_kg),
    )


def _check_sheet(
    recipe: Recipe, measures_m: tuple[float, float, float], hose_kg_s: float | None
) -> None:
    for name, metres in zip(("width", "depth", "height"), measures_m, strict=True):
        if not 0 < metres < math.inf:
            raise OutOfRange(
                worded("The bin's {name} is {metres:g} m", name=name, metres=metres),
                why="a bin that can be filled measures more than 0",
                instead="Measure it inside",
            )
    if hose_kg_s is not None and not 0 < hose_kg_s < math.inf:
        raise OutOfRange(
            worded("The hose gives {hose_kg_s:g} kg of water a second", hose_kg_s=hose_kg_s),
            why="water that runs is more than 0",
            instead="Time how long it takes to fill a pail",
        )
    narrowest = min(measures_m[:2])
    has_food = any(line.lot.material.is_food for line in recipe.lines)
    if has_food and narrowest <= 2 * building("food_margin_m"):
        raise OutOfRange(
            worded("The bin is {narrowest:g} m wide", narrowest=narrowest),
            why="food scraps must lie a hand's breadth from every side, and nothing is left",
            instead="Leave the food scraps out, or take a wider bin",
        )
