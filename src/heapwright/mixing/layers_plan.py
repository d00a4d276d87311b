"""Shares whole containers out over the layers of a heap, in halves, quarters or finer.

Knows how many layers there must be and how much of each lot lies in each. Knows nothing of water
or of words. Amounts are multiples of a power of one half, so that they add up exactly.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from heapwright.materials.types import Role
from heapwright.mixing.constants import building
from heapwright.mixing.types import LayerKind, Lot, Recipe, RecipeLine
from heapwright.tables import read_rows

#: Containers are told in wholes, halves and quarters; finer only where a layer would be too deep.
_HANDY, _EIGHTH, _SIXTEENTH = (1.0, 0.5, 0.25), 0.125, 0.0625
#: How many more pairs of layers a person would lay rather than part containers so finely.
_FINENESS = ((0, _HANDY), (2, (*_HANDY, _EIGHTH)), (4, (*_HANDY, _EIGHTH, _SIXTEENTH)))
#: A bin holds no more pairs of layers than this, however fine they are asked to be.
_MOST_PAIRS = 40


@dataclass(slots=True)
class Share:
    """So many containers of one lot, with the volume of one in the heap. [m³]"""

    lot: Lot
    count: float
    volume_each_m3: float

    @property
    def volume_m3(self) -> float:
        """Volume in the heap. [m³]"""
        return self.count * self.volume_each_m3


@dataclass(frozen=True, slots=True)
class PlannedLayer:
    """What lies in one layer, bottom up."""

    kind: LayerKind
    shares: tuple[Share, ...]

    @property
    def volume_m3(self) -> float:
        """Loose volume. [m³]"""
        return math.fsum(share.volume_m3 for share in self.shares)


@dataclass(slots=True)
class _Stuff:
    """The recipe sorted by the part it plays in the layers."""

    brown: list[Share] = field(default_factory=list)
    green: list[Share] = field(default_factory=list)
    food: list[Share] = field(default_factory=list)


def plan_layers(recipe: Recipe, area_m2: float, food_area_m2: float) -> list[PlannedLayer]:
    """Return the layers of a heap from the bottom up.

    A coarse base if there is anything coarse, then pairs of brown and green, food scraps on the
    green of the inner pairs, and brown kept back for the cap.

    Parameters
    ----------
    recipe : Recipe
    area_m2 : float
        Ground plan of the bin. [m²]
    food_area_m2 : float
        The same without a hand's breadth along every side. [m²]

    """
    with_base = _plan(recipe, area_m2, food_area_m2, base_wanted=True)
    if brown_under_every_green(with_base):
        return with_base
    # Where brown is short it does more between the greens than under all of them.
    return _plan(recipe, area_m2, food_area_m2, base_wanted=False)


def _plan(
    recipe: Recipe, area_m2: float, food_area_m2: float, *, base_wanted: bool
) -> list[PlannedLayer]:
    stuff = _sorted(recipe.lines)
    brown_m3 = _volume(stuff.brown)
    base_m3 = min(building("base_depth_m") * area_m2, building("base_most_of_brown") * brown_m3)
    base = _take(_coarse(stuff.brown), base_m3) if base_wanted else []
    cap = _take_cap(stuff, area_m2, brown_m3)
    layers = [PlannedLayer(LayerKind.BASE, tuple(base))] if base else []
    layers += _pairs(stuff, area_m2, food_area_m2)
    if cap:
        layers.append(PlannedLayer(LayerKind.CAP, tuple(cap)))
    return layers


def brown_under_every_green(layers: Sequence[PlannedLayer]) -> bool:
    """Whether brown lies under each green; too little of it cannot."""
    kinds = [layer.kind for layer in layers]
    return (LayerKind.GREEN, LayerKind.GREEN) not in pairwise(kinds)


def cover_over_food_m(layers: Sequence[PlannedLayer], area_m2: float) -> float:
    """Return how deep the uppermost food scraps are covered; infinite without any. [m]"""
    kinds = [layer.kind for layer in layers]
    if LayerKind.FOOD not in kinds:
        return math.inf
    top = len(kinds) - 1 - kinds[::-1].index(LayerKind.FOOD)
    return math.fsum(layer.volume_m3 for layer in layers[top + 1 :]) / area_m2


def coarse_materials() -> frozenset[str]:
    """Return the keys of materials coarse enough for the base."""
    return frozenset(row["material"] for row in read_rows("heapwright.mixing", "data/coarse.csv"))


def _sorted(lines: Iterable[RecipeLine]) -> _Stuff:
    stuff = _Stuff()
    for line in lines:
        share = Share(line.lot, float(line.count), line.volume_m3 / line.count)
        if line.lot.material.is_food:
            stuff.food.append(share)
        elif line.lot.material.role is Role.BROWN:
            stuff.brown.append(share)
        else:
            stuff.green.append(share)
    return stuff


def _take_cap(stuff: _Stuff, area_m2: float, brown_m3: float) -> list[Share]:
    """Take the cap out of the brown: finer stuff before coarse, the largest lot first."""
    wanted = min(building("cap_depth_m") * area_m2, building("cap_most_of_brown") * brown_m3)
    if stuff.food:  # scraps must be covered a hand deep even where little else lies over them
        wanted = min(building("food_margin_m") * area_m2, brown_m3 / 2)
    coarse = {id(share) for share in _coarse(stuff.brown)}
    order = sorted(stuff.brown, key=lambda share: (id(share) in coarse, -share.volume_m3))
    return _take(order, wanted)


def _coarse(brown: Iterable[Share]) -> list[Share]:
    keys = coarse_materials()
    return [share for share in brown if share.lot.material.key in keys]


def _take(shares: Sequence[Share], wanted_m3: float) -> list[Share]:
    """Take about a volume out of shares, in quarter containers, and return what was taken."""
    quarter = _HANDY[-1]
    taken: list[Share] = []
    for share in shares:
        quarters = round(wanted_m3 / (quarter * share.volume_each_m3))
        count = min(share.count, quarter * max(quarters, 0 if taken else 1))
        if count > 0 and wanted_m3 > 0:
            share.count -= count
            wanted_m3 -= count * share.volume_each_m3
            taken.append(Share(share.lot, count, share.volume_each_m3))
    return taken


def _pairs(stuff: _Stuff, area_m2: float, food_area_m2: float) -> list[PlannedLayer]:
    """Return pairs of brown and green so many that no layer is too deep."""
    food_layers = _layers_for(stuff.food, food_area_m2, "food_layer_depth_m")
    fewest = _fewest_pairs(stuff, area_m2, food_layers)
    tries = [
        (pairs + worth, pairs, fractions)
        for pairs in range(fewest, min(2 * fewest, _MOST_PAIRS) + 1)
        for worth, fractions in _FINENESS
    ]
    best: list[PlannedLayer] = []
    for _, pairs, fractions in sorted(tries):
        best = _lay(stuff, pairs, food_layers, fractions)
        if _is_good(best, stuff, pairs, area_m2, food_area_m2):
            return best
    return best


def _fewest_pairs(stuff: _Stuff, area_m2: float, food_layers: int) -> int:
    green = _layers_for(stuff.green, area_m2, "green_layer_depth_m")
    brown = _layers_for(stuff.brown, area_m2, "brown_layer_depth_m")
    # Scraps want a pair below and one above; a single layer of them may lie on the lower of two.
    around_food = food_layers + 2 if food_layers > 1 else 2 * food_layers
    return min(_MOST_PAIRS, max(1, green, brown, around_food))


def _layers_for(shares: Sequence[Share], area_m2: float, depth: str) -> int:
    return math.ceil(_volume(shares) / area_m2 / building(depth) - 1e-9)


def _lay(
    stuff: _Stuff, pairs: int, food_layers: int, fractions: Sequence[float]
) -> list[PlannedLayer]:
    brown = _spread_over(stuff.brown, pairs, fractions)
    green = _spread_over(stuff.green, pairs, fractions)
    inner = _inner(pairs, food_layers)
    food = _spread_over(stuff.food, len(inner), fractions)
    layers = []
    for pair in range(pairs):
        layers.append(PlannedLayer(LayerKind.BROWN, tuple(brown[pair])))
        layers.append(PlannedLayer(LayerKind.GREEN, tuple(green[pair])))
        if pair in inner:
            layers.append(PlannedLayer(LayerKind.FOOD, tuple(food[pair - inner.start])))
    return [layer for layer in layers if layer.shares]


def _inner(pairs: int, food_layers: int) -> range:
    """Return the pairs that food scraps lie on: in the middle, never lowest or uppermost."""
    first, last = (1, pairs - 1) if pairs >= 3 else (0, max(1, pairs - 1))
    layers = min(food_layers, last - first)
    start = first + (last - first - layers) // 2
    return range(start, start + layers)


def _spread_over(
    shares: Sequence[Share], layers: int, fractions: Sequence[float]
) -> list[list[Share]]:
    """Return the shares of each layer, every lot spread as evenly as its fractions allow."""
    found: list[list[Share]] = [[] for _ in range(layers)]
    for number, share in enumerate(shares):
        fraction = _fraction(share.count, layers, fractions)
        units = round(share.count / fraction)
        # Different lots start at different places, so that the odd halves do not heap up.
        start = number / len(shares)
        marks = [math.floor(units * layer / layers + start) for layer in range(layers + 1)]
        for layer in range(layers):
            count = (marks[layer + 1] - marks[layer]) * fraction
            if count > 0:
                found[layer].append(Share(share.lot, count, share.volume_each_m3))
    return found


def _fraction(count: float, layers: int, fractions: Sequence[float]) -> float:
    """Return the coarsest fraction of a container that spreads a lot evenly over the layers."""
    exact = [f for f in fractions if count / f == round(count / f)]
    for fraction in exact:
        units = round(count / fraction)
        if units % layers == 0 or units >= 3 * layers:
            return fraction
    return exact[-1]


def _is_good(
    layers: Sequence[PlannedLayer],
    stuff: _Stuff,
    pairs: int,
    area_m2: float,
    food_area_m2: float,
) -> bool:
    """Whether no green or food is too deep, and brown lies under every green."""
    slack = 1 + 1e-9
    green, food = building("green_layer_most_m"), building("food_layer_most_m")
    for layer in layers:
        if layer.kind is LayerKind.GREEN and layer.volume_m3 > green * area_m2 * slack:
            return False
        if layer.kind is LayerKind.FOOD and layer.volume_m3 > food * food_area_m2 * slack:
            return False
    browns = sum(layer.kind is LayerKind.BROWN for layer in layers)
    return not stuff.brown or _volume(stuff.brown) <= 0 or browns == pairs


def _volume(shares: Iterable[Share]) -> float:
    return math.fsum(share.volume_m3 for share in shares)
