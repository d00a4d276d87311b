"""Says what to do with each layer, and what to mind, in plain words.

Knows the steps for each kind of layer and the cautions of building. Works out no amounts.
"""

from __future__ import annotations

from collections.abc import Sequence

from heapwright.materials.types import Role
from heapwright.mixing.constants import building
from heapwright.mixing.layers_plan import PlannedLayer
from heapwright.mixing.lots import container_mass_kg
from heapwright.mixing.types import LayerKind, RecipeLine
from heapwright.mixing.words import joined, low, of_lot
from heapwright.tables import read_rows
from heapwright.wording import running, worded


def steps(layer: PlannedLayer, water_kg: float) -> tuple[str, ...]:
    """Return what to do for a layer, in order."""
    amounts = joined([of_lot(share.count, share.lot) for share in layer.shares])
    return (*_LAYING[layer.kind](amounts), *_wetting(layer.kind, water_kg))


def cautions(
    lines: Sequence[RecipeLine], *, covered: bool, parted: bool, capped: bool, fits: bool
) -> tuple[str, ...]:
    """Return what to mind while building with these lots.

    Parameters
    ----------
    lines : sequence of RecipeLine
    covered : bool
        Whether food scraps, if any, end up a hand's breadth below the top.
    parted : bool
        Whether brown lies under every green.
    capped : bool
        Whether there is brown for a cap.
    fits : bool
        Whether the loose heap is no higher than the bin.

    """
    found = [row["text"] for row in read_rows("heapwright.mixing", "data/build_cautions.csv")]
    found += [running((text,)) for line in lines for text in line.lot.material.cautions]
    heavy = [
        line
        for line in lines
        if container_mass_kg(line.lot).typical > building("heavy_container_kg")
    ]
    if heavy:
        names = joined(
            [
                worded(
                    "{containers} of {material}",
                    containers=line.lot.container_name,
                    material=low(line.lot.material.name),
                )
                for line in heavy
            ]
        )
        found.append(
            worded(
                "Heavy when full: {names}. Carry part-loads, and lift with a straight back.",
                names=names,
            )
        )
    if any(line.lot.material.role is not Role.BROWN for line in lines) and not capped:
        found.append(
            "There is no brown to lie between the layers: green alone mats and turns sour. Fetch "
            "leaves or straw first if you can."
        )
    if capped and not parted:
        found.append(
            "There is too little brown to lie under every green: fork what there is right through "
            "the green, and fetch more leaves or straw if you can, or it mats and turns sour."
        )
    if not capped:
        found.append(
            "There is no brown left for a cap: cover the heap with leaves, straw, finished compost "
            "or soil before you leave it, or flies will find it."
        )
    if not covered:
        found.append(
            "The food scraps are covered too thinly: put more brown, finished compost or soil over "
            "them until they lie a hand's breadth deep."
        )
    if not fits:
        found.append(
            "Loose, it stands a little higher than the bin: heap it up in the middle, it settles "
            "within days."
        )
    return tuple(dict.fromkeys(found))


def _base(amounts: str) -> tuple[str, ...]:
    return (
        worded(
            "Lay {amounts} on the ground, crossing one another, so that air comes in from below.",
            amounts=amounts,
        ),
        "Do not tread it down.",
    )


def _brown(amounts: str) -> tuple[str, ...]:
    return (
        worded(
            "Pull wads and clumps apart and spread {amounts} right into the corners.",
            amounts=amounts,
        ),
    )


def _green(amounts: str) -> tuple[str, ...]:
    return (
        "Break up clumps until none is bigger than a fist.",
        worded("Scatter {amounts} thinly and evenly.", amounts=amounts),
        "Fork it a little into the brown below, so that it cannot mat.",
    )


def _food(amounts: str) -> tuple[str, ...]:
    return (
        "Chop what is bigger than a hand.",
        worded(
            "Spread {amounts} in the middle only, a hand's breadth away from every side.",
            amounts=amounts,
        ),
        "Cover it at once with the next layer: no scrap may show.",
    )


def _cap(amounts: str) -> tuple[str, ...]:
    return (
        worded("Close the heap with {amounts}: no green and no scrap may show.", amounts=amounts),
        "Leave a shallow dish in the middle, so that water runs in and not off.",
    )


_LAYING = {
    LayerKind.BASE: _base,
    LayerKind.BROWN: _brown,
    LayerKind.GREEN: _green,
    LayerKind.FOOD: _food,
    LayerKind.CAP: _cap,
}


def _wetting(kind: LayerKind, water_kg: float) -> tuple[str, ...]:
    if water_kg > building("least_layer_water_kg"):
        if kind is LayerKind.CAP:
            return ("Sprinkle the water for this layer over it, so that it does not blow away.",)
        return ("Wet it with the water for this layer while you spread it, dry spots first.",)
    if kind in (LayerKind.GREEN, LayerKind.FOOD):
        return ("No water here: it brings its own.",)
    return ()
