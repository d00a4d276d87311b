"""How much of what is on hand brings a heap where a remedy wants it: the mixing core's balances.

Knows standing heaps, lots and targets. Chooses no remedy.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from heapwright.advice.types import Interval
from heapwright.diagnosis.tables import limits
from heapwright.diagnosis.types import FloatArray
from heapwright.errors import HeapwrightError
from heapwright.heap import layout
from heapwright.heap.types import Fill
from heapwright.materials.table import load_materials
from heapwright.materials.types import Packing
from heapwright.mixing.balance import mix, water_to_target_kg
from heapwright.mixing.lots import container_part
from heapwright.mixing.solve import amount_for_c_to_n, amount_for_moisture
from heapwright.mixing.types import Lot, Part
from heapwright.quantities import UnitSystem
from heapwright.quantities.amounts import parse_amount
from heapwright.workshop.garden import Garden
from heapwright.workshop.lots import mixing_lot

if TYPE_CHECKING:
    from heapwright.workshop.model import HeapModel

_TINY = 1e-9
#: What is told of when nothing fit is on hand: shipped materials, in the commonest pail.
BROWN, GREEN = "leaves_mixed_dry", "grass_clippings_loose"
_PAIL = "5 gal pail"
_AS_MANY_AS_WANTED = 10_000
#: Less than this of a container is not worth mixing in.
_LEAST_CONTAINERS = 0.5


@dataclass(frozen=True, slots=True)
class Needed:
    """So much of one material.

    Attributes
    ----------
    lot : Lot
        On hand; without a key when it is not.
    containers : Interval
        For the wet and the dry end of what the heap may be.
    volume_m3 : float
        As it lies in a heap, likely.
    is_all : bool
        All there is, or all that can be mixed in at once; the target asks for more.
    before, after : float
        Of what is aimed at: moisture or C:N.
    fill : Fill
        As the heap model takes it.

    """

    lot: Lot
    containers: Interval
    volume_m3: float
    is_all: bool
    before: float
    after: float
    fill: Fill


def water_needed(model: HeapModel, target: float) -> Interval:
    """Return the water that brings the heap to a moisture (E10). [kg]"""
    cells = model.standing.state
    water = cells.cells[:, layout.WATER].sum(axis=(1, 2))
    wet = water + cells.dry_kg.sum(axis=(1, 2))
    return model.interval(np.maximum(water_to_target_kg(wet, water, target), 0.0))


def moisture_now(model: HeapModel) -> Interval:
    """Return the heap's moisture. [0-1]"""
    state = model.standing.state
    water = state.cells[:, layout.WATER].sum(axis=(1, 2))
    return model.interval(water / (water + state.dry_kg.sum(axis=(1, 2))))


def brown_needed(garden: Garden, model: HeapModel, target: float) -> Needed | None:
    """Return how much of the driest brown on hand brings a wet heap down to a moisture."""
    lots = [(one, container_part(one)) for one in _lots(garden)]
    browns = [(one, part) for one, part in lots if _is_brown(part) and part.moisture < target]
    browns = browns or [_usual(BROWN)]
    lot, part = min(browns, key=lambda pair: (pair[1].moisture, pair[0].key))
    return _needed(model, lot, part, lambda heap: amount_for_moisture([heap], part, target), True)


def brown_for_nitrogen(garden: Garden, model: HeapModel, target: float) -> Needed | None:
    """Return how much brown on hand brings a rich heap up to a C:N."""
    lots = [(one, container_part(one)) for one in _lots(garden)]
    browns = [(one, part) for one, part in lots if _is_brown(part)] or [_usual(BROWN)]
    lot, part = max(browns, key=lambda pair: (_c_to_n(pair[1]), pair[0].key))
    return _needed(model, lot, part, lambda heap: amount_for_c_to_n([heap], part, target), False)


def green_needed(garden: Garden, model: HeapModel, target: float) -> Needed | None:
    """Return how much of the richest green on hand brings a lean heap down to a C:N."""
    lots = [(one, container_part(one)) for one in _lots(garden)]
    greens = [(one, part) for one, part in lots if _c_to_n(part) < target] or [_usual(GREEN)]
    lot, part = max(greens, key=lambda pair: (pair[1].nitrogen_dry, pair[0].key))
    return _needed(model, lot, part, lambda heap: amount_for_c_to_n([heap], part, target), False)


def heap_part(model: HeapModel, level: float = 0.5) -> Part:
    """Return the standing heap as one part; `level` is the quantile of its water."""
    state = model.standing.state
    cells = state.cells

    def middle(values: FloatArray, at: float = 0.5) -> float:
        return float(np.quantile(values, at))

    def total(field: int) -> FloatArray:
        return np.asarray(cells[:, field].sum(axis=(1, 2)))

    water, dry = middle(total(layout.WATER), level), middle(state.dry_kg.sum(axis=(1, 2)))
    ash = middle(total(layout.ASH))
    solids = state.dry_kg.sum(axis=(1, 2)) - total(layout.ASH)
    carbon = middle(np.asarray(state.parameters["carbon_of_solids"] * solids))
    nitrogen = middle(total(layout.NITROGEN) + total(layout.AMMONIUM))
    return Part(
        name="the heap",
        mass_kg=water + dry,
        moisture=water / (water + dry),
        nitrogen_dry=nitrogen / dry,
        carbon_dry=carbon / dry,
        bulk_density_kg_m3=(water + dry) / middle(state.volume_m3),
        ash_dry=min(ash / dry, 1.0),
    )


def as_fill(part: Part) -> Fill:
    """Return a part as the heap model takes an addition."""
    whole = mix([part])
    return Fill(
        wet_mass_kg=whole.mass_kg,
        moisture=whole.moisture,
        volume_m3=whole.volume_m3 or 0.0,
        ash_dry=whole.ash_kg / whole.dry_mass_kg,
        fast_share=whole.fast_share,
        medium_share=whole.medium_share,
        c_to_n=whole.c_to_n,
    )


def usual_fill(material_key: str, volume_m3: float) -> Fill:
    """Return so much of a usual material as the heap model takes it."""
    _, part = _usual(material_key)
    return as_fill(replace(part, mass_kg=volume_m3 * (part.bulk_density_kg_m3 or 0.0)))


def _needed(
    model: HeapModel, lot: Lot, part: Part, solve: Callable[[Part], float], by_moisture: bool
) -> Needed | None:
    likely = _solved(solve, heap_part(model))
    if likely is None or likely < _LEAST_CONTAINERS * part.mass_kg:
        return None
    ends = [_solved(solve, heap_part(model, level)) or 0.0 for level in (0.1, 0.9)]
    room = limits()["most_added"] * float(np.median(model.standing.state.volume_m3))
    per = part.mass_kg / (part.bulk_density_kg_m3 or part.mass_kg)
    most = min(float(lot.count), room / per)
    counts = [min(mass / part.mass_kg, most) for mass in (min(ends), likely, max(ends))]
    counts.sort()
    added = replace(part, mass_kg=part.mass_kg * max(counts[1], _TINY))
    before, after = mix([heap_part(model)]), mix([heap_part(model), added])
    return Needed(
        lot=lot,
        containers=Interval(*counts),
        volume_m3=counts[1] * per,
        is_all=likely / part.mass_kg > most + _TINY,
        before=before.moisture if by_moisture else before.c_to_n,
        after=after.moisture if by_moisture else after.c_to_n,
        fill=as_fill(added),
    )


def _solved(solve: Callable[[Part], float], heap: Part) -> float | None:
    try:
        found = solve(heap)
    except HeapwrightError:
        return None
    return float(found) if found > 0 else None


def _lots(garden: Garden) -> list[Lot]:
    found = []
    for state in garden.state().lots.values():
        if state.left < 1:
            continue
        lot = mixing_lot(state, garden.now())
        if (
            lot.count - lot.keep_back >= 1
            and lot.material.has_numbers
            and lot.material.hazard is None
        ):
            found.append(replace(lot, count=lot.count - lot.keep_back))
    return found


def _usual(material_key: str) -> tuple[Lot, Part]:
    """Return pails of a usual material that are not on hand, as many as are wanted."""
    pail = parse_amount(f"1 {_PAIL}", (), UnitSystem.US)
    packing = Packing.SHREDDED if material_key == BROWN else Packing.LOOSE
    lot = Lot(
        key="",
        material=load_materials()[material_key],
        container_name=_PAIL,
        container_volume_m3=0.0 if pail.container is None else pail.container.volume_m3,
        count=_AS_MANY_AS_WANTED,
        fullness=pail.fullness,
        packing=packing,
    )
    return lot, container_part(lot)


def _is_brown(part: Part) -> bool:
    return _c_to_n(part) > limits()["lean_c_to_n"]


def _c_to_n(part: Part) -> float:
    return part.carbon_dry / part.nitrogen_dry if part.nitrogen_dry > 0 else float("inf")
